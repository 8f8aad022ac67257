"""The rows behind the Bench: every step of every build, in the order of its checklist, and all that holds it."""

from __future__ import annotations

import json
import sqlite3
from typing import NamedTuple

from buildbook.store.read.boards import PATH
from buildbook.store.read.formulas import worked_out


class StepRow(NamedTuple):
    """A step of an assembly; the definition, whatever build it is done for.

    `place` is its number in the checklist as written, those of answers that are not chosen counted too.
    """

    id: int
    assembly: int
    name: str
    work: str
    low_min: int
    likely_min: int
    high_min: int
    wait_low_min: int
    wait_high_min: int
    wait_kind: str
    occupies: str
    tools: str
    one_way: int
    hold_point: int
    caution: str
    checks: str
    place: int = 0


# Index: none, every step is wanted.
STEPS = """
    SELECT id, assembly_id, name, work, low_min, likely_min, high_min, wait_low_min, wait_high_min, wait_kind,
           occupies, tools, one_way, hold_point, caution, checks, option_id
      FROM step ORDER BY assembly_id, position, id
"""
CHOSEN = "SELECT id FROM choice_option WHERE chosen = 1"


def steps(reads: sqlite3.Connection) -> dict[int, list[StepRow]]:
    """The steps that count of each assembly that has any, in the order of its checklist.

    A step that comes with a candidate answer counts while that is the chosen one.
    """
    counting = {None, *(number for (number,) in reads.execute(CHOSEN))}
    found: dict[int, list[StepRow]] = {}
    home = place = 0
    # Numbered here: a window function in SQLite takes as long again as all the rows.
    for row in reads.execute(STEPS):
        place = place + 1 if row[1] == home else 1
        home = row[1]
        if row[-1] in counting:
            found.setdefault(home, []).append(StepRow._make((*row[:-1], place)))
    return found


class RunRow(NamedTuple):
    """How far a step has got in a build; its clock runs since `resumed_at`, or stands still where that is empty."""

    build: int
    step: int
    state: str
    started_at: str
    finished_at: str
    minutes: int | None
    resumed_at: str
    signed_at: str
    signed: str
    early: str
    signed_by: str


RUNS = """
    SELECT build_id, step_id, state, started_at, finished_at, minutes, resumed_at, signed_at, signed, early,
           signed_by
      FROM step_run
"""


def runs(reads: sqlite3.Connection) -> dict[tuple[int, int], RunRow]:
    """How far each step that was begun has got, by build and step."""
    return {(row[0], row[1]): RunRow._make(row) for row in reads.execute(RUNS)}


# Of each step, what must be done (FS) or begun (SS) before it, with the least wait between.
NEEDS = "SELECT step_id, needs_id, link, wait_min FROM step_need ORDER BY step_id, id"


class QuestionRow(NamedTuple):
    """A question that is open and holds a step."""

    step: int
    choice: int
    code: str
    question: str


# Index: primary key of choice and project.
QUESTIONS = """
    SELECT q.step_id, c.id, p.code || '/' || c.code, c.question
      FROM step_question AS q JOIN choice AS c ON c.id = q.choice_id JOIN project AS p ON p.id = c.project_id
     WHERE c.state = 'open' ORDER BY q.step_id, c.id
"""


def questions(reads: sqlite3.Connection) -> list[QuestionRow]:
    """The open questions that hold steps; one that is put off holds nothing."""
    return [QuestionRow._make(row) for row in reads.execute(QUESTIONS)]


class FittedRow(NamedTuple):
    """A line that a step fits."""

    step: int
    line: int
    part: int
    key: str
    refs: str


# Index: primary key of line and part.
FITTED = """
    SELECT s.step_id, l.id, p.id, p.key, l.refs
      FROM step_line AS s JOIN line AS l ON l.id = s.line_id JOIN part AS p ON p.id = l.part_id
     ORDER BY s.step_id, l.position, l.id
"""


def fitted(reads: sqlite3.Connection) -> list[FittedRow]:
    """The lines that steps fit."""
    return [FittedRow._make(row) for row in reads.execute(FITTED)]


