"""Fuse ratings: the preferred series of IEC 60127, and which of them suits the primary of a mains transformer.

The window of 1.5 to 2 times the normal primary current is common practice among valve amplifier builders, not a
standard; other texts print other multipliers, so both ends are settings. Local codes and the maker of the transformer
decide.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

MICRO = 1_000_000
# IEC 60127, preferred ratings after the series R10 (from memory), in microamps.
RATINGS_UA = tuple(
    milliamps * 1000
    for milliamps in (
        *(32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800),
        *(1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10_000),
    )
)
# Common practice for the primary of a mains transformer, time-lag type, in percent of its normal current.
LOW_PCT = 150
HIGH_PCT = 200
_WINDOW = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,3})?)\s*(?:x\s*)?(?:-|–|to)\s*([0-9]{1,3}(?:[.,][0-9]{1,3})?)\s*x?")


USUAL = "1.5 to 2"


def read_window(text: str) -> tuple[int, int]:
    """Read a window of multiples of the primary current as its ends in percent: "1.5 to 2", "1.25-3 x".

    Raises BadInput for one whose ends are reversed, below one or above ten, or finer than a hundredth.

    >>> read_window("1.5 to 2"), read_window("1.25-3 x")
    ((150, 200), (125, 300))
    """
    found = _WINDOW.fullmatch(clean(text))
    if found is None:
        raise BadInput(f"{quote(text)} is no window for a fuse.", "It wants two multiples.", "Write it like 1.5 to 2.")
    low, high = (Decimal(end.replace(",", ".")) * 100 for end in found.groups())
    if not 100 <= low <= high <= 1000 or low != int(low) or high != int(high):
        why = "Its ends go from 1 to 10 in hundredths, the lower one first."
        raise BadInput(f"{quote(text)} is no window for a fuse.", why, "Write it like 1.5 to 2.")
    return int(low), int(high)


def show_window(low_pct: int, high_pct: int) -> str:
    """Write a window as `read_window` reads it.

    >>> show_window(150, 200)
    '1.5 to 2'
    """
    return f"{low_pct / 100:g} to {high_pct / 100:g}"


class Proposal(NamedTuple):
    """The ratings in the window, in microamps, and the one proposed: the smallest at or above its lower end, if any."""

    primary_ua: int
    ratings_ua: tuple[int, ...]
    pick_ua: int | None


def propose(power_uva: int, mains_uv: int, *, low_pct: int = LOW_PCT, high_pct: int = HIGH_PCT) -> Proposal:
    """Propose a fuse for a transformer of so many microvoltamperes on a mains of so many microvolts.

    The primary current is rounded up to a whole microamp; ratings are weighed exactly. Raises BadInput for a power or
    voltage that is not above zero and for a window whose ends are reversed.

    >>> propose(30_000_000, 230_000_000)
    Proposal(primary_ua=130435, ratings_ua=(200000, 250000), pick_ua=200000)
    """
    if power_uva <= 0 or mains_uv <= 0:
        raise BadInput("No fuse was proposed.", "Power and voltage must be above zero.", "Give the core and the mains.")
    if not 0 < low_pct <= high_pct:
        raise BadInput("No fuse was proposed.", "The window is reversed.", "Give its lower end first.")

    def reaches(rating: int, percent: int) -> int:
        """Above zero when the rating is above that percentage of the primary current, zero when just there."""
        return rating * mains_uv * 100 - percent * power_uva * MICRO

    enough = [rating for rating in RATINGS_UA if reaches(rating, low_pct) >= 0]
    window = tuple(rating for rating in enough if reaches(rating, high_pct) <= 0)
    return Proposal(-(-power_uva * MICRO // mains_uv), window, enough[0] if enough else None)
