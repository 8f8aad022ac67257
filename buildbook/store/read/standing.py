"""What every build still needs, what lies in the drawers, what may stand in and what is coming: the rows behind cover.

The counts of assemblies come in as JSON, `[[rank, build, assembly, count], ...]`, already exploded and netted; SQLite
multiplies them with the lines and does the sums, those of builds of one rank together. A line counts while it is fitted
and its option, if any, is chosen.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable
from typing import NamedTuple, TypeAlias

Count: TypeAlias = tuple[int, int, int, int]
"""The rank of a build in the order of priority, the build, an assembly, and how many of it the build has to make."""


class BuildRow(NamedTuple):
    """A build, in the order of priority."""

    id: int
    code: str
    project_id: int
    project: str
    name: str
    assembly_id: int
    assembly: str
    units: int
    priority: int
    state: str
    target_on: str


# Index: none needed, builds are few.
BUILDS = """
    SELECT b.id, b.code, b.project_id, p.code, p.name, b.assembly_id, a.code, b.units, b.priority, b.state, b.target_on
      FROM build AS b JOIN project AS p ON p.id = b.project_id JOIN assembly AS a ON a.id = b.assembly_id
     ORDER BY b.priority, b.id
"""


def builds(reads: sqlite3.Connection) -> list[BuildRow]:
    """Every build, whatever its state."""
    return [BuildRow._make(row) for row in reads.execute(BUILDS)]


# Index: contained_once (parent first).
LINKS = """
    SELECT c.parent_id, c.child_id, sum(c.qty)
      FROM contains AS c LEFT JOIN choice_option AS o ON o.id = c.option_id
     WHERE c.option_id IS NULL OR o.chosen = 1
     GROUP BY c.parent_id, c.child_id
"""


def links(reads: sqlite3.Connection) -> list[tuple[int, int, int]]:
    """Which assembly holds which, how many times: (parent, child, qty), as the choices stand."""
    return reads.execute(LINKS).fetchall()


def ready_made(reads: sqlite3.Connection) -> dict[int, int]:
    """Assemblies that lie finished on the shelf."""
    return dict(reads.execute("SELECT id, ready_made FROM assembly WHERE ready_made > 0"))


class PartNeed(NamedTuple):
    """What one build needs of one part: in all, of that fitted and kitted, and still to be had: need = the other three.

    `build` is 0 where several builds of one rank are summed up.
    """

    build: int
    part: int
    need: int
    fitted: int
    kitted: int
    want: int
    rank: int = 0


# The casts let SQLite look assemblies up by an index of its own: without, it reads all counts for every line.
NEEDED = """
    WITH needed (rank, build_id, assembly_id, n) AS MATERIALIZED (
        SELECT CAST(value ->> 0 AS INTEGER), CAST(value ->> 1 AS INTEGER),
               CAST(value ->> 2 AS INTEGER), CAST(value ->> 3 AS INTEGER)
          FROM json_each(:counts)
    ),
    held (build_id, line_id, fitted, got) AS MATERIALIZED (
        SELECT build_id, line_id, sum(fitted), sum(fitted + kitted)
          FROM holding WHERE build_id IN (SELECT build_id FROM needed) GROUP BY build_id, line_id
    ),
    lines (rank, build_id, assembly_id, line_id, position, part_id, need, fitted, got) AS (
        SELECT d.rank, d.build_id, d.assembly_id, l.id, l.position, l.part_id,
               (d.n * l.qty * (10000 + l.loss_bp) + 9999) / 10000, {held}
          FROM {source}
         WHERE l.fitted = 1
           AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
    )
