"""The offers of the suppliers as the computations want them: per part, with their price breaks."""

from __future__ import annotations

from collections.abc import Collection
from itertools import groupby
from typing import TYPE_CHECKING

from buildbook.reckon.purchase import Break, Offer
from buildbook.store.read import buying as read
from buildbook.store.read import order_plan as read_terms
from buildbook.trade.money import DEFAULT_CURRENCY
from buildbook.trade.rates import Rates

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


def offers_for(shop: Workshop, parts: Collection[int] | None = None) -> dict[int, list[Offer]]:
    """The offers of these parts (of all, when None) that can be ordered from, per part; prices in the workshop's money.

    Those that have expired, that are banned themselves or by their supplier, and those in a currency without a rate are
    left out.
    """
    found: dict[int, list[Offer]] = {}
    rates, today = Rates(currency_of(shop), read_terms.rates(shop.reads)), shop.clock().date().isoformat()
    sellers = read_terms.suppliers(shop.reads)
    for _, rows in groupby(read.offer_breaks(shop.reads, parts), key=lambda row: row.offer):
        breaks = list(rows)
        first = breaks[0]
        seller = sellers[first.supplier]
        currency = first.currency or seller.currency
        expired = "" < first.valid_until < today
        if expired or "banned" in (first.standing, seller.standing) or not rates.known(currency):
            continue
        offer = Offer(
            offer=first.offer,
            supplier=first.supplier,
            part=first.part,
            per_qty=first.per_qty,
            pack_qty=first.pack_qty,
            min_qty=first.min_qty,
            breaks=tuple(Break(row.from_qty, rates.here(row.price_micros, currency)) for row in breaks),
            order_code=first.order_code,
        )
        found.setdefault(first.part, []).append(offer)
    return found


def currency_of(shop: Workshop) -> str:
    """The currency of the workshop (ISO 4217)."""
    return read.setting(shop.reads, "currency", DEFAULT_CURRENCY)
