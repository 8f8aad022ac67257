"""Whether a part bears what it has to in its place: too little, too tight, or with room to spare."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from math import sqrt
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.bearing import AC, AMPS, DC, MICRO, REVERSE, WATTS


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


def volts_limit(ohms: float, watts: float | None, element_volts: float | None) -> float | None:
    """Give the highest voltage across a resistor, in V: what its watts allow, or its element where that is less.

    min(sqrt(P R), element voltage), as in MIL-R-10509, clause 3.6. What is not known does not limit; None where
    neither is.

    >>> volts_limit(1e6, 0.5, 350), round(volts_limit(1e6, 0.5, None)), volts_limit(1e6, None, None)
    (350, 707, None)
    """
    if not ohms > 0:
        raise BadInput("The limit was not reckoned.", "The resistance has to be above zero.", "Give its size in ohm.")
    found = [sqrt(watts * ohms)] if watts is not None else []
    found += [element_volts] if element_volts is not None else []
    return min(found, default=None)


class Place(NamedTuple):
    """A part in its place: its kind, its ohms where it is a fixed resistor; what it is made for and what it bears.

    `ratings` and `stresses` are millionths of V, A or W, by what they are; `shares` how much of a rating is used at
    most, "" for most of them and by what they are for some.
    """

    kind: str
    ohms: float | None
    ratings: Mapping[str, int]
    stresses: Mapping[str, int]
    shares: Mapping[str, float]


class Weighed(NamedTuple):
    """One load against one rating, in millionths; None where not known. `wants` is the least rating that would fit.

    `by` is the voltage or the current (in millionths) that the load was worked out from; `from_watts` says that the
    limit of volts comes from the watts of the resistor.
    """

    what: str
    load: int | None
    rating: int | None
    allowed: float
    share: float | None
    verdict: Verdict
    wants: int | None
    by: tuple[str, int] | None = None
    from_watts: bool = False


WORST = (Verdict.LITTLE, Verdict.TIGHT, Verdict.UNKNOWN, Verdict.FITS)


def weigh(place: Place) -> tuple[Weighed, ...]:
    """Weigh all that a part bears in its place, the worst first; nothing where it is not stated what that is.

    AC and DC volts are never held against each other. Of a resistor, the power is worked out from each voltage and
    current that is stated, the largest of them and of the stated watts counts, and its voltage is held against
    `volts_limit`, in full.

    >>> place = Place("capacitor", None, {"dc volts": 450_000_000}, {"dc volts": 345_000_000}, {"": 0.8})
    >>> [(one.verdict.value, round(one.share, 3), one.wants) for one in weigh(place)]
    [('fits', 0.767, 431250000)]
    """
    found = _resistor(place) if place.kind == "resistor" and place.ohms else _plainly(place, place.stresses)
    return tuple(sorted(found, key=lambda one: (WORST.index(one.verdict), -(one.share or 0) / one.allowed)))


def worst(weighed: Iterable[Weighed]) -> Verdict:
    """The verdict on a part that bears all of this: not known where nothing is stated."""
    return min((one.verdict for one in weighed), key=WORST.index, default=Verdict.UNKNOWN)


def _plainly(place: Place, stresses: Mapping[str, int]) -> list[Weighed]:
    return [_one(what, load, place.ratings.get(what), _share(place, what)) for what, load in stresses.items()]


def _resistor(place: Place) -> list[Weighed]:
    ohms = place.ohms or 0.0
    bears = place.stresses
    ways: list[tuple[int, tuple[str, int] | None]] = []
    for what in (WATTS, DC, AC, REVERSE, AMPS):
        if what not in bears:
            continue
        size = bears[what] / MICRO
        power = None if what == WATTS else heat(ohms, amps=size) if what == AMPS else heat(ohms, volts=size)
        ways.append((bears[what], None) if power is None else (round(power * MICRO), (what, bears[what])))
    watts = place.ratings.get(WATTS)
    load, by = max(ways, key=lambda way: way[0], default=(0, None))
    found = [_one(WATTS, load, watts, _share(place, WATTS))._replace(by=by)] if ways else []
    element = min((place.ratings[what] for what in (DC, AC) if what in place.ratings), default=None)
    limit = volts_limit(ohms, _whole(watts), _whole(element))
    for what in (DC, AC, REVERSE):
        if what in bears and limit is not None:
            held = _one(what, bears[what], round(limit * MICRO), 1.0)
            from_watts = element is None or round(limit * MICRO) < element
            # More volts are then had by more watts, which the power asks for already.
            found.append(held._replace(from_watts=from_watts, wants=None if from_watts else held.wants))
    return found


def _whole(micro: int | None) -> float | None:
    return None if micro is None else micro / MICRO


def _share(place: Place, what: str) -> float:
    return place.shares.get(what, place.shares.get("", 1.0))


def _one(what: str, load: int, rating: int | None, allowed: float) -> Weighed:
    verdict, share = rated(load, rating, allowed)
    # Rounded up, so that a part so rated fits; the slack is for shares such as 1/1.5 that a float cannot hold.
    wants = -int(-(load / allowed) * (1 - 1e-12) // 1)
    if verdict is Verdict.TIGHT and rating is not None and rating >= wants:
        verdict = Verdict.FITS
    return Weighed(what, load, rating, allowed, share, verdict, wants)
