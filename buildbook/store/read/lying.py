"""The rows behind labels: every bin with what lies in it."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class BinRow(NamedTuple):
    """A bin."""

    id: int
    name: str
    note: str


class LyingRow(NamedTuple):
    """A part that lies in a bin."""

    bin: int
    key: str
    kind: str
    name: str
    value: str


# Index: bin_name.
BINS = "SELECT id, name, note FROM bin ORDER BY name"

# Index: primary key of part; balance is gone through once.
LYING = """
    SELECT b.bin_id, p.key, p.kind, p.name, p.value_text
      FROM balance AS b JOIN part AS p ON p.id = b.part_id
     WHERE b.qty > 0
     ORDER BY b.bin_id, p.kind, p.value_si, p.key
"""


def bins(reads: sqlite3.Connection) -> list[BinRow]:
    """Every bin, by name."""
    return list(map(BinRow._make, reads.execute(BINS)))


def lying(reads: sqlite3.Connection) -> dict[int, list[LyingRow]]:
    """What lies in each bin that is not empty, by kind and value."""
    found: dict[int, list[LyingRow]] = {}
    for row in map(LyingRow._make, reads.execute(LYING)):
        found.setdefault(row.bin, []).append(row)
    return found
