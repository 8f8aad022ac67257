"""Stock cover over time: what lay of a part until now, what is coming, and whether that is enough for the builds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer
from buildbook.answers.standing import Standing, stand
from buildbook.answers.stores import SpokenFor, part_named, spoken_for
from buildbook.store.read import stores as read
from buildbook.store.read.stores import LevelRow
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class ArrivalRow:
    """What an order still brings. `then` is what lies there afterwards, if nothing is taken meanwhile.

    `due_on` is empty when no day is known; `overdue` says that the day is past.
    """

    due_on: str
    qty: int
    order: str
    supplier: str
    overdue: bool
    then: int


@dataclass(frozen=True, slots=True)
class CoverOverTime(Answer):
    """What lay of one part in all bins together after each change, and what will when what is coming has come.

    `wanted` is what the builds still want of it: spoken for, coming for them, and short; on hand = spoken for + free.
    `covered_on` is the day on which the last of what they want arrives: empty when all of it lies there, when no day is
    known, or when some stays short. `asked_at` is the moment of asking, or that of the last change if that is later.
    """

    SCHEMA: ClassVar[str] = "buildbook.cover-over-time/1"
    key: str
    name: str
    unit: str
    asked_at: str
    on_hand: int
    spoken_for: int
    free: int
    wanted: int
    short: int
    covered_on: str
    rows: tuple[LevelRow, ...]
    arrivals: tuple[ArrivalRow, ...]
    builds: tuple[SpokenFor, ...]


def cover_over_time(shop: Workshop, name: str) -> CoverOverTime:
    """What lay of a part, what is coming, what is wanted. Raises BadInput for an unknown name, or several."""
    part = part_named(shop, name)
    standing = stand(shop, parts={part.id})
    rows = tuple(read.levels(shop.reads, part.id))
    asked_at = max(shop.now(), rows[-1].at if rows else "")
    coming = arrivals(standing, part.id, part.on_hand, day_of(asked_at))
    builds = tuple(spoken_for(part, standing))
    wanted = sum(one.spoken_for + one.coming + one.short for one in builds)
    short = sum(one.short for one in builds)
    days = days_waited_for(standing, part.id)
    return CoverOverTime(
        sentence=cover_sentence(part.key, Unit(part.unit), part.on_hand, wanted, short, days, coming),
        key=part.key,
        name=part.name,
        unit=part.unit,
        asked_at=asked_at,
        on_hand=part.on_hand,
        spoken_for=part.on_hand - standing.free.get(part.id, part.on_hand),
        free=standing.free.get(part.id, part.on_hand),
        wanted=wanted,
        short=short,
        covered_on="" if short or "" in days else max(days, default=""),
        rows=rows,
        arrivals=coming,
        builds=builds,
    )


def day_of(at: str) -> str:
    """The local day of a moment of the store."""
    return datetime.fromisoformat(at).astimezone().date().isoformat()


def arrivals(standing: Standing, part: int, on_hand: int, today: str) -> tuple[ArrivalRow, ...]:
    """What is on order of a part, the earliest first, what has no day last."""
    rows = sorted(
        (row for row in standing.coming.values() if row.part == part),
        key=lambda row: (not row.when, row.when or "", row.line),
    )
    after = accumulate((row.qty for row in rows), initial=on_hand)
    next(after)
    return tuple(
        ArrivalRow(row.when or "", row.qty, row.ref, row.supplier, bool(row.when) and row.when < today, then)
        for row, then in zip(rows, after, strict=True)
    )


def days_waited_for(standing: Standing, part: int) -> list[str]:
    """The days on which arrives what the builds wait for; an empty one for each that nobody knows."""
    pairs = zip(standing.needs, standing.shares, strict=True)
    return [due.when for need, share in pairs if need.part == part for due in share.coming]


def cover_sentence(
    key: str, unit: Unit, on_hand: int, wanted: int, short: int, days: Sequence[str], coming: Iterable[ArrivalRow]
) -> str:
    """ "C-100N: 4 on hand, 10 wanted, the last of it due 2026-12-04; 20 coming."""
    on_order = sum(row.qty for row in coming)
    if not wanted:
        said = "no build wants more of it"
    elif short:
        said = f"{show_quantity(wanted, unit)} wanted, {show_quantity(short, unit)} short"
    elif days:
        when = "of which no day is known" if "" in days else f"the last of it due {max(days)}"
        said = f"{show_quantity(wanted, unit)} wanted, {when}"
    else:
        said = f"{show_quantity(wanted, unit)} wanted, all of it there"
    more = f"; {show_quantity(on_order, unit)} coming" if on_order else ""
    lies = show_quantity(on_hand, unit) if on_hand else "none"
    return f"{key}: {lies} on hand, {said}{more}."
