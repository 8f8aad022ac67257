"""The order of work of one build, shaped for reckoning: its checklists, how far they are, what needs what."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from buildbook.reckon.readiness import NOTHING, OUT, QUESTION, UNREAD, Need, Reason, Run, Step
from buildbook.store.read import bench as read
from buildbook.trade.moments import minutes_of


class Order(NamedTuple):
    """All steps of the workshop, and what holds them, read once for every build that is asked about."""

    lists: Mapping[int, Sequence[read.StepRow]]
    needs: Sequence[Need]
    runs: Mapping[tuple[int, int], read.RunRow]
    questions: Sequence[read.QuestionRow]
    points: Sequence[read.PointRow]
    fitted: Sequence[read.FittedRow]


def order(reads: sqlite3.Connection) -> Order:
    """Read it."""
    needs = [Need._make(row) for row in read.needs(reads)]
    return Order(
        read.steps(reads), needs, read.runs(reads), read.questions(reads), read.points(reads), read.fitted(reads)
    )


def runs_of(found: Order, build: int) -> dict[int, Run]:
    """How far the steps of a build have got."""
    return {
        step: Run(row.state, minutes_of(row.started_at), minutes_of(row.finished_at), bool(row.signed_at))
        for (of_build, step), row in found.runs.items()
        if of_build == build
    }


def checklists(found: Order, assemblies: Iterable[int]) -> list[list[Step]]:
    """The checklists of these assemblies, of those that have any."""
    return [[_step(row) for row in found.lists[number]] for number in assemblies if number in found.lists]


def _step(row: read.StepRow) -> Step:
    """A step; what it occupies by its name, of which case does not matter, is the same wherever it is named."""
    place: str | int | None = row.occupies.casefold() or row.assembly
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
