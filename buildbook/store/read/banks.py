"""The rows behind the discharge of capacitors: banks, and the parts that stand at the designators of an assembly."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, NamedTuple

from buildbook.store.read.boards import PATH
from buildbook.store.read.naming import unclear, unknown
from buildbook.trade.plain import fold

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


class BankRow(NamedTuple):
    """A bank as it is kept; `home` is its assembly's name, `project` the code of its project."""

    id: int
    assembly: int
    home: str
    project: str
    code: str
    name: str
    volts_uv: int
    capacitors: str
    bleeder: str
    safe_uv: int
    note: str

    @property
    def path(self) -> str:
        """How it is named: its assembly's name, and its own code."""
        return f"{self.home}/{self.code}"


# Index: primary keys of assembly and project; banks are few.
BANKS = f"""
    SELECT k.id, k.assembly_id, {PATH}, p.code, k.code, k.name, k.volts_uv, k.capacitors, k.bleeder, k.safe_uv, k.note
      FROM bank AS k JOIN assembly AS a ON a.id = k.assembly_id JOIN project AS p ON p.id = a.project_id
     ORDER BY p.code, a.position, a.id, k.id
"""


def banks(reads: sqlite3.Connection) -> list[BankRow]:
    """Every bank, board by board, as they were written down."""
    return [BankRow._make(row) for row in reads.execute(BANKS)]


def find_bank(shop: Workshop, text: str) -> BankRow:
    """The bank named PROJECT/ASSEMBLY/CODE or a tail of that; BadInput when there is none, or more than one."""
    wanted = fold(text)
    known = banks(shop.reads)
    found = [one for one in known if f"/{fold(one.path)}".endswith(f"/{wanted}")]
    if not found:
        raise unknown("bank", text, (one.path for one in known))
    if len(found) > 1:
        raise unclear("bank", text, [one.path for one in found])
    return found[0]


class PlacedRow(NamedTuple):
    """A line of a parts list: its designators, its part, and whether it counts in the design as it is chosen."""

    assembly: int
    refs: str
    key: str
    kind: str
    value_text: str
    value_si: float | None
    counts: int


# Indexes: line_of_assembly; primary keys of part and choice_option.
PLACED = """
    SELECT l.assembly_id, l.refs, p.key, p.kind, p.value_text, p.value_si,
           l.fitted AND (l.option_id IS NULL OR o.chosen)
      FROM line AS l JOIN part AS p ON p.id = l.part_id LEFT JOIN choice_option AS o ON o.id = l.option_id
     WHERE l.assembly_id IN (SELECT assembly_id FROM bank) AND l.refs <> ''
     ORDER BY l.assembly_id, l.position, l.id
"""


def placed(reads: sqlite3.Connection) -> dict[int, list[PlacedRow]]:
    """The lines with designators of each assembly that has a bank."""
    found: dict[int, list[PlacedRow]] = {}
    for row in map(PlacedRow._make, reads.execute(PLACED)):
        found.setdefault(row.assembly, []).append(row)
    return found
