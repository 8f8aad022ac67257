"""The rows behind the habits of snags: the parts that were touched, the boards that an open one holds."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from typing import NamedTuple

from buildbook.store.read.boards import PATH


class TouchedRow(NamedTuple):
    """A line of a parts list that a snag had to do with; `refs` are those of its places that were meant."""

    id: int
    snag: int
    line: int
    assembly_id: int
    assembly: str
    part: int
    key: str
    refs: str
    note: str


# Indexes: the unique one of snag_part; primary keys of the rest.
TOUCHED = f"""
    SELECT t.id, t.snag_id, t.line_id, l.assembly_id, {PATH}, l.part_id, r.key, t.refs, t.note
      FROM snag_part AS t JOIN line AS l ON l.id = t.line_id JOIN part AS r ON r.id = l.part_id
      JOIN assembly AS a ON a.id = l.assembly_id JOIN project AS p ON p.id = a.project_id
     ORDER BY t.snag_id, t.id
"""


def touched(reads: sqlite3.Connection) -> dict[int, list[TouchedRow]]:
    """The parts that each snag had to do with, in the order written down. Snags are few."""
    found: dict[int, list[TouchedRow]] = {}
    for row in map(TouchedRow._make, reads.execute(TOUCHED)):
        found.setdefault(row.snag, []).append(row)
    return found


class OpenRow(NamedTuple):
    """An open snag, and the assembly that it is about (0 where it is about the build as a whole)."""

    build: int
    number: int
    title: str
    assembly: int


# Index: the unique one of snag. By its own word, by its step, or by the point of its reading.
OPEN = """
    SELECT s.build_id, s.number, s.title, coalesce(s.assembly_id, w.assembly_id, t.assembly_id, 0)
      FROM snag AS s LEFT JOIN step AS w ON w.id = s.step_id
      LEFT JOIN reading AS r ON r.id = s.reading_id LEFT JOIN test_point AS t ON t.id = r.point_id
     WHERE s.state = 'open' ORDER BY s.build_id, s.number
"""


def open_snags(reads: sqlite3.Connection, build: int) -> dict[int, list[OpenRow]]:
    """The open snags of a build, by the assembly that they are about."""
    found: dict[int, list[OpenRow]] = {}
    for row in map(OpenRow._make, reads.execute(OPEN)):
        if row.build == build:
            found.setdefault(row.assembly, []).append(row)
    return found


# Index: primary key of snag.
ABOUT = """
    SELECT coalesce(s.assembly_id, w.assembly_id, t.assembly_id, 0)
      FROM snag AS s LEFT JOIN step AS w ON w.id = s.step_id
      LEFT JOIN reading AS r ON r.id = s.reading_id LEFT JOIN test_point AS t ON t.id = r.point_id
     WHERE s.id = ?
"""


def assembly_of(reads: sqlite3.Connection, snag: int) -> int:
    """The assembly that a snag is about; 0 where it is about the build as a whole."""
    row = reads.execute(ABOUT, (snag,)).fetchone()
    return int(row[0]) if row else 0


class PlaceRow(NamedTuple):
    """A line that has designators, and where it stands."""

    line: int
    assembly_id: int
    assembly: str
    refs: str


# Index: line_of_assembly.
PLACES = f"""
    SELECT l.id, l.assembly_id, {PATH}, l.refs
      FROM json_each(?) AS j CROSS JOIN line AS l ON l.assembly_id = j.value
      JOIN assembly AS a ON a.id = l.assembly_id JOIN project AS p ON p.id = a.project_id
     WHERE l.refs <> '' ORDER BY l.assembly_id, l.position, l.id
"""


def places(reads: sqlite3.Connection, assemblies: Iterable[int]) -> list[PlaceRow]:
    """The lines of these assemblies that have designators."""
    return [PlaceRow._make(row) for row in reads.execute(PLACES, (json.dumps(sorted(assemblies)),))]


# Index: primary key of reading.
SHOWN_AT = "SELECT s.id, r.point_id FROM snag AS s JOIN reading AS r ON r.id = s.reading_id"


def points_of(reads: sqlite3.Connection) -> dict[int, int]:
    """The test point that showed each snag that a reading showed."""
    return dict(reads.execute(SHOWN_AT))
