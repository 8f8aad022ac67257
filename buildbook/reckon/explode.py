"""How many of each assembly every build needs, through all levels, before any part is counted.

Gross need less what stands ready-made on the shelf is the net need, and only the net need goes down to the assemblies
inside: netting level by level, each assembly after all that hold it (low-level coding), in the manner of Orlicky,
"Material Requirements Planning" (1975).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from types import MappingProxyType
from typing import NamedTuple, TypeAlias

from buildbook.errors import BadInput, Forbidden

PerBuild: TypeAlias = Mapping[tuple[int, int], int]
"""A count for each (build, assembly)."""

_Inside: TypeAlias = Mapping[int, list[tuple[int, int]]]
_NOTHING: Mapping[int, int] = MappingProxyType({})
_WHOLE_BP = 10_000


class Contains(NamedTuple):
    """An assembly inside another, `qty` times (1 or more)."""

    parent: int
    child: int
    qty: int


class Demand(NamedTuple):
    """So many units of an assembly for a build; demands are given in the order of priority."""

    build: int
    assembly: int
    units: int


class Line(NamedTuple):
    """One row of a parts list: base units of a part in one assembly, with an allowance for loss in 1/100 %."""

    line: int
    assembly: int
    part: int
    qty: int
    loss_bp: int


class Need(NamedTuple):
    """How many base units of a part a build needs for one line, the allowance for loss included."""

    build: int
    line: int
    assembly: int
    part: int
    need: int


@dataclass(frozen=True, slots=True)
class Exploded:
    """How many of each assembly each build needs, builds in the order of priority, parents before children.

    `gross` is what goes into the assemblies above or is asked for, `ready_made_used` what comes off the shelf, if any,
    `net` what is still to be made: gross less ready_made_used, so 0 for an assembly that comes wholly off the shelf.
    """

    gross: PerBuild
    net: PerBuild
    ready_made_used: PerBuild


class Loop(Forbidden):
    """Assemblies that would hold themselves; `path` names them from the first round to the first again."""

    def __init__(self, path: tuple[int, ...], names: Mapping[int, str] | None = None) -> None:
        called = [(names or {}).get(assembly, f"assembly {assembly}") for assembly in path]
        super().__init__(
            "The assemblies make a loop.",
            f"{called[0]} holds {', which holds '.join(called[1:])}.",
            "Take one of them out of the one that holds it.",
        )
        self.path = path


def order(links: Iterable[Contains], assemblies: Iterable[int] = ()) -> list[int]:
    """Put `assemblies`, and all that `links` name, in an order in which every parent comes before its children.

    Raises Loop when an assembly holds itself, directly or through others. Method: Kahn, "Topological sorting of large
    networks", Communications of the ACM 5 (1962).

    >>> order([Contains(2, 3, 1), Contains(1, 2, 4)])
    [1, 2, 3]
    """
    inside = _inside(links)
    return _in_order(inside, [*assemblies, *inside])


def loop_if_added(links: Iterable[Contains], new: Contains) -> tuple[int, ...] | None:
    """Tell which loop the new link would close, from its parent round to the parent again, or None if it closes none.

    The shortest such loop is named.

    >>> loop_if_added([Contains(1, 2, 1), Contains(2, 3, 1)], Contains(3, 1, 1))
    (3, 1, 2, 3)
    >>> loop_if_added([Contains(1, 2, 1), Contains(2, 3, 1)], Contains(1, 3, 2)) is None
    True
    """
    inside = _inside(links)
    holder = {new.child: new.parent}
    for assembly in (todo := [new.child]):
        if assembly == new.parent:
            break
        for child, _ in inside.get(assembly, ()):
            if child not in holder:
                holder[child] = assembly
                todo.append(child)
    else:
        return None
    path = [new.parent, holder[new.parent]]
    while path[-1] != new.parent:
        path.append(holder[path[-1]])
    return tuple(reversed(path))


def explode(demands: Sequence[Demand], links: Iterable[Contains], ready_made: Mapping[int, int] = _NOTHING) -> Exploded:
    """Count how many of each assembly each build needs, using what stands ready-made, the first build first.

    `ready_made` counts the assemblies on the shelf; all builds share it. Only what the demands reach is looked at.
    Raises Loop when that part of the tree has a loop, BadInput for a link of less than 1 or a count below 0.

    >>> need = explode([Demand(build=7, assembly=1, units=2)], [Contains(1, 2, 3), Contains(2, 3, 4)], {2: 1})
    >>> need.net[7, 2], need.net[7, 3]
    (5, 20)
    """
    _refuse_less_than_nothing(demands, ready_made)
    inside = _inside(links)
    in_order = _in_order(inside, [demand.assembly for demand in demands])
    place = {assembly: position for position, assembly in enumerate(in_order)}
    shelf = dict(ready_made)
    gross: dict[tuple[int, int], int] = {}
    net: dict[tuple[int, int], int] = {}
    used: dict[tuple[int, int], int] = {}
    for build, needed in _asked(demands).items():
        # A heap of places in the order: an assembly comes up only when all that hold it have been counted.
        for_later = sorted(place[assembly] for assembly in needed)
        while for_later:
            assembly = in_order[heappop(for_later)]
            count = gross[build, assembly] = needed[assembly]
            taken = min(count, shelf.get(assembly, 0))
            if taken:
                shelf[assembly] -= taken
                used[build, assembly] = taken
            to_make = net[build, assembly] = count - taken
            for child, qty in inside.get(assembly, ()) if to_make else ():
                if child not in needed:
                    needed[child] = 0
                    heappush(for_later, place[child])
                needed[child] += to_make * qty
    return Exploded(gross, net, used)


def line_need(count: int, qty: int, loss_bp: int = 0) -> int:
    """Count the base units that `count` assemblies need of a line, with its loss in 1/100 %, rounded up to a whole one.

    >>> line_need(count=3, qty=10, loss_bp=250), line_need(count=3, qty=10)
    (31, 30)
    """
    return -(-count * qty * (_WHOLE_BP + loss_bp) // _WHOLE_BP)


def parts_need(exploded: Exploded, lines: Iterable[Line]) -> list[Need]:
    """Count what every build needs for every line of the assemblies it has to make, in the order of priority.

    Assemblies that come off the shelf need no parts.

    >>> parts_need(explode([Demand(7, 1, 2)], []), [Line(line=5, assembly=1, part=9, qty=4, loss_bp=0)])
    [Need(build=7, line=5, assembly=1, part=9, need=8)]
    """
    lines_of: dict[int, list[Line]] = {}
    for line in lines:
        lines_of.setdefault(line.assembly, []).append(line)
    return [
        Need(build, line.line, assembly, line.part, line_need(count, line.qty, line.loss_bp))
        for (build, assembly), count in exploded.net.items()
        if count
        for line in lines_of.get(assembly, ())
    ]


def _inside(links: Iterable[Contains]) -> dict[int, list[tuple[int, int]]]:
    inside: dict[int, list[tuple[int, int]]] = {}
    for parent, child, qty in links:
        if qty < 1:
            raise BadInput(
                "The assemblies cannot be counted.",
                f"Assembly {parent} holds assembly {child} {qty} times.",
                "Give a quantity of 1 or more, or take it out.",
            )
        inside.setdefault(parent, []).append((child, qty))
    return inside


def _in_order(inside: _Inside, starts: Iterable[int]) -> list[int]:
    """Order what is reached from `starts`, parents first; a list that grows while it is read stands for recursion."""
    holders = dict.fromkeys(starts, 0)
    for assembly in (reached := list(holders)):
        for child, _ in inside.get(assembly, ()):
            if child not in holders:
                holders[child] = 0
                reached.append(child)
            holders[child] += 1
    for assembly in (in_order := [assembly for assembly in reached if not holders[assembly]]):
        for child, _ in inside.get(assembly, ()):
            holders[child] -= 1
            if not holders[child]:
                in_order.append(child)
    if len(in_order) < len(reached):
        raise Loop(_loop_among(inside, [assembly for assembly in reached if holders[assembly]]))
    return in_order


def _loop_among(inside: _Inside, stuck: Sequence[int]) -> tuple[int, ...]:
    """Find a loop among assemblies each of which is held by another of them: going up must come round."""
    holder = dict.fromkeys(stuck, 0)
    for assembly in stuck:
        for child, _ in inside.get(assembly, ()):
            if child in holder:
                holder[child] = assembly
    assembly, met = stuck[0], dict[int, int]()
    while assembly not in met:
        met[assembly] = len(met)
        assembly = holder[assembly]
    loop = [*list(met)[met[assembly] :], assembly]
    return tuple(reversed(loop))


def _asked(demands: Iterable[Demand]) -> dict[int, dict[int, int]]:
    asked: dict[int, dict[int, int]] = {}
    for build, assembly, units in demands:
        if units:
            of_build = asked.setdefault(build, {})
            of_build[assembly] = of_build.get(assembly, 0) + units
    return asked


def _refuse_less_than_nothing(demands: Iterable[Demand], ready_made: Mapping[int, int]) -> None:
    for build, assembly, units in demands:
        if units < 0:
            raise BadInput(
                "The assemblies cannot be counted.",
                f"Build {build} asks for {units} of assembly {assembly}.",
                "Ask for 0 or more.",
            )
    for assembly, count in ready_made.items():
        if count < 0:
            raise BadInput(
                "The assemblies cannot be counted.",
                f"{count} of assembly {assembly} stand ready-made.",
                "Give a count of 0 or more.",
            )
