"""Why a step stands as it does: all that holds it, what holds that in turn, and what beginning it would close off."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.bench import StepRow, bench
from buildbook.answers.form import Answer, count_of
from buildbook.answers.held import Held
from buildbook.answers.signatures import HoldPointRow, checks_before_step, hold_points
from buildbook.answers.standing import builds_that_count, find_build
from buildbook.errors import BadInput
from buildbook.reckon.forgotten import closes_off
from buildbook.reckon.forgotten_words import closed_said, first_told
from buildbook.reckon.power import POWER
from buildbook.reckon.readiness import BEFORE, BEGUN, HELD, UNSIGNED
from buildbook.store.read import order as read
from buildbook.store.read.bench import waived
from buildbook.store.read.kitting import inside
from buildbook.store.read.naming import find_step

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

ABOUT_STEPS = (BEFORE, BEGUN, UNSIGNED)


class Term(NamedTuple):
    """One thing that holds a step, or holds what holds it: `depth` is 0 for what holds the step itself.

    The rest is as in `held.Held`: `release` says what would release it, `where` the place in which that is done.
    """

    depth: int
    kind: str
    what: str
    release: str
    where: str
    key: str
    until: str


@dataclass(frozen=True, slots=True)
class ClosedRow:
    """A step that a one-way step would close off. `why` is needed, needed by those, or forgotten.

    `said` is a sentence of it; `reason` that of the rule, where there is one.
    """

    step: int
    name: str
    why: str
    serious: str
    reason: str
    said: str


@dataclass(frozen=True, slots=True)
class WhyStep(Answer):
    """How one step of a build stands, term by term, and what it would close off, the most serious first.

    `hold_points` are the safety checks that come before a step of first power, else the step itself where it is one.
    """

    SCHEMA: ClassVar[str] = "buildbook.why-step/1"
    build: str
    place: str
    step: int
    name: str
    state: str
    until: str
    best_at: str
    one_way: bool
    terms: tuple[Term, ...]
    closes_off: tuple[ClosedRow, ...]
    hold_points: tuple[HoldPointRow, ...] = ()


def why_step(shop: Workshop, build: str, step: str | int) -> WhyStep:
    """Why a step of a build stands as it does. Raises BadInput for an unknown build, or a step that it has not."""
    named = find_build(builds_that_count(shop), build)
    tree = inside(shop.reads, named.assembly_id) if named else set()
    known = find_step(shop, step, among=tree)
    rows = {row.step: row for row in bench(shop, build).rows}
    row = rows.get(known.id)
    if row is None:
        raise BadInput(f"{known.name} is no step of build {build}.", "", "Name one that is.")
    terms = tuple(_terms(row, rows))
    closed = closing(shop, row.build, row.step) if row.one_way and row.state not in ("done", "dropped") else ()
    return WhyStep(
        sentence=_sentence(row, closed),
        build=row.build,
        place=row.place,
        step=row.step,
        name=row.name,
        state=row.state,
        until=row.until,
        best_at=row.best_at,
        one_way=row.one_way,
        terms=terms,
        closes_off=closed,
        hold_points=_hold_points(shop, row, rows),
    )


def _hold_points(shop: Workshop, row: StepRow, rows: Mapping[int, StepRow]) -> tuple[HoldPointRow, ...]:
    named = find_build(builds_that_count(shop), row.build)
    steps = [row.step]
    if named and read.work_of(row.work, row.name) == POWER:
        steps += checks_before_step(shop, named.id, named.assembly_id, row.step)
    return hold_points(rows.values(), steps)


def closing(shop: Workshop, build: str, step: int) -> tuple[ClosedRow, ...]:
    """What ought to be done before a step of a build and is not, the most serious first: beginning it closes it off."""
    named = find_build(builds_that_count(shop), build)
    if named is None:
        return ()
    found = read.order(shop.reads)
    tree = inside(shop.reads, named.assembly_id)
    names = {row.id: row.name for rows in found.lists.values() for row in rows}
    closed = closes_off(
        step,
        read.worked(found, tree),
        read.links(found, tree),
        read.behind(found, named.id),
        begun=read.in_hand(found, named.id),
        dismissed=waived(shop.reads),
    )
    return tuple(
        ClosedRow(
            step=one.step,
            name=names[one.step],
            why=one.why,
            serious=one.serious,
            reason=one.rule.reason if one.rule else "",
            said=closed_said(one, names[one.step]),
        )
        for one in closed
    )


def closing_said(shop: Workshop, build: str, step: int) -> list[str]:
    """The same in sentences; of very many steps the last are only counted."""
    return first_told([one.said for one in closing(shop, build, step)])


class Befores(NamedTuple):
    """A step that another says it comes after."""

    step: int
    name: str


def befores(shop: Workshop, step: int) -> list[Befores]:
    """The steps that a step says it comes after."""
    found = read.order(shop.reads)
    names = {row.id: row.name for rows in found.lists.values() for row in rows}
    return [Befores(need.before, names[need.before]) for need in found.needs if need.step == step]


def _terms(row: StepRow, rows: Mapping[int, StepRow]) -> Iterator[Term]:
    """What holds a step, each thing followed by what holds that; a step that holds several is taken apart once."""
    seen = {row.step}
    todo = [(0, held) for held in reversed(row.held)]
    while todo:
        depth, held = todo.pop()
        yield Term(depth, held.kind, held.what, held.release, held.where, held.key, held.until)
        holder = _holder(held, rows)
        if holder and holder.state == HELD and holder.step not in seen:
            seen.add(holder.step)
            todo += [(depth + 1, one) for one in reversed(holder.held)]


def _holder(held: Held, rows: Mapping[int, StepRow]) -> StepRow | None:
    """The step that holds another, where it is one."""
    return rows.get(int(held.key.rpartition(" ")[2])) if held.kind in ABOUT_STEPS else None


def _sentence(row: StepRow, closed: tuple[ClosedRow, ...]) -> str:
    forgotten = sum(one.why == "forgotten" for one in closed)
    if row.held:
        state = "held" if row.state == HELD else f"{row.state}, though held"
        said = f"{row.name} is {state} by {len(row.held)}: {', '.join(row.held_by)}."
    elif row.state == "ready" and not forgotten:
        said = f"{row.name} is ready: nothing stands against it."
    else:
        said = f"{row.name} is {row.state}."
    if not forgotten:
        return said
    ought = f"{count_of(forgotten, 'step')} ought to come before it"
    return f"{said} It cannot be undone, and {ought}, though nothing says so."
