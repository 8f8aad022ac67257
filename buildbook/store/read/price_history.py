"""The rows behind the history of a price: what offers ask, what they asked, and what was paid."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class PriceRow(NamedTuple):
    """A price of a part from a quantity on; `day` is when it ended, or was paid, empty for one that holds."""

    what: str
    day: str
    supplier: str
    order_code: str
    currency: str
    from_qty: int
    per_qty: int
    price_micros: int


# Indexes: ix_offer_part_id, ix_price_past_part_id; purchase_line has few rows of a part. What was ordered is kept in
# the workshop's currency, whoever was paid.
PRICES = """
    SELECT * FROM (
    SELECT 'asked now' AS what, '' AS day, s.code AS seller, o.order_code,
           coalesce(nullif(o.currency, ''), s.currency), b.from_qty, o.per_qty, b.price_micros
      FROM offer AS o JOIN supplier AS s ON s.id = o.supplier_id JOIN offer_break AS b ON b.offer_id = o.id
     WHERE o.part_id = :part
     UNION ALL
    SELECT 'asked until', p.until, s.code, p.order_code, coalesce(nullif(p.currency, ''), s.currency), p.from_qty,
           p.per_qty, p.price_micros
      FROM price_past AS p JOIN supplier AS s ON s.id = p.supplier_id WHERE p.part_id = :part
     UNION ALL
    SELECT 'ordered', u.placed_on, s.code, l.order_code, '', l.qty, l.per_qty, l.price_micros
      FROM purchase_line AS l JOIN purchase AS u ON u.id = l.purchase_id JOIN supplier AS s ON s.id = u.supplier_id
     WHERE l.part_id = :part AND l.price_micros IS NOT NULL AND u.state <> 'drafted'
    ) ORDER BY day = '' DESC, day DESC, seller, order_code, 6
"""


def prices(reads: sqlite3.Connection, part: int) -> list[PriceRow]:
    """Every price of a part: those that hold, then the others with the newest first."""
    return [PriceRow._make(row) for row in reads.execute(PRICES, {"part": part})]
