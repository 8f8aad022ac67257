"""The first workshop: every table, and a ledger and a journal that only ever grow."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# "BBws": tells a workshop from any other SQLite database.
APPLICATION_ID = 0x42427773
ONLY_GROW = ("movement", "journal_entry", "journal_change")
STRICT: dict[str, Any] = {"sqlite_strict": True}


def column(name: str, kind: Any, to: str, **more: Any) -> sa.Column[Any]:
    """A column, refusing nothingness unless told otherwise."""
    more.setdefault("nullable", False)
    return sa.Column(name, kind, *([sa.ForeignKey(f"{to}.id")] if to else []), **more)


def whole(name: str, to: str = "", **more: Any) -> sa.Column[Any]:
    """A whole number."""
    return column(name, sa.Integer(), to, **more)


def words(name: str, **more: Any) -> sa.Column[Any]:
    """A text."""
    return column(name, sa.Text(), "", **more)


def real(name: str, **more: Any) -> sa.Column[Any]:
    """A component value in SI units."""
    return column(name, sa.REAL(), "", **more)


def check(name: str, rule: str) -> sa.CheckConstraint:
    """What must never be."""
    return sa.CheckConstraint(rule, name=name)


def table(name: str, *parts: Any, derived: bool = False) -> None:
    """A strict table; unless derived from others, its rows have numbers that are never used twice."""
    if derived:
        op.create_table(name, *parts, **STRICT)
    else:
        number = sa.Column("id", sa.Integer(), primary_key=True, nullable=False)
        op.create_table(name, number, *parts, sqlite_autoincrement=True, **STRICT)


def upgrade() -> None:
    """Make every table and index, those first that others refer to."""
    plain()
    referring()
    deeper()
    op.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for name in ONLY_GROW:
        for verb in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {name}_no_{verb.lower()} BEFORE {verb} ON {name} "
                f"BEGIN SELECT RAISE(ABORT, '{name} only grows'); END"
            )


def downgrade() -> None:
    """Take every table away."""
    inspector = sa.inspect(op.get_bind())
    for name, _ in reversed(inspector.get_sorted_table_and_fkc_names()):
        if name and name != "alembic_version":
            op.drop_table(name)
    op.execute("PRAGMA application_id = 0")


def plain() -> None:
    """Tables that refer to none or few others."""
    table("bin", words("name"), words("note"), sa.UniqueConstraint("name"))
    table(
        "column_map", words("purpose"), words("headings"), words("mapping"), sa.UniqueConstraint("purpose", "headings")
    )
    table(
        "journal_entry",
        words("at"),
        words("title"),
        words("kind"),
        whole("target_id", nullable=True, to="journal_entry"),
        whole("build_id", nullable=True),
        check("kind_known", "kind IN ('do', 'undo', 'redo')"),
    )
    op.create_index("ix_journal_entry_at", "journal_entry", ["at"])
    op.create_index("ix_journal_entry_target_id", "journal_entry", ["target_id"])
    table(
        "movement",
        words("at"),
        words("kind"),
        whole("part_id"),
        whole("bin_id", nullable=True),
        whole("build_id", nullable=True),
        whole("line_id", nullable=True),
        whole("purchase_line_id", nullable=True),
        whole("bin_qty"),
        whole("kit_qty"),
        whole("fit_qty"),
        whole("lost_qty"),
        whole("value_micros"),
        whole("unpriced_qty"),
        whole("reverses_id", nullable=True),
        words("note"),
        check("bin_named", "bin_qty = 0 OR bin_id IS NOT NULL"),
        check(
            "kind_known",
            "kind IN ('received', 'counted', 'kitted', 'fitted', 'returned', 'scrapped', 'moved', 'reversed')",
        ),
        check(
            "line_named",
            "(kit_qty = 0 AND fit_qty = 0 AND lost_qty = 0) OR (build_id IS NOT NULL AND line_id IS NOT NULL)",
        ),
    )
    op.create_index("ix_movement_build_id", "movement", ["build_id"])
    op.create_index("ix_movement_line_id", "movement", ["line_id"])
    op.create_index("ix_movement_part_id", "movement", ["part_id"])
    table(
        "part",
        words("key"),
        words("kind"),
        words("name"),
        words("value_text"),
        real("value_si", nullable=True),
        words("package"),
        words("maker"),
        words("maker_number"),
        words("unit"),
        words("note"),
        check("unit_known", "unit IN ('pc', 'mm', 'mg', 'ul')"),
    )
    op.create_index("ix_part_kind", "part", ["kind"])
    op.create_index("ix_part_maker_number", "part", ["maker_number"])
    op.create_index("ix_part_value_si", "part", ["value_si"])
    op.create_index("part_key_folded", "part", [sa.text("lower(key)")], unique=True)
    table(
        "project",
        words("code"),
        words("name"),
        whole("consumables_bp"),
        words("note"),
        check("consumables_bp_at_least_0", "consumables_bp >= 0"),
        sa.UniqueConstraint("code"),
    )
    table("setting", words("key"), words("value"), sa.UniqueConstraint("key"))
    table("supplier", words("code"), words("name"), words("note"), sa.UniqueConstraint("code"))
    table(
        "assembly",
        whole("project_id", to="project"),
        words("code"),
        words("name"),
        words("kind"),
        whole("position"),
        whole("ready_made"),
        words("note"),
        check("kind_known", "kind IN ('board', 'case', 'panel', 'harness', 'unit')"),
        check("ready_made_at_least_0", "ready_made >= 0"),
        sa.UniqueConstraint("project_id", "code"),
    )


def referring() -> None:
    """Tables that refer to those."""
    table(
        "balance",
        whole("part_id", primary_key=True, to="part"),
        whole("bin_id", primary_key=True, to="bin"),
        whole("qty"),
        check("qty_at_least_0", "qty >= 0"),
        derived=True,
    )
    table(
        "choice",
        whole("project_id", to="project"),
        words("code"),
        words("question"),
        words("state"),
        words("reason"),
        check("state_known", "state IN ('open', 'chosen', 'shelved')"),
        sa.UniqueConstraint("project_id", "code"),
    )
    table(
        "journal_change",
        whole("entry_id", to="journal_entry"),
        words("tab"),
        whole("first_id"),
        whole("rows"),
        words("fields"),
        words("before"),
        words("after"),
        check("rows_at_least_1", "rows >= 1"),
    )
    op.create_index("ix_journal_change_entry_id", "journal_change", ["entry_id"])
    op.create_index("journal_change_row", "journal_change", ["tab", "first_id"])
    table(
        "offer",
        whole("supplier_id", to="supplier"),
        whole("part_id", to="part"),
        words("order_code"),
        whole("per_qty"),
        whole("pack_qty"),
        whole("min_qty"),
        whole("lead_days", nullable=True),
        words("valid_until"),
        words("note"),
        check("min_qty_at_least_1", "min_qty >= 1"),
        check("pack_qty_at_least_1", "pack_qty >= 1"),
        check("per_qty_at_least_1", "per_qty >= 1"),
        sa.UniqueConstraint("supplier_id", "order_code", "part_id"),
    )
    op.create_index("ix_offer_order_code", "offer", ["order_code"])
    op.create_index("ix_offer_part_id", "offer", ["part_id"])
    table("part_alias", whole("part_id", to="part"), words("alias"), sa.UniqueConstraint("alias"))
    op.create_index("ix_part_alias_part_id", "part_alias", ["part_id"])
    table(
        "purchase",
        words("ref"),
        whole("supplier_id", to="supplier"),
        words("state"),
        words("placed_on"),
        words("due_on"),
        words("note"),
        check("state_known", "state IN ('drafted', 'placed', 'received', 'cancelled')"),
        sa.UniqueConstraint("ref"),
    )
    op.create_index("ix_purchase_supplier_id", "purchase", ["supplier_id"])
    table(
        "stand_in",
        whole("part_id", to="part"),
        whole("alt_id", to="part"),
        whole("rank"),
        words("reason"),
        check("not_its_own", "part_id <> alt_id"),
        sa.UniqueConstraint("part_id", "alt_id"),
    )
    op.create_index("ix_stand_in_alt_id", "stand_in", ["alt_id"])
    table(
        "worth",
        whole("part_id", primary_key=True, to="part"),
        whole("qty"),
        whole("unpriced_qty"),
        whole("value_micros"),
        check("qty_at_least_0", "qty >= 0"),
        check("unpriced_qty_at_least_0", "unpriced_qty >= 0"),
        check("value_micros_at_least_0", "value_micros >= 0"),
        derived=True,
    )
    table(
        "build",
        words("code"),
        whole("project_id", to="project"),
        whole("assembly_id", to="assembly"),
        whole("units"),
        whole("priority"),
        words("state"),
        words("target_on"),
        words("note"),
        check("state_known", "state IN ('planned', 'active', 'finished', 'dropped')"),
        check("units_at_least_1", "units >= 1"),
        sa.UniqueConstraint("code"),
    )
    op.create_index("ix_build_assembly_id", "build", ["assembly_id"])
    op.create_index("ix_build_project_id", "build", ["project_id"])
    table(
        "choice_option",
        whole("choice_id", to="choice"),
        words("code"),
        words("name"),
        whole("chosen"),
        check("chosen_yes_or_no", "chosen IN (0, 1)"),
        sa.UniqueConstraint("choice_id", "code"),
    )
    op.create_index(
        "one_chosen_option", "choice_option", ["choice_id"], unique=True, sqlite_where=sa.text("chosen = 1")
    )


def deeper() -> None:
    """Tables that refer to those in turn."""
    table(
        "offer_break",
        whole("offer_id", to="offer"),
        whole("from_qty"),
        whole("price_micros"),
        check("from_qty_at_least_1", "from_qty >= 1"),
        check("price_micros_at_least_0", "price_micros >= 0"),
        sa.UniqueConstraint("offer_id", "from_qty"),
    )
    table(
        "purchase_line",
        whole("purchase_id", to="purchase"),
        whole("part_id", to="part"),
        words("order_code"),
        whole("qty"),
        whole("price_micros", nullable=True),
        whole("per_qty"),
        whole("received_qty"),
        words("due_on"),
        check("per_qty_at_least_1", "per_qty >= 1"),
        check("price_micros_at_least_0", "price_micros >= 0"),
        check("qty_at_least_1", "qty >= 1"),
        check("received_qty_at_least_0", "received_qty >= 0"),
    )
    op.create_index("ix_purchase_line_part_id", "purchase_line", ["part_id"])
    op.create_index("ix_purchase_line_purchase_id", "purchase_line", ["purchase_id"])
    table(
        "step",
        whole("assembly_id", to="assembly"),
        whole("position"),
        words("name"),
        words("work"),
        whole("low_min"),
        whole("likely_min"),
        whole("high_min"),
        whole("wait_low_min"),
        whole("wait_high_min"),
        whole("one_way"),
        whole("hold_point"),
        words("caution"),
        check("hold_point_yes_or_no", "hold_point IN (0, 1)"),
        check("minutes_in_order", "0 <= low_min AND low_min <= likely_min AND likely_min <= high_min"),
        check("one_way_yes_or_no", "one_way IN (0, 1)"),
        check("wait_in_order", "0 <= wait_low_min AND wait_low_min <= wait_high_min"),
    )
    op.create_index("ix_step_assembly_id", "step", ["assembly_id"])
    table(
        "contains",
        whole("parent_id", to="assembly"),
        whole("child_id", to="assembly"),
        whole("qty"),
        whole("option_id", nullable=True, to="choice_option"),
        check("not_inside_itself", "parent_id <> child_id"),
        check("qty_at_least_1", "qty >= 1"),
    )
    op.create_index(
        "contained_once", "contains", ["parent_id", "child_id", sa.text("coalesce(option_id, 0)")], unique=True
    )
    op.create_index("ix_contains_child_id", "contains", ["child_id"])
    op.create_index("ix_contains_option_id", "contains", ["option_id"])
    table(
        "episode",
        whole("build_id", to="build"),
        whole("number"),
        words("title"),
        words("opened_at"),
        words("closed_at"),
        words("recap"),
        sa.UniqueConstraint("build_id", "number"),
    )
    table(
        "line",
        whole("assembly_id", to="assembly"),
        whole("part_id", to="part"),
        whole("position"),
        whole("qty"),
        words("refs"),
        whole("fitted"),
        whole("loss_bp"),
        whole("option_id", nullable=True, to="choice_option"),
        words("note"),
        check("fitted_yes_or_no", "fitted IN (0, 1)"),
        check("loss_bp_at_least_0", "loss_bp >= 0"),
        check("qty_at_least_1", "qty >= 1"),
    )
    op.create_index("ix_line_option_id", "line", ["option_id"])
    counted = ["qty", "loss_bp", "fitted", "option_id"]
    op.create_index("line_of_assembly", "line", ["assembly_id", "part_id", *counted])
    op.create_index("line_of_part", "line", ["part_id", "assembly_id", *counted])
    table(
        "step_need",
        whole("step_id", to="step"),
        whole("needs_id", to="step"),
        words("link"),
        whole("wait_min"),
        check("link_known", "link IN ('FS', 'SS')"),
        check("not_itself", "step_id <> needs_id"),
        check("wait_min_at_least_0", "wait_min >= 0"),
        sa.UniqueConstraint("step_id", "needs_id"),
    )
    op.create_index("ix_step_need_needs_id", "step_need", ["needs_id"])
    table(
        "step_run",
        whole("build_id", to="build"),
        whole("step_id", to="step"),
        words("state"),
        words("started_at"),
        words("finished_at"),
        whole("minutes", nullable=True),
        check("state_known", "state IN ('in hand', 'waiting', 'done', 'dropped')"),
        sa.UniqueConstraint("build_id", "step_id"),
    )
    op.create_index("ix_step_run_step_id", "step_run", ["step_id"])
    table(
        "entry",
        words("at"),
        words("text"),
        whole("build_id", nullable=True, to="build"),
        whole("assembly_id", nullable=True, to="assembly"),
        whole("step_id", nullable=True, to="step"),
        whole("part_id", nullable=True, to="part"),
        whole("episode_id", nullable=True, to="episode"),
    )
    op.create_index("ix_entry_at", "entry", ["at"])
    op.create_index("ix_entry_build_id", "entry", ["build_id"])
    op.create_index("ix_entry_episode_id", "entry", ["episode_id"])
    table(
        "holding",
        whole("build_id", primary_key=True, to="build"),
        whole("line_id", primary_key=True, to="line"),
        whole("part_id", primary_key=True, to="part"),
        whole("kitted"),
        whole("fitted"),
        whole("lost"),
        whole("value_micros"),
        whole("unpriced_qty"),
        check("fitted_at_least_0", "fitted >= 0"),
        check("kitted_at_least_0", "kitted >= 0"),
        check("lost_at_least_0", "lost >= 0"),
        derived=True,
    )