"""
# Index: line_of_assembly (covers the columns used), then an automatic index on `held`.
BY_ASSEMBLY = {
    "source": """
        needed AS d CROSS JOIN line AS l ON l.assembly_id = d.assembly_id
          LEFT JOIN held AS h ON h.build_id = d.build_id AND h.line_id = l.id
    """,
    "held": "coalesce(h.fitted, 0), coalesce(h.got, 0)",
}
# Index: line_of_part (covers the columns used), an automatic index on `needed`, the primary key of holding.
BY_PART = {
    "source": """
        json_each(:parts) AS p CROSS JOIN line AS l ON l.part_id = p.value
          CROSS JOIN needed AS d ON d.assembly_id = l.assembly_id
    """,
    "held": """
        coalesce((SELECT sum(fitted) FROM holding WHERE build_id = d.build_id AND line_id = l.id), 0),
        coalesce((SELECT sum(fitted + kitted) FROM holding WHERE build_id = d.build_id AND line_id = l.id), 0)
    """,
}
# What is held beyond the need of a line serves no other line.
PER_PART = """
    SELECT build_id, part_id, need, fitted, need - fitted - want, want, rank
      FROM (SELECT iif(min(build_id) = max(build_id), build_id, 0) AS build_id, part_id, sum(need) AS need,
                   sum(min(need, fitted)) AS fitted, sum(max(0, need - got)) AS want, rank
              FROM lines GROUP BY rank, part_id)
     ORDER BY rank, part_id
"""
PER_LINE = """
    SELECT build_id, assembly_id, line_id, part_id, need, fitted, got - fitted, max(0, need - got), rank
      FROM lines ORDER BY rank, assembly_id, position, line_id
"""


def needs_by_part(
    reads: sqlite3.Connection, counts: Iterable[Count], parts: Collection[int] | None = None
) -> list[PartNeed]:
    """What the builds of each rank need of each part (of these parts, when given), in the order of rank."""
    statement = NEEDED.format_map(BY_ASSEMBLY if parts is None else BY_PART) + PER_PART
    values = {"counts": json.dumps(list(counts)), "parts": json.dumps(list(parts or ()))}
    return list(map(PartNeed._make, reads.execute(statement, values)))


class LineNeed(NamedTuple):
    """What one build needs for one line, and what it holds for it, be that more than the need."""

    build: int
    assembly: int
    line: int
    part: int
    need: int
    fitted: int
    kitted: int
    want: int
    rank: int = 0


def needs_by_line(
    reads: sqlite3.Connection, counts: Iterable[Count], parts: Collection[int] | None = None
) -> list[LineNeed]:
    """What each build needs for each line (of these parts, when given), by rank, assembly and position in the list."""
    statement = NEEDED.format_map(BY_ASSEMBLY if parts is None else BY_PART) + PER_LINE
    values = {"counts": json.dumps(list(counts)), "parts": json.dumps(list(parts or ()))}
    return list(map(LineNeed._make, reads.execute(statement, values)))


class LackRow(NamedTuple):
    """What all builds together need of one part, fitted, kitted and still to be had, and what lies of it."""

    part: int
    need: int
    fitted: int
    kitted: int
    want: int
    on_hand: int


# All lines in one pass in the order of line_of_part, which saves sorting them; then the few that something is held for.
LACKS = (
    NEEDED.format_map(
        {
            "source": """
                held AS h CROSS JOIN line AS l ON l.id = h.line_id
                  CROSS JOIN needed AS d ON d.assembly_id = l.assembly_id AND d.build_id = h.build_id
            """,
            "held": "h.fitted, h.got",
        }
    )
    + """,
    asked (part_id, need) AS (
        SELECT l.part_id, sum((d.n * l.qty * (10000 + l.loss_bp) + 9999) / 10000)
          FROM line AS l INDEXED BY line_of_part CROSS JOIN needed AS d ON d.assembly_id = l.assembly_id
         WHERE l.fitted = 1
           AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
         GROUP BY l.part_id
    ),
    had (part_id, fitted, got) AS MATERIALIZED (
        SELECT part_id, sum(min(need, fitted)), sum(min(need, got)) FROM lines GROUP BY part_id
    ),
    swapped (part_id) AS MATERIALIZED (SELECT part_id FROM stand_in UNION SELECT alt_id FROM stand_in)
    SELECT part_id, need, fitted, got - fitted, need - got, on_hand
      FROM (SELECT a.part_id, a.need, coalesce(h.fitted, 0) AS fitted, coalesce(h.got, 0) AS got,
                   coalesce(w.qty, 0) AS on_hand
              FROM asked AS a LEFT JOIN had AS h ON h.part_id = a.part_id LEFT JOIN worth AS w ON w.part_id = a.part_id)
     WHERE need - got > on_hand OR part_id IN swapped
