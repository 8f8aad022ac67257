"""What arrives is worth its share of postage, discount and tax, where the workshop has set it so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlmodel import col, select

from buildbook.actions.order_rows import rows_of
from buildbook.actions.rows import the
from buildbook.reckon.landed import Extras, Written, extras_by, of_this_parcel, spread
from buildbook.store.journal import Work
from buildbook.store.ledger import Move
from buildbook.store.read import buying, landed
from buildbook.store.tables import Delivery, Purchase
from buildbook.store.workshop import Workshop
from buildbook.trade.money import DEFAULT_CURRENCY, line_micros

NO, WITH_TAX = "no", "yes"


def with_share(shop: Workshop, work: Work, order: Purchase, parcel: int, moves: Sequence[Move]) -> Sequence[Move]:
    """The arrivals of a parcel, each with its share of what the order costs beside the goods, by value.

    A parcel carries as much of it as its goods are of all that is to come, the last one all that is left, and how much
    is written down with it; so all parcels carry the whole, to the millionth. What has no price carries nothing.
    """
    way = buying.setting(shop.reads, "landed_cost", NO)
    priced = [move for move in moves if move.kind == "received" and move.value_micros is not None]
    if way == NO or not priced:
        return moves
    goods = [move.value_micros or 0 for move in priced]
    arriving, whole, still = sum(goods), 0, 0
    for row in rows_of(work, order.id or 0):
        if row.price_micros is not None:
            whole += line_micros(row.qty, row.price_micros, row.per_qty)
            still += line_micros(max(0, row.qty - row.received_qty), row.price_micros, row.per_qty)
    extras = _extras(shop, order, whole)
    parcels = work.exec(select(Delivery).where(col(Delivery.purchase_id) == order.id)).all()
    tax_left = extras.tax_micros * (way == WITH_TAX) - sum(one.tax_micros or 0 for one in parcels)
    left = extras.shipping_micros - extras.discount_micros - sum(one.shipping_micros or 0 for one in parcels)
    tax = of_this_parcel(tax_left, arriving, arriving + still)
    # Nothing is ever worth less than nothing.
    more = max(of_this_parcel(left, arriving, arriving + still), -arriving - tax)
    here = the(work, Delivery, parcel)
    here.shipping_micros, here.tax_micros = (here.shipping_micros or 0) + more, (here.tax_micros or 0) + tax
    shares = iter(spread(more + tax, goods))
    return [
        move if move.kind != "received" or move.value_micros is None else _landed(move, next(shares)) for move in moves
    ]


def _landed(move: Move, share: int) -> Move:
    return replace(move, value_micros=(move.value_micros or 0) + share)


def _extras(shop: Workshop, order: Purchase, goods_micros: int) -> Extras:
    """What the order costs beside the goods, as written down or else by the supplier's terms."""
    own = buying.setting(shop.reads, "currency", DEFAULT_CURRENCY)
    written = Written(order.discount_micros, order.shipping_micros, order.tax_micros)
    return extras_by(written, landed.terms(shop.reads, order.supplier_id, own), goods_micros)
