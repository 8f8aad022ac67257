"""The offers of the suppliers as the computations want them: per part, with their price breaks."""

from __future__ import annotations

from collections.abc import Collection
from itertools import groupby
from typing import TYPE_CHECKING

from buildbook.reckon.purchase import Break, Offer
from buildbook.store.read import buying as read
from buildbook.trade.money import DEFAULT_CURRENCY

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


def offers_for(shop: Workshop, parts: Collection[int] | None = None) -> dict[int, list[Offer]]:
    """Every offer of these parts (of all, when None), per part."""
    found: dict[int, list[Offer]] = {}
    for _, rows in groupby(read.offer_breaks(shop.reads, parts), key=lambda row: row.offer):
        breaks = list(rows)
        first = breaks[0]
        offer = Offer(
            offer=first.offer,
            supplier=first.supplier,
            part=first.part,
            per_qty=first.per_qty,
            pack_qty=first.pack_qty,
            min_qty=first.min_qty,
            breaks=tuple(Break(row.from_qty, row.price_micros) for row in breaks),
            order_code=first.order_code,
        )
        found.setdefault(first.part, []).append(offer)
    return found


def currency_of(shop: Workshop) -> str:
    """The currency of the workshop (ISO 4217)."""
    return read.setting(shop.reads, "currency", DEFAULT_CURRENCY)
