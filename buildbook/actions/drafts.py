"""Orders before and after they are placed: drafted, changed by hand, placed, confirmed by the supplier, moved.

A draft is not coming and cannot be received. What it costs beside the goods is as the supplier's terms have it until
that is said by hand; placing it writes down what holds on that day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from buildbook.actions.buying import OrderLine, line_row, new_order, read_per_qty, read_price, read_ref
from buildbook.actions.order_rows import is_told_of, keep_changed, keep_state, open_order, rows_of
from buildbook.actions.order_terms import goods_of, record_terms
from buildbook.actions.reading import read_day, read_qty, read_text
from buildbook.actions.rows import remove, the
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, action
from buildbook.store.read.naming import find_order, find_part, find_supplier
from buildbook.store.tables import Part, Purchase, PurchaseLine
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, fold

# Neither a bill nor a workshop's purse goes further.
MOST_BESIDE_MICROS = 10**15


class RowChange(NamedTuple):
    """So much of a part in an order, at that price; the price of a row that is there stays when none is given."""

    part: str
    qty: int | str
    price_micros: int | None = None
    per_qty: int = 1
    order_code: str = ""


class Beside(NamedTuple):
    """What is said by hand of the bill beside the goods, in millionths; None for what is as the terms have it."""

    discount_micros: int | None = None
    shipping_micros: int | None = None
    tax_micros: int | None = None


AS_TERMS = Beside()


def draft_order(
    shop: Workshop, ref: str, supplier: str, lines: Sequence[OrderLine], *, due_on: str = "", note: str = ""
) -> str:
    """Draft an order and return its reference, one made from the supplier's code where none is given."""
    seller = find_supplier(shop, supplier).code
    named = read_ref(ref) if ref.strip() else next_refs(shop, [seller])[0]
    with action(shop, f"Draft order {named} with {seller}") as work:
        purchase = Purchase(ref=named, supplier_id=0, state="drafted", due_on=read_day(due_on))
        purchase.note = read_text(note, "note")
        new_order(work, purchase, seller, lines)
    return named


def draft_orders(shop: Workshop, orders: Mapping[str, Sequence[OrderLine]]) -> tuple[str, ...]:
    """Draft one order with each of these suppliers, as one action; return their references."""
    sellers = [find_supplier(shop, supplier).code for supplier in orders]
    refs = next_refs(shop, sellers)
    with action(shop, f"Draft {len(refs)} order{'s' if len(refs) > 1 else ''}: {', '.join(refs)}") as work:
        for ref, seller, lines in zip(refs, sellers, orders.values(), strict=True):
            new_order(work, Purchase(ref=ref, supplier_id=0, state="drafted"), seller, lines)
    return tuple(refs)


def next_refs(shop: Workshop, sellers: Sequence[str]) -> list[str]:
    """For each supplier a reference that no order has: the code and a number."""
    taken = {fold(ref) for (ref,) in shop.reads.execute("SELECT ref FROM purchase")}
    refs = []
    for seller in sellers:
        number = next(one for one in range(1, len(taken) + 2) if fold(f"{seller}-{one}") not in taken)
        refs.append(f"{seller}-{number}")
        taken.add(fold(refs[-1]))
    return refs


def alter_order(
    shop: Workshop,
    ref: str,
    *,
    lines: Sequence[RowChange] = (),
    off: Sequence[str] = (),
    beside: Beside | None = None,
    due_on: str | None = None,
    note: str | None = None,
) -> str:
    """Change a draft or an order under way by hand, as one action; return its reference.

    Each of `lines` sets the quantity (and price) of the one row of its part, or adds a row; the rows of the parts in
    `off` go. `beside` is the bill beside the goods as said by hand, `AS_TERMS` what the supplier's terms say. Raises
    Forbidden for less than has arrived, and for an order that would have no row left.
    """
    known = find_order(shop, ref)
    with action(shop, f"Change order {known.code}") as work:
        order = open_order(work, known, "changed", "drafted", "placed")
        for line in lines:
            _set_row(work, order, line)
        for part in off:
            _take_off(work, order, part)
        if due_on is not None:
            order.due_on = read_day(due_on)
        if note is not None:
            order.note = read_text(note, "note")
        if beside is not None:
            _set_beside(work, order, beside)
        keep_state(order, rows_of(work, known.id))
    return known.code


def _only_row(work: Work, order: Purchase, part: int) -> PurchaseLine | None:
    rows = [row for row in rows_of(work, order.id or 0) if row.part_id == part]
    if len(rows) > 1:
        key = the(work, Part, part).key
        numbers = " and ".join(str(row.id) for row in rows)
        raise BadInput(f"Order {order.ref} has several rows of {key}.", f"There are {numbers}.", "Change one of them.")
    return rows[0] if rows else None


def _set_row(work: Work, order: Purchase, line: RowChange) -> None:
    part = find_part(work.shop, line.part)
    qty, row = read_qty(line.qty, part.unit), _only_row(work, order, part.id)
    if row is None:
        new = OrderLine(part.key, qty, line.price_micros, line.per_qty, line.order_code)
        work.insert_many(PurchaseLine, [line_row(order.id or 0, part.id, new)])
        return
    row.qty, was = qty, row.per_qty
    if line.price_micros is not None:
        row.price_micros, row.per_qty = read_price(line.price_micros, part.key), read_per_qty(line.per_qty)
    if line.order_code:
        row.order_code = clean(line.order_code)
    keep_changed(work, f"{part.key} of order {order.ref} was not changed.", row, was)


