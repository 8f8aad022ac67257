"""Parcels as they really arrive: in full, or short, over, wrong, damaged, replaced, at another price.

What a row of an order counts as received is closed: it is no longer coming. Each difference is written beside what
came and is an open matter until it is settled; what is in question is neither stock nor closed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from buildbook.actions.buying import read_per_qty, read_price
from buildbook.actions.landed import with_share
from buildbook.actions.order_rows import (
    close,
    is_told_of,
    keep_short,
    keep_state,
    matters_of,
    new_delivery,
    open_order,
    per,
    restate,
    rows_of,
    to_come,
)
from buildbook.actions.reading import read_qty, read_text
from buildbook.actions.rows import put, remove, the
from buildbook.errors import BadInput, Forbidden
from buildbook.store import ledger
from buildbook.store.journal import Work, action
from buildbook.store.ledger import Move
from buildbook.store.read import kitting
from buildbook.store.read.naming import Named, PartNamed, find_bin, find_order, find_part
from buildbook.store.tables import DeliveryLine, Part, PurchaseLine
from buildbook.store.workshop import Workshop

# What may be odd about a parcel, beside a price that is not as ordered.
ODD = ("short", "over", "wrong", "damaged", "replaced")


class Received(NamedTuple):
    """What arrived: base units, and what of the order is still open; `state` is that of the order now.

    `matters` are the numbers of the differences that are to be settled.
    """

    rows: int
    qty: int
    open_qty: int
    state: str
    matters: tuple[int, ...] = ()


class Price(NamedTuple):
    """What `per_qty` base units cost, in millionths of the currency."""

    micros: int
    per_qty: int = 1


class Odd(NamedTuple):
    """A difference: so much of a part of the order was short, over, wrong, damaged or replaced by `instead`.

    What came wrong, over or instead costs `price` when the bill says so, else what the order says.
    """

    what: str
    part: str
    qty: int | str
    instead: str = ""
    price: Price | None = None
    note: str = ""


class _Oddity(NamedTuple):
    """A difference with its rows found."""

    what: str
    part: PartNamed
    qty: int
    instead: PartNamed | None
    price: Price | None
    note: str


def receive_order(
    shop: Workshop,
    ref: str,
    bin: str | None = None,
    *,
    bins: Mapping[str, str] | None = None,
    lines: Mapping[str, int | str] | None = None,
    prices: Mapping[str, Price] | None = None,
    given_up: Collection[int] = (),
    odd: Sequence[Odd] = (),
    note: str = "",
) -> Received:
    """Take in all of an order that is to come but what is odd, or so much of each part named; write down the rest.

    Everything goes to the bin named, or each part to that of `bins`, else to the bin where it was put last. `prices`
    are those of the bill that are not as ordered, by part; what is still to come of these is expected at the price of
    the bill too. What has not come of the rows numbered `given_up` is not coming any more. Raises Forbidden for more
    than is to come, and for an order that is not placed.
    """
    known = find_order(shop, ref)
    wanted = _Wanted(shop, known, bin, bins or {}, lines)
    oddities = [_read_odd(shop, known, one) for one in odd]
    billed = {find_part(shop, part): price for part, price in (prices or {}).items()}
    with action(shop, f"Receive order {known.code}") as work:
        order = open_order(work, known, "received", "placed")
        rows = rows_of(work, known.id)
        parcel = new_delivery(work, known.id, read_text(note, "note"))
        agreed = [(row, _take_bill(work, row, price)) for row, price in _billed_rows(known, rows, billed)]
        matters = _tell_odd(work, known, parcel, rows, oddities)
        moves = _take_in(work, known, parcel, rows, wanted)
        matters += _tell_prices(work, parcel, agreed, moves)
        rows = _without_rest(work, parcel, rows, given_up)
        if not moves and not oddities and not given_up:
            raise BadInput(
                f"Nothing of order {known.code} was received.", "All that is to come is in question.", _SETTLE
            )
        still_open = sum(row.qty - row.received_qty for row in rows)
        keep_state(order, rows)
        ledger.post(work, with_share(shop, work, order, parcel, moves))
    return Received(len(moves), sum(move.bin_qty for move in moves), still_open, order.state, tuple(matters))


_SETTLE = "Settle it: see `buildbook buying matters`."


class _Wanted:
    """What is to be taken in, and where each part goes."""

    def __init__(
        self,
        shop: Workshop,
        known: Named,
        bin: str | None,
        bins: Mapping[str, str],
        lines: Mapping[str, int | str] | None,
    ) -> None:
        self.shop = shop
        self.place = find_bin(shop, bin).id if bin else None
        self.places = {find_part(shop, part).id: find_bin(shop, name).id for part, name in bins.items()}
        parts = {find_part(shop, part): qty for part, qty in (lines or {}).items()}
        if len(parts) < len(lines or ()):
            raise BadInput(f"Order {known.code} was not received.", "A part is named twice.", "Name it once.")
        self.all = lines is None
        self.qtys = {part.id: read_qty(qty, part.unit) for part, qty in parts.items()}

    def bin_of(self, work: Work, part: int) -> int:
        """The bin into which a part goes."""
        return self.places.get(part) or self.place or last_bin(self.shop, work, part)


def _read_odd(shop: Workshop, known: Named, one: Odd) -> _Oddity:
    """A difference, its parts found. Raises BadInput for one that cannot be."""
    what = f"Order {known.code} was not received."
    if one.what not in ODD:
        raise BadInput(what, f'"{one.what[:40]}" is no difference.', f"Use one of: {', '.join(ODD)}.")
    part = find_part(shop, one.part)
    instead = find_part(shop, one.instead) if one.instead else None
    if (instead is None) == (one.what in ("wrong", "replaced")):
        raise BadInput(what, f"{part.key} is told as {one.what}.", "Name what came instead, for that alone.")
    if instead and instead.id == part.id:
        raise BadInput(what, f"{part.key} cannot have come instead of itself.", "Name what came.")
    if instead and instead.unit != part.unit:
        raise BadInput(what, f"{instead.key} is not counted as {part.key} is.", "Receive it by itself.")
    price = Price(read_price(one.price.micros, part.key), read_per_qty(one.price.per_qty)) if one.price else None
    return _Oddity(one.what, part, read_qty(one.qty, part.unit), instead, price, read_text(one.note, "note"))


def _billed_rows(
    known: Named, rows: Sequence[PurchaseLine], billed: Mapping[PartNamed, Price]
) -> list[tuple[PurchaseLine, Price]]:
    found = []
    for part, price in billed.items():
        own = [row for row in rows if row.part_id == part.id and row.qty > row.received_qty]
        if not own:
            why = f"A price is given for {part.key}, and none is to come."
            raise BadInput(f"Order {known.code} was not received.", why, "Leave it out.")
        read_price(price.micros, part.key)
        found += [(row, Price(price.micros, read_per_qty(price.per_qty))) for row in own]
    return found


def _take_bill(work: Work, row: PurchaseLine, price: Price) -> int | None:
    """The row costs what the bill says from now on; return what was agreed for as many, if it was and is another."""
    agreed, was = row.price_micros, row.per_qty
    if agreed is not None:
        agreed = per(agreed, price.per_qty, was)
    row.price_micros, row.per_qty = price
    restate(work, row, was)
    return None if agreed == price.micros else agreed


def _tell_prices(
    work: Work, parcel: int, agreed: Sequence[tuple[PurchaseLine, int | None]], moves: Sequence[Move]
) -> list[int]:
    """Write down what came at another price than agreed; return the numbers of what came dearer."""
    came = {move.purchase_line_id: move.bin_qty for move in moves}
    dearer = []
    for row, price in agreed:
        if price is None or row.id not in came:
            continue
        if price > (row.price_micros or 0):
            _tell(work, parcel, row, "price", came[row.id], price_micros=price, settled="accepted")
        else:
            dearer.append(_tell(work, parcel, row, "price", came[row.id], price_micros=price))
    return dearer


def _tell_odd(
    work: Work, known: Named, parcel: int, rows: Sequence[PurchaseLine], oddities: Sequence[_Oddity]
) -> list[int]:
    """Write down what was odd, each at the rows of its part; return the numbers."""
    told = []
    for one in oddities:
        own = [row for row in rows if row.part_id == one.part.id]
        if not own:
            raise BadInput(f"Order {known.code} has no row of {one.part.key}.", "", "See `buildbook buying orders`.")
        left = one.qty
        for row in own:
            many = left if one.what == "over" else min(left, _may_come(work, parcel, row))
            if many:
                price = one.price.micros if one.price else None
                if one.price and one.price.per_qty != row.per_qty:
                    price = per(one.price.micros, row.per_qty, one.price.per_qty)
                instead = one.instead.id if one.instead else None
                told.append(_tell(work, parcel, row, one.what, many, part=instead, price_micros=price, note=one.note))
            left -= many
        if left:
            raise Forbidden(
                f"Order {known.code} was not received.",
                f"{one.qty} of {one.part.key} are told as {one.what}, and {one.qty - left} are to come.",
                "Tell no more than that.",
            )
    for row in rows:
        keep_short(work, row)
    return told


def _tell(
    work: Work,
    parcel: int,
    row: PurchaseLine,
    what: str,
    qty: int,
    *,
    part: int | None = None,
    price_micros: int | None = None,
    note: str = "",
    settled: str = "",
) -> int:
    """One line of a parcel; its number."""
    line = DeliveryLine(delivery_id=parcel, purchase_line_id=row.id or 0, what=what, qty=qty, part_id=part, note=note)
    line.price_micros, line.settled = price_micros, settled
    line.settled_at = work.at if settled else ""
    return put(work, line)


def _may_come(work: Work, parcel: int, row: PurchaseLine) -> int:
    """How much of a row this parcel may bring yet: not what is in question, nor what it is told to be short of."""
    short = (one.qty for one in matters_of(work, row.id or 0) if one.delivery_id == parcel and one.what == "short")
    return max(0, to_come(work, row) - sum(short))


def _take_in(work: Work, known: Named, parcel: int, rows: Sequence[PurchaseLine], wanted: _Wanted) -> list[Move]:
    """Close what came of each row, and return the movements."""
    moves = []
    arrived = dict(wanted.qtys)
    for row in rows:
        may_come = _may_come(work, parcel, row)
        many = may_come if wanted.all else min(may_come, arrived.get(row.part_id, 0))
        if many:
            arrived[row.part_id] = arrived.get(row.part_id, many) - many
            into = wanted.bin_of(work, row.part_id)
            moves.append(arrival(work, row, many, into))
            _tell(work, parcel, row, "received", many, price_micros=row.price_micros, settled="as ordered")
    _refuse_surplus(work, known, arrived)
    return moves


def arrival(work: Work, row: PurchaseLine, many: int, place: int) -> Move:
    """The movement for so many of a row, which are closed by it."""
    value = close(work, row, many)
    return Move("received", row.part_id, place, many, value_micros=value, purchase_line_id=row.id)


def last_bin(shop: Workshop, work: Work, part: int) -> int:
    """The bin where a part was put last; BadInput when it never lay in one."""
    place = kitting.last_bin(shop.reads, part)
    if place is None:
        key = the(work, Part, part).key
        raise BadInput("Nothing was received.", f"{key} has not been in any bin yet.", "Name a bin for it.")
    return place


def _without_rest(
    work: Work, parcel: int, rows: Sequence[PurchaseLine], given_up: Collection[int]
) -> list[PurchaseLine]:
    """The rows of an order, those given up cut to what has come of them; one of which nothing came goes.

    One that a parcel told of stays, and what was to come of it is written off. What is in question stays so.
    """
    kept = []
    for row in rows:
        left = _may_come(work, parcel, row) if row.id in given_up else 0
        if left:
            left -= _write_off_short(work, parcel, row)
        if left and row.received_qty:
            row.qty -= left
        elif left and is_told_of(work, row.id or 0):
            _tell(work, parcel, row, "short", left, settled="written off")
            close(work, row, left)
        elif left:
            remove(work, row)
            continue
        kept.append(row)
    return kept


def _write_off_short(work: Work, parcel: int, row: PurchaseLine) -> int:
    """What earlier parcels were short of is not coming any more; return how much that is."""
    short = [one for one in matters_of(work, row.id or 0) if one.what == "short" and one.delivery_id != parcel]
    for one in short:
        one.settled, one.settled_at, one.reason = "written off", work.at, "Given up."
    many = sum(one.qty for one in short)
    close(work, row, many)
    return many


def _refuse_surplus(work: Work, known: Named, arrived: Mapping[int, int]) -> None:
    for part, more in arrived.items():
        if more > 0:
            key = the(work, Part, part).key
            raise Forbidden(
                f"Order {known.code} was not received.",
                f"{more} more of {key} came than are to come.",
                "Receive what was ordered, and tell the rest as over.",
            )
