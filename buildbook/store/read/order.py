"""The order of work of one build, shaped for reckoning: its checklists, how far they are, what needs what."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple, cast

from buildbook.reckon import power
from buildbook.reckon.forgotten import Worked
from buildbook.reckon.network import Kind, Link
from buildbook.reckon.readiness import (
    BEHIND,
    DONE,
    IN_HAND,
    NOTHING,
    OUT,
    QUESTION,
    UNREAD,
    Need,
    Reason,
    Run,
    Step,
    by_step,
)
from buildbook.store.read import bench as read
from buildbook.trade.moments import minutes_of
from buildbook.trade.workorder_words import named, work_guessed


class Order(NamedTuple):
    """All steps of the workshop, and what holds them, read once for every build that is asked about.

    `lists` are the checklists by assembly, `runs` how far each build has got, by build and step, `begun` the steps that
    each build has begun, `before` the needs of each step.
    """

    lists: Mapping[int, Sequence[read.StepRow]]
    needs: Sequence[Need]
    before: Mapping[int, Sequence[Need]]
    runs: Mapping[tuple[int, int], read.RunRow]
    begun: Mapping[int, Sequence[int]]
    questions: Sequence[read.QuestionRow]
    points: Sequence[read.PointRow]
    fitted: Sequence[read.FittedRow]


def order(reads: sqlite3.Connection) -> Order:
    """Read it."""
    lists = read.steps(reads)
    counting = {row.id for rows in lists.values() for row in rows}
    needs = passed_through(list(map(Need._make, reads.execute(read.NEEDS))), counting)
    runs = read.runs(reads)
    begun: dict[int, list[int]] = {}
    for build, step in runs:
        begun.setdefault(build, []).append(step)
    return Order(
        lists,
        needs,
        by_step(needs),
        runs,
        begun,
        read.questions(reads),
        read.points(reads),
        read.fitted(reads),
    )


def passed_through(needs: Sequence[Need], counting: Collection[int]) -> list[Need]:
    """The needs among the steps that count: what comes after one that does not comes after what that comes after.

    So paint that comes after a filled hole comes after the drilling, where the hole is not to be filled after all. Such
    a need takes its link and wait from the last leg, since the step between is never begun nor done.

    >>> passed_through([Need(2, 1), Need(3, 2), Need(3, 1)], {1, 3})
    [Need(step=3, before=1, link='FS', wait_min=0)]
    """
    if all(need.before in counting and need.step in counting for need in needs):
        return list(needs)
    known = by_step(needs)
    found: dict[tuple[int, int], Need] = {
        (need.step, need.before): need for need in needs if need.step in counting and need.before in counting
    }
    for need in needs:
        if need.step in counting and need.before not in counting:
            seen, todo = {need.before}, [need.before]
            while todo:
                for leg in known.get(todo.pop(), ()):
                    if leg.before in counting:
                        found.setdefault((need.step, leg.before), leg._replace(step=need.step))
                    elif leg.before not in seen:
                        seen.add(leg.before)
                        todo.append(leg.before)
    return list(found.values())


def runs_of(found: Order, build: int) -> dict[int, Run]:
    """How far the steps of a build have got."""
    return {
        step: Run(row.state, minutes_of(row.started_at), minutes_of(row.finished_at), bool(row.signed_at))
        for step, row in ((step, found.runs[build, step]) for step in found.begun.get(build, ()))
    }


def checklists(found: Order, assemblies: Iterable[int]) -> list[list[Step]]:
    """The checklists of these assemblies, of those that have any."""
    return [[_step(row) for row in found.lists[number]] for number in assemblies if number in found.lists]


def _step(row: read.StepRow) -> Step:
    """A step; what it occupies by its name, of which case does not matter, is the same wherever it is named."""
    place: str | int | None = row.occupies.casefold() if row.occupies else row.assembly
    place = None if place == NOTHING else place
    return Step(row.id, row.assembly, row.wait_low_min, row.wait_high_min, bool(row.hold_point), place)


def told_holds(found: Order, build: int, units: int) -> dict[int, list[Reason]]:
    """What holds steps beyond the order of work: open questions, and readings not taken of each unit, or out."""
    holds: dict[int, list[Reason]] = {}
    for question in found.questions:
        holds.setdefault(question.step, []).append(Reason(QUESTION, question.choice))
    own = {(row.step, row.point): row for row in found.points if row.build == build}
    for step, point in dict.fromkeys((row.step, row.point) for row in found.points):
        row = own.get((step, point))
        if row is None or row.read < units:
            holds.setdefault(step, []).append(Reason(UNREAD, point))
        elif row.out:
            holds.setdefault(step, []).append(Reason(OUT, point))
    return holds


def power_holds(found: Order, assemblies: Iterable[int], build: int) -> dict[int, list[Reason]]:
    """What of the safety checks holds the first power of a build."""
    homes = list(assemblies)
    steps = by_work(found, homes, build)
    # Most builds have none of it: the order is not looked through for nothing.
    return power.power_holds(steps, links(found, homes)) if any(one.work == power.POWER for one in steps) else {}


def by_work(found: Order, assemblies: Iterable[int], build: int) -> list[power.Worked]:
    """The steps of these assemblies by their kinds of work, and whether they are signed in a build."""
    return [
        power.Worked(
            row.id, work_of(row.work, row.name), bool(row.hold_point), _signed(found.runs.get((build, row.id)))
        )
        for home in assemblies
        for row in found.lists.get(home, ())
    ]


def _signed(run: read.RunRow | None) -> bool:
    return run is not None and run.state == DONE and bool(run.signed_at)


@lru_cache(maxsize=20_000)
def work_of(work: str, name: str) -> str:
    """The kind of work of a step, guessed from its name where none is written down."""
    return work.casefold() or work_guessed(name)


def worked(found: Order, assemblies: Iterable[int]) -> list[Worked]:
    """The steps of these assemblies as the natural order of work sees them.

    Of a step for which no kind of work is written down, it is guessed from its name.
    """
    return [
        Worked(row.id, home, row.work.casefold() or work_guessed(row.name), bool(row.one_way), named(row.name))
        for home in assemblies
        for row in found.lists.get(home, ())
    ]


def links(found: Order, assemblies: Iterable[int]) -> list[Link]:
    """What comes before what among the steps of these assemblies.

    A checklist in which no step says anything is worked from the top down, so that each step comes after the one above.
    """
    lists = [[row.id for row in found.lists[home]] for home in assemblies if home in found.lists]
    known = {step for steps in lists for step in steps}
    said = [
        Link(need.before, need.step, cast(Kind, need.link), need.wait_min)
        for need in found.needs
        if need.step in known and need.before in known
    ]
    tied = {link.after for link in said}
    loose = [steps for steps in lists if tied.isdisjoint(steps)]
    return said + [Link(above, below) for steps in loose for above, below in pairwise(steps)]


def behind(found: Order, build: int) -> set[int]:
    """The steps that are done or dropped in a build."""
    return {step for step in found.begun.get(build, ()) if found.runs[build, step].state in BEHIND}


def in_hand(found: Order, build: int) -> set[int]:
    """The steps that are in hand in a build."""
    return {step for step in found.begun.get(build, ()) if found.runs[build, step].state == IN_HAND}
