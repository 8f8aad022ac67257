"""Open matters of deliveries are settled, and goods go back to whoever sold them."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from buildbook.actions.deliveries import arrival, last_bin
from buildbook.actions.landed import with_share
from buildbook.actions.order_rows import close, keep_state, new_delivery, row_meant, rows_of, to_come
from buildbook.actions.reading import need_reason, read_day, read_qty, read_text
from buildbook.actions.rows import put, seek, the
from buildbook.errors import BadInput, Forbidden
from buildbook.store import ledger
from buildbook.store.journal import Work, action
from buildbook.store.ledger import Move
from buildbook.store.read import deliveries as read
from buildbook.store.read.naming import find_bin, find_order
from buildbook.store.tables import DeliveryLine, Part, Purchase, PurchaseLine, StandIn
from buildbook.store.workshop import Workshop
from buildbook.trade.deliveries import SETTLED_AS
from buildbook.trade.money import line_micros


class Settled(NamedTuple):
    """A matter that was settled: of which order and part, how many base units, and the state of the order now."""

    ref: str
    part: str
    what: str
    qty: int
    state: str


class _At(NamedTuple):
    """The matter at hand, with all that it is about."""

    shop: Workshop
    work: Work
    matter: DeliveryLine
    row: PurchaseLine
    order: Purchase
    bin: int | None
    due_on: str

    def into(self, part: int) -> int:
        """The bin for a part."""
        return self.bin or last_bin(self.shop, self.work, part)


def settle(
    shop: Workshop,
    number: int,
    how: str,
    *,
    reason: str = "",
    bin: str | None = None,
    due_on: str = "",
    stand_in: bool = False,
) -> Settled:
    """Settle a matter of a delivery, and say why.

    `reorder`: it is to come (again), perhaps on another day; `credit` and `written off`: it is not, with money back or
    without; `accepted`: it goes into stock, or its price stands; `sent back`: what was over goes back; `as ordered`: it
    came after all. With `stand_in` what came instead is approved in the place of what was ordered. Raises Forbidden
    for a way that does not fit the matter and for one that is settled already.
    """
    place = find_bin(shop, bin).id if bin else None
    with action(shop, f"Settle matter {number}") as work:
        matter = work.get(DeliveryLine, number) if 0 < number < 2**63 else None
        if matter is None or matter.what == "received":
            raise BadInput(f"There is no matter {number}.", "", "See `buildbook buying matters`.")
        row = the(work, PurchaseLine, matter.purchase_line_id)
        order, part = the(work, Purchase, row.purchase_id), the(work, Part, row.part_id)
        if matter.settled:
            raise Forbidden(f"Matter {number} was not settled.", f"It is settled already: {matter.settled}.")
        if how not in SETTLED_AS[matter.what]:
            ways = ", ".join(SETTLED_AS[matter.what])
            raise Forbidden(
                f"Matter {number} was not settled.", f"It is told as {matter.what}.", f"Choose one of: {ways}."
            )
        if stand_in and not (how == "accepted" and matter.part_id not in (None, row.part_id)):
            why = "Only what came instead and is accepted can become a stand-in."
            raise BadInput(f"Matter {number} was not settled.", why, "Leave the stand-in out.")
        if order.state == "cancelled" and how == "reorder":
            raise Forbidden(
                f"Matter {number} was not settled.", f"Order {order.ref} is cancelled.", "Place a new order."
            )
        matter.settled, matter.settled_at, matter.reason = how, work.at, read_text(reason, "reason")
        at = _At(shop, work, matter, row, order, place, read_day(due_on))
        ledger.post(work, with_share(shop, work, order, matter.delivery_id, WAYS[how](at)))
        if matter.price_micros is None:
            matter.price_micros = row.price_micros  # what was at stake stays so, whatever the row costs later
        if stand_in:
            _approve(work, row.part_id, matter)
        keep_state(order, rows_of(work, order.id or 0))
    return Settled(order.ref, part.key, matter.what, matter.qty, order.state)


def _come_again(at: _At) -> list[Move]:
    """It is to come again: what went back is open once more, the rest is open still."""
    if at.matter.what == "returned":
        if at.matter.qty > at.row.received_qty:
            raise Forbidden(
                f"Matter {at.matter.id} was not settled so.",
                f"It is about {at.matter.qty}, and {at.row.received_qty} of the row count as received.",
                "Settle it as credit, and order anew.",
            )
        at.row.received_qty -= at.matter.qty
    if at.due_on:
        at.row.due_on = at.due_on
    return []


def _come_never(at: _At) -> list[Move]:
    """It is not to come: so much of the row is closed. What went back, or has its price disputed, is closed already."""
    if at.matter.what not in ("returned", "price"):
        close(at.work, at.row, _still_open(at))
    return []


def _come_after_all(at: _At) -> list[Move]:
    """What was short is here, and counts as received with the parcel that lacked it."""
    many = _still_open(at)
    came = DeliveryLine(delivery_id=at.matter.delivery_id, purchase_line_id=at.row.id or 0, qty=many)
    came.settled, came.settled_at = "as ordered", at.work.at
    put(at.work, came)
    return [arrival(at.work, at.row, many, at.into(at.row.part_id))]


def _accepted(at: _At) -> list[Move]:
    """What is in question goes into stock, at the price told or else that of the row."""
    matter, row = at.matter, at.row
    if matter.what == "price":
        return []
    part = matter.part_id or row.part_id
    value = None if row.price_micros is None else line_micros(matter.qty, row.price_micros, row.per_qty)
    if matter.what != "over":
        value = close(at.work, row, _still_open(at))
    if matter.price_micros is not None:
        value = line_micros(matter.qty, matter.price_micros, row.per_qty)
    return [Move("received", part, at.into(part), matter.qty, value_micros=value, purchase_line_id=row.id)]


def _gone(_: _At) -> list[Move]:
    """It never was in stock, and goes back."""
    return []


WAYS: dict[str, Callable[[_At], list[Move]]] = {
    "reorder": _come_again,
    "credit": _come_never,
    "written off": _come_never,
    "as ordered": _come_after_all,
    "accepted": _accepted,
    "sent back": _gone,
}


def _still_open(at: _At) -> int:
    """So much of the matter as is open of its row; Forbidden when less is."""
    left = to_come(at.work, at.row)
    if at.matter.qty > left:
        raise Forbidden(
            f"Matter {at.matter.id} was not settled so.",
            f"It is about {at.matter.qty}, and {left} of the row are to come.",
            "Settle it as reorder: it has come meanwhile.",
        )
    return at.matter.qty


def _approve(work: Work, part: int, matter: DeliveryLine) -> None:
    """What came instead may stand in from now on."""
    other = matter.part_id or 0
    if not seek(work, StandIn, part_id=part, alt_id=other):
        rank = 1 + int(work.run("SELECT coalesce(max(rank), 0) FROM stand_in WHERE part_id = ?", (part,)).scalar_one())
        why = need_reason(matter.reason, "A stand-in")
        put(work, StandIn(part_id=part, alt_id=other, rank=rank, reason=why))


def give_back(shop: Workshop, ref: str, part: str | int, qty: int | str, *, reason: str, bin: str | None = None) -> int:
    """Send goods of an order back out of stock; return the number of the matter, open until it is settled.

    They leave the stock at its average. Raises Forbidden for more than came of the row and was not given back.
    """
    known = find_order(shop, ref)
    place = find_bin(shop, bin).id if bin else None
    why = need_reason(reason, "A return")
    with action(shop, f"Give back of order {known.code}") as work:
        row = row_meant(shop, known, rows_of(work, known.id), part)
        named = the(work, Part, row.part_id)
        many = read_qty(qty, named.unit)
        came = read.moved(work, row.id or 0, row.part_id)
        if many > came:
            what = f"{named.key} of order {known.code} was not given back."
            raise Forbidden(what, f"{came} of it came and are not given back yet.", "Give back no more than that.")
        parcel = new_delivery(work, known.id, why)
        out_of = place or last_bin(shop, work, row.part_id)
        ledger.post(work, [Move("returned", row.part_id, out_of, -many, purchase_line_id=row.id, note=why)])
        line = DeliveryLine(delivery_id=parcel, purchase_line_id=row.id or 0, what="returned", qty=many, note=why)
        return put(work, line)
