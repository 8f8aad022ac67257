"""What the plot of a part's prices draws, as plain figures: the same on the screen and on paper."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.offers import currency_of
from buildbook.answers.price_history import PriceRow, price_history
from buildbook.store.read.order_plan import rates as read_rates
from buildbook.trade.money import line_micros, show_price
from buildbook.trade.rates import converted

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

ORDERED, NOW = "ordered", "asked now"
MANY = {"pc": 1}
THOUSAND = 1000


class PriceSpan(NamedTuple):
    """What a supplier asked from `begin` to `end`, both ISO 8601 days, or what was paid for it on one.

    `micros` is for `PriceCurve.per_qty` base units, in millionths of its currency. Since when a price held is known
    only where another ended before it; else `begin` is `end`.
    """

    supplier: str
    begin: str
    end: str
    micros: int
    paid: bool


class PriceCurve(NamedTuple):
    """The prices of a part, the oldest first; how many are left out, being in a currency without a rate."""

    key: str
    unit: str
    currency: str
    per_qty: int
    today: str
    spans: tuple[PriceSpan, ...]
    left_out: int
    said: str


def price_curve(shop: Workshop, part: str) -> PriceCurve:
    """What a part cost over time, at the least quantity of each offer. Raises BadInput for an unknown name."""
    answer, own = price_history(shop, part), currency_of(shop)
    rates = {own: "1", **read_rates(shop.reads)}
    known = [row for row in answer.rows if row.currency in rates]
    today = shop.now()[:10]
    per_qty = MANY.get(answer.unit, THOUSAND)

    def worth(row: PriceRow) -> int:
        return converted(line_micros(per_qty, row.price_micros, row.per_qty), rates[row.currency])

    spans = [PriceSpan(row.supplier, row.day, row.day, worth(row), paid=True) for row in known if row.what == ORDERED]
    asked = sorted((row for row in known if row.what != ORDERED), key=lambda row: _place(row, today))
    for (supplier, _), rows in groupby(asked, key=lambda row: (row.supplier, row.order_code)):
        before = ""
        for (day, _), breaks in groupby(rows, key=lambda row: (row.day or today, row.what)):
            spans.append(PriceSpan(supplier, before or day, day, worth(next(breaks)), paid=False))
            before = day
    spans.sort(key=lambda span: (span.end, span.begin, span.supplier))
    left_out = len(answer.rows) - len(known)
    said = _said(answer.key, spans, own, left_out)
    return PriceCurve(answer.key, answer.unit, own, per_qty, today, tuple(spans), left_out, said)


def _place(row: PriceRow, today: str) -> tuple[str, str, str, bool, int]:
    """By offer, then by day; of a day what was replaced before what holds, and the least quantity first."""
    return row.supplier, row.order_code, row.day or today, row.what == NOW, row.from_qty


def _said(key: str, spans: list[PriceSpan], currency: str, left_out: int) -> str:
    if not spans:
        said = f"{key}: no price is known"
    else:
        low, high = min(spans, key=lambda span: span.micros), max(spans, key=lambda span: span.micros)
        said = f"{key}: from {show_price(low.micros, currency)} {currency} ({low.supplier}, {low.end})"
        said += f" to {show_price(high.micros, currency)} ({high.supplier}, {high.end})" if low != high else ""
    more = f"; {left_out} in a currency without a rate" if left_out else ""
    return f"{said}{more}."
