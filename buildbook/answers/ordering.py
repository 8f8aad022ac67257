"""What to order from whom: for every part that is short, its cheapest offer, with what it is for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.buying import ShortRow, short_rows
from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of, offers_for
from buildbook.answers.standing import builds_that_count, find_build, stand
from buildbook.reckon.purchase import Buy, cheapest
from buildbook.store.read import boards as read_boards
from buildbook.store.read import buying as read
from buildbook.store.read.naming import find_part, find_supplier
from buildbook.store.read.standing import LineNeed
from buildbook.store.read.stores import PartRow, parts_by_number
from buildbook.trade.money import show_money
from buildbook.trade.units import Unit

if TYPE_CHECKING:
    from buildbook.reckon.cover import Share
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class OrderLine:
    """What to order of one part: `qty` is rounded to packs; `refs` tell what it is for."""

    supplier: str
    supplier_name: str
    order_code: str
    key: str
    name: str
    value: str
    package: str
    maker_number: str
    unit: str
    short: int
    qty: int
    price_micros: int
    per_qty: int
    amount_micros: int
    refs: str


@dataclass(frozen=True, slots=True)
class ToOrder(Answer):
    """What to order from whom: for each part that is short its cheapest offer; and the parts nobody offers."""

    SCHEMA: ClassVar[str] = "buildbook.to-order/1"
    currency: str
    total_micros: int
    rows: tuple[OrderLine, ...]
    unpriced: tuple[ShortRow, ...]


def to_order(shop: Workshop, build: str | None = None) -> ToOrder:
    """The parts to order, by supplier: each part where its whole quantity costs least, packs and breaks reckoned in.

    For one build, or for all that are planned or under way.
    """
    known = builds_that_count(shop)
    chosen = find_build(known, build) if build else None
    wanted = {chosen.id} if chosen else {one.id for one in known}
    standing = stand(shop, closely=wanted)
    by_build = standing.lines_by_build()
    pairs = [pair for one in wanted for pair in by_build.get(one, ())]
    lacking = [row for row in short_rows(shop, pairs, standing) if row.short]
    numbers = {row.part for row in lacking}
    offers = offers_for(shop, numbers)
    buys = {row.part: cheapest(offers.get(row.part, ()), row.short) for row in lacking}
    codes = {offer.offer: offer.order_code for some in offers.values() for offer in some}
    parts = parts_by_number(shop.reads, numbers)
    suppliers = read.suppliers(shop.reads)
    uses = what_for(shop, pairs)
    rows = [
        order_line(parts[part], buy, suppliers[buy.supplier], codes[buy.offer], uses[part])
        for part, buy in buys.items()
        if buy
    ]
    rows.sort(key=lambda row: (row.supplier, row.order_code, row.key))
    unpriced = tuple(row for row in lacking if buys[row.part] is None)
    total = sum(row.amount_micros for row in rows)
    currency = currency_of(shop)
    return ToOrder(order_sentence(rows, unpriced, total, currency), currency, total, tuple(rows), unpriced)


def supplier_named(shop: Workshop, code: str) -> str:
    """The code of a supplier as written in the workshop; raises BadInput for one that is not known."""
    return find_supplier(shop, code).code


def unit_of(shop: Workshop, part: str) -> Unit:
    """The unit in which a part is counted; raises BadInput for one that is not known."""
    return Unit(find_part(shop, part).unit)


def what_for(shop: Workshop, pairs: Iterable[tuple[LineNeed, Share]]) -> dict[int, str]:
    """For each part that is short: the sections and reference designators that lack it."""
    assemblies = read_boards.assemblies(shop.reads)
    lacking = [need for need, share in pairs if share.short]
    refs = read_boards.refs_of_lines(shop.reads, {need.line for need in lacking})
    found: dict[int, dict[str, None]] = {}
    for need in lacking:
        said = f"{assemblies[need.assembly].path} {refs[need.line]}".rstrip()
        found.setdefault(need.part, {})[said] = None
    return {part: "; ".join(said) for part, said in found.items()}


def order_line(part: PartRow, buy: Buy, supplier: read.SupplierRow, order_code: str, refs: str) -> OrderLine:
    """One row to order."""
    return OrderLine(
        supplier=supplier.code,
        supplier_name=supplier.name,
        order_code=order_code,
        key=part.key,
        name=part.name,
        value=part.value,
        package=part.package,
        maker_number=part.maker_number,
        unit=part.unit,
        short=buy.need,
        qty=buy.qty,
        price_micros=buy.price_micros,
        per_qty=buy.per_qty,
        amount_micros=buy.amount_micros,
        refs=refs,
    )


def order_sentence(rows: list[OrderLine], unpriced: tuple[ShortRow, ...], total: int, currency: str) -> str:
    """ "37 parts from 4 suppliers for 412.60 EUR; 2 parts nobody offers: X, Y."""
    if not rows and not unpriced:
        return "There is nothing to order."
    names = ", ".join(row.key for row in unpriced[:5]) + (", ..." if len(unpriced) > 5 else "")
    if not rows:
        return f"Nothing can be ordered: {count_of(len(unpriced), 'part')} that nobody offers: {names}."
    suppliers = len({row.supplier for row in rows})
    said = f"{count_of(len(rows), 'part')} from {count_of(suppliers, 'supplier')}"
    said += f" for {show_money(total, currency)} {currency}"
    if unpriced:
        said += f"; {count_of(len(unpriced), 'part')} that nobody offers: {names}"
    return said + "."
