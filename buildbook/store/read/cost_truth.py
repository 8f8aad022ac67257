"""The rows behind planned against spent: what a build lost, and what orders carried into stock beside the goods."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple


class LostRow(NamedTuple):
    """So much of a part was lost for a section of a build."""

    assembly: int
    part: int
    lost: int


# Index: primary key of holding.
LOST = """
    SELECT l.assembly_id, h.part_id, sum(h.lost) FROM holding AS h JOIN line AS l ON l.id = h.line_id
     WHERE h.build_id = ? GROUP BY l.assembly_id, h.part_id
"""


def lost(reads: sqlite3.Connection, build: int) -> list[LostRow]:
    """What a build lost."""
    return list(map(LostRow._make, reads.execute(LOST, (build,))))


class TakenInRow(NamedTuple):
    """What came into stock of a part at a known price, and how much of that is the goods of orders' rows."""

    part: int
    value_micros: int
    from_orders_micros: int
    goods_qty: int
    price_micros: int | None
    per_qty: int


# Indexes: ix_movement_part_id, the primary key of purchase_line. What was undone nets to nothing.
TAKEN_IN = """
    SELECT m.part_id, sum(m.value_micros), sum(CASE WHEN l.price_micros IS NULL THEN 0 ELSE m.value_micros END),
           sum(CASE WHEN l.price_micros IS NULL THEN 0 ELSE m.bin_qty END), l.price_micros, coalesce(l.per_qty, 1)
      FROM json_each(?) AS p CROSS JOIN movement AS m ON m.part_id = p.value
      LEFT JOIN movement AS r ON r.id = m.reverses_id
      LEFT JOIN purchase_line AS l ON l.id = m.purchase_line_id
     WHERE coalesce(r.kind, m.kind) = 'received'
     GROUP BY m.part_id, m.purchase_line_id
"""


def taken_in(reads: sqlite3.Connection, parts: Collection[int]) -> list[TakenInRow]:
    """What came into stock of these parts, by the row of the order."""
    return list(map(TakenInRow._make, reads.execute(TAKEN_IN, (json.dumps(list(parts)),))))
