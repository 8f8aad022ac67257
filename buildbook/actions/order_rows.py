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
from buildbook.trade.figures import half_even
from buildbook.trade.money import line_micros

# What came of a row and is neither stock nor on its way: somebody has to say what becomes of it.
IN_QUESTION = ("wrong", "damaged", "replaced")


def rows_of(work: Work, order: int) -> list[PurchaseLine]:
    """The rows of an order, in its order."""
    in_order = select(PurchaseLine).where(col(PurchaseLine.purchase_id) == order).order_by(col(PurchaseLine.id))
    return list(work.exec(in_order))


def row_meant(shop: Workshop, order: Named, rows: Sequence[PurchaseLine], part: str | int) -> PurchaseLine:
    """The row of that number, or the only one of that part."""
    found = [row for row in rows if row.id == part] if isinstance(part, int) else _rows_typed(shop, rows, part)
    if not found:
        raise BadInput(f"Order {order.code} has no row of {part}.", "", "See `buildbook buying orders`.")
    if len(found) > 1:
        numbers = " and ".join(str(row.id) for row in found)
        raise BadInput(
            f"Order {order.code} has several rows of {part}.", f"There are {numbers}.", "Name one by number."
        )
    return found[0]


def _rows_typed(shop: Workshop, rows: Sequence[PurchaseLine], part: str) -> list[PurchaseLine]:
    """The rows of that part, else the one of that number, as it is typed where a part has several rows."""
    try:
        number = find_part(shop, part).id
    except BadInput:
        found = [row for row in rows if str(row.id) == part.strip()]
        if not found:
            raise
        return found
    return [row for row in rows if row.part_id == number]


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

    Prices are rounded so that all that is closed of a row costs the whole.
    """
    value = None
    if row.price_micros is not None:
        before = line_micros(row.received_qty, row.price_micros, row.per_qty)
        value = line_micros(row.received_qty + qty, row.price_micros, row.per_qty) - before
    row.received_qty += qty
    keep_short(work, row)
    return value


def in_question(work: Work, row: PurchaseLine) -> int:
    """How much of a row has come and is neither stock nor closed."""
    return sum(one.qty for one in matters_of(work, row.id or 0) if one.what in IN_QUESTION)


def to_come(work: Work, row: PurchaseLine) -> int:
    """How much of a row may still come: what is in question has come already."""
    return max(0, row.qty - row.received_qty - in_question(work, row))


def keep_changed(work: Work, what: str, row: PurchaseLine, was: int) -> None:
    """What is told of a row follows its change; its price was for `was`. Raises Forbidden for fewer than have come."""
    held = in_question(work, row)
    if row.qty < row.received_qty + held:
        question = f" and {held} are in question" if held else ""
        raise Forbidden(
            what,
            f"{row.received_qty} of it have arrived{question}, {row.qty} would be ordered.",
            f"Order {row.received_qty + held} or more.",
        )
    restate(work, row, was)
    keep_short(work, row)


def keep_short(work: Work, row: PurchaseLine) -> None:
    """No more of a row is short than is to come of it: the oldest of what was told as short has come meanwhile."""
    short = [one for one in matters_of(work, row.id or 0) if one.what == "short"]
    here = sum(one.qty for one in short) - to_come(work, row)
    for one in short:
        if here <= 0:
            return
        came = one
        if one.qty > here:
            one.qty -= here
            came = DeliveryLine(delivery_id=one.delivery_id, purchase_line_id=row.id or 0, what="short", qty=here)
            came.note = one.note
            work.add(came)
        here -= came.qty
        came.settled, came.settled_at, came.reason = "as ordered", work.at, "Settled by what followed."
        work.flush()


def restate(work: Work, row: PurchaseLine, was: int) -> None:
    """Prices told of a row are for as many as its own price is: state them anew, where that was for `was`."""
    if row.per_qty == was:
        return
    for told in work.exec(select(DeliveryLine).where(col(DeliveryLine.purchase_line_id) == row.id)):
        if told.price_micros is not None:
            told.price_micros = per(told.price_micros, row.per_qty, was)


def per(price_micros: int, per_qty: int, was: int) -> int:
    """A price for `was` base units, for `per_qty` of them; BadInput for one that is more than can be written down."""
    price = half_even(price_micros * per_qty, was)
    if price >= 2**63:
        raise BadInput(
            "The price was not taken.", f"{per_qty:,} would cost more than can be counted.", "Price fewer of it."
        )
    return price


def new_delivery(work: Work, order: int, note: str = "") -> int:
    """A parcel of an order."""
    parcel = Delivery(purchase_id=order, at=work.at, note=note)
    work.add(parcel)
    work.flush()
    return parcel.id or 0
