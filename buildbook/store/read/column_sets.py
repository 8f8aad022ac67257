"""The sets of columns that orders are written out with."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class ColumnSetRow(NamedTuple):
    """A set of columns, parted by commas; "" for no supplier."""

    name: str
    supplier: str
    columns: str


# Index: none needed, they are few.
SETS = """
    SELECT c.name, coalesce(s.code, ''), c.columns
      FROM column_set AS c LEFT JOIN supplier AS s ON s.id = c.supplier_id ORDER BY c.name
"""


def column_sets(reads: sqlite3.Connection) -> list[ColumnSetRow]:
    """Every set, by name."""
    return [ColumnSetRow._make(row) for row in reads.execute(SETS)]
