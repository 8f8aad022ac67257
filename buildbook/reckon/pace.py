"""How long things take: three-point estimates, and the builder's own pace, learned from minutes noted.

The pace is the geometric mean of noted over estimated, shrunk towards one as if a few steps had taken exactly what was
estimated: few notes say little, many say what they say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log
from statistics import NormalDist
from types import MappingProxyType
from typing import NamedTuple

from buildbook.errors import BadInput

LAMBDA = 4
"""How many times the likely time counts in a three-point estimate."""

PRIOR_STEPS = 5
"""As many steps at the estimated pace are added to what was noted."""

ENOUGH = 5
"""So many noted steps give a kind of work a pace of its own."""

_MOST = log(8)


class Range(NamedTuple):
    """Low, likely and high, in minutes or as instants."""

    low: int
    likely: int
    high: int


_NO_RANGES: Mapping[int, Range] = MappingProxyType({})


class Delivery(NamedTuple):
    """A parcel that steps wait for, and the instants at which it may come."""

    id: int
    when: Range
    tasks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Ranges:
    """What is not sure: hands-on minutes and waits by step number, and deliveries. All else is as the steps say.

    Raises BadInput where a low is above a likely, or a likely above a high.
    """

    hands: Mapping[int, Range] = field(default_factory=lambda: _NO_RANGES)
    waits: Mapping[int, Range] = field(default_factory=lambda: _NO_RANGES)
    deliveries: Sequence[Delivery] = ()

    def __post_init__(self) -> None:
        coming = {parcel.id: parcel.when for parcel in self.deliveries}
        for what, ranges in (("Step", self.hands), ("The wait of step", self.waits), ("Delivery", coming)):
            for number, (low, likely, high) in ranges.items():
                if not low <= likely <= high:
                    raise BadInput(
                        "The finish was not foretold.",
                        f"{what} {number} has {low}, {likely}, {high} as low, likely, high.",
                        "Put them in order.",
                    )


class Noted(NamedTuple):
    """A step done: the minutes noted and those estimated, and its kind of work."""

    noted_min: int
    estimated_min: int
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Pace:
    """Noted over estimated, shrunk: 1.25 is a quarter slower than thought. `counted` steps told it.

    `by_kind` has the kinds of work that were noted often enough for a pace of their own.
    """

    ratio: float
    counted: int
    by_kind: Mapping[str, float]

    def of(self, kind: str) -> float:
        """The pace for a kind of work: its own, or else that of all."""
        return self.by_kind.get(kind, self.ratio)


def pace(done: Iterable[Noted]) -> Pace:
    """Learn the pace from steps done.

    ratio = exp(sum of log(noted / estimated) / (steps + 5)); a kind with 5 steps or more is shrunk in the same way, but
    towards the pace of all. A step with a time of 0 or less on either side tells nothing, since the clock was not
    running; one that took more than 8 times as long as thought, or less than 1/8, counts as 8 or 1/8.

    >>> learned = pace([Noted(60, 30)] * 5 + [Noted(0, 30)])
    >>> round(learned.ratio, 4), learned.counted
    (1.4142, 5)
    """
    logs: dict[str, list[float]] = {}
    for noted, estimated, kind in done:
        if noted > 0 and estimated > 0:
            logs.setdefault(kind, []).append(max(-_MOST, min(_MOST, log(noted / estimated))))
    every = [one for of_kind in logs.values() for one in of_kind]
    overall = _shrunk(every, 0)
    by_kind = {kind: exp(_shrunk(ones, overall)) for kind, ones in logs.items() if kind and len(ones) >= ENOUGH}
    return Pace(exp(overall), len(every), by_kind)


def at_pace(minutes: int, ratio: float) -> int:
    """Tell how many minutes the builder will need, whole ones, and 1 at least for what takes any.

    >>> at_pace(30, 1.25), at_pace(1, 0.3), at_pace(0, 2)
    (38, 1, 0)
    """
    return max(1, round(minutes * ratio)) if minutes > 0 else 0


def pert_mean(estimate: Range) -> float:
    """The mean of a three-point estimate, (low + 4 likely + high) / 6.

    >>> pert_mean(Range(5, 8, 17))
    9.0
    """
    return (estimate.low + LAMBDA * estimate.likely + estimate.high) / (LAMBDA + 2)


def pert_variance(estimate: Range) -> float:
    """The variance of a three-point estimate by the usual rule, ((high - low) / 6) squared.

    >>> pert_variance(Range(5, 8, 17))
    4.0
    """
    return ((estimate.high - estimate.low) / (LAMBDA + 2)) ** 2


def chance_by(mean: float, variance: float, target: float) -> float:
    """The chance, 0 to 1, that a sum of many times is at most the target, by the normal distribution.

    >>> round(chance_by(24, 5, 28), 4)
    0.9632
    """
    if variance <= 0:
        return 1.0 if mean <= target else 0.0
    return NormalDist(mean, variance**0.5).cdf(target)


def _shrunk(logs: list[float], towards: float) -> float:
    return (sum(logs) + PRIOR_STEPS * towards) / (len(logs) + PRIOR_STEPS)
