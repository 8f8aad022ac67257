"""What a row of readings shows: mean, spread, lowest, highest, and how near the limits they came."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from typing import NamedTuple

from buildbook.trade.limits import Limits


class Shown(NamedTuple):
    """What readings show; `spread` is the sample standard deviation, of two readings and more.

    `margin` is the least distance that one of them keeps from a limit, as a share of the window between the limits, or
    of the limit where there is one alone; less than nothing where one is out of limits, None where there is no window.
    """

    many: int
    mean: float
    spread: float | None
    lowest: float
    highest: float
    margin: float | None


def show(values: Sequence[float], limits: Limits) -> Shown | None:
    """What these readings show; None of none.

    >>> shown = show([9, 10, 11], Limits(low=8, high=16))
    >>> shown.mean, shown.spread, shown.margin
    (10.0, 1.0, 0.125)
    """
    if not values:
        return None
    sizes = list(map(float, values))
    spread = statistics.stdev(sizes) if len(sizes) > 1 else None
    margins = [one for one in (margin(value, limits) for value in sizes) if one is not None]
    return Shown(len(sizes), statistics.fmean(sizes), spread, min(sizes), max(sizes), min(margins, default=None))


def margin(value: float, limits: Limits) -> float | None:
    """How far a reading is inside its limits, as a share of their window, or of a limit that stands alone.

    >>> margin(2.0, Limits(low=1.6, high=2.4)), margin(0.05, Limits(high=0.1)), margin(5, Limits(5))
    (0.5, 0.5, None)
    """
    low, high = limits.low, limits.high
    if low is not None and high is not None:
        window = high - low
        return _plain(min(value - low, high - value) / window) if window else None
    one = low if high is None else high
    if one is None or one == 0:
        return None
    return _plain((value - one if high is None else one - value) / abs(one))


def _plain(share: float) -> float:
    return float(f"{share:.6g}")
