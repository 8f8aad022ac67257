"""The rows behind the landed cost of an order: its lines, what it costs beside the goods, and what parcels carried."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

from buildbook.reckon.landed import Written
from buildbook.reckon.ordering.asked import Terms
from buildbook.reckon.ordering.dealing import terms_here
from buildbook.store.read import order_plan
from buildbook.trade.rates import Rates


class BillRow(NamedTuple):
    """An order, what is written down of its bill, and what its parcels carried of that into stock."""

    supplier: int
    written: Written
    carried_micros: int


# Indexes: the primary key of purchase, ix_delivery_purchase_id.
BILL = """
    SELECT supplier_id, discount_micros, shipping_micros, tax_micros,
           (SELECT coalesce(sum(coalesce(d.shipping_micros, 0) + coalesce(d.tax_micros, 0)), 0)
              FROM delivery AS d WHERE d.purchase_id = p.id)
      FROM purchase AS p WHERE id = ?
"""


def bill(reads: sqlite3.Connection, order: int) -> BillRow:
    """The bill of an order."""
    supplier, *written, carried = reads.execute(BILL, (order,)).fetchone()
    return BillRow(supplier, Written(*written), carried)


def terms(reads: sqlite3.Connection, supplier: int, own: str) -> Terms | None:
    """How a supplier deals, in the workshop's currency `own`; None when his currency has no rate."""
    row, rates = order_plan.suppliers(reads)[supplier], Rates(own, order_plan.rates(reads))
    if not rates.known(row.currency):
        return None
    steps = [(one.kind, one.from_micros, one.amount) for one in order_plan.steps(reads) if one.supplier == supplier]
    return terms_here(row, steps, rates)


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
