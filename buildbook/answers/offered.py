"""What the suppliers ask for one part, every price break of it, and who the suppliers are."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.stores import part_named
from buildbook.store.read import buying as read

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class OfferRow:
    """One offer: from each quantity of `breaks` on, `per_qty` base units cost so many millionths."""

    supplier: str
    supplier_name: str
    order_code: str
    breaks: tuple[tuple[int, int], ...]
    per_qty: int
    pack_qty: int
    min_qty: int
    lead_days: int | None
    valid_until: str


@dataclass(frozen=True, slots=True)
class Offered(Answer):
    """Every offer of one part, by supplier."""

    SCHEMA: ClassVar[str] = "buildbook.offered/1"
    key: str
    unit: str
    currency: str
    rows: tuple[OfferRow, ...]


def offered(shop: Workshop, part: str) -> Offered:
    """What the suppliers ask for a part. Raises BadInput for an unknown name."""
    known = part_named(shop, part)
    sellers = read.suppliers(shop.reads)
    rows = []
    for _, found in groupby(read.offer_breaks(shop.reads, [known.id]), key=lambda row: row.offer):
        breaks = list(found)
        first = breaks[0]
        rows.append(
            OfferRow(
                supplier=sellers[first.supplier].code,
                supplier_name=sellers[first.supplier].name,
                order_code=first.order_code,
                breaks=tuple((row.from_qty, row.price_micros) for row in breaks),
                per_qty=first.per_qty,
                pack_qty=first.pack_qty,
                min_qty=first.min_qty,
                lead_days=first.lead_days,
                valid_until=first.valid_until,
            )
        )
    rows.sort(key=lambda row: (row.supplier, row.order_code))
    said = f"{known.key}: {count_of(len(rows), 'offer')}." if rows else f"Nobody offers {known.key}."
    return Offered(said, known.key, known.unit, currency_of(shop), tuple(rows))


def suppliers(shop: Workshop) -> tuple[tuple[str, str], ...]:
    """Code and name of every supplier, by code."""
    return tuple((row.code, row.name) for row in read.suppliers(shop.reads).values())
