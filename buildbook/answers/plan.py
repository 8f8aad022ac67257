"""What is left to do of a build, ready to be planned: steps at the builder's pace, what each waits for, bench time.

What nobody knows the end of (an open question, a signature, a part that nobody offers) is kept apart and said, so that
no plan rests on it in silence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.bench import NOT_BEGUN, Made, now_of, standings
from buildbook.answers.bench_time import BenchTimes, bench_times
from buildbook.answers.parcels import Parcel, Unknown, Wanted, parcels_for
from buildbook.answers.standing import builds_that_count, exploded, find_build
from buildbook.errors import BadInput
from buildbook.reckon.calendar import Session, enough_sessions
from buildbook.reckon.explode import Demand
from buildbook.reckon.pace import Noted, Pace, Range, Ranges, at_pace, pace
from buildbook.reckon.readiness import HELD, IN_HAND, NOTHING, OUT, PARTS, QUESTION, READY, UNREAD, UNSIGNED
from buildbook.reckon.sessions import Link, Task, list_schedule
from buildbook.store.read import order as read
from buildbook.store.read.bench import RunRow, StepRow
from buildbook.store.read.order import Order
from buildbook.store.read.standing import BuildRow
from buildbook.store.read.standing import builds as every_build
from buildbook.trade.moments import told_by_clock

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

LEFT = (READY, IN_HAND, HELD)
# A step for which no time is written down, and the spread of one for which only a likely time is. Common practice.
NO_TIME = Range(10, 30, 60)
SPREAD_LOW, SPREAD_HIGH = 0.7, 1.6
# An evening is spent on the first few builds in priority; planning two hundred at once takes long and says no more.
MOST_BUILDS = 5
MOST_MIN = 60 * 366 * 24 * 60
_BUILD_SHIFT = 32


class Todo(NamedTuple):
    """A step that is left: of which build, where it stands, what it is; hands-on minutes as they are reckoned.

    `first` says what can and must be done before it at once, such as to kit its section.
    """

    build: str
    step: int
    place: str
    name: str
    state: str
    work: str
    hands: Range
    wait_low_min: int
    wait_high_min: int
    one_way: bool
    caution: str
    first: str


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of some builds. Tasks and links go by numbers of their own, and so does `todo`.

    `done` has of each step done when that was and the minutes it was thought to take.
    `ranges` holds what is not sure, deliveries included; the release of a task has only what is sure. `unknown` names
    what nobody knows the end of, by task. `no_time` counts the steps without a time, `pieces` those done several times.
    """

    builds: tuple[BuildRow, ...]
    todo: Mapping[int, Todo]
    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    ranges: Ranges
    parcels: Mapping[int, Parcel]
    unknown: Mapping[int, tuple[Unknown, ...]]
    pace: Pace
    times: BenchTimes
    now: int
    no_time: int
    pieces: int
    done: tuple[tuple[int, int], ...]
    sessions: tuple[Session, ...]

    def at_delivery(self, *, unknown_from: int = 0) -> tuple[Task, ...]:
        """The tasks, held until their deliveries are likely there; those with something unknown from then on."""
        due: dict[int, int] = {}
        for parcel in self.ranges.deliveries:
            for task in parcel.tasks:
                due[task] = max(due.get(task, 0), parcel.when.likely)
        for task in self.unknown:
            due[task] = max(due.get(task, 0), unknown_from)
        return tuple(replace(task, release=max(task.release, due.get(task.id, 0))) for task in self.tasks)

    def of_build(self, build: str) -> set[int]:
        """The numbers of the tasks of one build."""
        return {number for number, todo in self.todo.items() if todo.build == build}


