"""The rows behind Boards: the product tree, parts lists with their bins, and how many steps are done."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable
from sys import intern
from typing import NamedTuple

# How an assembly is named, in a statement that has it as `a` and its project as `p`; the same as `AssemblyRow.path`.
PATH = "p.code || CASE WHEN a.code = p.code THEN '' ELSE '/' || a.code END"


class AssemblyRow(NamedTuple):
    """An assembly and the project at home in which it is defined."""

    id: int
    project: str
    code: str
    name: str
    kind: str
    position: int
    ready_made: int
    note: str

    @property
    def path(self) -> str:
        """How it is named on the command line: PROJECT/CODE, or PROJECT alone for the unit that bears its code."""
        return self.project if self.code == self.project else f"{self.project}/{self.code}"


ASSEMBLIES = """
    SELECT a.id, p.code, a.code, a.name, a.kind, a.position, a.ready_made, a.note
      FROM assembly AS a JOIN project AS p ON p.id = a.project_id
     ORDER BY p.code, a.position, a.id
"""


def assemblies(reads: sqlite3.Connection) -> dict[int, AssemblyRow]:
    """Every assembly, by number, in the order of projects and positions."""
    return {row[0]: AssemblyRow._make(row) for row in reads.execute(ASSEMBLIES)}


class ListRow(NamedTuple):
    """One line of a parts list with its part."""

    id: int
    position: int
    refs: str
    qty: int
    fitted: int
    loss_bp: int
    option: str
    chosen: int
    note: str
    part: int
    key: str
    kind: str
    name: str
    value: str
    package: str
    maker: str
    maker_number: str
    unit: str


# Index: line_of_assembly.
PARTS_LIST = """
    SELECT l.id, l.position, l.refs, l.qty, l.fitted, l.loss_bp,
           coalesce(c.code || ':' || o.code, ''), coalesce(o.chosen, 1), l.note,
           p.id, p.key, p.kind, p.name, p.value_text, p.package, p.maker, p.maker_number, p.unit
      FROM line AS l JOIN part AS p ON p.id = l.part_id
      LEFT JOIN choice_option AS o ON o.id = l.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
     WHERE l.assembly_id = ?
     ORDER BY l.position, l.id
"""


def parts_list(reads: sqlite3.Connection, assembly: int) -> list[ListRow]:
    """The lines of an assembly, in the order of its list."""
    return [ListRow._make(row) for row in reads.execute(PARTS_LIST, (assembly,))]


BINS = """
    SELECT b.part_id, n.name, b.qty
      FROM json_each(?) AS p CROSS JOIN balance AS b ON b.part_id = p.value JOIN bin AS n ON n.id = b.bin_id
     ORDER BY b.part_id, n.name
"""


def bins(reads: sqlite3.Connection, parts: Collection[int]) -> dict[int, list[tuple[str, int]]]:
    """Where the parts lie: bin and quantity. Index: primary key of balance."""
    found: dict[int, list[tuple[str, int]]] = {}
    for part, name, qty in reads.execute(BINS, (json.dumps(list(parts)),)):
        found.setdefault(part, []).append((intern(name), qty))
    return found


class HeldRow(NamedTuple):
    """What a build holds for a line, whatever part it is."""

    assembly: int
    line: int
    kitted: int
    fitted: int


# Index: primary key of holding.
HELD = """
    SELECT l.assembly_id, h.line_id, sum(h.kitted), sum(h.fitted)
      FROM holding AS h JOIN line AS l ON l.id = h.line_id
     WHERE h.build_id = ? GROUP BY h.line_id
"""


def held_lines(reads: sqlite3.Connection, build: int) -> list[HeldRow]:
    """Every line for which a build holds something, needed or not."""
    return [HeldRow._make(row) for row in reads.execute(HELD, (build,))]


class StepCount(NamedTuple):
    """How many steps that count an assembly has in a build, and how many of them are behind it."""

    assembly: int
    steps: int
    done: int


# Index: ix_step_assembly_id, and the unique one of step_run.
STEP_COUNTS = """
    SELECT s.assembly_id, count(*), sum(r.state IN ('done', 'dropped'))
      FROM json_each(?) AS a CROSS JOIN step AS s ON s.assembly_id = a.value
       AND (s.option_id IS NULL OR s.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
      LEFT JOIN step_run AS r ON r.step_id = s.id AND r.build_id = ?
     GROUP BY s.assembly_id
"""


def step_counts(reads: sqlite3.Connection, build: int, assemblies: Collection[int]) -> dict[int, StepCount]:
    """Steps and steps done in a build, per assembly of these that has any."""
    rows = reads.execute(STEP_COUNTS, (json.dumps(list(assemblies)), build))
    return {assembly: StepCount(assembly, steps, done or 0) for assembly, steps, done in rows}


class StepRow(NamedTuple):
    """One step of a checklist and how far it has got."""

    id: int
    position: int
    name: str
    work: str
    likely_min: int
    wait_low_min: int
    wait_high_min: int
    one_way: int
    hold_point: int
    caution: str
    state: str
    finished_at: str


CHECKLIST = """
    SELECT s.id, s.position, s.name, s.work, s.likely_min, s.wait_low_min, s.wait_high_min, s.one_way, s.hold_point,
           s.caution, coalesce(r.state, ''), coalesce(r.finished_at, '')
      FROM step AS s LEFT JOIN step_run AS r ON r.step_id = s.id AND r.build_id = ?
     WHERE s.assembly_id = ?
       AND (s.option_id IS NULL OR s.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
     ORDER BY s.position, s.id
"""


def checklist(reads: sqlite3.Connection, build: int, assembly: int) -> list[StepRow]:
    """The steps of an assembly that count, in their order, with their state in a build (empty: not begun)."""
    return [StepRow._make(row) for row in reads.execute(CHECKLIST, (build, assembly))]


def refs_of_lines(reads: sqlite3.Connection, lines: Collection[int]) -> dict[int, str]:
    """The reference designators of these lines."""
    statement = "SELECT id, refs FROM line WHERE id IN (SELECT value FROM json_each(?))"
    return dict(reads.execute(statement, (json.dumps(list(lines)),)))


def option_numbers(reads: sqlite3.Connection, assembly: int) -> dict[int, int]:
    """The candidate answer that a line belongs to, for those that belong to one."""
    statement = "SELECT id, option_id FROM line WHERE assembly_id = ? AND option_id IS NOT NULL"
    return dict(reads.execute(statement, (assembly,)))


class NamedLine(NamedTuple):
    """A line with what it is called by: its part and its designators."""

    line: int
    part: int
    key: str
    refs: str
    unit: str


NAMED_LINES = """
    SELECT l.id, p.id, p.key, l.refs, p.unit FROM line AS l JOIN part AS p ON p.id = l.part_id
     WHERE l.id IN (SELECT value FROM json_each(?))
"""


def named_lines(reads: sqlite3.Connection, lines: Iterable[int]) -> dict[int, NamedLine]:
    """These lines by number. Index: primary key of line."""
    return {row[0]: NamedLine._make(row) for row in reads.execute(NAMED_LINES, (json.dumps(list(lines)),))}


def parts_in_bulk(reads: sqlite3.Connection) -> set[int]:
    """The parts that are counted by length, mass or volume."""
    return {number for (number,) in reads.execute("SELECT id FROM part WHERE unit <> 'pc'")}
