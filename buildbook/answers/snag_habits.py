"""Which snags have come more than once, in one build or across several, and what each habit has cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.snags import SnagRow, cost_said, faults_of, snags
from buildbook.reckon import recurring
from buildbook.store.read import measuring as stored
from buildbook.store.read.snags import touched

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class HabitSnag:
    """One snag of a habit."""

    build: str
    number: int
    title: str
    state: str
    opened_at: str
    cause: str


@dataclass(frozen=True, slots=True)
class HabitRow:
    """Snags that are alike, the newest first, and in what; `what` names the point, the parts or the words."""

    how: str
    what: str
    builds: tuple[str, ...]
    snags: tuple[HabitSnag, ...]
    minutes: int
    joints: int
    cost: str


@dataclass(frozen=True, slots=True)
class SnagHabits(Answer):
    """The habits, those of several builds first; `rule` says what counts as one."""

    SCHEMA: ClassVar[str] = "buildbook.snag-habits/1"
    rows: tuple[HabitRow, ...]
    rule: str


def snag_habits(shop: Workshop, build: str | None = None) -> SnagHabits:
    """Every group of snags that are alike; of those in which a build has part, where one is named."""
    every = stored.snags(shop.reads)
    faults = {fault.id: fault for fault in faults_of(shop, every, touched(shop.reads))}
    told = {(row.build, row.number): row for row in snags(shop).rows}
    by_id = {row.id: told[row.build, row.number] for row in every}
    known = {row.build for row in snags(shop, build).rows} if build else set()
    rows = [_habit(habit, by_id, faults) for habit in recurring.habits(faults.values())]
    rows = sorted(
        (row for row in rows if not build or known & {*row.builds}), key=lambda row: (-len(row.builds), -len(row.snags))
    )
    return SnagHabits(_sentence(rows), tuple(rows), recurring.RULE)


def _habit(habit: recurring.Habit, by_id: Mapping[int, SnagRow], faults: Mapping[int, recurring.Fault]) -> HabitRow:
    members = [by_id[number] for number in habit.faults]
    return HabitRow(
        how=", ".join(habit.how),
        what=_what(habit, members, [faults[number] for number in habit.faults]),
        builds=tuple(sorted({row.build for row in members})),
        snags=tuple(
            HabitSnag(row.build, row.number, row.title, row.state, row.opened_at, row.cause) for row in members
        ),
        minutes=sum(row.minutes for row in members),
        joints=sum(row.joints for row in members),
        cost=cost_said(members),
    )


def _what(habit: recurring.Habit, members: Sequence[SnagRow], faults: Sequence[recurring.Fault]) -> str:
    """The point, the parts and the words that come again."""
    said = []
    if recurring.SAME_POINT in habit.how:
        said.append(f"{members[0].about}/{members[0].reading.partition(':')[0]}")
    if recurring.SAME_PART in habit.how:
        keys = [{f"{part.key} of {part.assembly}" for part in row.parts} for row in members]
        said += sorted({one for mine in keys for one in mine if sum(one in other for other in keys) > 1})
    if recurring.SAME_CAUSE in habit.how:
        words = [recurring.telling_words(fault.cause) for fault in faults]
        said.append(", ".join(sorted(word for word in set().union(*words) if sum(word in own for own in words) > 1)))
    return "; ".join(said)


def _sentence(rows: Sequence[HabitRow]) -> str:
    if not rows:
        return "No snag has come more than once."
    across = [row for row in rows if len(row.builds) > 1]
    said = f"{count_of(len(rows), 'habit')} of snags"
    if across:
        builds = sorted({code for row in across for code in row.builds})
        said += f", {len(across)} of them across builds ({join_words(builds)})"
    return f"{said}."