def what_is_left(shop: Workshop, builds: Sequence[BuildRow]) -> Left:
    """All that is left to do of these builds, the first in priority first.

    Raises BadInput where the waits alone come to more than 60 years.
    """
    now, times, found = now_of(shop), bench_times(shop), read.order(shop.reads)
    counts = _counts(shop)
    learned = _learned(found, counts)
    gathered = _Gathered(found, now, counts, learned)
    for made in standings(shop, builds, found, now):
        gathered.take(made)
    lists = parcels_for(shop, gathered.wanted, times, now)
    gathered.unknown_of(lists.unknown)
    ranges = Ranges(gathered.hands, gathered.waits, lists.deliveries)
    return Left(
        builds=tuple(builds),
        todo=gathered.todo,
        tasks=tuple(gathered.tasks),
        links=tuple(dict.fromkeys(gathered.links)),
        ranges=ranges,
        parcels=lists.parcels,
        unknown={task: tuple(found_) for task, found_ in gathered.unknown.items()},
        pace=learned,
        times=times,
        now=now,
        no_time=gathered.no_time,
        pieces=gathered.pieces,
        done=tuple(sorted(gathered.done)),
        sessions=_sessions(gathered.tasks, ranges, gathered.links, times, now),
    )


def builds_meant(shop: Workshop, build: str | None) -> tuple[tuple[BuildRow, ...], tuple[str, ...]]:
    """The build named, else the first few in priority; and a sentence where others are left aside.

    Raises BadInput for an unknown build.
    """
    known = builds_that_count(shop)
    asked = find_build(known, build)
    builds = known[:MOST_BUILDS] if asked is None else (asked,)
    others = len(known) - len(builds)
    said = f"Only the first {MOST_BUILDS} builds in priority are planned; {others} more are left aside."
    return builds, (said,) if asked is None and others else ()


def in_priority(left: Left, tasks: Sequence[Task], sessions: Sequence[Session]) -> list[int]:
    """The order of the quick plan: each build by itself, the first in priority first."""
    order: list[int] = []
    for build in left.builds:
        own = left.of_build(build.code)
        some = [task for task in tasks if task.id in own]
        links = [link for link in left.links if link.after in own]
        order += list_schedule(some, links, sessions).order
    return order


def said_of(left: Left) -> tuple[str, ...]:
    """What was assumed, a sentence each: bench hours, times not written down, pieces, what is not known."""
    said = [left.times.assumed] if left.times.assumed else []
    if left.no_time:
        steps = "1 step has" if left.no_time == 1 else f"{left.no_time} steps have"
        said.append(f"{steps} no time written down: reckoned with {NO_TIME.likely} min each.")
    if left.pieces:
        steps = "1 step is" if left.pieces == 1 else f"{left.pieces} steps are"
        said.append(f"{steps} for several pieces: hands-on minutes count once for each piece, waits once for all.")
    return tuple(said)


def pace_said(learned: Pace) -> str:
    """How fast the builder is, in a sentence.

    >>> pace_said(pace([Noted(60, 30)] * 5)), pace_said(pace([]))[:31]
    ('You take 1.4 times as long as thought, over 5 steps.', 'No minutes were noted yet, so t')
    """
    if not learned.counted:
        return "No minutes were noted yet, so that each step is thought to take what was estimated."
    steps = "1 step" if learned.counted == 1 else f"{learned.counted} steps"
    return f"You take {learned.ratio:.1f} times as long as thought, over {steps}."


def number_of(build: int, step: int) -> int:
    """The number of the task that a step of a build becomes."""
    return (build << _BUILD_SHIFT) + step


