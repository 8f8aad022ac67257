"""Snags: what is wrong with a build, what was tried, and what the cause was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.measuring import beyond_of, inside_of, points
from buildbook.answers.standing import find_build
from buildbook.errors import BadInput
from buildbook.store.read import measuring as stored
from buildbook.store.read.naming import find_assembly, find_step
from buildbook.store.read.standing import builds
from buildbook.trade.limits import Limits, say_measured

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class TryRow:
    """One attempt at a snag, and what it showed."""

    at: str
    tried: str
    showed: str


@dataclass(frozen=True, slots=True)
class SnagRow:
    """A fault of a build, open or closed with its cause; `reading` says in words what showed it, if a reading did."""

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


@dataclass(frozen=True, slots=True)
class Snags(Answer):
    """The snags of one build or of all, the open ones first, the newest of each kind first."""

    SCHEMA: ClassVar[str] = "buildbook.snags/1"
    rows: tuple[SnagRow, ...]


def snags(shop: Workshop, build: str | None = None) -> Snags:
    """The snags of the build named, else of all. Raises BadInput for an unknown build."""
    own = find_build(builds(shop.reads), build) if build else None
    tries = stored.tries(shop.reads)
    rows = tuple(
        SnagRow(
            build=row.build,
            number=row.number,
            title=row.title,
            state=row.state,
            opened_at=row.opened_at,
            closed_at=row.closed_at,
            cause=row.cause,
            about=row.about,
            reading=_shown_by(row),
            tries=tuple(TryRow(*one) for one in tries.get(row.id, ())),
        )
        for row in stored.snags(shop.reads)
        if own is None or row.build_id == own.id
    )
    still_open = [row for row in rows if row.state == "open"]
    said = snags_said(rows) or ("no snags open" if rows else "no snag has been written down yet")
    if closed := len(rows) - len(still_open):
        said += f", {closed} closed"
    return Snags(f"{said[0].upper()}{said[1:]}.", rows)


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
    return Snags(f"Snag {row.build}/{row.number}, {row.title}: {row.state}, {many}.", (row,))


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
