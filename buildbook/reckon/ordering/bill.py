"""What one order costs: goods, less the discount they reach, with shipping and tax."""

from __future__ import annotations

from bisect import bisect_right
from itertools import combinations
from typing import NamedTuple

from buildbook.reckon.ordering.asked import WHOLE_BP, Step, Terms
from buildbook.trade.figures import half_even

# Beyond what any workshop spends; the last stretch of terms ends here.
MOST_GOODS_MICROS = 10**13


class Bill(NamedTuple):
    """One supplier's bill in millionths; `short_micros` is what the goods lack to the least order he takes."""

    supplier: int
    goods_micros: int
    discount_micros: int
    shipping_micros: int
    tax_micros: int
    total_micros: int
    short_micros: int = 0


class Stretch(NamedTuple):
    """Goods worth from `low_micros` to `high_micros` have one discount and one price of shipping."""

    low_micros: int
    high_micros: int
    discount_bp: int
    shipping_micros: int


def stretches(terms: Terms) -> list[Stretch]:
    """Part the worth of an order where the terms change; what is below the least order is left out.

    >>> [s.shipping_micros for s in stretches(Terms(1, shipping_micros=6, free_shipping_from_micros=50))]
    [6, 0]
    """
    free = terms.free_shipping_from_micros
    marks = {0, terms.least_order_micros, *(step.from_micros for step in (*terms.discounts, *terms.shipping_steps))}
    if free is not None:
        marks.add(free)
    lows = sorted(mark for mark in marks if mark >= terms.least_order_micros)
    highs = [low - 1 for low in lows[1:]] + [MOST_GOODS_MICROS]
    return [
        Stretch(low, high, _discount_bp(terms, low), _shipping(terms, low))
        for low, high in zip(lows, highs, strict=True)
    ]


def bill(terms: Terms, goods_micros: int) -> Bill:
    """Write the bill for goods of this worth. Below the least order it says how much is missing.

    >>> bill(Terms(2, shipping_micros=5_000_000, discounts=(Step(40_000_000, 1500),)), 45_500_000).total_micros
    43675000
    """
    discount = half_even(goods_micros * _discount_bp(terms, goods_micros), WHOLE_BP)
    shipping = _shipping(terms, goods_micros)
    net = goods_micros - discount
    tax = half_even(net * terms.goods_tax_bp + shipping * terms.shipping_tax_bp, WHOLE_BP)
    short = max(0, terms.least_order_micros - goods_micros)
    return Bill(terms.supplier, goods_micros, discount, shipping, tax, net + shipping + tax, short)


def most_gained(terms: Terms) -> int:
    """The most that reaching one more stretch can save or make possible: never is more worth spending on spares."""
    gains = [terms.least_order_micros]
    for below, above in combinations(stretches(terms), 2):
        discount = above.low_micros * max(0, above.discount_bp - below.discount_bp) // WHOLE_BP
        gains.append(discount + max(0, below.shipping_micros - above.shipping_micros))
    return max(gains) * (WHOLE_BP + max(terms.goods_tax_bp, terms.shipping_tax_bp)) // WHOLE_BP


def _discount_bp(terms: Terms, goods_micros: int) -> int:
    return _reached(terms.discounts, goods_micros, 0)


def _shipping(terms: Terms, goods_micros: int) -> int:
    free = terms.free_shipping_from_micros
    if free is not None and goods_micros >= free:
        return 0
    return _reached(terms.shipping_steps, goods_micros, terms.shipping_micros)


def _reached(steps: tuple[Step, ...], goods_micros: int, below: int) -> int:
    at = bisect_right(steps, goods_micros, key=lambda step: step.from_micros)
    return steps[at - 1].amount if at else below
