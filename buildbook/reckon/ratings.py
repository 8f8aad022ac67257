"""Whether a part bears what it has to in its place: too little, too tight, or with room to spare."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from buildbook.errors import BadInput


class Verdict(StrEnum):
    """How a load stands against a rating."""

    FITS = "fits"
    TIGHT = "too tight"
    LITTLE = "too little"
    UNKNOWN = "not known"


class Rated(NamedTuple):
    """A verdict, and the share of the rating that the load takes; None where either is not known."""

    verdict: Verdict
    share: float | None


def rated(load: float | None, rating: float | None, share: float) -> Rated:
    """Weigh a load against a rating, both in V, W or A, of which `share` (above 0, at most 1) is used at most.

    Too little: the load is above the rating. Too tight: it is above the share of it that practice allows. A load of
    less than zero, a rating of zero or less, or a share out of range raises BadInput.

    >>> rated(330, 400, 0.8), rated(450, 400, 0.8).verdict.value, rated(None, 400, 0.8).verdict.value
    (Rated(verdict=<Verdict.TIGHT: 'too tight'>, share=0.825), 'too little', 'not known')
    """
    if not 0 < share <= 1:
        raise BadInput("The rating was not weighed.", f"{share:g} is no share of it.", "Give one above 0, at most 1.")
    if (load is not None and not load >= 0) or (rating is not None and not rating > 0):
        raise BadInput("The rating was not weighed.", "A load or a rating is below zero.", "Give their sizes.")
    if load is None or rating is None:
        return Rated(Verdict.UNKNOWN, None)
    used = load / rating
    return Rated(Verdict.LITTLE if used > 1 else Verdict.TIGHT if used > share else Verdict.FITS, used)


def heat(ohms: float, *, volts: float | None = None, amps: float | None = None) -> float | None:
    """Give the power in a resistor (above 0 ohm), in W, from the voltage across it or the current in it (Joule's law).

    None where neither is known; of both, the larger power counts.

    >>> heat(10_000, volts=50), heat(100, amps=0.5), heat(100)
    (0.25, 25.0, None)
    """
    if not ohms > 0:
        raise BadInput("The power was not reckoned.", "The resistance has to be above zero.", "Give its size in ohm.")
    found = [volts**2 / ohms] if volts is not None else []
    found += [amps**2 * ohms] if amps is not None else []
    return max(found, default=None)
