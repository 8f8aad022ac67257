"""How many units can be made today from what lies in the drawers, and which parts stop one more."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.cover import StandIns, Want, totals

_NO_STAND_INS: StandIns = MappingProxyType({})


class Missing(NamedTuple):
    """How many more base units of a part (or of its stand-ins) would have to be there."""

    part: int
    qty: int


def most_units(
    wants_for: Callable[[int], Sequence[Want]],
    on_hand: Mapping[int, int],
    stand_ins: StandIns = _NO_STAND_INS,
    *,
    limit: int = 1_000_000,
) -> int:
    """Find the largest number of units, 0 to `limit`, whose wants the drawers and stand-ins cover entirely.

    `wants_for` tells what so many units want; more units never want less of anything. Give as `on_hand` what is free,
    if other builds come first. The answer is `limit` when nothing stops it. Raises BadInput for a limit below 0.

    >>> most_units(lambda units: [Want(1, 40, 4 * units)], {40: 10})
    2
    """
    if limit < 0:
        raise BadInput("The units were not counted.", f"The limit is {limit}.", "Give a limit of 0 or more.")

    def is_stopped(units: int) -> bool:
        return bool(_missing(wants_for(units), on_hand, stand_ins))

    reach = 1
    while reach <= limit and not is_stopped(reach):
        reach *= 2
    # The half of `reach` can be made, `reach` cannot (or is out of bounds).
    return bisect_left(range(1, limit + 1), x=True, lo=reach // 2, hi=min(reach - 1, limit), key=is_stopped)


def limiting_parts(
    wants_for: Callable[[int], Sequence[Want]],
    on_hand: Mapping[int, int],
    stand_ins: StandIns = _NO_STAND_INS,
    *,
    units: int,
) -> tuple[Missing, ...]:
    """Name the parts that stop one unit more than `units`, with how many more are needed; none if nothing stops it.

    >>> limiting_parts(lambda units: [Want(1, 40, 4 * units)], {40: 10}, units=2)
    (Missing(part=40, qty=2),)
    """
    return _missing(wants_for(units + 1), on_hand, stand_ins)


def _missing(wants: Sequence[Want], on_hand: Mapping[int, int], stand_ins: StandIns) -> tuple[Missing, ...]:
    summed = totals(wants, on_hand, stand_ins)
    return tuple(Missing(total.part, total.short) for total in summed.values() if total.short)
