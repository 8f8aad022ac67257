"""The supply budget: what each fuse, core, winding and rail carries, and what is left of its limit.

Everything is whole microamps, microvolts and microvoltamperes, so that what adds up to a limit adds up to it exactly;
where a conversion does not come out even it is rounded up, so that nothing is ever said to be less than it is. A load
that nobody knows is counted as unknown, never as nought.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Literal, NamedTuple, TypeAlias

from buildbook.errors import BadInput

MICRO = 1_000_000
FULL_BP = 10_000
State: TypeAlias = Literal["over", "tight", "unknown", "within"]
KINDS = ("fuse", "core", "winding", "rail")
# How a rail is made from what feeds it: by a rectifier, by a regulator that passes or one that converts, or straight.
WAYS = ("straight", "rectifier", "linear", "switching")


class Load(NamedTuple):
    """What draws on a supply: microamps or microwatts each, neither where it is not known; on for `duty_bp` / 10,000.

    `option` is the candidate answer with which it comes, 0 for none.
    """

    name: str
    qty: int = 1
    current_ua: int | None = None
    power_uw: int | None = None
    duty_bp: int = FULL_BP
    option: int = 0


class Supply(NamedTuple):
    """A fuse, core, winding or rail, fed by another (0 for none).

    `limit` is in microamps, of a core in microvoltamperes, None where it is not known. `factor_ppm` is the current
    drawn for each ampere given by a rectifier, or the efficiency of a switching regulator. `alike` windings, or halves
    of one, carry the same load each.
    """

    id: int
    kind: str
    feeder: int
    volts_uv: int
    limit: int | None
    keep_free_bp: int = 0
    way: str = "straight"
    factor_ppm: int | None = None
    alike: int = 1
    loads: tuple[Load, ...] = ()


class Standing(NamedTuple):
    """How a supply stands: its load and, with everything on at once, `all_on`; in the unit of its limit.

    `keep_free` is the margin to keep, `headroom` the limit less load and margin: below zero when it is too tight.
    `unknown` loads are in none of the figures. `per_bp` is load over limit in hundredths of a percent, rounded up.
    """

    id: int
    depth: int
    load: int
    all_on: int
    limit: int | None
    keep_free: int
    headroom: int | None
    per_bp: int | None
    unknown: int
    state: State


class _Drawn(NamedTuple):
    load: int
    all_on: int
    unknown: int


def standings(supplies: Sequence[Supply], chosen: Collection[int] = ()) -> list[Standing]:
    """How every supply stands, each before what it feeds; loads of an option count when it is among the chosen.

    Raises BadInput when supplies feed each other in a ring.

    >>> winding = Supply(1, "winding", 0, 6_300_000, 2_500_000, 2_000, loads=(Load("ECL82", 3, 780_000),))
    >>> [(one.load, one.headroom, one.state) for one in standings([winding])]
    [(2340000, -340000, 'tight')]
    """
    known = {one.id: one for one in supplies}
    order = list(in_order(supplies))
    drawn: dict[int, _Drawn] = {}
    found = []
    for depth, one in reversed(order):
        fed = [_converted(drawn[child.id], child, one) for _, child in order if child.feeder == one.id]
        own = [of_load(load, one) for load in one.loads if not load.option or load.option in chosen]
        drawn[one.id] = _sum([*own, *fed])
        found.append(_standing(one, drawn[one.id], depth if one.feeder in known else 0))
    return found[::-1]


def in_order(supplies: Sequence[Supply]) -> Iterator[tuple[int, Supply]]:
    """Every supply with its depth, after what feeds it."""
    known = {one.id for one in supplies}
    below: dict[int, list[Supply]] = {}
    for one in supplies:
        below.setdefault(one.feeder if one.feeder in known else 0, []).append(one)
    waiting = [(0, one) for one in reversed(below.get(0, []))]
    met = 0
    while waiting:
        depth, one = waiting.pop()
        met += 1
        yield depth, one
        waiting += [(depth + 1, child) for child in reversed(below.get(one.id, []))]
    if met < len(supplies):
        raise BadInput("The supplies were not added up.", "Some feed each other in a ring.", "Feed one from elsewhere.")


def of_load(load: Load, supply: Supply) -> _Drawn:
    """What a load draws on its supply: in part, with everything on, and how many of it are not known."""
    if load.current_ua is not None:
        each = load.current_ua
    elif load.power_uw is not None:
        if supply.volts_uv <= 0:
            return _Drawn(0, 0, load.qty)
        each = _up(load.power_uw * MICRO, supply.volts_uv)
    else:
        return _Drawn(0, 0, load.qty)
    every = each * load.qty
    return _Drawn(_up(every * load.duty_bp, FULL_BP), every, 0)


def _converted(drawn: _Drawn, child: Supply, feeder: Supply) -> _Drawn:
    """What a supply draws on the one that feeds it."""
    known = ratio(child, feeder)
    if known is None:
        # Something is drawn, but nobody can say how much of the feeder that is.
        return _Drawn(0, 0, drawn.unknown + 1 if drawn.all_on else drawn.unknown)
    over, under = known
    return _Drawn(_up(drawn.load * over, under), _up(drawn.all_on * over, under), drawn.unknown * child.alike)


def ratio(child: Supply, feeder: Supply) -> tuple[int, int] | None:
    """Drawn over given, as a fraction; None when voltage or factor is missing."""
    if feeder.kind == "core":
        return (child.volts_uv * child.alike, MICRO) if child.volts_uv > 0 else None
    if child.kind == "core":
        return (MICRO, feeder.volts_uv) if feeder.volts_uv > 0 else None
    if child.way == "rectifier":
        return None if child.factor_ppm is None else (child.factor_ppm * child.alike, MICRO)
    if child.way == "switching":
        if not child.factor_ppm or child.volts_uv <= 0 or feeder.volts_uv <= 0:
            return None
        return child.volts_uv * child.alike * MICRO, feeder.volts_uv * child.factor_ppm
    return child.alike, 1


def _standing(one: Supply, drawn: _Drawn, depth: int) -> Standing:
    load, all_on, unknown = drawn
    if one.limit is None:
        return Standing(one.id, depth, load, all_on, None, 0, None, None, unknown, "unknown")
    keep_free = _up(one.limit * one.keep_free_bp, FULL_BP)
    headroom = one.limit - load - keep_free
    per_bp = _up(load * FULL_BP, one.limit) if one.limit else None
    return Standing(
        one.id, depth, load, all_on, one.limit, keep_free, headroom, per_bp, unknown, _state(one.limit, drawn, headroom)
    )


def _state(limit: int, drawn: _Drawn, headroom: int) -> State:
    if drawn.load > limit:
        return "over"
    if headroom < 0:
        return "tight"
    return "unknown" if drawn.unknown else "within"


def _sum(parts: Sequence[_Drawn]) -> _Drawn:
    return _Drawn(*(sum(column) for column in zip(*parts, strict=True))) if parts else _Drawn(0, 0, 0)


def _up(over: int, under: int) -> int:
    """A quotient, rounded up."""
    return -(-over // under)
