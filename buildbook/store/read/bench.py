"""The rows behind the Bench: every step of every build, in the order of its checklist, and what it needs before it."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class StepRow(NamedTuple):
    """A step of an assembly; the definition, whatever build it is done for."""

    id: int
    assembly: int
    name: str
    work: str
    likely_min: int
    wait_low_min: int
    wait_high_min: int
    one_way: int
    hold_point: int
    caution: str


# Index: none, every step is wanted.
STEPS = """
    SELECT id, assembly_id, name, work, likely_min, wait_low_min, wait_high_min, one_way, hold_point, caution
      FROM step ORDER BY assembly_id, position, id
"""


def steps(reads: sqlite3.Connection) -> dict[int, list[StepRow]]:
    """The steps of each assembly that has any, in the order of its checklist."""
    found: dict[int, list[StepRow]] = {}
    for row in map(StepRow._make, reads.execute(STEPS)):
        found.setdefault(row.assembly, []).append(row)
    return found


class RunRow(NamedTuple):
    """How far a step has got in a build."""

    build: int
    step: int
    state: str
    started_at: str
    finished_at: str
    minutes: int | None


RUNS = "SELECT build_id, step_id, state, started_at, finished_at, minutes FROM step_run"


def runs(reads: sqlite3.Connection) -> dict[tuple[int, int], RunRow]:
    """How far each step that was begun has got, by build and step."""
    return {(row[0], row[1]): RunRow._make(row) for row in reads.execute(RUNS)}


class NeedRow(NamedTuple):
    """A step that must be done (FS) or begun (SS) before another."""

    step: int
    needs: int
    link: str
    name: str


NEEDS = """
    SELECT n.step_id, n.needs_id, n.link, s.name FROM step_need AS n JOIN step AS s ON s.id = n.needs_id
     ORDER BY n.step_id, n.id
"""


def needs(reads: sqlite3.Connection) -> dict[int, list[NeedRow]]:
    """What each step needs before it."""
    found: dict[int, list[NeedRow]] = {}
    for row in map(NeedRow._make, reads.execute(NEEDS)):
        found.setdefault(row.step, []).append(row)
    return found
