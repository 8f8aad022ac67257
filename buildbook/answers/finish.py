"""When will a build be finished: the likely and the safe date, the chance of the target, and what drives it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.parcels import EARLY_DAYS, LATE_DAYS, TO_ORDER, VERY_LATE_DAYS, parcel_said
from buildbook.answers.plan import Left, number_of, pace_said, said_of, what_is_left
from buildbook.answers.standing import builds_that_count, find_build
from buildbook.answers.until import local
from buildbook.errors import BadInput
from buildbook.reckon.calendar import DAY_MIN
from buildbook.reckon.chain import Planned, chain
from buildbook.reckon.sessions import Schedule, list_schedule
from buildbook.store.read import hanging as read
from buildbook.store.read.bench import steps as steps_by_assembly
from buildbook.store.read.standing import BuildRow
from buildbook.trade.moments import MONTHS, moment_of

if TYPE_CHECKING:
    from buildbook.reckon.forecast import Driver, Forecast
    from buildbook.store.workshop import Workshop

DRAWS, QUICK_DRAWS, GAIN_DRAWS = 4_000, 500, 1_000
MOST_GAINS = 6
# Less than that is within what the draws cannot tell apart.
WORTH_SAYING_MIN = 60


class PlannedRow(NamedTuple):
    """A step left in the likely plan. On the critical chain it has no play; `pushed` says what it follows: a step, its
    place, its parts, the hands, or the start. `float_min` is in minutes of bench time.
    """

    build: str
    step: int
    place: str
    name: str
    start: str
    end: str
    minutes: int
    wait_min: int
    pushed: str
    by: str
    float_min: int
    critical: bool


class DriverRow(NamedTuple):
    """What drives the finish: hands (the work on a step), wait or delivery, and how much sooner all would be done on
    average if it went as well as it can.
    """

    what: str
    name: str
    gain_min: int


class GainRow(NamedTuple):
    """What would be gained: `what` is shelve (a choice, with all that hangs on it) or sooner (a delivery, today)."""

    what: str
    key: str
    name: str
    likely_min: int
    safe_min: int


class ParcelRow(NamedTuple):
    """A delivery that steps wait for; the state is on order, to order or overdue, the moments are those thought."""

    name: str
    due_on: str
    state: str
    low: str
    likely: str
    high: str
    steps: int


class DoneRow(NamedTuple):
    """Steps done: when, and the hands-on minutes that they were thought to take."""

    at: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Finish(Answer):
    """When a build will be finished. `likely` is reached in half of all draws, `safe` in nine of ten.

    `chance` is that of the target, 0 to 1, and `curve` holds the moments by which 0, 1, ... 100 of a hundred draws are
    finished. `without` names what is not reckoned in, since nobody knows its end.
    """

    SCHEMA: ClassVar[str] = "buildbook.finish-date/1"
    build: str
    asked_at: str
    target_on: str
    likely: str
    safe: str
    chance: float | None
    steps_left: int
    minutes_left: int
    pace_ratio: float
    pace_steps: int
    rows: tuple[PlannedRow, ...]
    drivers: tuple[DriverRow, ...]
    gains: tuple[GainRow, ...]
    deliveries: tuple[ParcelRow, ...]
    without: tuple[str, ...]
    assumed: tuple[str, ...]
    curve: tuple[str, ...]
    done: tuple[DoneRow, ...]


def finish(shop: Workshop, build: str | None = None, *, draws: int = DRAWS) -> Finish:
    """When the build will be finished: from so many draws of all that is not sure, at the builder's own pace.

    Raises BadInput for an unknown build, and without a build where there are several.
    """
    chosen = _meant(shop, build)
    left = what_is_left(shop, (chosen,))
    if not left.tasks:
        said = f"Nothing is left to do of {chosen.code}."
        return _without_steps(said, chosen, left)
    tasks = left.at_delivery()
    schedule = list_schedule(tasks, left.links, left.sessions)
    told = _foretold(left, schedule, draws=draws, most_drivers=8)
    rows = tuple(_row(left, one) for one in chain(tasks, left.links, left.sessions, schedule))
    return Finish(
        sentence=_sentence(chosen, told),
        build=chosen.code,
        asked_at=moment_of(left.now),
        target_on=chosen.target_on,
        likely=moment_of(told.likely),
        safe=moment_of(told.safe),
        chance=told.chance,
        steps_left=len(rows),
        minutes_left=sum(row.minutes for row in rows),
        pace_ratio=round(left.pace.ratio, 3),
        pace_steps=left.pace.counted,
        rows=rows,
        drivers=tuple(_driver(left, one) for one in told.drivers),
        gains=tuple(_gains(shop, chosen, left)),
        deliveries=_deliveries(left),
        without=tuple(dict.fromkeys(one.what for found in left.unknown.values() for one in found)),
        assumed=(*said_of(left), *_more_assumed(shop, chosen, left)),
        curve=tuple(map(moment_of, told.percentiles)),
        done=_done(left),
    )


class Foretold(NamedTuple):
    """When a build is finished in half of all draws, and in nine of ten: minutes since 1970."""

    likely: int
    safe: int


def foretell(shop: Workshop, build: str, *, draws: int) -> Foretold | None:
    """The two moments of a build alone; None where nothing is left to do. Raises BadInput for an unknown build."""
    left = what_is_left(shop, (_meant(shop, build),))
    if not left.tasks:
        return None
    schedule = list_schedule(left.at_delivery(), left.links, left.sessions)
    told = _foretold(left, schedule, draws=draws, most_drivers=0)
    return Foretold(told.likely, told.safe)


class Dates(NamedTuple):
    """The likely and the safe day of a finish, ISO 8601."""

    likely_on: str
    safe_on: str


def likely_and_safe(shop: Workshop, build: str) -> Dates | None:
    """The two dates in a hurry, for the head of a screen; None where nothing is left to do."""
    told = foretell(shop, build, draws=QUICK_DRAWS)
    if told is None:
        return None
    return Dates(local(told.likely).date().isoformat(), local(told.safe).date().isoformat())


def day(minute: int) -> str:
    """A moment as its local day, with the year.

    >>> day(20 * 365 * 1440)
    '27 Dec 1989'
    """
    at = local(minute)
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}"


def _meant(shop: Workshop, build: str | None) -> BuildRow:
    known = builds_that_count(shop)
    chosen = find_build(known, build)
    if chosen is None and known:
        codes = ", ".join(one.code for one in known)
        raise BadInput("It is not clear which build is meant.", f"There are {codes}.", "Name one.")
    if chosen is None:
        raise BadInput("No build is planned or under way.", "", "Start one.")
    return chosen


def _foretold(left: Left, schedule: Schedule, *, draws: int, most_drivers: int) -> Forecast:
    from buildbook.reckon.forecast import forecast

    (build,) = left.builds
    target = None
    if build.target_on:
        target = left.times.minute_of(date.fromisoformat(build.target_on) + timedelta(days=1), 0)
    return forecast(
        left.tasks,
        left.links,
        left.sessions,
        left.ranges,
        target=target,
        order=schedule.order,
        draws=draws,
        most_drivers=most_drivers,
    )


def _row(left: Left, one: Planned) -> PlannedRow:
    todo = left.todo[one.task]
    by = left.todo[one.by].place if one.by is not None else ""
    when = (moment_of(one.start), moment_of(one.end))
    wait = (todo.hands.likely, todo.wait_low_min)
    return PlannedRow(
        todo.build, todo.step, todo.place, todo.name, *when, *wait, one.pushed, by, one.float_min, one.critical
    )


def _driver(left: Left, one: Driver) -> DriverRow:
    if one.what == "delivery":
        return DriverRow(one.what, parcel_said(left.parcels[one.id]), one.gain_min)
    todo = left.todo[one.id]
    return DriverRow(one.what, f"{todo.place} {todo.name}", one.gain_min)


def _deliveries(left: Left) -> tuple[ParcelRow, ...]:
    return tuple(
        ParcelRow(
            *left.parcels[one.id],
            low=moment_of(one.when.low),
            likely=moment_of(one.when.likely),
            high=moment_of(one.when.high),
            steps=len(one.tasks),
        )
        for one in left.ranges.deliveries
    )


def _done(left: Left) -> tuple[DoneRow, ...]:
    return tuple(DoneRow(moment_of(at), minutes) for at, minutes in left.done if minutes)


def _gains(shop: Workshop, build: BuildRow, left: Left) -> list[GainRow]:
    """What shelving a choice or having a parcel today would gain, the largest gain first; only what gains anything."""
    from buildbook.reckon.forecast import gain

    asked: list[tuple[str, str, str, tuple[int, ...], dict[int, int]]] = []
    for one in left.ranges.deliveries:
        named = left.parcels[one.id]
        asked.append(("sooner", named.name, f"{parcel_said(named)}: if it were here today", (), {one.id: left.now}))
    for code, steps in _hanging(shop, build, left).items():
        hang = "hangs" if len(steps) == 1 else "hang"
        said = f"{code} put off, with the {count_of(len(steps), 'step')} that {hang} on it"
        asked.append(("shelve", code, said, steps, {}))
    rows = []
    for what, key, name, steps, sooner in asked[:MOST_GAINS]:
        won = gain(
            left.tasks, left.links, left.sessions, left.ranges, shelve=steps, sooner=sooner, draws=GAIN_DRAWS
        )  # fmt: skip
        if max(won) >= WORTH_SAYING_MIN:
            rows.append(GainRow(what, key, name, won.likely_min, won.safe_min))
    return sorted(rows, key=lambda row: (-row.likely_min, -row.safe_min, row.key))


def _hanging(shop: Workshop, build: BuildRow, left: Left) -> dict[str, tuple[int, ...]]:
    """The steps that hang on each choice that is not put off: those of its option, those of what stands there only for
    it, and those that its open question holds.
    """
    links, codes = read.hanging(shop.reads), read.choices(shop.reads)
    steps = steps_by_assembly(shop.reads)
    found: dict[int, dict[int, None]] = {}
    whole = set(_within(build.assembly_id, links, 0))
    for choice in sorted({row.choice for row in links if row.choice}):
        for assembly in whole - set(_within(build.assembly_id, links, choice)):
            for step in steps.get(assembly, ()):
                if (number := number_of(build.id, step.id)) in left.todo:
                    found.setdefault(choice, {})[number] = None
    for choice, own_step in read.steps_of_choices(shop.reads):
        if (number := number_of(build.id, own_step)) in left.todo:
            found.setdefault(choice, {})[number] = None
    for task, unknown in left.unknown.items():
        for one in unknown:
            if one.choice:
                found.setdefault(one.choice, {})[task] = None
    return {codes[choice]: tuple(sorted(own)) for choice, own in sorted(found.items()) if choice in codes}


def _within(top: int, links: Sequence[read.HangingRow], without: int) -> Iterator[int]:
    """The assemblies of a tree, without those that stand there only for one choice."""
    inside: dict[int, list[int]] = {}
    for row in links:
        if not without or row.choice != without:
            inside.setdefault(row.parent, []).append(row.child)
    seen, todo = {top}, [top]
    while todo:
        here = todo.pop()
        yield here
        new = [child for child in inside.get(here, ()) if child not in seen]
        seen.update(new)
        todo += dict.fromkeys(new)


def _more_assumed(shop: Workshop, build: BuildRow, left: Left) -> Iterator[str]:
    yield pace_said(left.pace)
    states = {parcel.state for parcel in left.parcels.values()}
    if states - {TO_ORDER}:
        yield f"A parcel on order comes {EARLY_DAYS} day early to {LATE_DAYS} days late."
    if TO_ORDER in states:
        yield f"What is short is ordered today, and comes up to {VERY_LATE_DAYS} days late."
    if build.units > 1:
        yield f"All {build.units} units are built together, each step done for all of them."
    others = [one.code for one in builds_that_count(shop) if one.id != build.id]
    if others:
        yield f"Nothing else is done at the bench: {', '.join(others)} left aside."


def _sentence(build: BuildRow, told: Forecast) -> str:
    said = f"{build.code} is likely finished by {day(told.likely)}, safely by {day(told.safe)}"
    if told.chance is None:
        return f"{said}."
    on = date.fromisoformat(build.target_on)
    # No number of draws makes a thing certain.
    chance = min(99, max(1, round(100 * told.chance)))
    return f"{said}; a chance of {chance} in 100 for the target of {on.day} {MONTHS[on.month - 1]} {on.year}."


def _without_steps(said: str, build: BuildRow, left: Left) -> Finish:
    return Finish(
        sentence=said,
        build=build.code,
        asked_at=moment_of(left.now),
        target_on=build.target_on,
        likely="",
        safe="",
        chance=None,
        steps_left=0,
        minutes_left=0,
        pace_ratio=round(left.pace.ratio, 3),
        pace_steps=left.pace.counted,
        rows=(),
        drivers=(),
        gains=(),
        deliveries=(),
        without=(),
        assumed=(),
        curve=(),
        done=_done(left),
    )


def days_said(minutes: int) -> str:
    """Minutes of the calendar as days.

    >>> days_said(3 * 1440), days_said(1500), days_said(700)
    ('3 days', '1 day', '0.5 days')
    """
    days = round(minutes / DAY_MIN, 1)
    return f"{days:g} day{'' if days == 1 else 's'}"
