"""The network of steps: when each can begin and must, how much play it has, and which chain sets the finish.

The critical-path method: Kelley and Walker, "Critical-path planning and scheduling" (1959), with links from start to
start and from finish to finish and with least waits, as in precedence diagrams. Hands and bench time are not weighed
here; all times are whole minutes from the start of the first step.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, NamedTuple, TypeAlias

from buildbook.errors import BadInput
from buildbook.reckon.explode import Contains, Loop, order

Kind: TypeAlias = Literal["FS", "SS", "FF"]
_KINDS = ("FS", "SS", "FF")
_NO_NAMES: Mapping[int, str] = MappingProxyType({})


class Activity(NamedTuple):
    """A step: hands-on minutes, and the unattended wait that must be over before what comes after it, or the end."""

    id: int
    minutes: int
    wait_min: int = 0


class Link(NamedTuple):
    """One step before another, with the least wait between: from finish to start, start to start, finish to finish.

    With FS the step's own wait must be over as well: the longer of the two counts.
    """

    before: int
    after: int
    kind: Kind = "FS"
    wait_min: int = 0


class Times(NamedTuple):
    """The earliest and the latest times of one step, and its play, in minutes.

    `total_float` is how late it can be without moving the finish, `free_float` without moving any other step.
    """

    id: int
    early_start: int
    early_finish: int
    late_start: int
    late_finish: int
    total_float: int
    free_float: int


@dataclass(frozen=True, slots=True)
class Network:
    """The times of every step, in an order in which each comes after all it needs.

    `total` is the minutes to the finish, the last waits included. `critical` are the steps without play, `chains` the
    ways through them from the first to the last: as many as were asked for at most.
    """

    times: Mapping[int, Times]
    total: int
    critical: tuple[int, ...]
    chains: tuple[tuple[int, ...], ...]


def critical_path(
    activities: Iterable[Activity],
    links: Iterable[Link],
    names: Mapping[int, str] = _NO_NAMES,
    *,
    most_chains: int = 8,
) -> Network:
    """The times and the play of every step, in time linear in the steps and links.

    Raises BadInput for a loop, named in order (with `names` where they are given), for a step that is there twice or
    not at all, and for less than 0 minutes.

    >>> drill, prime, wire = Activity(1, 180), Activity(2, 60, wait_min=1440), Activity(3, 600)
    >>> network = critical_path([drill, prime, wire], [Link(1, 2), Link(1, 3)])
    >>> network.total, network.times[3].total_float, network.chains
    (1680, 900, ((1, 2),))
    """
    steps = _known(activities)
    links = list(links)
    _refuse_bad_links(links, steps)
    ordered = in_order(steps, links, names)
    after: dict[int, list[Link]] = {}
    for link in links:
        after.setdefault(link.before, []).append(link)
    starts = _earliest(ordered, steps, after)
    total = max((starts[step.id] + step.minutes + step.wait_min for step in steps.values()), default=0)
    times = {number: _times(steps, number, starts, total) for number in ordered}
    for number in reversed(ordered):
        times[number] = _with_play(steps, times, after.get(number, ()), number, total)
    critical = tuple(number for number in ordered if not times[number].total_float)
    return Network(times, total, critical, _chains(steps, times, after, critical, most_chains))


def in_order(steps: Iterable[int], links: Iterable[Link], names: Mapping[int, str] = _NO_NAMES) -> list[int]:
    """Put steps, and all that the links name, in an order in which each comes after all it needs.

    Raises BadInput when they wait for each other: the loop is named in order, with `names` where they are given.

    >>> in_order([2, 1], [Link(1, 2)])
    [1, 2]
    """
    try:
        return order((Contains(link.before, link.after, 1) for link in links), steps)
    except Loop as loop:
        called = [names.get(number, f"step {number}") for number in loop.path]
        why = f"They wait for each other: {' before '.join(called)}."
        raise _not_weighed(why, "Take one of these links out.") from None


def downstream(links: Iterable[Link], step: int) -> tuple[int, ...]:
    """All that comes after a step, directly or through others, the nearest first; the step itself is left out.

    >>> downstream([Link(1, 2), Link(2, 3), Link(4, 3)], 1)
    (2, 3)
    """
    after: dict[int, list[int]] = {}
    for link in links:
        after.setdefault(link.before, []).append(link.after)
    found = {step: None}
    for number in (todo := [step]):
        for later in after.get(number, ()):
            if later not in found:
                found[later] = None
                todo.append(later)
    return tuple(todo[1:])


def _known(activities: Iterable[Activity]) -> dict[int, Activity]:
    steps: dict[int, Activity] = {}
    for step in activities:
        if step.id in steps:
            raise _not_weighed(f"Step {step.id} is there twice.", "Name every step once.")
        if step.minutes < 0 or step.wait_min < 0:
            raise _not_weighed(f"Step {step.id} takes less than 0 minutes.", "Give 0 or more.")
        steps[step.id] = step
    return steps


def _refuse_bad_links(links: Iterable[Link], steps: Mapping[int, Activity]) -> None:
    for before, after, kind, wait_min in links:
        for number in (before, after):
            if number not in steps:
                raise _not_weighed(f"A link names step {number}, which is not there.", "Add the step, or take it out.")
        if kind not in _KINDS or wait_min < 0:
            raise _not_weighed(
                f"Step {after} comes after step {before} by {kind} with {wait_min} min between.",
                "Say FS, SS or FF, with a wait of 0 or more.",
            )


def _not_weighed(why: str, mend: str) -> BadInput:
    return BadInput("The steps could not be put in order.", why, mend)


def _gap(step: Activity, link: Link) -> int:
    """The least time from the start of the step to the moment of the other that the link ties."""
    if link.kind == "SS":
        return link.wait_min
    return step.minutes + (link.wait_min if link.kind == "FF" else max(step.wait_min, link.wait_min))


def _from_start_to_start(steps: Mapping[int, Activity], link: Link) -> int:
    """The least time from start to start that a link asks for; below 0 where the later step may begin first."""
    return _gap(steps[link.before], link) - (steps[link.after].minutes if link.kind == "FF" else 0)


def _earliest(
    ordered: Sequence[int], steps: Mapping[int, Activity], after: Mapping[int, Sequence[Link]]
) -> dict[int, int]:
    starts = dict.fromkeys(ordered, 0)
    for number in ordered:
        for link in after.get(number, ()):
            starts[link.after] = max(starts[link.after], starts[number] + _from_start_to_start(steps, link))
    return starts


def _times(steps: Mapping[int, Activity], number: int, starts: Mapping[int, int], total: int) -> Times:
    """The times of a step as if nothing came after it."""
    step, start = steps[number], starts[number]
    late = total - step.wait_min - step.minutes
    return Times(number, start, start + step.minutes, late, late + step.minutes, late - start, late - start)


def _with_play(
    steps: Mapping[int, Activity], times: Mapping[int, Times], links: Iterable[Link], number: int, total: int
) -> Times:
    """The times of a step, now that those of all that come after it are known."""
    alone = times[number]
    late, free = alone.late_start, alone.free_float
    for link in links:
        apart, later = _from_start_to_start(steps, link), times[link.after]
        late = min(late, later.late_start - apart)
        free = min(free, later.early_start - apart - alone.early_start)
    minutes = steps[number].minutes
    return Times(number, alone.early_start, alone.early_finish, late, late + minutes, late - alone.early_start, free)


def _chains(
    steps: Mapping[int, Activity],
    times: Mapping[int, Times],
    after: Mapping[int, Sequence[Link]],
    critical: Sequence[int],
    most: int,
) -> tuple[tuple[int, ...], ...]:
    """The ways along links without play, depth first; there may be very many, so only the first ones are followed."""
    tight: dict[int, list[int]] = {}
    for number in critical:
        for link in after.get(number, ()):
            between = times[link.after].early_start - times[number].early_start
            if not times[link.after].total_float and between == _from_start_to_start(steps, link):
                tight.setdefault(number, []).append(link.after)
    led_to = {number for later in tight.values() for number in later}
    # A way is kept as its last step and the way before it, so that many long ways cost little.
    todo: list[_Way] = [_Way(number, None) for number in reversed(critical) if number not in led_to]
    found: list[tuple[int, ...]] = []
    while todo and len(found) < most:
        way = todo.pop()
        if later := tight.get(way.step):
            todo += [_Way(number, way) for number in reversed(dict.fromkeys(later))]
        else:
            found.append(way.told())
    return tuple(found)


class _Way(NamedTuple):
    step: int
    before: _Way | None

    def told(self) -> tuple[int, ...]:
        steps, way = [], self
        while True:
            steps.append(way.step)
            if way.before is None:
                return tuple(reversed(steps))
            way = way.before
