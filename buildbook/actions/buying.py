"""What is bought: suppliers, what they offer, and orders from placing to arrival."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.reading import read_code, read_count, read_day, read_qty, read_text
from buildbook.actions.rows import change, put, refuse_taken, remove, the
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput, Forbidden
from buildbook.store import ledger
from buildbook.store.journal import Work, action
from buildbook.store.ledger import Move
from buildbook.store.read import kitting
from buildbook.store.read.naming import Named, PartNamed, find_bin, find_order, find_part, find_parts, find_supplier
from buildbook.store.tables import Part, Purchase, PurchaseLine, Supplier
from buildbook.store.workshop import Workshop
from buildbook.trade.money import line_micros
from buildbook.trade.plain import clean, fold


def new_supplier(shop: Workshop, code: str, name: str = "", note: str = "") -> str:
    """Write down a supplier and return its code."""
    named = read_code(code, "supplier")
    with action(shop, f"New supplier {named}") as work:
        refuse_taken(work, Supplier, named, "supplier")
        put(work, Supplier(code=named, name=clean(name), note=read_text(note, "note")))
    return named


class OrderLine(NamedTuple):
    """One row of an order: base units of a part; the price, if known, is for `per_qty` of them."""

    part: str
    qty: int
    price_micros: int | None = None
    per_qty: int = 1
    order_code: str = ""
    due_on: str = ""


def place_order(
    shop: Workshop, ref: str, supplier: str, lines: Sequence[OrderLine], *, placed_on: str = "", due_on: str = ""
) -> str:
    """Place an order and return its reference; what is ordered is coming from now on. Days are ISO 8601."""
    named = read_ref(ref)
    seller = find_supplier(shop, supplier)
    parts = find_parts(shop, (line.part for line in lines))
    if not lines:
        raise BadInput(f"Order {named} was not placed.", "Nothing is ordered.", "Give one row or more.")
    with action(shop, f"Place order {named} with {seller.code}") as work:
        if work.exec(select(Purchase).where(func.lower(Purchase.ref) == fold(named))).first():
            raise BadInput(f"Order {named} was not placed.", "There is one of that reference.", "Choose another.")
        purchase = Purchase(ref=named, supplier_id=seller.id, due_on=read_day(due_on))
        purchase.placed_on = read_day(placed_on) or work.at[:10]
        order = put(work, purchase)
        work.insert_many(PurchaseLine, [_line_row(order, parts[fold(line.part)].id, line) for line in lines])
    return named


def read_ref(ref: str) -> str:
    """The reference of an order, cleaned."""
    plain = clean(ref, limit=40, what="reference")
    if not plain:
        raise BadInput("The order was not placed.", "It has no reference.", "Give one of your own, or the supplier's.")
    return plain


def _line_row(order: int, part: int, line: OrderLine) -> dict[str, int | str | None]:
    return {
        "purchase_id": order,
        "part_id": part,
        "order_code": clean(line.order_code),
        "qty": read_qty(line.qty, "pc"),
        "price_micros": None if line.price_micros is None else read_price(line.price_micros, line.part),
        "per_qty": read_per_qty(line.per_qty),
        "due_on": read_day(line.due_on),
    }


def read_price(price_micros: int, part: str) -> int:
    """A price in millionths."""
    if price_micros < 0:
        raise BadInput(f"The price of {part} was not taken.", "It is less than nothing.", "Give another price.")
    return price_micros


def read_per_qty(per_qty: int) -> int:
    """For how many base units a price is."""
    return read_count(per_qty, "to a price", most=10**9)


def change_order(
    shop: Workshop,
    ref: str,
    *,
    placed_on: str | None = None,
    due_on: str | None = None,
    note: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> str:
    """Change what is given of an order; return its reference."""
    known = find_order(shop, ref)
    with action(shop, f"Change order {known.code}") as work:
        row = the(work, Purchase, known.id)
        refuse_stale(f"Order {known.code}", row, expected)
        change(
            row,
            placed_on=None if placed_on is None else read_day(placed_on),
            due_on=None if due_on is None else read_day(due_on),
            note=None if note is None else read_text(note, "note"),
        )
    return known.code


def change_order_line(
    shop: Workshop,
    ref: str,
    part: str | int,
    *,
    qty: int | str | None = None,
    price_micros: int | None = None,
    per_qty: int | None = None,
    due_on: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> int:
    """Change what is given of a row of an order, named by its part or its number, and return its number.

    What has arrived stays at its price. Raises Forbidden for fewer than have arrived, and for an order that is received
    or cancelled.
    """
    known = find_order(shop, ref)
    with action(shop, f"Change order {known.code}") as work:
        order = _open_order(work, known, "changed")
        rows = _rows(work, known.id)
        row = _row_meant(shop, known, rows, part)
        named = the(work, Part, row.part_id)
        refuse_stale(f"{named.key} of order {known.code}", row, expected, named.unit)
        change(
            row,
            qty=None if qty is None else read_qty(qty, named.unit),
            price_micros=None if price_micros is None else read_price(price_micros, named.key),
            per_qty=None if per_qty is None else read_per_qty(per_qty),
            due_on=None if due_on is None else read_day(due_on),
        )
        if row.qty < row.received_qty:
            raise Forbidden(
                f"{named.key} of order {known.code} was not changed.",
                f"{row.received_qty} of it have arrived, {row.qty} would be ordered.",
                f"Order {row.received_qty} or more.",
            )
        order.state = _state(rows)
        return row.id or 0


def drop_order_line(shop: Workshop, ref: str, part: str | int) -> None:
    """Take a row, named by its part or its number, off an order. Raises Forbidden for one of which some has arrived."""
    known = find_order(shop, ref)
    with action(shop, f"Take a row off order {known.code}") as work:
        order = _open_order(work, known, "changed")
        rows = _rows(work, known.id)
        row = _row_meant(shop, known, rows, part)
        key = the(work, Part, row.part_id).key
        what = f"{key} was not taken off order {known.code}."
        if row.received_qty:
            raise Forbidden(what, f"{row.received_qty} of it have arrived.", "Order no more of it than that.")
        if len(rows) == 1:
            raise Forbidden(what, "Nothing else is on order.", "Cancel the whole order.")
        order.state = _state([one for one in rows if one is not row])
        remove(work, row)


def _rows(work: Work, order: int) -> list[PurchaseLine]:
    in_order = select(PurchaseLine).where(col(PurchaseLine.purchase_id) == order).order_by(col(PurchaseLine.id))
    return list(work.exec(in_order))


def _row_meant(shop: Workshop, order: Named, rows: Sequence[PurchaseLine], part: str | int) -> PurchaseLine:
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


def _state(rows: Sequence[PurchaseLine]) -> str:
    """The state of an order that is not cancelled."""
    return "placed" if any(row.qty > row.received_qty for row in rows) else "received"


def cancel_order(shop: Workshop, ref: str) -> str:
    """Cancel an order; return its reference. What has arrived of it stays; the rest is no longer coming."""
    known = find_order(shop, ref)
    with action(shop, f"Cancel order {known.code}") as work:
        order = _open_order(work, known, "cancelled")
        order.state = "cancelled"
    return known.code


class Received(NamedTuple):
    """What arrived: base units, and what of the order is still open; `state` is that of the order now."""

    rows: int
    qty: int
    open_qty: int
    state: str


class Price(NamedTuple):
    """What `per_qty` base units cost, in millionths of the currency."""

    micros: int
    per_qty: int = 1


def receive_order(
    shop: Workshop,
    ref: str,
    bin: str | None = None,
    *,
    bins: Mapping[str, str] | None = None,
    lines: Mapping[str, int | str] | None = None,
    prices: Mapping[str, Price] | None = None,
    given_up: Collection[int] = (),
) -> Received:
    """Take in all of an order, or so much of each part named, at the price of the order or at that of the bill.

    Everything goes to the bin named, or each part to that of `bins`, else to the bin where it was put last. `prices`
    are those of the bill that are not as ordered, by part; what is still to come of these is expected at the price of
    the bill too. What has not come of the rows numbered `given_up` is not coming any more. Raises Forbidden for more
    than was ordered, and for an order that is received or cancelled.
    """
    known = find_order(shop, ref)
    place = find_bin(shop, bin).id if bin else None
    places = {find_part(shop, part).id: find_bin(shop, name).id for part, name in (bins or {}).items()}
    parts = {find_part(shop, part): qty for part, qty in (lines or {}).items()}
    if len(parts) < len(lines or ()):
        raise BadInput(f"Order {known.code} was not received.", "A part is named twice.", "Name it once.")
    arrived = {part.id: read_qty(qty, part.unit) for part, qty in parts.items()}
    billed = {find_part(shop, part): price for part, price in (prices or {}).items()}
    with action(shop, f"Receive order {known.code}") as work:
        order = _open_order(work, known, "received")
        rows = _rows(work, known.id)
        for part, price in billed.items():
            for row in _rows_still_open(known, rows, part):
                row.price_micros, row.per_qty = read_price(price.micros, part.key), read_per_qty(price.per_qty)
        moves = []
        for row in rows:
            open_qty = row.qty - row.received_qty
            many = open_qty if lines is None else min(open_qty, arrived.get(row.part_id, 0))
            if many:
                arrived[row.part_id] = arrived.get(row.part_id, many) - many
                into = places.get(row.part_id) or place or _last_bin(shop, work, row.part_id)
                moves.append(_arrival(row, many, into))
                row.received_qty += many
        _refuse_surplus(work, known, arrived)
        rows = _without_rest(work, rows, given_up)
        still_open = sum(row.qty - row.received_qty for row in rows)
        order.state = _state(rows)
        ledger.post(work, moves)
    return Received(len(moves), sum(move.bin_qty for move in moves), still_open, order.state)


def _open_order(work: Work, known: Named, done: str) -> Purchase:
    order = the(work, Purchase, known.id)
    if order.state not in ("placed", "drafted"):
        raise Forbidden(f"Order {known.code} was not {done}.", f"It is {order.state} already.")
    return order


def _rows_still_open(known: Named, rows: Sequence[PurchaseLine], part: PartNamed) -> list[PurchaseLine]:
    found = [row for row in rows if row.part_id == part.id and row.qty > row.received_qty]
    if not found:
        raise BadInput(
            f"Order {known.code} was not received.",
            f"A price is given for {part.key}, and none is to come.",
            "Leave it out.",
        )
    return found


def _arrival(row: PurchaseLine, many: int, place: int) -> Move:
    """The movement for so many of an order's row. Prices are rounded so that all deliveries together cost the whole."""
    value = None
    if row.price_micros is not None:
        before = line_micros(row.received_qty, row.price_micros, row.per_qty)
        value = line_micros(row.received_qty + many, row.price_micros, row.per_qty) - before
    return Move("received", row.part_id, place, many, value_micros=value, purchase_line_id=row.id)


def _last_bin(shop: Workshop, work: Work, part: int) -> int:
    place = kitting.last_bin(shop.reads, part)
    if place is None:
        key = the(work, Part, part).key
        raise BadInput("Nothing was received.", f"{key} has not been in any bin yet.", "Name a bin for it.")
    return place


def _without_rest(work: Work, rows: Sequence[PurchaseLine], given_up: Collection[int]) -> list[PurchaseLine]:
    """The rows of an order, those given up cut to what has come of them; one of which nothing came goes."""
    kept = []
    for row in rows:
        if row.id in given_up and not row.received_qty:
            remove(work, row)
            continue
        if row.id in given_up:
            row.qty = row.received_qty
        kept.append(row)
    return kept


def _refuse_surplus(work: Work, known: Named, arrived: Mapping[int, int]) -> None:
    for part, more in arrived.items():
        if more > 0:
            key = the(work, Part, part).key
            raise Forbidden(
                f"Order {known.code} was not received.",
                f"{more} more of {key} came than are on order.",
                "Receive what was ordered, and the rest by itself.",
            )
