"""The rows behind the landed cost of an order: its lines, what it costs beside the goods, and what parcels carried."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class BillRow(NamedTuple):
    """An order and what is written down of its bill; None where nothing is."""

    ref: str
    supplier: int
    state: str
    discount_micros: int
    shipping_micros: int | None
    tax_micros: int | None


# Index: the primary key of purchase.
BILL = "SELECT ref, supplier_id, state, discount_micros, shipping_micros, tax_micros FROM purchase WHERE id = ?"


def bill(reads: sqlite3.Connection, order: int) -> BillRow:
    """The bill of an order."""
    return BillRow._make(reads.execute(BILL, (order,)).fetchone())


class GoodsRow(NamedTuple):
    """A line of an order: base units, and the price for `per_qty` of them; `booked_micros` is what stock took in."""

    line: int
    key: str
    name: str
    unit: str
    qty: int
    received_qty: int
    price_micros: int | None
    per_qty: int
    booked_micros: int


# Index: ix_purchase_line_purchase_id; the movements of a part are few.
GOODS = """
    SELECT l.id, t.key, t.name, t.unit, l.qty, l.received_qty, l.price_micros, l.per_qty,
           (SELECT coalesce(sum(m.value_micros), 0) FROM movement AS m
             WHERE m.part_id = l.part_id AND m.purchase_line_id = l.id)
      FROM purchase_line AS l JOIN part AS t ON t.id = l.part_id WHERE l.purchase_id = ? ORDER BY l.id
"""


def goods(reads: sqlite3.Connection, order: int) -> list[GoodsRow]:
    """The lines of an order."""
    return list(map(GoodsRow._make, reads.execute(GOODS, (order,))))
