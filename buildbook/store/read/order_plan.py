"""The rows behind the plan of orders: offers with what they say, how suppliers deal, rates, least stock, and uses."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple


class OfferRow(NamedTuple):
    """One price break of one offer as it is written down; money is in the currency named, "" for the workshop's."""

    offer: int
    supplier: int
    part: int
    order_code: str
    per_qty: int
    pack_qty: int
    min_qty: int
    multiple_qty: int
    seen_qty: int | None
    lead_days: int | None
    valid_until: str
    currency: str
    standing: str
    from_qty: int
    price_micros: int


# Indexes: ix_offer_part_id, the primary key of supplier, the unique one of offer_break.
OFFERS = """
    SELECT o.id, o.supplier_id, o.part_id, o.order_code, o.per_qty, o.pack_qty, o.min_qty, coalesce(o.multiple_qty, 1),
           o.seen_qty, coalesce(o.lead_days, s.lead_days), o.valid_until, coalesce(nullif(o.currency, ''), s.currency),
           o.standing, b.from_qty, b.price_micros
      FROM json_each(?) AS p CROSS JOIN offer AS o ON o.part_id = p.value
      JOIN supplier AS s ON s.id = o.supplier_id JOIN offer_break AS b ON b.offer_id = o.id
     ORDER BY o.part_id, o.id, b.from_qty
"""


def offers(reads: sqlite3.Connection, parts: Collection[int]) -> list[OfferRow]:
    """Every price break of every offer of these parts, by part, offer and quantity."""
    return list(map(OfferRow._make, reads.execute(OFFERS, (json.dumps(list(parts)),))))


class SupplierRow(NamedTuple):
    """How a supplier deals; money is in his currency, "" for the workshop's."""

    id: int
    code: str
    name: str
    currency: str
    standing: str
    least_micros: int
    shipping_micros: int
    tax_bp: int
    tax_on_shipping: int
    free_from_micros: int | None
    lead_days: int | None = None


# Index: none needed, suppliers are few.
SUPPLIERS = """
    SELECT id, code, name, currency, standing, least_micros, shipping_micros, tax_bp, tax_on_shipping, free_from_micros,
           lead_days
      FROM supplier ORDER BY code
"""


def suppliers(reads: sqlite3.Connection) -> dict[int, SupplierRow]:
    """Every supplier, by number."""
    return {row[0]: SupplierRow._make(row) for row in reads.execute(SUPPLIERS)}


class StepRow(NamedTuple):
    """From this value of the goods on, shipping costs so much, or the discount is so many basis points."""

    supplier: int
    kind: str
    from_micros: int
    amount: int


def steps(reads: sqlite3.Connection) -> list[StepRow]:
    """Every step of shipping and discount, by rising value."""
    found = reads.execute("SELECT supplier_id, kind, from_micros, amount FROM supplier_step ORDER BY 1, 2, 3")
    return list(map(StepRow._make, found))


def rates(reads: sqlite3.Connection) -> dict[str, str]:
    """What one unit of each foreign currency is worth in the workshop's, as a decimal text."""
    return dict(reads.execute("SELECT code, rate FROM currency_rate"))


def least_stock(reads: sqlite3.Connection) -> dict[int, int]:
    """How many of each part are to lie in the drawers whatever is built, where any are."""
    return dict(reads.execute("SELECT id, keep_qty FROM part WHERE keep_qty > 0"))


class UseRow(NamedTuple):
    """So much of a part stands on the parts list of an assembly."""

    part: int
    assembly: int
    qty: int


# Index: line_of_part.
USES = """
    SELECT l.part_id, l.assembly_id, sum(l.qty) FROM json_each(?) AS p CROSS JOIN line AS l ON l.part_id = p.value
     WHERE l.fitted = 1 GROUP BY l.part_id, l.assembly_id ORDER BY l.part_id, l.assembly_id
"""


def uses(reads: sqlite3.Connection, parts: Collection[int]) -> list[UseRow]:
    """On which parts lists these parts stand, of any project."""
    return list(map(UseRow._make, reads.execute(USES, (json.dumps(list(parts)),))))
