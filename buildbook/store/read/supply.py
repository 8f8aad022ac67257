"""The rows behind the supply budget: supplies, loads, and the candidate answers that bring loads."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, NamedTuple

from buildbook.store.read.boards import PATH
from buildbook.store.read.naming import unclear, unknown
from buildbook.trade.plain import fold

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


class SupplyRow(NamedTuple):
    """A supply as it is kept; the units are those of the table."""

    id: int
    project: str
    project_id: int
    code: str
    name: str
    kind: str
    fed_by: int
    volts_uv: int
    limit_micro: int | None
    keep_free_bp: int
    way: str
    circuit: str
    factor_ppm: int | None
    alike: int
    note: str


# Index: the unique one of supply; supplies are few.
SUPPLIES = """
    SELECT s.id, p.code, s.project_id, s.code, s.name, s.kind, coalesce(s.fed_by_id, 0), s.volts_uv, s.limit_micro,
           s.keep_free_bp, s.way, s.circuit, s.factor_ppm, s.alike, s.note
      FROM supply AS s JOIN project AS p ON p.id = s.project_id
     ORDER BY p.code, s.id
"""


def supplies(reads: sqlite3.Connection) -> list[SupplyRow]:
    """Every supply, project by project, as they were written down."""
    return [SupplyRow._make(row) for row in reads.execute(SUPPLIES)]


class LoadRow(NamedTuple):
    """A load as it is kept; `assembly` and `option` are names, empty where there is none."""

    id: int
    supply: int
    name: str
    assembly: str
    option_id: int
    option: str
    chosen: int
    qty: int
    current_ua: int | None
    power_uw: int | None
    duty_bp: int
    note: str


# Index: primary keys of assembly, project, choice_option and choice.
LOADS = f"""
    SELECT l.id, l.supply_id, l.name, coalesce({PATH}, ''), coalesce(o.id, 0), coalesce(c.code || ':' || o.code, ''),
           coalesce(o.chosen, 0), l.qty, l.current_ua, l.power_uw, l.duty_bp, l.note
      FROM supply_load AS l LEFT JOIN assembly AS a ON a.id = l.assembly_id
      LEFT JOIN project AS p ON p.id = a.project_id
      LEFT JOIN choice_option AS o ON o.id = l.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
     ORDER BY l.supply_id, l.id
"""


def loads(reads: sqlite3.Connection) -> dict[int, list[LoadRow]]:
    """The loads of each supply, as they were written down."""
    found: dict[int, list[LoadRow]] = {}
    for row in map(LoadRow._make, reads.execute(LOADS)):
        found.setdefault(row.supply, []).append(row)
    return found


class AnswerRow(NamedTuple):
    """A candidate answer of a question to which loads belong; `code` is QUESTION:ANSWER."""

    id: int
    choice: int
    project_id: int
    code: str
    chosen: int


# Index: ix_supply_load_option_id.
ANSWERS = """
    SELECT o.id, c.id, c.project_id, c.code || ':' || o.code, o.chosen
      FROM choice_option AS o JOIN choice AS c ON c.id = o.choice_id
     WHERE EXISTS (SELECT 1 FROM supply_load AS l JOIN choice_option AS b ON b.id = l.option_id
                    WHERE b.choice_id = c.id)
     ORDER BY c.id, o.id
"""


def answers(reads: sqlite3.Connection) -> list[AnswerRow]:
    """Every candidate answer of the questions that bring loads."""
    return [AnswerRow._make(row) for row in reads.execute(ANSWERS)]


def find_supply(shop: Workshop, text: str, *, project_id: int = 0) -> SupplyRow:
    """The supply named PROJECT/CODE, or CODE where that is enough or it is at home in the project.

    Raises BadInput when there is none of that name, or more than one.
    """
    wanted = fold(text)
    known = supplies(shop.reads)
    found = [one for one in known if wanted in (fold(one.code), fold(f"{one.project}/{one.code}"))]
    found = [one for one in found if one.project_id == project_id] or found
    if not found:
        raise unknown("supply", text, (f"{one.project}/{one.code}" for one in known))
    if len(found) > 1:
        raise unclear("supply", text, [f"{one.project}/{one.code}" for one in found])
    return found[0]


class LinePart(NamedTuple):
    """A line of a parts list whose part may be a load: where it stands, what it is called."""

    project_id: int
    assembly: str
    refs: str
    qty: int
    key: str
    name: str
    maker_number: str
    option: str


# Indexes: line_of_assembly; primary keys. Few parts are valves.
VALVE_LINES = f"""
    SELECT a.project_id, {PATH}, l.refs, l.qty, r.key, r.name, r.maker_number, coalesce(c.code || ':' || o.code, '')
      FROM part AS r CROSS JOIN line AS l ON l.part_id = r.id AND l.fitted = 1
      JOIN assembly AS a ON a.id = l.assembly_id JOIN project AS p ON p.id = a.project_id
      LEFT JOIN choice_option AS o ON o.id = l.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
     WHERE r.kind = 'valve'
     ORDER BY a.position, a.id, l.position, l.id
"""


def valve_lines(reads: sqlite3.Connection) -> list[LinePart]:
    """Every line that fits a valve, board by board."""
    return [LinePart._make(row) for row in reads.execute(VALVE_LINES)]
