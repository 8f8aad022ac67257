"""Orders as wholes: what is written down of each beside its rows; and what stands in drafts."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class HeadRow(NamedTuple):
    """One order. `currency` is the supplier's where it is a foreign one, with the rate of the day it was placed."""

    id: int
    ref: str
    supplier_id: int
    supplier: str
    supplier_name: str
    state: str
    placed_on: str
    due_on: str
    confirmed_on: str
    note: str
    currency: str
    rate: str
    discount_micros: int
    shipping_micros: int | None
    tax_micros: int | None


# Index: none needed, orders are few.
HEADS = """
    SELECT p.id, p.ref, p.supplier_id, s.code, s.name, p.state, p.placed_on, p.due_on, p.confirmed_on, p.note,
           p.currency, p.rate, p.discount_micros, p.shipping_micros, p.tax_micros
      FROM purchase AS p JOIN supplier AS s ON s.id = p.supplier_id
     ORDER BY p.id
"""


def heads(reads: sqlite3.Connection) -> list[HeadRow]:
    """Every order, the oldest first."""
    return [HeadRow._make(row) for row in reads.execute(HEADS)]


class DraftedRow(NamedTuple):
    """So much of a part stands in a draft."""

    part: int
    ref: str
    qty: int


# Index: ix_purchase_line_purchase_id; drafts are few.
DRAFTED = """
    SELECT l.part_id, p.ref, sum(l.qty) FROM purchase AS p JOIN purchase_line AS l ON l.purchase_id = p.id
     WHERE p.state = 'drafted' GROUP BY l.part_id, p.ref ORDER BY l.part_id, p.id
"""


def drafted(reads: sqlite3.Connection) -> list[DraftedRow]:
    """What stands in drafts, by part and order."""
    return [DraftedRow._make(row) for row in reads.execute(DRAFTED)]
