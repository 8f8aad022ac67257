"""What each line of an order costs once it is in the drawer: its goods, and its share of postage, discount and tax."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, join_words
from buildbook.answers.offers import currency_of
from buildbook.reckon.landed import Extras, Landed, extras_by, land
from buildbook.store.read import landed as read
from buildbook.store.read import order_plan as read_terms
from buildbook.store.read.buying import setting
from buildbook.store.read.naming import find_order
from buildbook.trade.money import line_micros, show_money

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

WRITTEN, RECKONED, NOT_KNOWN = "as written down", "by the supplier's terms", "not known: no rate"


@dataclass(frozen=True, slots=True)
class LandedRow:
    """One line: its goods at the order's price, its share of the rest, both together, and for one base unit of it.

    `goods_micros` and `each_micros` are None where nobody knows the price; such a line has no share. `each_micros` is
    rounded. `booked_micros` is what the stores took it in at, so far.
    """

    line: int
    key: str
    name: str
    unit: str
    qty: int
    received_qty: int
    goods_micros: int | None
    share_micros: int
    landed_micros: int
    each_micros: int | None
    booked_micros: int


@dataclass(frozen=True, slots=True)
class LandedCost(Answer):
    """The cost of an order in millionths of `currency`; the landed lines sum to `total_micros` exactly.

    `shipping_from` and `tax_from` say where the two come from. `carried_micros` is what parcels have carried of
    postage, tax and discount into the worth of the stock, so far; `into_stock` is the workshop's setting on that:
    "no", "yes", or "without tax" where tax is got back.
    """

    SCHEMA: ClassVar[str] = "buildbook.landed/1"
    order: str
    supplier: str
    currency: str
    goods_micros: int
    discount_micros: int
    shipping_micros: int
    shipping_from: str
    tax_micros: int
    tax_from: str
    total_micros: int
    carried_micros: int
    into_stock: str
    rows: tuple[LandedRow, ...]


def landed(shop: Workshop, order: str) -> LandedCost:
    """What the lines of an order cost once they are there. Raises BadInput for an unknown order."""
    known, currency = find_order(shop, order), currency_of(shop)
    rows = read.goods(shop.reads, known.id)
    goods = [_goods(row) for row in rows]
    told = read.bill(shop.reads, known.id)
    terms = read.terms(shop.reads, told.supplier, currency)
    terms_from = RECKONED if terms else NOT_KNOWN
    extras = extras_by(told.written, terms, sum(one or 0 for one in goods))
    lines = spread_over(goods, extras.net_micros)
    seller = read_terms.suppliers(shop.reads)[told.supplier].code
    total = sum(line.landed_micros for line in lines)
    return LandedCost(
        sentence=_sentence(known.code, extras, sum(one or 0 for one in goods), total, currency, goods.count(None)),
        order=known.code,
        supplier=seller,
        currency=currency,
        goods_micros=sum(one or 0 for one in goods),
        discount_micros=extras.discount_micros,
        shipping_micros=extras.shipping_micros,
        shipping_from=terms_from if told.written.shipping_micros is None else WRITTEN,
        tax_micros=extras.tax_micros,
        tax_from=terms_from if told.written.tax_micros is None else WRITTEN,
        total_micros=total,
        carried_micros=told.carried_micros,
        into_stock=setting(shop.reads, "landed_cost", "no"),
        rows=tuple(_row(row, one, line) for row, one, line in zip(rows, goods, lines, strict=True)),
    )


def spread_over(goods: Sequence[int | None], extras_micros: int) -> list[Landed]:
    """Each line with its share by value; one of which nobody knows the price takes none.

    >>> [line.share_micros for line in spread_over([3_000_000, None, 1_000_000], 400_000)]
    [300000, 0, 100000]
    """
    priced = [one for one in goods if one is not None]
    found = iter(land(priced, extras_micros) if priced else ())
    return [Landed(0, 0) if one is None else next(found) for one in goods]


def _goods(row: read.GoodsRow) -> int | None:
    return None if row.price_micros is None else line_micros(row.qty, row.price_micros, row.per_qty)


def _row(row: read.GoodsRow, goods: int | None, line: Landed) -> LandedRow:
    return LandedRow(
        line=row.line,
        key=row.key,
        name=row.name,
        unit=row.unit,
        qty=row.qty,
        received_qty=row.received_qty,
        goods_micros=goods,
        share_micros=line.share_micros,
        landed_micros=line.landed_micros,
        each_micros=None if goods is None else line_micros(1, line.landed_micros, row.qty),
        booked_micros=row.booked_micros,
    )


def _sentence(order: str, extras: Extras, goods: int, total: int, currency: str, unpriced: int) -> str:
    named = (
        (extras.shipping_micros, "postage"),
        (extras.tax_micros, "tax"),
        (-extras.discount_micros, "discount"),
    )
    more = [f"{what} {show_money(micros, currency)}" for micros, what in named if micros]
    said = f"Order {order}: goods {show_money(goods, currency)}"
    said += (
        f", {join_words(more)}, landed {show_money(total, currency)} {currency}" if more else f" {currency}, no more"
    )
    if unpriced:
        said += f"; {unpriced} {'line has' if unpriced == 1 else 'lines have'} no price and no share"
    return said + "."
