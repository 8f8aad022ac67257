"""What a part has cost over time: asked now, asked before, paid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.stores import part_named
from buildbook.store.read import price_history as read
from buildbook.store.read.price_history import PriceRow as PriceRow

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class PriceHistory(Answer):
    """The prices of a part, those that hold first; `what` is "asked now", "asked until" or "ordered"."""

    SCHEMA: ClassVar[str] = "buildbook.price-history/1"
    key: str
    unit: str
    rows: tuple[PriceRow, ...]


def price_history(shop: Workshop, part: str) -> PriceHistory:
    """Every price that was written down for a part. Raises BadInput for an unknown name."""
    known, own = part_named(shop, part), currency_of(shop)
    rows = tuple(row._replace(currency=row.currency or own) for row in read.prices(shop.reads, known.id))
    now = sum(row.what == "asked now" for row in rows)
    said = f"{count_of(now, 'price')} asked now, {len(rows) - now} before" if rows else "no price is known"
    return PriceHistory(f"{known.key}: {said}.", known.key, known.unit, rows)
