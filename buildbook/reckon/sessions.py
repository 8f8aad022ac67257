"""Steps into bench time: one pair of hands works, waits run while nobody is there.

A step is hands-on work without a break but for the end of a session, then perhaps a wait by the true clock. An assembly
holds one step at a time, from its first minute to the end of its wait. Serial list scheduling (Kelley, "The
critical-path method", 1963): each step in turn is put where it fits first, the one with the longest tail first.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import pairwise
from random import Random
from typing import Literal, NamedTuple, TypeAlias

from buildbook.errors import BadInput
from buildbook.reckon.calendar import BenchTime, Session, joined, too_little

Kind: TypeAlias = Literal["FS", "SS"]
Sessions: TypeAlias = Iterable[tuple[int, int]]

_NEVER = 1 << 60
_MOST_TRIES, _TRIED_STEPS, _SHAKE_MIN = 80, 1000, 100


@dataclass(frozen=True, slots=True)
class Task:
    """A step to be done: hands-on minutes, then `wait_min` during which its `place` (an assembly) is taken.

    `release` is the instant from which its parts are there. What is not `splittable` is done in one session, unless it
    is longer than any. Each `worker` is a pair of hands. Less than 1 minute counts as 1, since somebody must be there.
    """

    id: int
    minutes: int
    wait_min: int = 0
    place: int | None = None
    release: int = 0
    splittable: bool = True
    worker: int = 0


class Link(NamedTuple):
    """One step before another: FS from the end of its hands-on work, SS from its start, by `wait_min` at least.

    With FS its own wait must be over as well: the longer of the two counts.
    """

    before: int
    after: int
    kind: Kind = "FS"
    wait_min: int = 0


class Piece(NamedTuple):
    """Work on a step without a break, between two instants."""

    task: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """The pieces of work in the order of time, and the instant at which all is done and no wait runs any more."""

    pieces: tuple[Piece, ...]
    finish: int

    @property
    def order(self) -> tuple[int, ...]:
        """The steps in the order in which they start."""
        return tuple(dict.fromkeys(piece.task for piece in self.pieces))


class Need(NamedTuple):
    """What must be before a step, or after it: the place of the other in the row, and the least wait between."""

    other: int
    kind: Kind
    wait_min: int


class Work:
    """Steps in a row, each known by its place in it, with what is before and after each.

    Raises BadInput for a loop, a step named twice or not known, a time below 0, or a kind of link that is none.
    """

    def __init__(self, tasks: Iterable[Task], links: Iterable[Link]) -> None:
        self.tasks = tuple(tasks)
        self.at = {task.id: place for place, task in enumerate(self.tasks)}
        self.hands = [max(1, task.minutes) for task in self.tasks]
        self.before: list[list[Need]] = [[] for _ in self.tasks]
        self.after: list[list[Need]] = [[] for _ in self.tasks]
        if len(self.at) < len(self.tasks):
            raise _not_planned("A step is named twice.")
        for task in self.tasks:
            if min(task.minutes, task.wait_min) < 0:
                raise _not_planned(f"Step {task.id} has a time below 0.")
        for link in links:
            self._add(link)
        self.in_order = self.sorted_by([0] * len(self.tasks))

    def sorted_by(self, keys: Sequence[float]) -> list[int]:
        """Put the steps in an order in which each comes after all that are before it, else by lowest key."""
        missing = [len(needs) for needs in self.before]
        ready = [(keys[step], step) for step, count in enumerate(missing) if not count]
        heapify(ready)
        order: list[int] = []
        while ready:
            _, step = heappop(ready)
            order.append(step)
            for other, _, _ in self.after[step]:
                missing[other] -= 1
                if not missing[other]:
                    heappush(ready, (keys[other], other))
        if len(order) < len(self.tasks):
            stuck = sorted(self.tasks[step].id for step, count in enumerate(missing) if count)
            raise _not_planned(f"Steps {', '.join(map(str, stuck[:8]))} wait for each other.")
        return order

    def _add(self, link: Link) -> None:
        if link.before not in self.at or link.after not in self.at:
            raise _not_planned(f"Nobody knows step {link.before if link.after in self.at else link.after}.")
        if link.kind not in ("FS", "SS") or link.wait_min < 0:
            raise _not_planned(f"Step {link.after} cannot follow step {link.before} like that.")
        before, after = self.at[link.before], self.at[link.after]
        wait = max(link.wait_min, self.tasks[before].wait_min) if link.kind == "FS" else link.wait_min
        self.before[after].append(Need(before, link.kind, wait))
        self.after[before].append(Need(after, link.kind, wait))


def list_schedule(
    tasks: Iterable[Task], links: Iterable[Link], sessions: Sessions, *, order: Sequence[int] | None = None
) -> Schedule:
    """Put the steps into the sessions, the one with the longest tail first, or in the `order` of step numbers given.

    Raises BadInput where the sessions are not enough, for a loop, and as `Work` does.

    >>> plan = list_schedule([Task(1, 60, 600), Task(2, 30), Task(3, 90)], [Link(1, 2)], [(0, 120), (1440, 1560)])
    >>> [tuple(piece) for piece in plan.pieces], plan.finish
    ([(1, 0, 60), (3, 60, 120), (3, 1440, 1470), (2, 1470, 1500)], 1500)
    """
    work, bench = Work(tasks, links), BenchTime(sessions)
    if not work.tasks:
        return Schedule((), bench.starts[0] if bench.starts else 0)
    if order is None:
        return _by_tail(work, bench)
    return schedule_of(work, bench, place_in_order(work, bench, in_given_order(work, order)))


def _by_tail(work: Work, bench: BenchTime) -> Schedule:
    """Take the step first that must start soonest if all is to be finished as soon as could be.

    A few steps do not even out where a coat just misses a session, so their order is also shaken a little, many times.
    """
    if not bench.starts:
        raise too_little()
    soonest, chance = soonest_finish(work, bench, bench.sessions[-1].end), Random(1)
    latest = latest_ends(work, bench, soonest)
    keys = [latest[step] - hands for step, hands in enumerate(work.hands)]
    best = schedule_of(work, bench, place_in_order(work, bench, work.sorted_by(keys)))
    for _ in range(min(_MOST_TRIES, _TRIED_STEPS // len(work.tasks))):
        if best.finish <= soonest:
            break
        order = work.sorted_by([key + chance.gauss(0, _SHAKE_MIN) for key in keys])
        best = min(best, schedule_of(work, bench, place_in_order(work, bench, order)), key=lambda one: one.finish)
    return best


def in_given_order(work: Work, order: Sequence[int]) -> list[int]:
    """Order the steps as given by number as far as what must be before allows; those not named come last."""
    rank = {task: position for position, task in enumerate(order)}
    return work.sorted_by([rank.get(task.id, len(rank)) for task in work.tasks])


def latest_ends(work: Work, bench: BenchTime, finish: int) -> list[int]:
    """Tell for each step the last bench minute at which its work must end for all to be finished by that instant.

    Only needs and waits count, not that hands are few: a result below the hands-on time means that this is too soon.
    """
    latest = [bench.before(finish - task.wait_min) for task in work.tasks]
    for step in reversed(work.in_order):
        for other, kind, wait in work.after[step]:
            start = latest[other] - work.hands[other]
            if start < 0:
                latest[step] = min(latest[step], start)
            elif kind == "FS":
                latest[step] = min(latest[step], bench.before(bench.start(start) - wait) if wait else start)
            else:
                latest[step] = min(latest[step], bench.before(bench.start(start) - wait + 1) - 1 + work.hands[step])
    return latest


def earliest_starts(work: Work, bench: BenchTime) -> list[int]:
    """Tell for each step the first bench minute at which it could start, if hands and places were always free."""
    starts, ends = [0] * len(work.tasks), [0] * len(work.tasks)
    for step in work.in_order:
        starts[step] = ready(work, bench, step, starts, ends)
        ends[step] = min(starts[step] + work.hands[step], bench.total)
    return starts


def place_in_order(work: Work, bench: BenchTime, order: Sequence[int], *, keep: int | None = None) -> list[int]:
    """Put each step in turn where it fits first; return the bench minute at which each starts.

    `keep` is how many idle stretches of each pair of hands are remembered, the longest ones; all of them if None.
    Raises BadInput where the bench time is not enough.
    """
    starts, ends = [0] * len(work.tasks), [0] * len(work.tasks)
    longest = max(bench.lengths, default=0)
    hands = {task.worker: _Hands(keep) for task in work.tasks}
    free: dict[int, int] = {}
    for step in order:
        task, minutes = work.tasks[step], work.hands[step]
        soonest = ready(work, bench, step, starts, ends)
        if task.place is not None:
            soonest = max(soonest, free.get(task.place, 0))
        in_one = None if task.splittable or minutes > longest else bench
        starts[step] = hands[task.worker].take(soonest, minutes, in_one)
        ends[step] = end = starts[step] + minutes
        if end > bench.total:
            raise too_little()
        if task.place is not None:
            free[task.place] = bench.over(end, task.wait_min)
    return starts


def soonest_finish(work: Work, bench: BenchTime, surely: int) -> int:
    """Tell an instant before which nobody could finish; `surely` is one by which it can be done.

    The hands must do all steps between the earliest and the latest time that their needs and waits allow, but may break
    off any: it can be done then if the most urgent first does it (Jackson, "Scheduling a production line to minimize
    maximum tardiness", 1955). The hands-on minutes against those of the sessions are part of it, and the longest chain.
    """
    heads = earliest_starts(work, bench)
    low = bench.starts[0]
    while low < surely:
        middle = (low + surely) // 2
        if _could_finish(work, heads, latest_ends(work, bench, middle)):
            surely = middle
        else:
            low = middle + 1
    return surely


def schedule_of(work: Work, bench: BenchTime, starts: Sequence[int]) -> Schedule:
    """Cut steps that start at these bench minutes into the pieces that fall into each session."""
    pieces, finish = [], 0
    for step, task in enumerate(work.tasks):
        minute, end = starts[step], starts[step] + work.hands[step]
        finish = max(finish, bench.end(end) + task.wait_min)
        while minute < end:
            until = min(end, bench.offsets[bench.session_from(minute) + 1])
            pieces.append(Piece(task.id, bench.start(minute), bench.end(until)))
            minute = until
    return Schedule(tuple(sorted(pieces, key=lambda piece: (piece.start, piece.task))), finish)


def faults(schedule: Schedule, tasks: Iterable[Task], links: Iterable[Link], sessions: Sessions) -> tuple[str, ...]:
    """Name all that is wrong with a schedule, in words; nothing if it keeps every need, wait, place and session.

    >>> faults(Schedule((Piece(1, 0, 60),), 60), [Task(1, 90)], [], [(0, 120)])
    ('step 1 gets 60 of 90 minutes', 'the finish is not that of the steps')
    """
    known, open_hours = {task.id: task for task in tasks}, joined(sessions)
    of: dict[int, list[Piece]] = {task: [] for task in known}
    for piece in schedule.pieces:
        of[piece.task].append(piece)
    found = [fault for task, pieces in of.items() for fault in _faults_alone(known[task], pieces, open_hours)]
    if all(of.values()):
        found += _faults_of_links(links, known, of)
        found += _faults_of_sharing(known.values(), of)
    finish = max((known[piece.task].wait_min + piece.end for piece in schedule.pieces), default=schedule.finish)
    if finish != schedule.finish or any(sum(e - s for _, s, e in of[t]) != max(1, known[t].minutes) for t in of):
        found.append("the finish is not that of the steps")
    return tuple(found)


def ready(work: Work, bench: BenchTime, step: int, starts: Sequence[int], ends: Sequence[int]) -> int:
    """Tell the first bench minute at which a step's parts are there and all that must be before it is over."""
    soonest = bench.before(work.tasks[step].release)
    for other, kind, wait in work.before[step]:
        if kind == "FS":
            soonest = max(soonest, bench.over(ends[other], wait))
        else:
            soonest = max(soonest, bench.before(bench.start(starts[other]) + wait) if wait else starts[other])
    return soonest


def _could_finish(work: Work, heads: Sequence[int], latest: Sequence[int]) -> bool:
    of_worker: dict[int, list[tuple[int, int, int]]] = {}
    for step, task in enumerate(work.tasks):
        if heads[step] + work.hands[step] > latest[step]:
            return False
        of_worker.setdefault(task.worker, []).append((heads[step], latest[step], work.hands[step]))
    return all(_in_time(sorted(steps)) for steps in of_worker.values())


def _in_time(steps: Sequence[tuple[int, int, int]]) -> bool:
    """Tell whether one pair of hands can do (from, until, minutes) of each, breaking off for what is more urgent."""
    urgent: list[tuple[int, int]] = []
    minute, at = 0, 0
    while urgent or at < len(steps):
        if not urgent:
            minute = max(minute, steps[at][0])
        while at < len(steps) and steps[at][0] <= minute:
            heappush(urgent, (steps[at][1], steps[at][2]))
            at += 1
        until, left = heappop(urgent)
        pause = steps[at][0] - minute if at < len(steps) else left
        minute += min(left, pause)
        if minute > until:
            return False
        if pause < left:
            heappush(urgent, (until, left - pause))
    return True


class _Hands:
    """The idle stretches of one pair of hands, in bench minutes and in order; the last has no end."""

    def __init__(self, keep: int | None) -> None:
        self._keep = _NEVER if keep is None else keep
        self._since, self._until = [0], [_NEVER]

    def take(self, ready: int, minutes: int, in_one: BenchTime | None) -> int:
        """Take the first stretch from `ready` on that is long enough, within one session if that is given."""
        at = bisect_right(self._until, ready)
        while True:
            start = max(ready, self._since[at])
            if in_one and start < in_one.total:
                start = in_one.in_one(start, minutes)
            if start + minutes <= self._until[at]:
                break
            at += 1
        idle, self._since[at] = (self._since[at], start), start + minutes
        if self._since[at] == self._until[at]:
            del self._since[at], self._until[at]
        if idle[0] < idle[1]:
            self._remember(*idle)
        return start

    def _remember(self, since: int, until: int) -> None:
        if len(self._since) > self._keep:
            shortest, at = min((e - s, at) for at, (s, e) in enumerate(zip(self._since, self._until, strict=True)))
            if until - since <= shortest:
                return
            del self._since[at], self._until[at]
        insort(self._since, since)
        insort(self._until, until)


def _faults_alone(task: Task, pieces: Sequence[Piece], open_hours: Sequence[Session]) -> list[str]:
    found, minutes = [], max(1, task.minutes)
    spent = sum(end - start for _, start, end in pieces)
    if spent != minutes:
        found.append(f"step {task.id} gets {spent} of {minutes} minutes")
    for _, start, end in pieces:
        if not any(since <= start < end <= until for since, until in open_hours):
            found.append(f"step {task.id} is worked on while nobody is there")
        if start < task.release:
            found.append(f"step {task.id} starts before its parts are there")
    if len(pieces) > 1 and not task.splittable and any(until - since >= minutes for since, until in open_hours):
        found.append(f"step {task.id} is split")
    return found


def _faults_of_links(links: Iterable[Link], known: Mapping[int, Task], of: Mapping[int, Sequence[Piece]]) -> list[str]:
    found = []
    for before, after, kind, wait in links:
        began, ended = of[before][0].start, of[before][-1].end
        least = began + wait if kind == "SS" else ended + max(wait, known[before].wait_min)
        if of[after][0].start < least:
            found.append(f"step {after} starts too soon after step {before}")
    return found


def _faults_of_sharing(tasks: Iterable[Task], of: Mapping[int, Sequence[Piece]]) -> list[str]:
    """Find hands that do two things at once, and assemblies that are worked on while they wait."""
    hands, places = dict[int, list[tuple[int, int, int]]](), dict[int, list[tuple[int, int, int]]]()
    for task in tasks:
        hands.setdefault(task.worker, []).extend((start, end, task.id) for _, start, end in of[task.id])
        if task.place is not None:
            taken = (of[task.id][0].start, of[task.id][-1].end + task.wait_min, task.id)
            places.setdefault(task.place, []).append(taken)
    return [
        f"step {late[2]} starts while step {soon[2]} {what}"
        for what, shared in (("has the hands", hands), ("has the assembly", places))
        for spans in shared.values()
        for soon, late in pairwise(sorted(spans))
        if late[0] < soon[1]
    ]


def _not_planned(why: str) -> BadInput:
    return BadInput("The steps were not planned.", why, "Mend it and plan again.")
