"""Contacts, ratings and what parts bear, banks of capacitors; formulas of test points; what an answer brings."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

STRICT: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}
# Texts that are empty, and numbers that are nought, in the rows that were there before.
WORDS = {"step": ("checks",), "step_run": ("signed_by",), "test_point": ("formula", "spread", "standard")}
NUMBERS = {"supply": ("tolerance_bp",), "snag_try": ("joints",)}
UNKNOWN = {"part": ("area_um2",), "snag_try": ("minutes",)}
BORNE = "what IN ('dc volts', 'ac volts', 'reverse volts', 'amps', 'watts')"


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
    # Alembic adds a reference to an old table only by copying all of it; SQLite does it in place.
    op.execute("ALTER TABLE step ADD COLUMN option_id INTEGER REFERENCES choice_option (id)")
    op.create_index("ix_step_option_id", "step", ["option_id"])
    rated()
    switched()
    table(
        "snag_part",
        whole("snag_id", to="snag"),
        whole("line_id", to="line"),
        *words("refs", "note"),
        sa.UniqueConstraint("snag_id", "line_id"),
    )
    op.create_index("ix_snag_part_line_id", "snag_part", ["line_id"])


def rated() -> None:
    """What parts are made for, what they bear in their places, and capacitors with what discharges them."""
    table(
        "part_rating",
        whole("part_id", to="part"),
        *words("what"),
        whole("micro"),
        *words("note"),
        sa.UniqueConstraint("part_id", "what"),
        sa.CheckConstraint(BORNE, name="what_known"),
        at_least("micro", 1),
    )
    table(
        "stress",
        whole("line_id", to="line"),
        *words("what"),
        whole("micro"),
        *words("note"),
        sa.UniqueConstraint("line_id", "what"),
        sa.CheckConstraint(BORNE, name="what_known"),
        at_least("micro", 0),
    )
    table(
        "bank",
        whole("assembly_id", to="assembly"),
        *words("code", "name"),
        whole("volts_uv"),
        *words("capacitors", "bleeder"),
        whole("safe_uv"),
        *words("note"),
        sa.UniqueConstraint("assembly_id", "code"),
        at_least("volts_uv", 1),
        at_least("safe_uv", 1),
    )


def switched() -> None:
    """Switches and relays, and the functions that ride on them."""
    table(
        "contacts",
        whole("project_id", to="project"),
        *words("code", "name", "kind"),
        whole("poles"),
        whole("throws"),
        whole("option_id", to="choice_option", nullable=True),
        whole("limit_ua", nullable=True),
        whole("limit_uv", nullable=True),
        *words("note"),
        sa.UniqueConstraint("project_id", "code"),
        sa.CheckConstraint("kind IN ('switch', 'relay')", name="kind_known"),
        at_least("poles", 1),
        at_least("throws", 1),
        at_least("limit_ua", 1),
        at_least("limit_uv", 1),
        indexed=("option_id",),
    )
    table(
        "contact_use",
        whole("contacts_id", to="contacts"),
        *words("name"),
        whole("poles"),
        whole("throws"),
        whole("pole", nullable=True),
        whole("option_id", to="choice_option", nullable=True),
        whole("assembly_id", to="assembly", nullable=True),
        whole("current_ua", nullable=True),
        whole("volts_uv", nullable=True),
        *words("note"),
        at_least("poles", 1),
        at_least("throws", 1),
        at_least("pole", 1),
        at_least("current_ua", 0),
        at_least("volts_uv", 0),
        indexed=("contacts_id", "option_id", "assembly_id"),
    )


def downgrade() -> None:
    """Take them away, with what is in them."""
    for name in ("snag_part", "contact_use", "contacts", "bank", "stress", "part_rating"):
        op.drop_table(name)
    op.drop_index("ix_step_option_id", "step")
    op.drop_column("step", "option_id")
    for added in (WORDS, NUMBERS, UNKNOWN):
        for name, columns in added.items():
            for column in columns:
                op.drop_column(name, column)
