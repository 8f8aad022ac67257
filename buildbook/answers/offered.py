"""What the suppliers ask for one part, every price break of it, and who the suppliers are."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.stores import part_named
from buildbook.store.read import buying as read
from buildbook.store.read import order_plan as read_terms

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class OfferRow:
    """One offer: from each quantity of `breaks` on, `per_qty` base units cost so many millionths of `currency`.

    Only multiples of `multiple_qty` are sold; `seen_qty` is what the supplier had on the day `seen_on`. `left_out` says
    why nothing is ordered from it: expired, banned, or in a currency without a rate.
    """

    supplier: str
    supplier_name: str
    order_code: str
    breaks: tuple[tuple[int, int], ...]
    per_qty: int
    pack_qty: int
    min_qty: int
    lead_days: int | None
    valid_until: str
    currency: str = ""
    standing: str = ""
    multiple_qty: int | None = None
    seen_qty: int | None = None
    seen_on: str = ""
    left_out: str = ""


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
    known, own = part_named(shop, part), currency_of(shop)
    sellers, rates = read_terms.suppliers(shop.reads), read_terms.rates(shop.reads)
    today = shop.now()[:10]
    rows = []
    for _, found in groupby(read.offer_breaks(shop.reads, [known.id]), key=lambda row: row.offer):
        breaks = list(found)
        first, seller = breaks[0], sellers[breaks[0].supplier]
        currency = first.currency or seller.currency or own
        rows.append(
            OfferRow(
                supplier=seller.code,
                supplier_name=seller.name,
                order_code=first.order_code,
                breaks=tuple((row.from_qty, row.price_micros) for row in breaks),
                per_qty=first.per_qty,
                pack_qty=first.pack_qty,
                min_qty=first.min_qty,
                lead_days=first.lead_days,
                valid_until=first.valid_until,
                currency=currency,
                standing=first.standing,
                multiple_qty=first.multiple_qty,
                seen_qty=first.seen_qty,
                seen_on=first.seen_on,
                left_out=_left_out(first, seller, today, "" if currency in (own, *rates) else currency),
            )
        )
    rows.sort(key=lambda row: (row.supplier, row.order_code))
    said = f"{known.key}: {count_of(len(rows), 'offer')}." if rows else f"Nobody offers {known.key}."
    return Offered(said, known.key, known.unit, own, tuple(rows))


def _left_out(first: read.OfferBreakRow, seller: read_terms.SupplierRow, today: str, no_rate: str) -> str:
    if seller.standing == "banned":
        return f"{seller.code} is banned"
    if first.standing == "banned":
        return "the offer is banned"
    if "" < first.valid_until < today:
        return f"valid until {first.valid_until}"
    return f"no rate for {no_rate}" if no_rate else ""


def suppliers(shop: Workshop) -> tuple[tuple[str, str], ...]:
    """Code and name of every supplier, by code."""
    return tuple((row.code, row.name) for row in read.suppliers(shop.reads).values())


class OfferOf(NamedTuple):
    """Whose offer, under what code, of which part."""

    supplier: str
    order_code: str
    key: str


def all_offers(shop: Workshop) -> tuple[OfferOf, ...]:
    """Every offer there is, by supplier and order code."""
    return tuple(OfferOf(*row) for row in read.offer_names(shop.reads))
