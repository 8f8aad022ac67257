"""How far a result strays when each thing in it strays: the worst case, and the root of the sum of squares (RSS)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import product
from math import copysign, hypot, isclose
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.formula import Formula, Function, come_to, refused, slopes

MOST_CORNERS = 12
_NEAR = 1e-9


class Band(NamedTuple):
    """A size with the least and the most that it may be."""

    nominal: float
    low: float
    high: float


class Spread(NamedTuple):
    """What a formula comes to, in the worst case and by RSS; `remark` says where the worst case is not all of it."""

    nominal: float
    worst: Band
    rss: Band
    remark: str = ""


def work_out(formula: Formula, bands: Mapping[str, Band]) -> Spread:
    """Work a formula out with every size at both of its ends, and by the root of the sum of squares.

    The worst case tries every corner of up to twelve sizes that stray; of more, each is taken to the end to which the
    slope points. RSS adds slope times stray in squares, for each side by itself (common practice; it takes the strays
    to be independent of each other and small). Raises BadInput for a name without a size and for what is not finite.

    >>> from buildbook.reckon.formula import read_formula
    >>> ten = Band(10e3, 9.9e3, 10.1e3)
    >>> found = work_out(read_formula("V * R2 / (R1 + R2)"), {"V": Band(10, 10, 10), "R1": ten, "R2": ten})
    >>> [round(size, 4) for size in (found.nominal, found.worst.low, found.worst.high, found.rss.high)]
    [5.0, 4.95, 5.05, 5.0354]
    """
    missing = [name for name in formula.names if name not in bands]
    if missing:
        raise refused(f"{missing[0]} is not known.")
    return _work_out(formula, tuple(bands[name] for name in formula.names))


@lru_cache(maxsize=256)
def _work_out(formula: Formula, bands: tuple[Band, ...]) -> Spread:
    known = dict(zip(formula.names, bands, strict=True))
    middle = {name: band.nominal for name, band in known.items()}
    loose = [name for name, band in known.items() if band.low < band.high]
    nominal = come_to(formula, middle)
    by = slopes(formula, middle, loose) if loose else ()
    low, high, remark = _worst(formula, known, loose, by)
    below = hypot(*(slope * _stray(known[name], -slope) for name, slope in zip(loose, by, strict=True)))
    above = hypot(*(slope * _stray(known[name], slope) for name, slope in zip(loose, by, strict=True)))
    return Spread(
        nominal,
        Band(nominal, min(low, nominal), max(high, nominal)),
        Band(nominal, nominal - below, nominal + above),
        remark,
    )


def _stray(band: Band, way: float) -> float:
    return band.high - band.nominal if way > 0 else band.nominal - band.low


def _worst(
    formula: Formula, known: Mapping[str, Band], loose: list[str], by: tuple[float, ...]
) -> tuple[float, float, str]:
    """The lowest and the highest, and a remark where more may be possible between the corners."""
    middle = {name: band.nominal for name, band in known.items()}
    if len(loose) > MOST_CORNERS:
        ends = [
            {
                name: known[name].high if slope * way > 0 else known[name].low
                for name, slope in zip(loose, by, strict=True)
            }
            for way in (-1, 1)
        ]
        low, high = (come_to(formula, middle | end) for end in ends)
        return low, high, f"{len(loose)} sizes stray: each was taken to the end to which its slope points."
    corners = [
        dict(zip(loose, ends, strict=True))
        for ends in product(*((known[name].low, known[name].high) for name in loose))
    ]
    found = [(come_to(formula, middle | corner), at) for at, corner in enumerate(corners)]
    (low, first), (high, last) = min(found), max(found)
    enclosed = _enclosed(formula, known)
    if enclosed is None:
        return low, high, "Inside the tolerances it may divide by nothing, or go beyond all bounds."
    if all(
        isclose(one, other, rel_tol=_NEAR, abs_tol=1e-300) for one, other in zip((low, high), enclosed, strict=True)
    ):
        return low, high, ""
    turning = _turning(formula, [middle, middle | corners[first], middle | corners[last]], loose)
    remark = f"It does not go one way only with {turning}: between the ends it may go further." if turning else ""
    return low, high, remark


def _turning(formula: Formula, places: list[dict[str, float]], loose: list[str]) -> str:
    """The first name with which it rises in one place and falls in another."""
    steep = []
    for values in places:
        try:
            steep.append(slopes(formula, values, loose))
        except BadInput:
            return loose[0]
    for at, name in enumerate(loose):
        if len({copysign(1, one[at]) for one in steep if one[at]}) > 1:
            return name
    return ""


def _enclosed(formula: Formula, known: Mapping[str, Band]) -> tuple[float, float] | None:
    """Between what it surely lies, by interval arithmetic; None where it may divide by nothing on the way.

    Where this is no wider than the corners, the corners are proven to be the worst case.
    """
    stack: list[tuple[float, float]] = []
    for step in formula.steps:
        if isinstance(step, str):
            stack.append((known[step].low, known[step].high))
        elif isinstance(step, float):
            stack.append((step, step))
        else:
            taken = stack[-step.taken :]
            del stack[-step.taken :]
            span = None if _may_divide_by_nothing(step.function.name, taken) else _span(step.function, taken)
            if span is None:
                return None
            stack.append(span)
    return stack[-1]


def _may_divide_by_nothing(name: str, taken: list[tuple[float, float]]) -> bool:
    match name:
        case "/" | "^":
            low, high = taken[-1] if name == "/" else taken[0]
            return low <= 0 <= high and (name == "/" or taken[1][0] < 0)
        case "par":
            return min(low for low, _ in taken) <= 0 <= max(high for _, high in taken)
    return False


def _span(function: Function, taken: list[tuple[float, float]]) -> tuple[float, float] | None:
    """Between what one step of arithmetic lies; at its ends where those of what goes in are, or nothing."""
    ends: Iterable[tuple[float, ...]]
    if function.name in ("par", "min", "max"):  # they rise with everything
        ends = zip(*taken, strict=True)
    elif function.name in ("abs", "^") and taken[0][0] < 0 < taken[0][1]:
        ends = product((*taken[0], 0.0), *taken[1:])
    else:
        ends = product(*taken)
    try:
        found = [function.work(*end) for end in ends]
    except (ValueError, ArithmeticError):
        return None
    if any(isinstance(one, complex) for one in found):
        return None
    return min(found), max(found)