class PointRow(NamedTuple):
    """A test point that must be read, and within its limits, before a step; `code` names it with its assembly.

    `value` is the last one of each unit that was read, the worst of them where a build has several units: `out` counts
    those outside the limits, `read` those read at all; of a formula that cannot be worked out, no reading counts.
    """

    step: int
    point: int
    code: str
    name: str
    build: int
    read: int
    out: int


# Indexes: the unique one of step_point, ix_reading_point_id. Only the last reading of each unit counts.
POINTS = f"""
    WITH last AS (
        SELECT build_id, point_id, unit_number, max(id) AS id FROM reading
         WHERE point_id IN (SELECT point_id FROM step_point) GROUP BY build_id, point_id, unit_number
    ),
    worked AS (SELECT value ->> 0 AS id, value ->> 1 AS low, value ->> 2 AS high, value ->> 3 AS lost
                 FROM json_each(?))
    SELECT s.step_id, t.id, {PATH} || '/' || t.code, t.name, coalesce(r.build_id, 0),
           count(CASE WHEN coalesce(w.lost, 0) = 0 THEN r.id END),
           coalesce(sum(r.value < coalesce(t.low, w.low) OR r.value > coalesce(t.high, w.high)), 0)
      FROM step_point AS s JOIN test_point AS t ON t.id = s.point_id
      JOIN assembly AS a ON a.id = t.assembly_id JOIN project AS p ON p.id = a.project_id
      LEFT JOIN last ON last.point_id = t.id LEFT JOIN reading AS r ON r.id = last.id
      LEFT JOIN worked AS w ON w.id = t.id
     GROUP BY s.step_id, t.id, r.build_id ORDER BY s.step_id, t.id
"""


def points(reads: sqlite3.Connection) -> list[PointRow]:
    """The test points that hold steps, once for each build in which they were read, with build 0 where in none."""
    worked = [(number, *one.limits[1:], int(bool(one.fault))) for number, one in worked_out(reads).items()]
    return [PointRow._make(row) for row in reads.execute(POINTS, (json.dumps(worked),))]


WAIVED = "SELECT before_id, step_id FROM step_waived"


def waived(reads: sqlite3.Connection) -> set[tuple[int, int]]:
    """The pairs of steps whose natural order does not matter here: (before, after)."""
    return set(reads.execute(WAIVED))


class PaceRow(NamedTuple):
    """What a step that is done was thought to take and took, in minutes, with its kind of work."""

    work: str
    likely_min: int
    minutes: int


PACES = """
    SELECT s.work, s.likely_min, r.minutes FROM step_run AS r JOIN step AS s ON s.id = r.step_id
     WHERE r.state = 'done' AND r.minutes > 0 AND s.likely_min > 0 ORDER BY r.id
"""


def paces(reads: sqlite3.Connection) -> list[PaceRow]:
    """What was noted against what was thought, over all builds."""
    return [PaceRow._make(row) for row in reads.execute(PACES)]


class WaitRow(NamedTuple):
    """A wait that is not over: of which build, after which step, and since when."""

    build: str
    step: int
    name: str
    wait_kind: str
    wait_low_min: int
    finished_at: str


# Index: the unique one of step_run.
WAITS = """
    SELECT b.code, s.id, s.name, s.wait_kind, s.wait_low_min, r.finished_at
      FROM step_run AS r JOIN step AS s ON s.id = r.step_id JOIN build AS b ON b.id = r.build_id
     WHERE r.state = 'done' AND s.wait_low_min > 0 AND r.finished_at <> '' AND b.state IN ('planned', 'active')
       AND CAST(strftime('%s', r.finished_at) AS INTEGER) / 60 + s.wait_low_min > ?
     ORDER BY CAST(strftime('%s', r.finished_at) AS INTEGER) / 60 + s.wait_low_min
"""


def waits(reads: sqlite3.Connection, now: int) -> list[WaitRow]:
    """The waits that are not over at a moment (minutes since 1970), the first to end first."""
    return [WaitRow._make(row) for row in reads.execute(WAITS, (now,))]