def _take_off(work: Work, order: Purchase, part: str) -> None:
    named = find_part(work.shop, part)
    row = _only_row(work, order, named.id)
    what = f"{named.key} was not taken off order {order.ref}."
    if row is None:
        raise BadInput(what, "There is no row of it.", "See `buildbook buying orders`.")
    if row.received_qty or is_told_of(work, row.id or 0):
        raise Forbidden(what, "A parcel brought or told of it.", "Order no more of it than has come.")
    if len(rows_of(work, order.id or 0)) == 1:
        raise Forbidden(what, "Nothing else is on order.", "Cancel the whole order.")
    remove(work, row)


def _set_beside(work: Work, order: Purchase, beside: Beside) -> None:
    """By hand, what is not said stays as it was said before; a draft as the terms have it keeps nothing written."""
    for micros in beside:
        if micros is not None and not 0 <= micros <= MOST_BESIDE_MICROS:
            raise BadInput(f"Order {order.ref} was not changed.", "A sum is less than nothing, or too much.", "")
    if beside == AS_TERMS and order.state == "drafted":
        order.discount_micros, order.shipping_micros, order.tax_micros = 0, None, None
        return
    by_hand = order.shipping_micros is not None and beside != AS_TERMS
    tax_before = order.tax_micros if by_hand else None
    record_terms(
        work,
        order,
        discount_micros=_said(beside.discount_micros, order.discount_micros if by_hand else None),
        shipping_micros=_said(beside.shipping_micros, order.shipping_micros if by_hand else None),
        tax_micros=_said(beside.tax_micros, tax_before),
    )
    if order.state == "drafted":  # what is not said goes on following the terms
        order.tax_micros = _said(beside.tax_micros, tax_before)
    goods = goods_of(rows_of(work, order.id or 0))
    if goods is not None and order.discount_micros > goods:
        raise BadInput(f"Order {order.ref} was not changed.", "The discount is more than the goods.", "Give less.")


def _said(now: int | None, before: int | None) -> int | None:
    return before if now is None else now


def place_draft(shop: Workshop, ref: str, *, placed_on: str = "", due_on: str = "") -> str:
    """Place a draft and return its reference: it is coming from now on, and the terms of today go with it."""
    known = find_order(shop, ref)
    with action(shop, f"Place order {known.code}") as work:
        order = open_order(work, known, "placed", "drafted")
        order.state, order.placed_on = "placed", read_day(placed_on) or work.at[:10]
        order.due_on = read_day(due_on) or order.due_on
        by_hand = order.shipping_micros is not None
        record_terms(
            work,
            order,
            discount_micros=order.discount_micros if by_hand else None,
            shipping_micros=order.shipping_micros,
            tax_micros=order.tax_micros,
        )
    return known.code


def confirm_order(
    shop: Workshop,
    ref: str,
    *,
    on: str = "",
    due_on: str = "",
    lines: Mapping[str, str] | None = None,
    beside: Beside = AS_TERMS,
) -> str:
    """Write down that the supplier has confirmed an order (today, unless `on` is given), and what was confirmed.

    `due_on` is for the whole order, `lines` gives days of single parts; what is given in `beside` is as confirmed.
    Raises Forbidden for an order that is not under way.
    """
    known = find_order(shop, ref)
    with action(shop, f"Confirm order {known.code}") as work:
        order = open_order(work, known, "confirmed", "placed")
        order.confirmed_on = read_day(on) or work.at[:10]
        if due_on:
            _move(work, order, None, read_day(due_on))
        for part, day in (lines or {}).items():
            _move(work, order, find_part(shop, part).id, read_day(day))
        if beside != AS_TERMS:
            _set_beside(work, order, beside)
    return known.code


def move_order(shop: Workshop, ref: str, day: str, part: str | int = "") -> str:
    """Move the day on which an order, or one part of it, is due; return the day it was due before, "" for none.

    Moved as a whole, all that is still to come is due then. A row may be named by its number.
    """
    known, on = find_order(shop, ref), read_day(day)
    named = None if part == "" or isinstance(part, int) else find_part(shop, part)
    row = part if isinstance(part, int) else None
    before = _due(shop, known.id, named.id if named else None, row)
    what = f"{named.key} of order {known.code}" if named else f"a row of order {known.code}" if row else known.code
    title = f"Move {what if named or row else f'order {what}'} from {before or 'no day'} to {on or 'no day'}"
    with action(shop, title) as work:
        order = open_order(work, known, "moved", "drafted", "placed")
        _move(work, order, named.id if named else None, on, row=row)
    return before


def _due(shop: Workshop, order: int, part: int | None, row: int | None) -> str:
    """When the order was due, or the first of what is to come of a part or a row."""
    found = shop.reads.execute(
        """SELECT coalesce(min(coalesce(nullif(l.due_on, ''), p.due_on)), '')
             FROM purchase AS p JOIN purchase_line AS l ON l.purchase_id = p.id
            WHERE p.id = ?1 AND (?2 IS NULL OR l.part_id = ?2) AND (?3 IS NULL OR l.id = ?3)
              AND l.received_qty < l.qty""",
        (order, part, row),
    ).fetchone()
    return str(found[0])


def _move(work: Work, order: Purchase, part: int | None, on: str, *, row: int | None = None) -> None:
    rows = [one for one in rows_of(work, order.id or 0) if part in (None, one.part_id) and row in (None, one.id)]
    if not rows:
        raise BadInput(f"Order {order.ref} was not moved.", "It has no such row.", "See `buildbook buying orders`.")
    whole = part is None and row is None
    if whole:
        order.due_on = on
    for one in rows:
        if one.qty > one.received_qty:
            one.due_on = "" if whole else on
