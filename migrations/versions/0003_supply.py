"""The supply budget: fuses, cores, windings and rails, and what draws on them."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

STRICT: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}


def whole(name: str, to: str = "", *, nullable: bool = False) -> sa.Column[Any]:
    """A whole number."""
    return sa.Column(name, sa.Integer(), *([sa.ForeignKey(f"{to}.id")] if to else []), nullable=nullable)


def words(name: str) -> sa.Column[Any]:
    """A text."""
    return sa.Column(name, sa.Text(), nullable=False)


def at_least(column: str, least: int) -> sa.CheckConstraint:
    """A rule that a column never falls below `least`."""
    return sa.CheckConstraint(f"{column} >= {least}", name=f"{column}_at_least_{least}")


def table(name: str, *parts: Any, indexed: tuple[str, ...] = ()) -> None:
    """A strict table whose rows have numbers that are never used twice."""
    op.create_table(name, sa.Column("id", sa.Integer(), primary_key=True, nullable=False), *parts, **STRICT)
    for one in indexed:
        op.create_index(f"ix_{name}_{one}", name, [one])


def upgrade() -> None:
    """Add the two tables."""
    table(
        "supply",
        whole("project_id", to="project"),
        whole("fed_by_id", to="supply", nullable=True),
        *(words(name) for name in ("code", "name", "kind")),
        whole("volts_uv"),
        whole("limit_micro", nullable=True),
        whole("keep_free_bp"),
        *(words(name) for name in ("way", "circuit")),
        whole("factor_ppm", nullable=True),
        whole("alike"),
        words("note"),
        sa.UniqueConstraint("project_id", "code"),
        sa.CheckConstraint("kind IN ('fuse', 'core', 'winding', 'rail')", name="kind_known"),
        sa.CheckConstraint("way IN ('straight', 'rectifier', 'linear', 'switching')", name="way_known"),
        sa.CheckConstraint("fed_by_id <> id", name="not_fed_by_itself"),
        at_least("volts_uv", 0),
        at_least("limit_micro", 1),
        at_least("factor_ppm", 1),
        at_least("alike", 1),
        sa.CheckConstraint("keep_free_bp BETWEEN 0 AND 10000", name="keep_free_in_percent"),
        indexed=("fed_by_id",),
    )
    table(
        "supply_load",
        whole("supply_id", to="supply"),
        whole("assembly_id", to="assembly", nullable=True),
        whole("option_id", to="choice_option", nullable=True),
        words("name"),
        whole("qty"),
        whole("current_ua", nullable=True),
        whole("power_uw", nullable=True),
        whole("duty_bp"),
        words("note"),
        at_least("qty", 1),
        at_least("current_ua", 0),
        at_least("power_uw", 0),
        sa.CheckConstraint("current_ua IS NULL OR power_uw IS NULL", name="current_or_power"),
        sa.CheckConstraint("duty_bp BETWEEN 0 AND 10000", name="duty_in_percent"),
        indexed=("supply_id", "assembly_id", "option_id"),
    )


def downgrade() -> None:
    """Take them away, with what is in them."""
    op.drop_table("supply_load")
    op.drop_table("supply")
