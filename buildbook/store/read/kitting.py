"""The rows behind kitting and fitting: what a build is made of, what it holds, and in which bins the parts lie."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple

from buildbook.store.read import standing
from buildbook.store.read.boards import PATH
from buildbook.store.read.standing import LineNeed

# Index: none needed, the whole tree is read.
ALL_LINKS = "SELECT parent_id, child_id, sum(qty) FROM contains GROUP BY parent_id, child_id"


def all_links(reads: sqlite3.Connection) -> list[tuple[int, int, int]]:
    """Which assembly holds which, how many times at most: (parent, child, qty), whatever is chosen."""
    return reads.execute(ALL_LINKS).fetchall()


# Index: primary key of project.
PATHS = f"SELECT a.id, {PATH} FROM assembly AS a JOIN project AS p ON p.id = a.project_id"


def assembly_paths(reads: sqlite3.Connection) -> dict[int, str]:
    """The name of every assembly, as `AssemblyRow.path` has it."""
    return dict(reads.execute(PATHS))


# Index: contained_once (parent first).
INSIDE = """
    WITH RECURSIVE inside (id) AS (
        VALUES (?) UNION SELECT c.child_id FROM inside AS i JOIN contains AS c ON c.parent_id = i.id
    )
    SELECT id FROM inside
"""


def inside(reads: sqlite3.Connection, assembly: int) -> set[int]:
    """The assembly and all that it holds, at any depth and whatever is chosen."""
    return {number for (number,) in reads.execute(INSIDE, (assembly,))}


class Need(NamedTuple):
    """What a build needs for one line: to have (allowance for loss included), and to fit; and what it holds for it."""

    line: int
    part: int
    to_have: int
    to_fit: int
    kitted: int
    fitted: int
    refs: str


# Index: primary key of line.
REFS = "SELECT l.id, l.qty, l.refs FROM json_each(?) AS j CROSS JOIN line AS l ON l.id = j.value"


def needs(reads: sqlite3.Connection, build: int, assembly: int, count: int) -> list[Need]:
    """What a build that makes `count` of an assembly needs for each line of it, in the order of the list."""
    found: list[LineNeed] = standing.needs_by_line(reads, [(0, build, assembly, count)])
    rows = reads.execute(REFS, (json.dumps([need.line for need in found]),))
    lines = {line: (qty, refs) for line, qty, refs in rows}
    return [
        Need(one.line, one.part, one.need, count * lines[one.line][0], one.kitted, one.fitted, lines[one.line][1])
        for one in found
    ]


class InBin(NamedTuple):
    """What lies of a part in a bin."""

    part: int
    bin: int
    qty: int


# Index: primary key of balance.
BINS = """
    SELECT b.part_id, b.bin_id, b.qty FROM json_each(?) AS p CROSS JOIN balance AS b ON b.part_id = p.value
     WHERE b.qty > 0 ORDER BY b.part_id, b.qty, b.bin_id
"""


def bins(reads: sqlite3.Connection, parts: Collection[int]) -> dict[int, list[InBin]]:
    """The bins in which each of the parts lies, the emptiest first."""
    found: dict[int, list[InBin]] = {}
    for row in reads.execute(BINS, (json.dumps(sorted(parts)),)):
        found.setdefault(row[0], []).append(InBin(*row))
    return found


class HeldRow(NamedTuple):
    """What a build holds of a part for a line."""

    line: int
    part: int
    kitted: int
    fitted: int
    lost: int


# Index: primary key of holding.
HELD = """
    SELECT h.line_id, h.part_id, h.kitted, h.fitted, h.lost
      FROM holding AS h JOIN line AS l ON l.id = h.line_id
     WHERE h.build_id = ? AND (? IS NULL OR l.assembly_id = ?)
     ORDER BY l.position, l.id, h.part_id <> l.part_id, h.part_id
