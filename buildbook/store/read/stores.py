"""The rows behind Stores: parts, where they lie, what they are worth, and where they are used."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple

from buildbook.store.read.boards import PATH


class PartRow(NamedTuple):
    """A part, what lies of it, and what that is worth."""

    id: int
    key: str
    kind: str
    name: str
    value: str
    value_si: float | None
    package: str
    maker: str
    maker_number: str
    unit: str
    note: str
    on_hand: int
    unpriced_qty: int
    value_micros: int


# Index: primary key of worth.
PARTS = """
    SELECT p.id, p.key, p.kind, p.name, p.value_text, p.value_si, p.package, p.maker, p.maker_number, p.unit, p.note,
           coalesce(w.qty, 0), coalesce(w.unpriced_qty, 0), coalesce(w.value_micros, 0)
      FROM part AS p LEFT JOIN worth AS w ON w.part_id = p.id
"""
IN_ORDER = " ORDER BY p.kind, p.value_si, p.key"


def parts(reads: sqlite3.Connection) -> list[PartRow]:
    """Every part, by kind, then by value, then by key."""
    return list(map(PartRow._make, reads.execute(PARTS + IN_ORDER)))


def parts_by_number(reads: sqlite3.Connection, numbers: Collection[int]) -> dict[int, PartRow]:
    """These parts, by number."""
    statement = PARTS + " WHERE p.id IN (SELECT value FROM json_each(?))"
    return {row[0]: PartRow._make(row) for row in reads.execute(statement, (json.dumps(list(numbers)),))}


def part_keys(reads: sqlite3.Connection, numbers: Collection[int]) -> dict[int, str]:
    """The keys of these parts."""
    statement = "SELECT id, key FROM part WHERE id IN (SELECT value FROM json_each(?))"
    return dict(reads.execute(statement, (json.dumps(list(numbers)),)))


class UsedRow(NamedTuple):
    """A line in which a part is used, and the answer that it belongs to, if any (empty, and chosen, if none)."""

    assembly: int
    line: int
    refs: str
    qty: int
    fitted: int
    loss_bp: int
    option: str
    chosen: int


# Index: line_of_part.
USED = """
    SELECT l.assembly_id, l.id, l.refs, l.qty, l.fitted, l.loss_bp,
           coalesce(c.code || ':' || o.code, ''), coalesce(o.chosen, 1)
      FROM line AS l LEFT JOIN choice_option AS o ON o.id = l.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
     WHERE l.part_id = ? ORDER BY l.assembly_id, l.position, l.id
"""


def used_in(reads: sqlite3.Connection, part: int) -> list[UsedRow]:
    """Every line that names the part."""
    return [UsedRow._make(row) for row in reads.execute(USED, (part,))]


class MovementRow(NamedTuple):
    """One movement of a part, with names instead of numbers where those still exist."""

    at: str
    kind: str
    bin: str
    build: str
    assembly: str
    bin_qty: int
    kit_qty: int
    fit_qty: int
    lost_qty: int
    value_micros: int
    note: str


# Index: ix_movement_part_id.
MOVEMENTS = f"""
    SELECT m.at, m.kind, coalesce(n.name, ''), coalesce(b.code, ''), coalesce({PATH}, ''),
           m.bin_qty, m.kit_qty, m.fit_qty, m.lost_qty, m.value_micros, m.note
      FROM movement AS m LEFT JOIN bin AS n ON n.id = m.bin_id LEFT JOIN build AS b ON b.id = m.build_id
      LEFT JOIN line AS l ON l.id = m.line_id LEFT JOIN assembly AS a ON a.id = l.assembly_id
      LEFT JOIN project AS p ON p.id = a.project_id
     WHERE m.part_id = ? ORDER BY m.id DESC LIMIT ?
"""


def movements(reads: sqlite3.Connection, part: int, limit: int) -> list[MovementRow]:
    """The last movements of a part, newest first."""
    return [MovementRow._make(row) for row in reads.execute(MOVEMENTS, (part, limit))]


class LevelRow(NamedTuple):
    """What lay of a part in all bins together after the movements of one moment, and by how much they changed it."""

    at: str
    kind: str
    change: int
    on_hand: int


# Index: ix_movement_part_id. What only moved from bin to bin, or from a kit to a board, changes nothing.
LEVELS = """
    SELECT at, kind, change, sum(change) OVER (ORDER BY at)
      FROM (SELECT at, replace(group_concat(DISTINCT kind), ',', ', ') AS kind, sum(bin_qty) AS change
              FROM movement WHERE part_id = ? GROUP BY at HAVING sum(bin_qty) <> 0)
     ORDER BY at
"""


def levels(reads: sqlite3.Connection, part: int) -> list[LevelRow]:
    """What lay of a part after each moment at which that changed, the oldest first."""
    return [LevelRow._make(row) for row in reads.execute(LEVELS, (part,))]


class StandInRow(NamedTuple):
    """An approval: `alt` may be used in place of `part`."""

    part: int
    alt: int
    rank: int
    reason: str


def approvals(reads: sqlite3.Connection, part: int) -> list[StandInRow]:
    """Approvals in which the part is wanted or stands in. Indexes: the unique one of stand_in, ix_stand_in_alt_id."""
    statement = "SELECT part_id, alt_id, rank, reason FROM stand_in WHERE part_id = ? OR alt_id = ? ORDER BY rank, id"
    return [StandInRow._make(row) for row in reads.execute(statement, (part, part))]
