"""Safety on one page: hold points with their signatures, earth and insulation, charged capacitors, the cautions.

It says what was checked, by whom and when, and what was not; it never says that something is safe.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.bench import StepRow, bench
from buildbook.answers.discharge import MEASURE, BankRow, banks, banks_said
from buildbook.answers.form import Answer, count_of
from buildbook.answers.measuring import OUT, TO_READ, PointRow, points
from buildbook.answers.signatures import HoldPointRow, hold_points
from buildbook.answers.standing import builds_that_count, find_build
from buildbook.reckon.power import CHECKS, POWER
from buildbook.store.read.order import work_of
from buildbook.trade.standards import LOCAL_CODES

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

CHECKED_ONLY = f"This says what was checked, not that it is safe. {LOCAL_CODES}"


@dataclass(frozen=True, slots=True)
class PowerRow:
    """A step of first power: how it stands, and what holds it in the fewest words."""

    place: str
    name: str
    state: str
    held_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Safety(Answer):
    """One build: its steps of first power, hold points of safety and others, readings, banks, and what to mind.

    `hold_points` are those of safety checks and of first power; `points` those that name a standard.
    """

    SCHEMA: ClassVar[str] = "buildbook.safety/1"
    build: str
    powers: tuple[PowerRow, ...]
    hold_points: tuple[HoldPointRow, ...]
    points: tuple[PointRow, ...]
    banks: tuple[BankRow, ...]
    cautions: tuple[str, ...]


def safety(shop: Workshop, build: str) -> Safety:
    """What was checked of a build, and what was not. Raises BadInput for an unknown build."""
    named = find_build(builds_that_count(shop), build)
    code = named.code if named else build
    rows = bench(shop, code).rows
    works = {row.step: work_of(row.work, row.name) for row in rows}
    signed = hold_points(rows, (step for step, work in works.items() if work in (CHECKS, POWER)))
    read = tuple(row for row in points(shop, code) if row.standard)
    charged = banks(shop, code)
    powers = tuple(PowerRow(row.place, row.name, row.state, row.held_by) for row in rows if works[row.step] == POWER)
    cautions = tuple(dict.fromkeys(row.caution for row in rows if row.caution and works[row.step] in (CHECKS, POWER)))
    return Safety(
        f"{_sentence(code, signed, read, charged, rows)} {CHECKED_ONLY}",
        code,
        powers,
        signed,
        read,
        charged,
        (*cautions, *((MEASURE,) if charged else ())),
    )


def _sentence(
    build: str,
    signed: tuple[HoldPointRow, ...],
    read: tuple[PointRow, ...],
    charged: tuple[BankRow, ...],
    rows: tuple[StepRow, ...],
) -> str:
    if not rows:
        return f"{build} has no steps yet."
    said = [f"{sum(bool(row.signed_at) for row in signed)} of {count_of(len(signed), 'safety hold point')} signed"]
    if read:
        taken, out = sum(row.state != TO_READ for row in read), sum(row.state == OUT for row in read)
        said.append(f"{taken} of {count_of(len(read), 'reading')} of earth and insulation taken, {out} out of limits")
    said += [banks_said(charged)] if charged else []
    return f"{build}: {'; '.join(said)}."
