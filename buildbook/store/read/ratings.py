"""The rows behind the ratings: what parts bear in their lines, what they are made for, and lines that say nothing."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple

from buildbook.store.read.boards import PATH

# Of these kinds every part bears something that is worth stating, but for links of no ohms.
KINDS = ("capacitor", "diode", "resistor")


class LineRow(NamedTuple):
    """A fitted line with its part; `chosen` is 1 where its answer is chosen or it comes with none."""

    line: int
    assembly: int
    path: str
    position: int
    refs: str
    qty: int
    option: str
    chosen: int
    part: int
    key: str
    kind: str
    name: str
    value: str


FIELDS = f"""
    SELECT l.id, l.assembly_id, {PATH}, l.position, l.refs, l.qty, coalesce(c.code || ':' || o.code, ''),
           coalesce(o.chosen, 1), r.id, r.key, r.kind, r.name, r.value_text
"""
JOINED = """
      JOIN part AS r ON r.id = l.part_id
      JOIN assembly AS a ON a.id = l.assembly_id JOIN project AS p ON p.id = a.project_id
      LEFT JOIN choice_option AS o ON o.id = l.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
"""
IN_ORDER = " ORDER BY p.code, a.position, a.id, l.position, l.id"
# Indexes: the unique one of stress, then primary keys.
STATED = f"""{FIELDS}
      FROM (SELECT DISTINCT line_id FROM stress) AS s JOIN line AS l ON l.id = s.line_id {JOINED}
     WHERE l.fitted {IN_ORDER}
"""


def stated_lines(reads: sqlite3.Connection) -> list[LineRow]:
    """The fitted lines of which it is stated what they bear."""
    return [LineRow._make(row) for row in reads.execute(STATED)]


# Indexes: line_of_assembly, the unique one of stress.
UNSTATED = f"""{FIELDS}
      FROM json_each(?1) AS j CROSS JOIN line AS l ON l.assembly_id = j.value {JOINED}
     WHERE l.fitted AND r.kind IN (SELECT value FROM json_each(?2)) AND coalesce(r.value_si, 1) <> 0
       AND NOT EXISTS (SELECT 1 FROM stress AS s WHERE s.line_id = l.id)
    {IN_ORDER}
"""


def unstated_lines(reads: sqlite3.Connection, assemblies: Collection[int]) -> list[LineRow]:
    """The fitted lines of KINDS in these assemblies of which nothing is stated."""
    given = (json.dumps(list(assemblies)), json.dumps(KINDS))
    return [LineRow._make(row) for row in reads.execute(UNSTATED, given)]


# Indexes: ix_part_kind, line_of_part, the unique one of stress, primary key of choice_option.
UNSTATED_COUNTS = """
    SELECT l.assembly_id, count(*)
      FROM part AS r JOIN line AS l ON l.part_id = r.id LEFT JOIN choice_option AS o ON o.id = l.option_id
     WHERE r.kind IN (SELECT value FROM json_each(?)) AND coalesce(r.value_si, 1) <> 0
       AND l.fitted AND coalesce(o.chosen, 1)
       AND NOT EXISTS (SELECT 1 FROM stress AS s WHERE s.line_id = l.id)
     GROUP BY l.assembly_id
"""


def unstated_counts(reads: sqlite3.Connection) -> dict[int, int]:
    """How many fitted lines of KINDS that count are in each assembly of which nothing is stated."""
    return dict(reads.execute(UNSTATED_COUNTS, (json.dumps(KINDS),)))


class Borne(NamedTuple):
    """So much of what, and the remark on it."""

    what: str
    micro: int
    note: str


# Index: the unique one of stress.
STRESSES = "SELECT line_id, what, micro, note FROM stress ORDER BY line_id, what"
# Index: the unique one of part_rating.
RATINGS = "SELECT part_id, what, micro, note FROM part_rating ORDER BY part_id, what"


def stresses(reads: sqlite3.Connection) -> dict[int, list[Borne]]:
    """What each part of a line bears, by line."""
    return _by_number(reads, STRESSES)


def part_ratings(reads: sqlite3.Connection) -> dict[int, list[Borne]]:
    """What parts are made for beyond what their values say, by part."""
    return _by_number(reads, RATINGS)


def _by_number(reads: sqlite3.Connection, statement: str) -> dict[int, list[Borne]]:
    found: dict[int, list[Borne]] = {}
    for number, *rest in reads.execute(statement):
        found.setdefault(number, []).append(Borne(*rest))
    return found


# Index: primary key of line.
KIND_OF_LINE = "SELECT r.kind, l.refs FROM line AS l JOIN part AS r ON r.id = l.part_id WHERE l.id = ?"
KIND_OF_PART = "SELECT kind FROM part WHERE id = ?"


def kind_of_line(reads: sqlite3.Connection, line: int) -> tuple[str, str]:
    """The kind of part in a line, and its designators."""
    kind, refs = reads.execute(KIND_OF_LINE, (line,)).fetchone()
    return str(kind), str(refs)


def kind_of_part(reads: sqlite3.Connection, part: int) -> str:
    """The kind of a part."""
    return str(reads.execute(KIND_OF_PART, (part,)).fetchone()[0])
