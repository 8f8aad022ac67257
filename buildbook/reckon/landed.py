"""What goods cost once they are in the drawer: postage, discount and tax of an order spread over its lines.

All figures are whole millionths of the workshop's currency; nothing is lost in rounding. Spreading by value, or by
weight where it is known: common practice (landed cost). Largest remainder: common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.ordering.asked import WHOLE_BP, Terms
from buildbook.reckon.ordering.bill import bill
from buildbook.trade.figures import half_even


class Extras(NamedTuple):
    """What a bill asks beside the goods, in millionths; the discount is taken off."""

    shipping_micros: int = 0
    tax_micros: int = 0
    discount_micros: int = 0

    @property
    def net_micros(self) -> int:
        """What comes on top of the goods; below nought where the discount is more than the rest.

        >>> Extras(4_900_000, 0, 1_000_000).net_micros
        3900000
        """
        return self.shipping_micros + self.tax_micros - self.discount_micros


class Written(NamedTuple):
    """What is written down of a bill beside the goods, in millionths; None where nothing is."""

    discount_micros: int
    shipping_micros: int | None
    tax_micros: int | None


def extras_by(written: Written, terms: Terms | None, goods_micros: int) -> Extras:
    """What an order costs beside goods of this worth: as written down, else by the supplier's terms.

    Whoever wrote the postage down has seen the bill: a discount that is not written then was not given. Without terms
    what is not written counts as nothing.

    >>> tern = Terms(3, shipping_micros=8_000_000, goods_tax_bp=2000)
    >>> extras_by(Written(0, None, None), tern, 10_000_000)
    Extras(shipping_micros=8000000, tax_micros=2000000, discount_micros=0)
    >>> extras_by(Written(0, 5_000_000, 0), tern, 10_000_000).net_micros
    5000000
    """
    if terms is None:
        return Extras(written.shipping_micros or 0, written.tax_micros or 0, written.discount_micros)
    usual = bill(terms, goods_micros)
    seen = written.shipping_micros is not None or written.discount_micros
    discount = written.discount_micros if seen else usual.discount_micros
    shipping = usual.shipping_micros if written.shipping_micros is None else written.shipping_micros
    tax = written.tax_micros
    if tax is None:
        net = goods_micros - discount
        tax = half_even(net * terms.goods_tax_bp + shipping * terms.shipping_tax_bp, WHOLE_BP)
    return Extras(shipping, tax, discount)


class Landed(NamedTuple):
    """One line: its goods, its share of the rest, and both together, in millionths."""

    goods_micros: int
    share_micros: int

    @property
    def landed_micros(self) -> int:
        """What the line has cost when it is there."""
        return self.goods_micros + self.share_micros


def spread(amount: int, weights: Sequence[int]) -> tuple[int, ...]:
    """Part `amount` (of either sign) by weights, exactly: the parts are whole and sum to it.

    Each is its due rounded down; what is then left goes, one each, to the largest remainders, the first first. Nothing
    but weights of nought parts it evenly. Raises BadInput for a weight below nought, and for an amount and no weights.

    >>> spread(100, [1, 1, 1]), spread(-10, [2, 1, 0])
    ((34, 33, 33), (-7, -3, 0))
    """
    if any(weight < 0 for weight in weights):
        raise _refused("A weight is below nought.")
    if not weights:
        if amount:
            raise _refused("There is nothing to spread it over.")
        return ()
    whole = sum(weights)
    if not whole:
        weights, whole = [1] * len(weights), len(weights)
    parts = [amount * weight // whole for weight in weights]
    by_rest = sorted(range(len(weights)), key=lambda at: -(amount * weights[at] % whole))
    for at in by_rest[: amount - sum(parts)]:
        parts[at] += 1
    return tuple(parts)


def land(goods: Sequence[int], extras_micros: int, weights: Sequence[int] | None = None) -> tuple[Landed, ...]:
    """Each line with its share of what an order costs beside the goods, by value unless `weights` are given.

    Raises BadInput for other than one weight a line, and where more is taken off a line than it is worth.

    >>> [line.landed_micros for line in land([60_000_000, 30_000_000, 10_000_000], 5_000_000)]
    [63000000, 31500000, 10500000]
    """
    if weights is not None and len(weights) != len(goods):
        raise _refused("There is not one weight for each line.")
    lines = tuple(map(Landed, goods, spread(extras_micros, goods if weights is None else weights)))
    if any(line.landed_micros < 0 for line in lines):
        raise _refused("More is taken off a line than it is worth.")
    return lines


def of_this_parcel(left_micros: int, arriving_micros: int, open_micros: int) -> int:
    """How much of what an order costs beside the goods a parcel carries: as its goods are to all that is to come.

    `left_micros` is what no parcel has carried yet, `open_micros` the worth of all that is to come, this parcel's goods
    among it. So the last parcel carries all that is left, and all of them carry the whole exactly.

    >>> of_this_parcel(4_900_000, 30_000_000, 90_000_000), of_this_parcel(3_266_667, 60_000_000, 60_000_000)
    (1633333, 3266667)
    """
    if arriving_micros >= open_micros:
        return left_micros
    return half_even(left_micros * arriving_micros, open_micros)


def _refused(why: str) -> BadInput:
    return BadInput("The costs were not spread.", why, "Look at the figures of the order.")
