"""How fast it is known how steps stand: every step of the workshop, against the rows alone."""

from __future__ import annotations

from time import process_time
from typing import Any

from buildbook.answers.bench import now_of
from buildbook.reckon.readiness import Standing, readiness
from buildbook.store.read import order as read
from tests.bench.race import Ground, Race
from tests.bench.reading import opened

# What the Bench reads to tell how steps stand; parts lists are weighed elsewhere.
ROWS = (
    """SELECT id, assembly_id, name, work, low_min, likely_min, high_min, wait_low_min, wait_high_min, wait_kind,
              occupies, tools, one_way, hold_point, caution FROM step ORDER BY assembly_id, position, id""",
    "SELECT step_id, needs_id, link, wait_min FROM step_need ORDER BY step_id, id",
    """SELECT build_id, step_id, state, started_at, finished_at, minutes, resumed_at, signed_at, signed, early
         FROM step_run""",
    "SELECT step_id, choice_id FROM step_question",
    "SELECT step_id, point_id FROM step_point",
    "SELECT step_id, line_id FROM step_line",
)


def every_step(ground: Ground) -> Race:
    """How each step stands if one build had them all, through the store, against fetching the rows."""
    shop, plain = opened(ground)

    def stand() -> dict[int, Standing]:
        now, found = now_of(shop), read.order(shop.reads)
        checklists = read.checklists(found, found.lists)
        return readiness(checklists, read.runs_of(found, 1), found.before, read.told_holds(found, 1, 1), now)

    def agree(ours: dict[int, Standing], rows: list[list[Any]]) -> bool:
        return set(ours) == {row[0] for row in rows[0]}

    return Race(
        "how 5,000 steps of one build stand",
        "sqlite3 fetches the same rows",
        2,
        stand,
        lambda: [plain.execute(statement).fetchall() for statement in ROWS],
        agree,
        process_time,
    )
