"""Bench: what can I do now, and what must I not do yet?

A step that says what it comes after is held by that. A checklist in which no step says anything is done from the top
down. Besides the order of work a step is held by waits that are not over, hold points that are not signed, lines not
kitted, open questions and readings.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.boards import walk
from buildbook.answers.form import Answer, count_of
from buildbook.answers.held import Held, Lacking, Names, lines_lacking, part_reasons, summed_up
from buildbook.answers.standing import builds_that_count, find_build
from buildbook.answers.until import clock_time
from buildbook.reckon.readiness import BEHIND, WAITING, Standing, readiness
from buildbook.store.read import order as read
from buildbook.store.read.bench import RunRow
from buildbook.store.read.bench import StepRow as Defined
from buildbook.store.read.bench import waits as rows_of_waits
from buildbook.store.read.boards import AssemblyRow, assemblies
from buildbook.store.read.order import Order
from buildbook.store.read.standing import BuildRow, links
from buildbook.trade.cautions import confirmed
from buildbook.trade.moments import minutes_of, moment_of

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

STATES = ("in hand", "ready", "waiting", "held", "done", "dropped")


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of a build. `state` is one of STATES; `held` says what holds it, or should have come before it.

    `held_by` is the same in the fewest words. `place` is how the step is named on the command line,
    PROJECT/ASSEMBLY/PLACE. Minutes are whole; `minutes` is what it took so far, where that was kept, `running_since`
    when its clock was started. `confirms` is what a signature at a hold point confirms. `until` is when a wait may be
    ended, `best_at` when it is recommended to be ended.
    """

    build: str
    assembly: str
    place: str
    step: int
    name: str
    state: str
    held_by: tuple[str, ...]
    held: tuple[Held, ...]
    until: str
    best_at: str
    work: str
    low_min: int
    likely_min: int
    high_min: int
    wait_low_min: int
    wait_high_min: int
    wait_kind: str
    occupies: str
    tools: str
    one_way: bool
    hold_point: bool
    caution: str
    started_at: str
    running_since: str
    finished_at: str
    minutes: int | None
    signed_at: str
    signed: str
    early: str
    signed_by: str = ""
    confirms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the checklist of one assembly has got: steps, those behind it, hands-on minutes left."""

    build: str
    assembly: str
    name: str
    steps: int
    done: int
    left_min: int


@dataclass(frozen=True, slots=True)
class Bench(Answer):
    """Every step of one build, or of all, in the order of the product tree and of each checklist."""

    SCHEMA: ClassVar[str] = "buildbook.bench/2"
    rows: tuple[StepRow, ...]
    progress: tuple[Progress, ...]


def bench(shop: Workshop, build: str | None = None) -> Bench:
    """The steps of the build named, else of every build planned or under way, the first in priority first.

    Raises BadInput for an unknown build.
    """
    builds = builds_that_count(shop)
    asked = find_build(builds, build)
    wanted = builds if asked is None else (asked,)
    now = now_of(shop)
    found = read.order(shop.reads)
    made = list(standings(shop, wanted, found, now))
    rows = tuple(row for one in made for row in _rows(one, found, now))
    return Bench(_sentence(wanted, made, now), rows, tuple(_progress(one, rows) for one in _sections(made, found)))


def now_of(shop: Workshop) -> int:
    """The minute it is."""
    return int(shop.clock().timestamp()) // 60


class Waiting(NamedTuple):
    """A wait that runs: of which build, after which step, and the minute at which it may be ended."""

    build: str
    step: int
    name: str
    kind: str
    until: int


def waiting(shop: Workshop) -> tuple[Waiting, ...]:
    """The waits that run, the first to end first."""
    rows = rows_of_waits(shop.reads, now_of(shop))
    ends = ((row, (minutes_of(row.finished_at) or 0) + row.wait_low_min) for row in rows)
    return tuple(Waiting(row.build, row.step, row.name, row.wait_kind, until) for row, until in ends)


class Made(NamedTuple):
    """A build, the assemblies that it is made of from the top down, how its steps stand, and the lines it lacks."""

    build: BuildRow
    tree: tuple[AssemblyRow, ...]
    standing: Mapping[int, Standing]
    lacking: Mapping[int, Lacking]


def standings(shop: Workshop, builds: Sequence[BuildRow], found: Order, now: int) -> Iterator[Made]:
    """How the steps of these builds stand."""
    known = assemblies(shop.reads)
    inside: dict[int, list[int]] = {}
    for parent, child, _ in links(shop.reads):
        inside.setdefault(parent, []).append(child)
    lacking = lines_lacking(shop, builds, found, {number: one.path for number, one in known.items()})
    for build in builds:
        tree = tuple(known[number] for number, _ in walk(build.assembly_id, inside, known))
        own = lacking.get(build.id, {})
        holds = part_reasons(found, own)
        for step, reasons in read.told_holds(found, build.id, build.units).items():
            holds.setdefault(step, []).extend(reasons)
        for step, reasons in read.power_holds(found, [one.id for one in tree], build.id).items():
            holds.setdefault(step, []).extend(reasons)
        lists = read.checklists(found, [one.id for one in tree])
        yield Made(build, tree, readiness(lists, read.runs_of(found, build.id), found.before, holds, now), own)


class StepsOfBuild(NamedTuple):
    """How many steps a build has, how many are behind it, and how many are ready or in hand."""

    steps: int
    done: int
    ready: int


def count_steps(shop: Workshop) -> dict[int, StepsOfBuild]:
    """The steps of each build planned or under way, by its number."""
    counts = {}
    for one in standings(shop, builds_that_count(shop), read.order(shop.reads), now_of(shop)):
        states = [standing.state for standing in one.standing.values()]
        behind = sum(state in BEHIND for state in states)
        counts[one.build.id] = StepsOfBuild(len(states), behind, sum(state in ("ready", "in hand") for state in states))
    return counts


def _rows(one: Made, found: Order, now: int) -> Iterator[StepRow]:
    listed = [(home, step.place, step) for home in one.tree for step in found.lists.get(home.id, ())]
    names = Names(
        build=one.build.code,
        steps={step.id: step for _, _, step in listed},
        places={step.id: f"{home.code}/{place}" for home, place, step in listed},
        standing=one.standing,
        lacking=one.lacking,
        questions={row.choice: row.code for row in found.questions},
        points={row.point: row.code for row in found.points},
        now=now,
    )
    for home, place, step in listed:
        yield _row(one, home, place, step, found.runs.get((one.build.id, step.id), NOT_BEGUN), names)


NOT_BEGUN = RunRow(0, 0, "", "", "", None, "", "", "", "", "")


def _row(one: Made, home: AssemblyRow, place: int, step: Defined, run: RunRow, names: Names) -> StepRow:
    standing = one.standing[step.id]
    held = tuple(names.held(reason) for reason in standing.reasons)
    return StepRow(
        build=one.build.code,
        assembly=home.path,
        place=f"{home.path}/{place}",
        step=step.id,
        name=step.name,
        state=standing.state,
        held_by=tuple(reason.what for reason in held),
        held=held,
        until=moment_of(standing.until),
        best_at=moment_of(standing.best),
        work=step.work,
        low_min=step.low_min,
        likely_min=step.likely_min,
        high_min=step.high_min,
        wait_low_min=step.wait_low_min,
        wait_high_min=step.wait_high_min,
        wait_kind=step.wait_kind,
        occupies=step.occupies,
        tools=step.tools,
        one_way=bool(step.one_way),
        hold_point=bool(step.hold_point),
        caution=step.caution,
        started_at=run.started_at,
        running_since=run.resumed_at,
        finished_at=run.finished_at,
        minutes=run.minutes,
        signed_at=run.signed_at,
        signed=run.signed,
        early=run.early,
        signed_by=run.signed_by,
        confirms=confirmed(step.checks, read.work_of(step.work, step.name), step.name) if step.hold_point else (),
    )


def _sections(made: Sequence[Made], found: Order) -> Iterator[tuple[str, AssemblyRow]]:
    """The assemblies that have a checklist, build by build."""
    for one in made:
        yield from ((one.build.code, home) for home in one.tree if home.id in found.lists)


def _progress(section: tuple[str, AssemblyRow], rows: Sequence[StepRow]) -> Progress:
    build, home = section
    own = [row for row in rows if row.build == build and row.assembly == home.path]
    left = [row for row in own if row.state not in (*BEHIND, WAITING)]
    return Progress(build, home.path, home.name, len(own), len(own) - len(left), sum(row.likely_min for row in left))


def _sentence(builds: Sequence[BuildRow], made: Sequence[Made], now: int) -> str:
    if not builds:
        return "No build is planned or under way."
    found = [standing for one in made for standing in one.standing.values()]
    if not found:
        return "No steps are written down yet."
    by_state = {state: [one for one in found if one.state == state] for state in STATES}
    words = [count_of(len(by_state["ready"]), "step") + " ready"]
    if by_state["in hand"]:
        words.append(f"{len(by_state['in hand'])} in hand")
    if waiting := [one.until for one in by_state["waiting"] if one.until is not None]:
        words.append(f"{len(waiting)} waiting (until {clock_time(min(waiting), now)})")
    if held := by_state["held"]:
        words.append(f"{len(held)} held{summed_up([one.reasons for one in held])}")
    behind = [f"{len(by_state[state])} {state}" for state in BEHIND if by_state[state]]
    # A list within the list wants a stronger mark after it.
    mark = "; " if any(":" in word for word in words) else ", "
    said = mark.join(filter(None, (", ".join(words), ", ".join(behind))))
    return said[0].upper() + said[1:] + "."
