"""What an amount in a foreign currency is worth in the workshop's, and back."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from buildbook.trade.figures import half_even
from buildbook.trade.money import minor_decimals


def converted(micros: int, rate: str) -> int:
    """An amount in millionths at a rate given as a decimal text, rounded once, a half to the even millionth.

    >>> converted(10_000_000, "1.16"), converted(5, "0.5")
    (11600000, 2)
    """
    exact = Fraction(Decimal(rate)) * micros
    return half_even(exact.numerator, exact.denominator)


def stated(micros: int, rate: str, currency: str) -> int:
    """The price in a foreign currency that `converted` has made into `micros`: the roundest there is.

    Its minor unit (ISO 4217) at least, and more decimals only where the price takes them.

    >>> stated(converted(120_000, "1.1634"), "1.1634", "GBP"), stated(converted(4_250, "1.1634"), "1.1634", "GBP")
    (120000, 4250)
    """
    exact = Fraction(micros) / Fraction(Decimal(rate))
    for decimals in range(minor_decimals(currency), 6):
        step: int = 10 ** (6 - decimals)
        near = half_even(exact.numerator, exact.denominator * step) * step
        if converted(near, rate) == micros:
            return near
    return half_even(exact.numerator, exact.denominator)


class Rates(NamedTuple):
    """The currency of the workshop (ISO 4217), and what one unit of each foreign one is worth in it."""

    own: str
    worth: Mapping[str, str]

    def is_own(self, currency: str) -> bool:
        """Whether that is the workshop's currency, which "" stands for as well."""
        return currency in ("", self.own)

    def known(self, currency: str) -> bool:
        """Whether money of that currency can be converted."""
        return self.is_own(currency) or currency in self.worth

    def here(self, micros: int, currency: str) -> int:
        """Money in the workshop's currency, to the nearest millionth; KeyError for a currency without a rate.

        >>> Rates("EUR", {"GBP": "1.16"}).here(10_000_000, "GBP"), Rates("EUR", {}).here(7, "")
        (11600000, 7)
        """
        return micros if self.is_own(currency) else converted(micros, self.worth[currency])
