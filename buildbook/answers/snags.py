"""Snags: what is wrong with a build, what was tried, and what the cause was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.measuring import beyond_of, inside_of, points
from buildbook.answers.standing import find_build
from buildbook.errors import BadInput
from buildbook.reckon import recurring
from buildbook.store.read import measuring as stored
from buildbook.store.read.naming import find_assembly, find_step
from buildbook.store.read.snags import TouchedRow, points_of, touched
from buildbook.store.read.standing import builds
from buildbook.trade.effort import Effort, show_effort
from buildbook.trade.limits import Limits, say_measured

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class TryRow:
    """One attempt at a snag, and what it showed; minutes lost (None: not written down), joints made anew."""

    at: str
    tried: str
    showed: str
    minutes: int | None = None
    joints: int = 0


@dataclass(frozen=True, slots=True)
class PartTouched:
    """A part of the build that a snag had to do with, where it stands."""

    line: int
    assembly: str
    refs: str
    key: str
    note: str


@dataclass(frozen=True, slots=True)
class Seen:
    """Another snag that is like this one, and in what; `before` when it was opened earlier."""

    build: str
    number: int
    title: str
    how: str
    before: bool


@dataclass(frozen=True, slots=True)
class SnagRow:
    """A fault of a build, open or closed with its cause; `reading` says in words what showed it, if a reading did.

    `minutes` and `joints` are the sums of its tries; `untimed` tries have no minutes written down.
    """

    build: str
    number: int
    title: str
    state: str
    opened_at: str
    closed_at: str
    cause: str
    about: str
    reading: str
    tries: tuple[TryRow, ...]
    minutes: int = 0
    joints: int = 0
    untimed: int = 0
    parts: tuple[PartTouched, ...] = ()
    seen: tuple[Seen, ...] = ()


@dataclass(frozen=True, slots=True)
class SnagTotal:
    """What the snags of one build cost so far."""

    build: str
    snags: int
    open: int
    tries: int
    minutes: int
    joints: int
    untimed: int


@dataclass(frozen=True, slots=True)
class Snags(Answer):
    """The snags of one build or of all, the open ones first, the newest of each kind first; sums by build."""

    SCHEMA: ClassVar[str] = "buildbook.snags/1"
    rows: tuple[SnagRow, ...]
    totals: tuple[SnagTotal, ...] = ()


def snags(shop: Workshop, build: str | None = None) -> Snags:
    """The snags of the build named, else of all. Raises BadInput for an unknown build."""
    own = find_build(builds(shop.reads), build) if build else None
    tries, parts = stored.tries(shop.reads), touched(shop.reads)
    every = stored.snags(shop.reads)
    seen = _seen(every, faults_of(shop, every, parts))
    rows = tuple(
        _row(row, tries.get(row.id, ()), parts.get(row.id, ()), seen.get(row.id, ()))
        for row in every
        if own is None or row.build_id == own.id
    )
    still_open = [row for row in rows if row.state == "open"]
    said = snags_said(rows) or ("no snags open" if rows else "no snag has been written down yet")
    if closed := len(rows) - len(still_open):
        said += f", {closed} closed"
    if cost := cost_said(rows):
        said += f"; {cost} lost to them"
    return Snags(f"{said[0].upper()}{said[1:]}.", rows, totals(rows))


def _row(
    row: stored.SnagRow, tries: Iterable[stored.TryRow], parts: Iterable[TouchedRow], seen: Iterable[Seen]
) -> SnagRow:
    told = tuple(TryRow(*one) for one in tries)
    return SnagRow(
        build=row.build,
        number=row.number,
        title=row.title,
        state=row.state,
        opened_at=row.opened_at,
        closed_at=row.closed_at,
        cause=row.cause,
        about=row.about,
        reading=_shown_by(row),
        tries=told,
        minutes=sum(one.minutes or 0 for one in told),
        joints=sum(one.joints for one in told),
        untimed=sum(one.minutes is None for one in told),
        parts=tuple(PartTouched(one.line, one.assembly, one.refs, one.key, one.note) for one in parts),
        seen=tuple(seen),
    )


def faults_of(
    shop: Workshop, every: Sequence[stored.SnagRow], parts: Mapping[int, Sequence[TouchedRow]]
) -> list[recurring.Fault]:
    """The snags as they are compared with each other."""
    points_shown = points_of(shop.reads)
    return [
        recurring.Fault(
            row.id,
            points_shown.get(row.id, 0),
            frozenset((one.assembly_id, one.part) for one in parts.get(row.id, ())),
            row.cause,
        )
        for row in every
    ]


def _seen(every: Sequence[stored.SnagRow], faults: Sequence[recurring.Fault]) -> dict[int, list[Seen]]:
    """For each snag the others that are like it, the newest first."""
    by_id = {row.id: row for row in every}
    found: dict[int, list[Seen]] = {}
    for one, other, how in recurring.pairs_alike(faults):
        for mine, theirs in ((by_id[one], by_id[other]), (by_id[other], by_id[one])):
            before = (theirs.opened_at, theirs.id) < (mine.opened_at, mine.id)
            seen = Seen(theirs.build, theirs.number, theirs.title, ", ".join(how), before)
            found.setdefault(mine.id, []).append(seen)
    return found


def totals(rows: Iterable[SnagRow]) -> tuple[SnagTotal, ...]:
    """What the snags of each build cost so far, in the order of its code."""
    by_build: dict[str, list[SnagRow]] = {}
    for row in rows:
        by_build.setdefault(row.build, []).append(row)
    return tuple(
        SnagTotal(
            build=build,
            snags=len(own),
            open=sum(row.state == "open" for row in own),
            tries=sum(len(row.tries) for row in own),
            minutes=sum(row.minutes for row in own),
            joints=sum(row.joints for row in own),
            untimed=sum(row.untimed for row in own),
        )
        for build, own in sorted(by_build.items())
    )


def cost_said(rows: Iterable[SnagRow | SnagTotal]) -> str:
    """Minutes and joints of some snags: "1 h 10 min, 2 joints (1 try without minutes)"; nothing where none is known."""
    known = list(rows)
    minutes, joints = sum(row.minutes for row in known), sum(row.joints for row in known)
    said = show_effort(Effort(minutes or None, joints))
    untimed = sum(row.untimed for row in known)
    return f"{said} ({count_of(untimed, 'try', 'tries')} without minutes)" if said and untimed else said


def snags_said(rows: Sequence[SnagRow]) -> str:
    """How many snags are open; nothing where none is."""
    many = sum(row.state == "open" for row in rows)
    return f"{count_of(many, 'snag')} open" if many else ""


def _shown_by(row: stored.SnagRow) -> str:
    if row.value is None:
        return ""
    limits = Limits(row.nominal, row.low, row.high)
    return f"{row.point}: {say_measured(row.value, limits, row.unit, beyond=beyond_of(row.text, row.unit))}"


def one_snag(shop: Workshop, name: str, build: str | None = None) -> Snags:
    """One snag, by its name BUILD/NUMBER, or NUMBER where that is enough."""
    known = stored.find_snag(shop, name, build=build)
    row = next(row for row in snags(shop, known.build).rows if row.number == known.number)
    many = count_of(len(row.tries), "try", "tries")
    cost = cost_said((row,))
    said = f"{many}, {cost}" if cost else many
    return Snags(f"Snag {row.build}/{row.number}, {row.title}: {row.state}, {said}.", (row,), totals((row,)))


class About(NamedTuple):
    """What a snag is about, as `actions.snags.open_snag` takes it: one of the three."""

    assembly: str | None = None
    step: int | None = None
    reading: int | None = None


def snag_about(shop: Workshop, build: str, text: str) -> About:
    """What a text names: an assembly, a test point (its last reading, else its assembly), or a step.

    Raises BadInput when it names nothing.
    """
    among = inside_of(shop, build)
    try:
        return About(assembly=find_assembly(shop, text, among=among).path)
    except BadInput:
        pass
    if len(stored.seek_points(shop.reads, text, among)) == 1:
        path = stored.find_point(shop, text, among=among).path
        rows = [row for row in points(shop, build) if row.point == path]
        if rows:
            last = max(rows, key=lambda row: row.reading)
            return About(reading=last.reading) if last.reading else About(assembly=last.assembly)
    return About(step=find_step(shop, text, among=among).id)
