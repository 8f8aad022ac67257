"""Who sells what for how much, and what is on order."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, link, whole, words


class Supplier(Row, table=True):
    """Somebody who sells parts."""

    __tablename__ = "supplier"
    __table_args__ = (STRICT,)
    code: str = words(..., unique=True)
    name: str = words()
    note: str = words()


class Offer(Row, table=True):
    """A part as a supplier sells it: its order code, pack, least quantity; prices stand in `offer_break`."""

    __tablename__ = "offer"
    __table_args__ = (
        UniqueConstraint("supplier_id", "order_code", "part_id"),
        at_least("per_qty", 1),
        at_least("pack_qty", 1),
        at_least("min_qty", 1),
        STRICT,
    )
    supplier_id: int = link("supplier", index=False)
    part_id: int = link("part")
    order_code: str = words(index=True)
    per_qty: int = whole(1)
    pack_qty: int = whole(1)
    min_qty: int = whole(1)
    lead_days: int | None = whole(None, nullable=True)
    valid_until: str = words()
    note: str = words()


class OfferBreak(Row, table=True):
    """The price for `per_qty` base units, from this ordered quantity on, for all of it."""

    __tablename__ = "offer_break"
    __table_args__ = (
        UniqueConstraint("offer_id", "from_qty"),
        at_least("from_qty", 1),
        at_least("price_micros", 0),
        STRICT,
    )
    offer_id: int = link("offer", index=False)
    from_qty: int = whole(1)
    price_micros: int = whole(...)


class Purchase(Row, table=True):
    """An order to a supplier."""

    __tablename__ = "purchase"
    __table_args__ = (
        CheckConstraint("state IN ('drafted', 'placed', 'received', 'cancelled')", name="state_known"),
        STRICT,
    )
    ref: str = words(..., unique=True)
    supplier_id: int = link("supplier")
    state: str = words("placed")
    placed_on: str = words()
    due_on: str = words()
    note: str = words()


class PurchaseLine(Row, table=True):
    """One row of an order; `price_micros` is for `per_qty` base units."""

    __tablename__ = "purchase_line"
    __table_args__ = (
        at_least("qty", 1),
        at_least("price_micros", 0),
        at_least("per_qty", 1),
        at_least("received_qty", 0),
        STRICT,
    )
    purchase_id: int = link("purchase")
    part_id: int = link("part")
    order_code: str = words()
    qty: int = whole(...)
    price_micros: int | None = whole(None, nullable=True)
    per_qty: int = whole(1)
    received_qty: int = whole(0)
    due_on: str = words()
