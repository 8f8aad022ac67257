"""The network of steps and what holds them; test points, readings, snags and tries."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

ADDED = {
    "step": ("wait_kind", "occupies", "tools"),
    "step_run": ("resumed_at", "signed_at", "signed", "early"),
}
TABLES = (
    "step_line",
    "step_question",
    "step_point",
    "step_waived",
    "snag_try",
    "snag",
    "reading",
    "test_point",
)
STRICT: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}
# What was ticked before there were signatures counts as signed when it was ticked.
SIGNED = """
    UPDATE step_run SET signed_at = finished_at, signed = 'ticked before signatures were kept'
     WHERE state = 'done' AND step_id IN (SELECT id FROM step WHERE hold_point = 1)
"""


def whole(name: str, to: str = "", **more: Any) -> sa.Column[Any]:
    """A whole number."""
    more.setdefault("nullable", False)
    return sa.Column(name, sa.Integer(), *([sa.ForeignKey(f"{to}.id")] if to else []), **more)


def words(name: str) -> sa.Column[Any]:
    """A text."""
    return sa.Column(name, sa.Text(), nullable=False)


def real(name: str, *, nullable: bool = True) -> sa.Column[Any]:
    """An amount in SI units."""
    return sa.Column(name, sa.REAL(), nullable=nullable)


def table(name: str, *parts: Any, indexed: tuple[str, ...] = ()) -> None:
    """A strict table whose rows have numbers that are never used twice."""
    op.create_table(name, sa.Column("id", sa.Integer(), primary_key=True, nullable=False), *parts, **STRICT)
    for one in indexed:
        op.create_index(f"ix_{name}_{one}", name, [one])


def pair(name: str, other: str, to: str, *parts: Any) -> None:
    """A table that binds something to a step, once."""
    table(name, whole("step_id", to="step"), whole(other, to=to), *parts, sa.UniqueConstraint("step_id", other))
    op.create_index(f"ix_{name}_{other}", name, [other])


def upgrade() -> None:
    """Add the columns and the tables."""
    for name, columns in ADDED.items():
        for column in columns:
            op.add_column(name, sa.Column(column, sa.Text(), nullable=False, server_default=""))
    op.execute(SIGNED)
    measured()
    pair("step_line", "line_id", "line")
    pair("step_question", "choice_id", "choice")
    pair("step_point", "point_id", "test_point")
    pair("step_waived", "before_id", "step", words("reason"))


def measured() -> None:
    """Points, readings, snags, tries."""
    table(
        "test_point",
        whole("assembly_id", to="assembly"),
        whole("position"),
        *(words(name) for name in ("code", "name", "unit")),
        *(real(name) for name in ("nominal", "low", "high")),
        words("condition"),
        words("caution"),
        sa.CheckConstraint("low IS NULL OR high IS NULL OR low <= high", name="limits_in_order"),
        sa.UniqueConstraint("assembly_id", "code"),
    )
    table(
        "reading",
        whole("build_id", to="build"),
        whole("point_id", to="test_point"),
        whole("unit_number"),
        words("at"),
        words("text"),
        real("value", nullable=False),
        words("note"),
        sa.CheckConstraint("unit_number >= 1", name="unit_number_at_least_1"),
        indexed=("build_id", "point_id"),
    )
    table(
        "snag",
        whole("build_id", to="build"),
        whole("number"),
        *(words(name) for name in ("title", "state", "opened_at", "closed_at", "cause")),
        whole("assembly_id", to="assembly", nullable=True),
        whole("step_id", to="step", nullable=True),
        whole("reading_id", to="reading", nullable=True),
        sa.CheckConstraint("number >= 1", name="number_at_least_1"),
        sa.CheckConstraint("state IN ('open', 'closed')", name="state_known"),
        sa.UniqueConstraint("build_id", "number"),
        indexed=("assembly_id", "step_id", "reading_id"),
    )
    table("snag_try", whole("snag_id", to="snag"), words("at"), words("tried"), words("showed"), indexed=("snag_id",))


def downgrade() -> None:
    """Take them away, with what is in them."""
    for name in TABLES:
        op.drop_table(name)
    for name, columns in ADDED.items():
        for column in columns:
            op.drop_column(name, column)
