"""Who sells what for how much, and what is on order."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Integer, Text, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, later, link, whole, words


class Supplier(Row, table=True):
    """Somebody who sells parts, and the terms: least order, flat shipping, free from a value on, tax.

    Money is in millionths of the supplier's currency, that of the workshop where it is empty. `standing` is "",
    "preferred" or "banned"; steps of shipping and discount stand in `supplier_step`.
    """

    __tablename__ = "supplier"
    __table_args__ = (STRICT,)
    code: str = words(..., unique=True)
    name: str = words()
    note: str = words()
    currency: str = later(Text, "")
    standing: str = later(Text, "")
    least_micros: int = later(Integer, 0)
    shipping_micros: int = later(Integer, 0)
    tax_bp: int = later(Integer, 0)
    tax_on_shipping: int = later(Integer, 0)
    free_from_micros: int | None = whole(None, nullable=True)
    lead_days: int | None = whole(None, nullable=True)


class SupplierStep(Row, table=True):
    """From this value of the goods on, shipping costs `amount` millionths, or the discount is `amount` / 10,000."""

    __tablename__ = "supplier_step"
    __table_args__ = (
        UniqueConstraint("supplier_id", "kind", "from_micros"),
        CheckConstraint("kind IN ('shipping', 'discount')", name="kind_known"),
        at_least("from_micros", 0),
        at_least("amount", 0),
        STRICT,
    )
    supplier_id: int = link("supplier", index=False)
    kind: str = words(...)
    from_micros: int = whole(...)
    amount: int = whole(...)


class CurrencyRate(Row, table=True):
    """What one unit of a foreign currency is worth in the workshop's, as a decimal text."""

    __tablename__ = "currency_rate"
    __table_args__ = (STRICT,)
    code: str = words(..., unique=True)
    rate: str = words(...)
    set_on: str = words()


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
    currency: str = later(Text, "")
    standing: str = later(Text, "")
    seen_on: str = later(Text, "")
    multiple_qty: int | None = whole(None, nullable=True)
    seen_qty: int | None = whole(None, nullable=True)


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


class PricePast(Row, table=True):
    """A price that an offer had, up to a day."""

    __tablename__ = "price_past"
    __table_args__ = (at_least("from_qty", 1), at_least("per_qty", 1), at_least("price_micros", 0), STRICT)
    part_id: int = link("part")
    supplier_id: int = link("supplier")
    order_code: str = words()
    until: str = words(...)
    currency: str = words()
    from_qty: int = whole(1)
    per_qty: int = whole(1)
    price_micros: int = whole(...)


class ColumnSet(Row, table=True):
    """The columns of an order's export under a name, perhaps for one supplier: names parted by commas."""

    __tablename__ = "column_set"
    __table_args__ = (STRICT,)
    name: str = words(..., unique=True)
    supplier_id: int | None = link("supplier", optional=True)
    columns: str = words(...)


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
    confirmed_on: str = later(Text, "")
    currency: str = later(Text, "")
    rate: str = later(Text, "")
    discount_micros: int = later(Integer, 0)
    shipping_micros: int | None = whole(None, nullable=True)
    tax_micros: int | None = whole(None, nullable=True)


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
