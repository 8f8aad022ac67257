"""The preferred numbers that resistors and capacitors are made in: E3 to E192 of IEC 60063.

E24 and the coarser series are historical lists; E48, E96 and E192 are 100 x 10^(i/N) rounded, but for the one member
920 of E192, where the formula gives 919.
"""

from __future__ import annotations

from bisect import bisect_left
from decimal import Decimal
from functools import cache
from typing import Literal

from buildbook.errors import BadInput

Series = Literal["E3", "E6", "E12", "E24", "E48", "E96", "E192"]
Rule = Literal["ratio", "difference"]

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
_E192 = tuple(920 if i == 185 else round(100 * 10 ** (i / 192)) for i in range(192))
_MEMBERS: dict[str, tuple[int, ...]] = {
    "E3": _E24[::8],
    "E6": _E24[::4],
    "E12": _E24[::2],
    "E24": _E24,
    "E48": _E192[::4],
    "E96": _E192[::2],
    "E192": _E192,
}


def members(series: Series) -> tuple[int, ...]:
    """Give one decade of a series: two-digit integers from 10 up to E24, three-digit integers from 100 above.

    Source: IEC 60063. A name that is no series raises BadInput.

    >>> members("E6")
    (10, 15, 22, 33, 47, 68)
    """
    if series not in _MEMBERS:
        raise BadInput(
            f"The series {series} is not known.", "IEC 60063 has E3 to E192.", f"Name one of {', '.join(_MEMBERS)}."
        )
    return _MEMBERS[series]


def at_or_below(value: Decimal | int, series: Series) -> Decimal:
    """Give the largest member of the series, in whatever decade, that is not above `value` (above zero, any unit).

    >>> at_or_below(5000, "E24"), at_or_below(99, "E12")
    (Decimal('4700'), Decimal('82'))
    """
    return _neighbours(value, series)[0]


def at_or_above(value: Decimal | int, series: Series) -> Decimal:
    """Give the smallest member of the series, in whatever decade, that is not below `value` (above zero, any unit).

    >>> at_or_above(500, "E12"), at_or_above(99, "E12")
    (Decimal('560'), Decimal('100'))
    """
    return _neighbours(value, series)[1]


def nearest(value: Decimal | int, series: Series, by: Rule = "ratio") -> Decimal:
    """Give the member of the series nearest to `value` (above zero, any unit); of two equally near, the lower.

    By "ratio" the border between two members is their geometric mean, by "difference" their arithmetic mean.

    >>> nearest(514, "E12"), nearest(514, "E12", by="difference")
    (Decimal('560'), Decimal('470'))
    """
    if by not in ("ratio", "difference"):
        raise BadInput(f"Nearest by {by} is not known.", "It is by ratio or by difference.", "Name one of the two.")
    below, above = _neighbours(value, series)
    exact = Decimal(value)
    upwards = exact * exact > below * above if by == "ratio" else exact - below > above - exact
    return above if upwards else below


def series_of(value: Decimal | int) -> Series | None:
    """Give the coarsest series that holds `value` (above zero, in any decade), or None when no series does.

    >>> series_of(4700), series_of(Decimal("2.26")), series_of(339)
    ('E3', 'E48', None)
    """
    digits, _ = _in_decade(value)
    return _coarsest().get(digits)


@cache
def _coarsest() -> dict[Decimal, Series]:
    found: dict[Decimal, Series] = {}
    for series, numbers in _MEMBERS.items():
        for number in numbers:
            found.setdefault(Decimal(number * 100 // numbers[0]), series)  # type: ignore[arg-type]
    return found


def _in_decade(value: Decimal | int) -> tuple[Decimal, int]:
    """Bring a value into 100 ... 1000 and say by how many decades it was moved."""
    exact = Decimal(value)
    if not exact.is_finite() or exact <= 0:
        raise BadInput(f"There is no preferred number for {value}.", "It has to be above zero.", "Give its size.")
    decades = exact.adjusted() - 2
    return exact.scaleb(-decades), decades


def _neighbours(value: Decimal | int, series: Series) -> tuple[Decimal, Decimal]:
    numbers = members(series)
    digits, decades = _in_decade(value)
    if numbers[0] == 10:
        digits, decades = digits / 10, decades + 1
    place = bisect_left(numbers, digits)
    above = numbers[place] if place < len(numbers) else numbers[0] * 10
    below = above if above == digits else numbers[place - 1]
    return _plain(below, decades), _plain(above, decades)


def _plain(number: int, decades: int) -> Decimal:
    moved = Decimal(number).scaleb(decades)
    return moved.quantize(Decimal(1)) if decades > 0 else moved
