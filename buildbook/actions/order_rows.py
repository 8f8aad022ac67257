"""The rows of an order that an action is about to change, and the state that follows from them."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import col, select

from buildbook.actions.rows import the
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work
from buildbook.store.read.naming import Named, find_part
from buildbook.store.tables import Delivery, DeliveryLine, Purchase, PurchaseLine
from buildbook.store.workshop import Workshop
from buildbook.trade.money import line_micros

# What came of a row and is neither stock nor on its way: somebody has to say what becomes of it.
IN_QUESTION = ("wrong", "damaged", "replaced")


def rows_of(work: Work, order: int) -> list[PurchaseLine]:
    """The rows of an order, in its order."""
    in_order = select(PurchaseLine).where(col(PurchaseLine.purchase_id) == order).order_by(col(PurchaseLine.id))
    return list(work.exec(in_order))


def row_meant(shop: Workshop, order: Named, rows: Sequence[PurchaseLine], part: str | int) -> PurchaseLine:
    """The row of that number, or the only one of that part."""
    if isinstance(part, int):
        found = [row for row in rows if row.id == part]
    else:
        number = find_part(shop, part).id
        found = [row for row in rows if row.part_id == number]
    if not found:
        raise BadInput(f"Order {order.code} has no row of {part}.", "", "See `buildbook buying orders`.")
    if len(found) > 1:
        numbers = " and ".join(str(row.id) for row in found)
        raise BadInput(
            f"Order {order.code} has several rows of {part}.", f"There are {numbers}.", "Name one by number."
        )
    return found[0]


def open_order(work: Work, known: Named, done: str, *states: str) -> Purchase:
    """An order in one of these states, or Forbidden: it was not `done`."""
    order = the(work, Purchase, known.id)
    if order.state not in states:
        mend = "Place it first." if order.state == "drafted" else ""
        raise Forbidden(
            f"Order {known.code} was not {done}.", f"It is {order.state}{' only' if mend else ' already'}.", mend
        )
    return order


def keep_state(order: Purchase, rows: Sequence[PurchaseLine]) -> None:
    """Set the state of an order that is placed or received by what of it is still to come."""
    if order.state in ("placed", "received"):
        order.state = "placed" if any(row.qty > row.received_qty for row in rows) else "received"


def matters_of(work: Work, line: int) -> list[DeliveryLine]:
    """The open matters of a row of an order, the oldest first."""
    asked = select(DeliveryLine).where(col(DeliveryLine.purchase_line_id) == line, col(DeliveryLine.settled) == "")
    found = work.exec(asked.order_by(col(DeliveryLine.id)))
    return [row for row in found if row.what != "received"]


def is_told_of(work: Work, line: int) -> bool:
    """Whether a parcel tells of a row of an order."""
    return (
        work.exec(select(DeliveryLine.id).where(col(DeliveryLine.purchase_line_id) == line).limit(1)).first()
        is not None
    )


def close(work: Work, row: PurchaseLine, qty: int) -> int | None:
    """Close so much of a row: it is no longer coming. Return what so much of it costs, None where no price is known.

    Prices are rounded so that all that is closed of a row costs the whole. What was told as short has come after all
    once nothing of the row is to come.
    """
    value = None
    if row.price_micros is not None:
        before = line_micros(row.received_qty, row.price_micros, row.per_qty)
        value = line_micros(row.received_qty + qty, row.price_micros, row.per_qty) - before
    row.received_qty += qty
    if row.received_qty >= row.qty:
        for matter in matters_of(work, row.id or 0):
            if matter.what == "short":
                matter.settled, matter.settled_at, matter.reason = "as ordered", work.at, "Nothing of it is to come."
    return value


def new_delivery(work: Work, order: int, note: str = "") -> int:
    """A parcel of an order."""
    parcel = Delivery(purchase_id=order, at=work.at, note=note)
    work.add(parcel)
    work.flush()
    return parcel.id or 0