"""
)


def lacks(reads: sqlite3.Connection, counts: Iterable[Count]) -> list[LackRow]:
    """Each part of which not enough lies there for all builds together, or that has to do with a stand-in."""
    return list(map(LackRow._make, reads.execute(LACKS, {"counts": json.dumps(list(counts))})))


def on_hand(reads: sqlite3.Connection, parts: Collection[int] | None = None) -> dict[int, int]:
    """What lies in all bins together, per part, as the worth of the stock tells it. Index: primary key of worth."""
    if parts is None:
        return dict(reads.execute("SELECT part_id, qty FROM worth"))
    statement = "SELECT w.part_id, w.qty FROM json_each(?) AS p CROSS JOIN worth AS w ON w.part_id = p.value"
    return dict(reads.execute(statement, (json.dumps(list(parts)),)))


class Named(NamedTuple):
    """A part, as it is named in a list."""

    id: int
    key: str
    kind: str
    name: str
    value: str
    package: str
    unit: str


# Index: primary key of part.
NAMED = """
    SELECT t.id, t.key, t.kind, t.name, t.value_text, t.package, t.unit
      FROM json_each(?) AS p CROSS JOIN part AS t ON t.id = p.value
"""


def named(reads: sqlite3.Connection, parts: Collection[int]) -> list[Named]:
    """The names of these parts."""
    return list(map(Named._make, reads.execute(NAMED, (json.dumps(list(parts)),))))


def stand_ins(reads: sqlite3.Connection) -> dict[int, list[int]]:
    """The approved stand-ins of each part that has any, the preferred one first."""
    found: dict[int, list[int]] = {}
    for part, alt in reads.execute("SELECT part_id, alt_id FROM stand_in ORDER BY part_id, rank, id"):
        found.setdefault(part, []).append(alt)
    return found


class ComingRow(NamedTuple):
    """What is on order and has not arrived."""

    part: int
    when: str
    qty: int
    line: int
    ref: str
    supplier: str


# Index: ix_purchase_line_purchase_id; open orders are few.
COMING = """
    SELECT l.part_id, coalesce(nullif(l.due_on, ''), p.due_on), l.qty - l.received_qty, l.id, p.ref, s.code
      FROM purchase AS p JOIN purchase_line AS l ON l.purchase_id = p.id JOIN supplier AS s ON s.id = p.supplier_id
     WHERE p.state = 'placed' AND l.qty > l.received_qty
     ORDER BY 1, 2, 4
"""


def coming(reads: sqlite3.Connection) -> list[ComingRow]:
    """Every open row of every placed order, by part and date."""
    return [ComingRow._make(row) for row in reads.execute(COMING)]


# Index: line_of_assembly.
COUNTING_LINES = """
    SELECT l.id, l.assembly_id, l.part_id, l.qty, l.loss_bp FROM json_each(?) AS a CROSS JOIN line AS l
        ON l.assembly_id = a.value
     WHERE l.fitted = 1 AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
     ORDER BY l.assembly_id, l.position, l.id
"""


def lines_that_count(
    reads: sqlite3.Connection, counts: Iterable[tuple[int, int]]
) -> list[tuple[int, int, int, int, int]]:
    """The lines of the assemblies counted, (build, assembly), as far as they are fitted and their option is chosen.

    Each is its number, assembly, part, quantity and allowance for loss in 1/100 %.
    """
    assemblies = json.dumps(list(dict.fromkeys(assembly for _, assembly in counts)))
    return reads.execute(COUNTING_LINES, (assemblies,)).fetchall()
