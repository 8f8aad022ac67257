"""The rows behind options side by side: what hangs on which question, and what counts as the questions stand."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple


class AskedRow(NamedTuple):
    """A question by its number, with its name, project and state."""

    id: int
    project: str
    project_id: int
    code: str
    question: str
    state: str


ASKED = """
    SELECT c.id, p.code, c.project_id, c.code, c.question, c.state
      FROM choice AS c JOIN project AS p ON p.id = c.project_id ORDER BY p.code, c.id
"""


def asked(reads: sqlite3.Connection) -> list[AskedRow]:
    """Every question, project by project, in the order in which they were asked."""
    return [AskedRow._make(row) for row in reads.execute(ASKED)]


class CandidateRow(NamedTuple):
    """A candidate answer."""

    id: int
    choice: int
    code: str
    name: str
    chosen: int


def candidates(reads: sqlite3.Connection) -> dict[int, list[CandidateRow]]:
    """The candidate answers of each question."""
    found: dict[int, list[CandidateRow]] = {}
    for row in reads.execute("SELECT id, choice_id, code, name, chosen FROM choice_option ORDER BY choice_id, id"):
        found.setdefault(row[1], []).append(CandidateRow._make(row))
    return found


class Hanging(NamedTuple):
    """What is defined with the question on which it hangs by itself, 0 for none.

    `links` are (parent, child, question), `lines` (line, assembly, part, question), `steps` (assembly, question).
    """

    links: list[tuple[int, int, int]]
    lines: list[tuple[int, int, int, int]]
    steps: list[tuple[int, int]]


LINKS = """
    SELECT c.parent_id, c.child_id, coalesce(o.choice_id, 0)
      FROM contains AS c LEFT JOIN choice_option AS o ON o.id = c.option_id
"""
LINES = """
    SELECT l.id, l.assembly_id, l.part_id, coalesce(o.choice_id, 0)
      FROM line AS l LEFT JOIN choice_option AS o ON o.id = l.option_id WHERE l.fitted = 1
"""
# Index: ix_step_option_id.
STEPS = "SELECT s.assembly_id, o.choice_id FROM step AS s JOIN choice_option AS o ON o.id = s.option_id"


def hanging(reads: sqlite3.Connection) -> Hanging:
    """All of it, over all projects."""
    return Hanging(*(reads.execute(one).fetchall() for one in (LINKS, LINES, STEPS)))


class PlacedRow(NamedTuple):
    """A line that counts: its assembly, pieces, and the area of its part; whether it takes room on a board."""

    line: int
    assembly: int
    qty: int
    area_um2: int | None


# Index: line_of_assembly. What is not counted in pieces, and what is on no board, takes no room on one.
PLACED = """
    SELECT l.id, l.assembly_id, l.qty, p.area_um2
      FROM json_each(?) AS a CROSS JOIN line AS l ON l.assembly_id = a.value
      JOIN part AS p ON p.id = l.part_id JOIN assembly AS b ON b.id = l.assembly_id
     WHERE l.fitted = 1 AND p.unit = 'pc' AND b.kind = 'board'
       AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
"""


def placed(reads: sqlite3.Connection, assemblies: Collection[int]) -> list[PlacedRow]:
    """The lines of these assemblies that take room on a board, as the choices stand."""
    return [PlacedRow._make(row) for row in reads.execute(PLACED, (json.dumps(list(assemblies)),))]
