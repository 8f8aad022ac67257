"""What an amount in a foreign currency is worth in the workshop's."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from buildbook.trade.figures import half_even


def converted(micros: int, rate: str) -> int:
    """An amount in millionths at a rate given as a decimal text, rounded once, a half to the even millionth.

    >>> converted(10_000_000, "1.16"), converted(5, "0.5")
    (11600000, 2)
    """
    exact = Fraction(Decimal(rate)) * micros
    return half_even(exact.numerator, exact.denominator)