"""


def held(reads: sqlite3.Connection, build: int, assembly: int | None = None) -> list[HeldRow]:
    """What a build holds, for one assembly or all, in the order of the list; a line's own part before its stand-ins."""
    return [HeldRow(*row) for row in reads.execute(HELD, (build, assembly, assembly))]


def kitted_of(reads: sqlite3.Connection, build: int) -> int:
    """How many base units are kitted for a build. Index: primary key of holding."""
    statement = "SELECT coalesce(sum(kitted), 0) FROM holding WHERE build_id = ?"
    return int(reads.execute(statement, (build,)).fetchone()[0])


# Index: none that serves; holdings of one line or part are found by a scan of `holding`.
HOLDERS_OF_LINE = "SELECT DISTINCT b.code FROM holding AS h JOIN build AS b ON b.id = h.build_id WHERE h.line_id = ?"
HOLDERS_OF_PART = "SELECT DISTINCT b.code FROM holding AS h JOIN build AS b ON b.id = h.build_id WHERE h.part_id = ?"


def holders_of_line(reads: sqlite3.Connection, line: int) -> list[str]:
    """The builds that hold, or have lost, something for a line."""
    return [code for (code,) in reads.execute(HOLDERS_OF_LINE, (line,))]


def holders_of_part(reads: sqlite3.Connection, part: int) -> list[str]:
    """The builds that hold, or have lost, some of a part."""
    return [code for (code,) in reads.execute(HOLDERS_OF_PART, (part,))]


# Index: ix_movement_part_id.
LAST_BIN = """
    SELECT m.bin_id FROM movement AS m JOIN bin AS n ON n.id = m.bin_id
     WHERE m.part_id = ? AND m.bin_qty > 0 AND m.kind <> 'reversed'
       AND NOT EXISTS (SELECT 1 FROM movement AS r WHERE r.part_id = m.part_id AND r.reverses_id = m.id)
     ORDER BY m.id DESC LIMIT 1
"""
# Index: ix_movement_build_id.
LAST_BIN_OF_BUILD = """
    SELECT m.line_id, m.part_id, m.bin_id FROM movement AS m JOIN bin AS n ON n.id = m.bin_id
     WHERE m.build_id = ? AND m.bin_qty < 0 ORDER BY m.id
"""


def last_bin(reads: sqlite3.Connection, part: int) -> int | None:
    """The bin into which the part was put last; None when it never was."""
    row = reads.execute(LAST_BIN, (part,)).fetchone()
    return int(row[0]) if row else None


def bins_taken_from(reads: sqlite3.Connection, build: int) -> dict[tuple[int, int], int]:
    """The bin from which a build took each (line, part) last."""
    return {(line, part): place for line, part, place in reads.execute(LAST_BIN_OF_BUILD, (build,))}


def lines_of(reads: sqlite3.Connection, assembly: int) -> dict[int, int]:
    """The part of each line of an assembly. Index: line_of_assembly."""
    return dict(reads.execute("SELECT id, part_id FROM line WHERE assembly_id = ?", (assembly,)))


# Index: ix_step_run_step_id; entries about steps are few.
STEP_USED = """
    SELECT EXISTS (SELECT 1 FROM step_run WHERE step_id = ?1) OR EXISTS (SELECT 1 FROM entry WHERE step_id = ?1)
"""


def step_is_used(reads: sqlite3.Connection, step: int) -> bool:
    """Whether a build has begun the step, or something was written about it."""
    return bool(reads.execute(STEP_USED, (step,)).fetchone()[0])


def bin_numbers(reads: sqlite3.Connection) -> set[int]:
    """The number of every bin."""
    return {number for (number,) in reads.execute("SELECT id FROM bin")}


def lying(reads: sqlite3.Connection, part: int, place: int) -> int:
    """How many base units of a part lie in a bin. Index: primary key of balance."""
    row = reads.execute("SELECT qty FROM balance WHERE part_id = ? AND bin_id = ?", (part, place)).fetchone()
    return int(row[0]) if row else 0