class _Gathered:
    """The steps of build after build, turned into tasks and links."""

    def __init__(self, found: Order, now: int, counts: Mapping[tuple[int, int], int], learned: Pace) -> None:
        self.found, self.now, self.counts, self.learned = found, now, counts, learned
        self.todo: dict[int, Todo] = {}
        self.tasks: list[Task] = []
        self.links: list[Link] = []
        self.hands: dict[int, Range] = {}
        self.waits: dict[int, Range] = {}
        self.wanted: list[Wanted] = []
        self.unknown: dict[int, list[Unknown]] = {}
        self.done: list[tuple[int, int]] = []
        self.no_time = self.pieces = 0
        self._questions = {row.choice: row.code for row in found.questions}
        self._points = {row.point: row.code for row in found.points}
        self._part_of_line = {row.line: row.part for row in found.fitted}

    def take(self, made: Made) -> None:
        """One more build."""
        listed = {
            step.id: (home.path, step.place, step) for home in made.tree for step in self.found.lists.get(home.id, ())
        }
        left = {number for number in listed if made.standing[number].state in LEFT}
        places = _places([step for _, _, step in listed.values()], left)
        for number, (path, place, step) in listed.items():
            if number in left:
                self._step(made, f"{path}/{place}", step, places)
            else:
                self._behind(made.build.id, step)
        begun = {number for number in left if made.standing[number].state == IN_HAND}
        self.links += [
            Link(
                number_of(made.build.id, before), number_of(made.build.id, after), "SS" if kind == "SS" else "FS", wait
            )
            for before, after, kind, wait in _needs(self.found, made, listed)
            if before in left and after in left - begun and not (kind == "SS" and before in begun)
        ]

    def unknown_of(self, unknown: Iterable[tuple[int, Unknown]]) -> None:
        """Besides, what was not found out about parts."""
        for task, what in unknown:
            self.unknown.setdefault(task, []).append(what)

    def _step(self, made: Made, place: str, step: StepRow, places: Mapping[int, int | None]) -> None:
        standing, number = made.standing[step.id], number_of(made.build.id, step.id)
        run = self.found.runs.get((made.build.id, step.id), NOT_BEGUN)
        hands = self._hands(made.build.id, step, run)
        self.hands[number] = hands
        if step.wait_high_min > step.wait_low_min:
            self.waits[number] = Range(step.wait_low_min, step.wait_low_min, step.wait_high_min)
        first, release = "", 0
        for reason in () if standing.state == IN_HAND else standing.reasons:
            release = max(release, reason.until or 0)
            if reason.kind == PARTS:
                self.wanted.append(Wanted(number, self._part_of_line[reason.number], made.lacking[reason.number]))
            first = first or self._first(made, reason.kind, reason.number)
            if unknown := self._unknown(reason.kind, reason.number):
                self.unknown.setdefault(number, []).append(unknown)
        taken = places[step.id]
        room = None if taken is None else number_of(made.build.id, taken)
        self.tasks.append(Task(number, hands.likely, step.wait_low_min, room, release, splittable=not step.one_way))
        self.todo[number] = Todo(
            made.build.code, step.id, place, step.name, standing.state, step.work, hands,
            step.wait_low_min, step.wait_high_min, bool(step.one_way), step.caution, first,
        )  # fmt: skip

    def _behind(self, build: int, step: StepRow) -> None:
        run = self.found.runs.get((build, step.id), NOT_BEGUN)
        if run.state == "done" and run.finished_at:
            at = int(datetime.fromisoformat(run.finished_at).timestamp()) // 60
            self.done.append((at, step.likely_min * max(1, self.counts.get((build, step.assembly), 1))))

    def _first(self, made: Made, kind: str, number: int) -> str:
        """What holds a step and can be done at once, by whoever is at the bench."""
        if kind == PARTS:
            line = made.lacking[number]
            return "" if line.short or line.coming else f"Kit {line.section} first."
        if kind == UNREAD:
            return f"Take the reading at {self._points[number]} first."
        if kind == UNSIGNED:
            name = next(one.name for rows in self.found.lists.values() for one in rows if one.id == number)
            return f"Sign what was checked at {name} first."
        return ""

    def _unknown(self, kind: str, number: int) -> Unknown | None:
        if kind == QUESTION:
            code = self._questions[number]
            return Unknown(f"question {code}", f"Settle the question {code}.", choice=number)
        if kind == OUT:
            code = self._points[number]
            return Unknown(f"reading {code} out of limits", f"Cure it and read again at {code}.")
        return None

    def _hands(self, build: int, step: StepRow, run: RunRow) -> Range:
        """The minutes that are left of a step at the builder's pace, for all pieces; what was spent is taken off."""
        count = max(1, self.counts.get((build, step.assembly), 1))
        low, likely, high = step.low_min, step.likely_min, step.high_min
        if not high and not step.wait_high_min:
            self.no_time += 1
            low, likely, high = NO_TIME
        elif low == high:
            low, high = round(likely * SPREAD_LOW), round(likely * SPREAD_HIGH)
        self.pieces += count > 1
        spent = _spent(run, self.now)
        ratio = self.learned.of(step.work) * count
        return Range(*(max(1, at_pace(minutes, ratio) - spent) for minutes in (low, likely, high)))


