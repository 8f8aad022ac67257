"""What is bought: suppliers, what they offer, and orders from placing to arrival."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import func
from sqlmodel import select

from buildbook.actions.order_rows import is_told_of, keep_changed, keep_state, open_order, row_meant, rows_of
from buildbook.actions.order_terms import record_terms
from buildbook.actions.reading import read_code, read_count, read_day, read_qty, read_text
from buildbook.actions.rows import change, put, refuse_taken, remove, the
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, action
from buildbook.store.ledger import MOST_WORTH_MICROS
from buildbook.store.read.naming import find_order, find_parts, find_supplier
from buildbook.store.tables import Part, Purchase, PurchaseLine, Supplier
from buildbook.store.workshop import Workshop
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
    """Place an order and return its reference; what is ordered is coming from now on. Days are ISO 8601.

    What it costs beside the goods by the terms of today, and the rate of a foreign supplier's currency, go with it.
    """
    named = read_ref(ref)
    with action(shop, f"Place order {named} with {find_supplier(shop, supplier).code}") as work:
        purchase = Purchase(ref=named, supplier_id=0, due_on=read_day(due_on))
        purchase.placed_on = read_day(placed_on) or work.at[:10]
        new_order(work, purchase, supplier, lines)
        record_terms(work, purchase)
    return named


def new_order(work: Work, purchase: Purchase, supplier: str, lines: Sequence[OrderLine]) -> None:
    """Write an order down with its rows. Raises BadInput for a reference that is taken and for nothing ordered."""
    what = f"Order {purchase.ref} was not {purchase.state}."
    parts = find_parts(work.shop, (line.part for line in lines))
    if not lines:
        raise BadInput(what, "Nothing is ordered.", "Give one row or more.")
    if work.exec(select(Purchase).where(func.lower(Purchase.ref) == fold(purchase.ref))).first():
        raise BadInput(what, "There is one of that reference.", "Choose another.")
    purchase.supplier_id = find_supplier(work.shop, supplier).id
    order = put(work, purchase)
    work.insert_many(PurchaseLine, [line_row(order, parts[fold(line.part)].id, line) for line in lines])


def read_ref(ref: str) -> str:
    """The reference of an order, cleaned."""
    plain = clean(ref, limit=40, what="reference")
    if not plain:
        raise BadInput("The order was not placed.", "It has no reference.", "Give one of your own, or the supplier's.")
    return plain


def line_row(order: int, part: int, line: OrderLine) -> dict[str, int | str | None]:
    """A row of an order as it is kept."""
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
    what = f"The price of {part} was not taken."
    if price_micros < 0:
        raise BadInput(what, "It is less than nothing.", "Give another price.")
    if price_micros > MOST_WORTH_MICROS:
        raise BadInput(what, f"It is more than {MOST_WORTH_MICROS // 10**6:,}.", "Give another price.")
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
        order = open_order(work, known, "changed", "placed", "drafted")
        rows = rows_of(work, known.id)
        row = row_meant(shop, known, rows, part)
        named = the(work, Part, row.part_id)
        refuse_stale(f"{named.key} of order {known.code}", row, expected, named.unit)
        was = row.per_qty
        change(
            row,
            qty=None if qty is None else read_qty(qty, named.unit),
            price_micros=None if price_micros is None else read_price(price_micros, named.key),
            per_qty=None if per_qty is None else read_per_qty(per_qty),
            due_on=None if due_on is None else read_day(due_on),
        )
        keep_changed(work, f"{named.key} of order {known.code} was not changed.", row, was)
        keep_state(order, rows)
        return row.id or 0


def drop_order_line(shop: Workshop, ref: str, part: str | int) -> None:
    """Take a row, named by its part or its number, off an order. Raises Forbidden for one of which some has arrived."""
    known = find_order(shop, ref)
    with action(shop, f"Take a row off order {known.code}") as work:
        order = open_order(work, known, "changed", "placed", "drafted")
        rows = rows_of(work, known.id)
        row = row_meant(shop, known, rows, part)
        key = the(work, Part, row.part_id).key
        what = f"{key} was not taken off order {known.code}."
        if row.received_qty:
            raise Forbidden(what, f"{row.received_qty} of it have arrived.", "Order no more of it than that.")
        if is_told_of(work, row.id or 0):
            raise Forbidden(what, "A parcel told of it.", "Settle what is open of it.")
        if len(rows) == 1:
            raise Forbidden(what, "Nothing else is on order.", "Cancel the whole order.")
        keep_state(order, [one for one in rows if one is not row])
        remove(work, row)


def cancel_order(shop: Workshop, ref: str) -> str:
    """Cancel an order; return its reference. What has arrived of it stays; the rest is no longer coming."""
    known = find_order(shop, ref)
    with action(shop, f"Cancel order {known.code}") as work:
        order = open_order(work, known, "cancelled", "placed", "drafted")
        order.state = "cancelled"
    return known.code
