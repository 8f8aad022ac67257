"""The rows behind Buying: offers with their breaks, orders, and what the builds have used."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple


class SupplierRow(NamedTuple):
    """Somebody who sells parts."""

    id: int
    code: str
    name: str
    note: str


def suppliers(reads: sqlite3.Connection) -> dict[int, SupplierRow]:
    """Every supplier, by number."""
    found = reads.execute("SELECT id, code, name, note FROM supplier ORDER BY code")
    return {row[0]: SupplierRow._make(row) for row in found}


class OfferBreakRow(NamedTuple):
    """One price break of one offer."""

    offer: int
    supplier: int
    part: int
    order_code: str
    per_qty: int
    pack_qty: int
    min_qty: int
    lead_days: int | None
    valid_until: str
    from_qty: int
    price_micros: int
    currency: str
    standing: str
    multiple_qty: int | None = None
    seen_qty: int | None = None
    seen_on: str = ""


# Indexes: ix_offer_part_id, the unique one of offer_break.
OFFERS = """
    SELECT o.id, o.supplier_id, o.part_id, o.order_code, o.per_qty, o.pack_qty, o.min_qty, o.lead_days, o.valid_until,
           b.from_qty, b.price_micros, o.currency, o.standing, o.multiple_qty, o.seen_qty, o.seen_on
      FROM {source} JOIN offer_break AS b ON b.offer_id = o.id
     ORDER BY o.part_id, o.id, b.from_qty
"""


def offer_breaks(reads: sqlite3.Connection, parts: Collection[int] | None = None) -> list[OfferBreakRow]:
    """Every price break of every offer (for these parts, when given), by part, offer and quantity."""
    if parts is None:
        found = reads.execute(OFFERS.format(source="offer AS o"))
    else:
        source = "json_each(?) AS p CROSS JOIN offer AS o ON o.part_id = p.value"
        found = reads.execute(OFFERS.format(source=source), (json.dumps(list(parts)),))
    return list(map(OfferBreakRow._make, found))


# Index: the unique one of offer (supplier first).
NAMES = """
    SELECT s.code, o.order_code, p.key
      FROM supplier AS s JOIN offer AS o ON o.supplier_id = s.id JOIN part AS p ON p.id = o.part_id
     ORDER BY s.code, o.order_code, p.key
"""


def offer_names(reads: sqlite3.Connection) -> list[tuple[str, str, str]]:
    """Every offer by supplier, order code and part."""
    return reads.execute(NAMES).fetchall()


class OrderRow(NamedTuple):
    """One row of an order.

    `received_qty` is what of it is closed; of that `not_coming_qty` never came, and was credited or written off.
    """

    line: int
    ref: str
    supplier: str
    state: str
    placed_on: str
    due_on: str
    part: int
    key: str
    unit: str
    order_code: str
    qty: int
    received_qty: int
    price_micros: int | None
    per_qty: int
    not_coming_qty: int = 0

    @property
    def came_qty(self) -> int:
        """What of it has come."""
        return self.received_qty - self.not_coming_qty


# Index: ix_delivery_line_purchase_line_id.
ORDERS = """
    SELECT l.id, p.ref, s.code, p.state, p.placed_on, coalesce(nullif(l.due_on, ''), p.due_on),
           l.part_id, t.key, t.unit, l.order_code, l.qty, l.received_qty, l.price_micros, l.per_qty,
           (SELECT coalesce(sum(m.qty), 0) FROM delivery_line AS m
             WHERE m.purchase_line_id = l.id AND m.what IN ('short', 'wrong', 'replaced', 'damaged')
               AND m.settled IN ('credit', 'written off'))
      FROM purchase AS p JOIN purchase_line AS l ON l.purchase_id = p.id
      JOIN supplier AS s ON s.id = p.supplier_id JOIN part AS t ON t.id = l.part_id
     ORDER BY p.state <> 'placed', p.state <> 'drafted', p.id, l.id
"""


def orders(reads: sqlite3.Connection) -> list[OrderRow]:
    """Every row of every order, those still open first."""
    return [OrderRow._make(row) for row in reads.execute(ORDERS)]


class UsedRow(NamedTuple):
    """What a build holds of a part for a line, and what that was worth when it left the bins."""

    build: int
    assembly: int
    line: int
    part: int
    kind: str
    held: int
    value_micros: int
    unpriced_qty: int


# Index: primary key of holding.
USED = """
    SELECT h.build_id, l.assembly_id, h.line_id, h.part_id, p.kind, h.kitted + h.fitted, h.value_micros, h.unpriced_qty
      FROM holding AS h JOIN line AS l ON l.id = h.line_id JOIN part AS p ON p.id = h.part_id
     WHERE h.build_id = ?
"""


def used(reads: sqlite3.Connection, build: int) -> list[UsedRow]:
    """What the build has taken from the bins so far."""
    return [UsedRow._make(row) for row in reads.execute(USED, (build,))]


class PileRow(NamedTuple):
    """What the stock of a part is worth."""

    part: int
    qty: int
    unpriced_qty: int
    value_micros: int


def piles(reads: sqlite3.Connection, parts: Collection[int]) -> list[PileRow]:
    """The worth of the stock of these parts. Index: primary key of worth."""
    statement = """
        SELECT w.part_id, w.qty, w.unpriced_qty, w.value_micros
          FROM json_each(?) AS p CROSS JOIN worth AS w ON w.part_id = p.value
    """
    return [PileRow._make(row) for row in reads.execute(statement, (json.dumps(list(parts)),))]


def minutes(reads: sqlite3.Connection) -> dict[int, int]:
    """Likely hands-on minutes of all steps that count, per assembly. Index: ix_step_assembly_id."""
    statement = """
        SELECT assembly_id, sum(likely_min) FROM step
         WHERE option_id IS NULL OR option_id IN (SELECT id FROM choice_option WHERE chosen = 1) GROUP BY assembly_id
    """
    return dict(reads.execute(statement))


OPEN_QUESTIONS = """
    WITH hanging (option_id) AS (
        SELECT option_id FROM line WHERE fitted = 1 AND assembly_id IN (SELECT value FROM json_each(:assemblies))
         UNION SELECT option_id FROM contains WHERE parent_id IN (SELECT value FROM json_each(:assemblies))
    )
    SELECT DISTINCT c.code
      FROM hanging AS h JOIN choice_option AS o ON o.id = h.option_id JOIN choice AS c ON c.id = o.choice_id
     WHERE c.state = 'open' ORDER BY c.code
"""


def open_questions(reads: sqlite3.Connection, assemblies: Collection[int]) -> list[str]:
    """The open questions on which parts of these assemblies hang. Indexes: line_of_assembly, contained_once."""
    return [code for (code,) in reads.execute(OPEN_QUESTIONS, {"assemblies": json.dumps(list(assemblies))})]


def setting(reads: sqlite3.Connection, key: str, default: str) -> str:
    """One setting of the workshop."""
    row = reads.execute("SELECT value FROM setting WHERE key = ?", (key,)).fetchone()
    return str(row[0]) if row else default


def consumables_bp(reads: sqlite3.Connection, project: int) -> int:
    """The allowance of a project for consumables, in 1/100 % of the cost of its parts."""
    row = reads.execute("SELECT consumables_bp FROM project WHERE id = ?", (project,)).fetchone()
    return int(row[0]) if row else 0
