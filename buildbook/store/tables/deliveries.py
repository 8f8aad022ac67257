"""What came of an order, parcel by parcel, and how each difference was settled."""

from __future__ import annotations

from sqlalchemy import CheckConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, link, whole, words


class Delivery(Row, table=True):
    """One parcel of an order; what it carried into stock of the order's shipping (less discount) and tax."""

    __tablename__ = "delivery"
    __table_args__ = (STRICT,)
    purchase_id: int = link("purchase")
    at: str = words(...)
    note: str = words()
    shipping_micros: int | None = whole(None, nullable=True)
    tax_micros: int | None = whole(None, nullable=True)


class DeliveryLine(Row, table=True):
    """What came for a line of the order, or did not: each difference is open until it is settled, for a reason.

    `part_id` is what came instead, `price_micros` what was asked for it; where the bill asks another `price`, it is
    what was agreed. Both are for `per_qty` of the row of the order.
    """

    __tablename__ = "delivery_line"
    __table_args__ = (
        CheckConstraint(
            "what IN ('received', 'short', 'over', 'wrong', 'damaged', 'replaced', 'price', 'returned')",
            name="what_known",
        ),
        CheckConstraint(
            "settled IN ('', 'as ordered', 'reorder', 'credit', 'accepted', 'sent back', 'written off')",
            name="settled_known",
        ),
        at_least("qty", 0),
        at_least("price_micros", 0),
        STRICT,
    )
    delivery_id: int = link("delivery")
    purchase_line_id: int = link("purchase_line")
    what: str = words("received")
    qty: int = whole(0)
    part_id: int | None = link("part", optional=True)
    price_micros: int | None = whole(None, nullable=True)
    note: str = words()
    settled: str = words()
    settled_at: str = words()
    reason: str = words()