def _spent(run: RunRow, now: int) -> int:
    """The minutes spent on a step in hand, its clock included; a clock that was left running tells nothing."""
    if run.state != IN_HAND:
        return 0
    ran = now - int(datetime.fromisoformat(run.resumed_at).timestamp()) // 60 if run.resumed_at else 0
    return (run.minutes or 0) + told_by_clock(ran)


def _needs(found: Order, made: Made, listed: Mapping[int, object]) -> Iterator[tuple[int, int, str, int]]:
    """What must be before what: (before, after, kind, least wait); a list that says nothing goes from the top down."""
    told = [need for need in found.needs if need.step in listed and need.before in listed]
    yield from ((need.before, need.step, need.link, need.wait_min) for need in told)
    saying = {need.step for need in told}
    for home in made.tree:
        rows = found.lists.get(home.id, ())
        if saying.isdisjoint(row.id for row in rows):
            left = [row.id for row in rows if made.standing[row.id].state in LEFT]
            yield from ((before, after, "FS", 0) for before, after in pairwise(left))


def _places(steps: Sequence[StepRow], left: set[int]) -> dict[int, int | None]:
    """The place that each step takes, by the number of an assembly; None where nothing ever waits there.

    A plan knows one place for a step, but a step that bakes in the oven needs its assembly and the oven: such an
    assembly and the oven count as one place. So a plan may be too careful, and never puts two things into one place.
    """
    same: dict[str | int, str | int] = {}

    def root(place: str | int) -> str | int:
        while place in same:
            place = same[place]
        return place

    busy = set[str | int]()
    for step in steps:
        where = step.occupies.casefold()
        if step.id in left and step.wait_high_min and where != NOTHING:
            busy.add(step.assembly)
            one, other = root(step.assembly), root(where or step.assembly)
            if one != other:
                same[one] = other
    numbers: dict[str | int, int] = {}
    busy = {root(place) for place in busy}
    for step in steps:
        numbers.setdefault(root(step.assembly), step.assembly)
    return {step.id: numbers[root(step.assembly)] if root(step.assembly) in busy else None for step in steps}


def _counts(shop: Workshop) -> Mapping[tuple[int, int], int]:
    """How many of each assembly each build makes, those behind us included."""
    return exploded(shop, [Demand(one.id, one.assembly_id, one.units) for one in every_build(shop.reads)]).net


def _learned(found: Order, counts: Mapping[tuple[int, int], int]) -> Pace:
    """The builder's pace, from the minutes noted at steps that are done, over all builds."""
    known = {row.id: row for rows in found.lists.values() for row in rows}
    noted = []
    for (build, step), run in sorted(found.runs.items()):
        if run.state == "done" and run.minutes and step in known:
            row = known[step]
            pieces = max(1, counts.get((build, row.assembly), 1))
            noted.append(Noted(run.minutes, row.likely_min * pieces, row.work))
    return pace(noted)


def _sessions(
    tasks: Sequence[Task], ranges: Ranges, links: Sequence[Link], times: BenchTimes, now: int
) -> tuple[Session, ...]:
    """Bench time that is enough for everything, however the times fall."""
    if not tasks:
        return enough_sessions(times.calendar, now, 1, now)
    waits = sum(ranges.waits[task.id].high if task.id in ranges.waits else task.wait_min for task in tasks)
    waits += sum(link.wait_min for link in links)
    last = max([now, *(task.release for task in tasks), *(parcel.when.high for parcel in ranges.deliveries)])
    if last + waits - now > MOST_MIN:
        raise BadInput("The steps were not planned.", "Their waits come to more than 60 years.", "Shorten the waits.")
    longest = max(until - since for spans in times.calendar.weekly.values() for since, until in spans)
    lost = longest * sum(1 for task in tasks if task.wait_min or not task.splittable)
    hands = sum(span.high for span in ranges.hands.values())
    return enough_sessions(times.calendar, now, 2 * hands + lost, last + waits)
