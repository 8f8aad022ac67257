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


# Indexes: part_key_folded, ix_part_maker_number, the unique one of part_alias.
BY_NAME = """
    SELECT id FROM part WHERE lower(key) = lower(:name)
    UNION SELECT id FROM part WHERE maker_number = :name
    UNION SELECT part_id FROM part_alias WHERE alias = lower(:name)
    UNION SELECT part_id FROM offer WHERE order_code = :name
"""


def numbers_of(reads: sqlite3.Connection, name: str) -> list[int]:
    """The parts that a name may mean: key, maker's number, another name met before, or an order code."""
    return [number for (number,) in reads.execute(BY_NAME, {"name": name.strip()})]


class UsedRow(NamedTuple):
    """A line in which a part is used."""

    assembly: int
    line: int
    refs: str
    qty: int
    fitted: int
    loss_bp: int


# Index: ix_line_part_id.
USED = (
    "SELECT assembly_id, id, refs, qty, fitted, loss_bp FROM line WHERE part_id = ? ORDER BY assembly_id, position, id"
)


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
