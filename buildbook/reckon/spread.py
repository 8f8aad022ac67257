"""The mean of some readings, and how far they lie apart."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean, stdev
from typing import NamedTuple


class Spread(NamedTuple):
    """So many readings, their mean, and their standard deviation; None where there are too few to tell."""

    readings: int
    mean: float | None
    deviation: float | None


def spread(values: Sequence[float]) -> Spread:
    """The arithmetic mean, and the standard deviation of a sample (divisor n - 1), in the unit of the values.

    Source: ISO 3534-1, sample mean and sample standard deviation.

    >>> spread([2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]).mean, spread([1.0]), spread([])
    (5.0, Spread(readings=1, mean=1.0, deviation=None), Spread(readings=0, mean=None, deviation=None))
    >>> round(spread([1.0, 2.0, 3.0]).deviation or 0, 6)
    1.0
    """
    if not values:
        return Spread(0, None, None)
    return Spread(len(values), fmean(values), stdev(values) if len(values) > 1 else None)
