"""Terms of suppliers, currencies, old prices; what came in a delivery and how each difference was settled."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

STRICT: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}
WORDS = {
    "supplier": ("currency", "standing"),
    "offer": ("currency", "standing", "seen_on"),
    "purchase": ("confirmed_on", "currency", "rate"),
}
NUMBERS = {
    "supplier": ("least_micros", "shipping_micros", "tax_bp", "tax_on_shipping"),
    "part": ("keep_qty",),
    "purchase": ("discount_micros",),
}
UNKNOWN = {
    "supplier": ("free_from_micros", "lead_days"),
    "offer": ("multiple_qty", "seen_qty"),
    "purchase": ("shipping_micros", "tax_micros"),
}


def whole(name: str, to: str = "", *, nullable: bool = False) -> sa.Column[Any]:
    """A whole number."""
    return sa.Column(name, sa.Integer(), *([sa.ForeignKey(f"{to}.id")] if to else []), nullable=nullable)


def words(*names: str) -> list[sa.Column[Any]]:
    """Texts."""
    return [sa.Column(name, sa.Text(), nullable=False) for name in names]


def at_least(column: str, least: int) -> sa.CheckConstraint:
    """A rule that a column never falls below `least`."""
    return sa.CheckConstraint(f"{column} >= {least}", name=f"{column}_at_least_{least}")


def table(name: str, *parts: Any, indexed: tuple[str, ...] = ()) -> None:
    """A strict table whose rows have numbers that are never used twice."""
    op.create_table(name, sa.Column("id", sa.Integer(), primary_key=True, nullable=False), *parts, **STRICT)
    for one in indexed:
        op.create_index(f"ix_{name}_{one}", name, [one])


def upgrade() -> None:
    """Add the columns and the tables."""
    for name, columns in WORDS.items():
        for column in columns:
            op.add_column(name, sa.Column(column, sa.Text(), nullable=False, server_default=""))
    for name, columns in NUMBERS.items():
        for column in columns:
            op.add_column(name, sa.Column(column, sa.Integer(), nullable=False, server_default="0"))
    for name, columns in UNKNOWN.items():
        for column in columns:
            op.add_column(name, sa.Column(column, sa.Integer(), nullable=True))
    priced()
    delivered()


def priced() -> None:
    """Rates of currencies, the steps of a supplier's terms, prices that were, and columns of an export."""
    table("currency_rate", sa.Column("code", sa.Text(), nullable=False, unique=True), *words("rate", "set_on"))
    table(
        "supplier_step",
        whole("supplier_id", to="supplier"),
        *words("kind"),
        whole("from_micros"),
        whole("amount"),
        sa.UniqueConstraint("supplier_id", "kind", "from_micros"),
        sa.CheckConstraint("kind IN ('shipping', 'discount')", name="kind_known"),
        at_least("from_micros", 0),
        at_least("amount", 0),
    )
    table(
        "price_past",
        whole("part_id", to="part"),
        whole("supplier_id", to="supplier"),
        *words("order_code", "until", "currency"),
        whole("from_qty"),
        whole("per_qty"),
        whole("price_micros"),
        at_least("from_qty", 1),
        at_least("per_qty", 1),
        at_least("price_micros", 0),
        indexed=("part_id", "supplier_id"),
    )
    table(
        "column_set",
        sa.Column("name", sa.Text(), nullable=False, unique=True),
        whole("supplier_id", to="supplier", nullable=True),
        *words("columns"),
        indexed=("supplier_id",),
    )


def delivered() -> None:
    """Parcels of an order, and each way in which one was not as ordered."""
    table(
        "delivery",
        whole("purchase_id", to="purchase"),
        *words("at", "note"),
        whole("shipping_micros", nullable=True),
        whole("tax_micros", nullable=True),
        indexed=("purchase_id",),
    )
    table(
        "delivery_line",
        whole("delivery_id", to="delivery"),
        whole("purchase_line_id", to="purchase_line"),
        *words("what"),
        whole("qty"),
        whole("part_id", to="part", nullable=True),
        whole("price_micros", nullable=True),
        *words("note", "settled", "settled_at", "reason"),
        sa.CheckConstraint(
            "what IN ('received', 'short', 'over', 'wrong', 'damaged', 'replaced', 'price', 'returned')",
            name="what_known",
        ),
        sa.CheckConstraint(
            "settled IN ('', 'as ordered', 'reorder', 'credit', 'accepted', 'sent back', 'written off')",
            name="settled_known",
        ),
        at_least("qty", 0),
        at_least("price_micros", 0),
        indexed=("delivery_id", "purchase_line_id", "part_id"),
    )


def downgrade() -> None:
    """Take them away, with what is in them."""
    for name in ("delivery_line", "delivery", "column_set", "price_past", "supplier_step", "currency_rate"):
        op.drop_table(name)
    for added in (WORDS, NUMBERS, UNKNOWN):
        for name, columns in added.items():
            for column in columns:
                op.drop_column(name, column)
