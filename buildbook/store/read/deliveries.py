"""What came of orders, parcel by parcel: the rows behind open matters."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from buildbook.store.journal import Work


class MatterRow(NamedTuple):
    """A difference of a delivery. `price_micros` is that of the order now, `told_micros` that told with the matter.

    Of a `price` they are what the bill of that parcel asked, and what was agreed.
    """

    number: int
    ref: str
    supplier: str
    line: int
    part: int
    key: str
    unit: str
    what: str
    qty: int
    instead: str
    price_micros: int | None
    per_qty: int
    told_micros: int | None
    since: str
    note: str
    settled: str
    settled_at: str
    reason: str


MATTERS = """
    SELECT m.id, p.ref, s.code, l.id, l.part_id, t.key, t.unit, m.what, m.qty, coalesce(o.key, ''),
           CASE m.what WHEN 'price' THEN coalesce((
               SELECT max(r.price_micros) FROM delivery_line AS r
                WHERE r.delivery_id = m.delivery_id AND r.purchase_line_id = m.purchase_line_id AND r.what = 'received'
           ), l.price_micros) ELSE l.price_micros END,
           l.per_qty, m.price_micros, d.at, m.note, m.settled, m.settled_at, m.reason
      FROM delivery_line AS m JOIN delivery AS d ON d.id = m.delivery_id
      JOIN purchase_line AS l ON l.id = m.purchase_line_id JOIN purchase AS p ON p.id = l.purchase_id
      JOIN supplier AS s ON s.id = p.supplier_id JOIN part AS t ON t.id = l.part_id
      LEFT JOIN part AS o ON o.id = m.part_id
     WHERE m.what <> 'received'
     ORDER BY m.settled <> '', m.id
"""


def matters(reads: sqlite3.Connection) -> list[MatterRow]:
    """Every difference of every delivery, the open ones first."""
    return [MatterRow._make(row) for row in reads.execute(MATTERS)]


MOVED = """
    SELECT (SELECT coalesce(sum(bin_qty), 0) FROM movement WHERE purchase_line_id = ?)
         - (SELECT coalesce(sum(qty), 0) FROM delivery_line
             WHERE purchase_line_id = ? AND what IN ('wrong', 'replaced') AND settled = 'accepted' AND part_id <> ?)
"""


def moved(work: Work, line: int, part: int) -> int:
    """How many base units of its own part came with a row of an order, less those given back."""
    return int(work.run(MOVED, (line, line, part)).scalar_one())
