"""The history of a test point: what it read over all builds and units, and how near its limits that came."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.measuring import beyond_of
from buildbook.reckon.history import margin, show
from buildbook.store.read import measuring as stored
from buildbook.trade.amounts import show_amount
from buildbook.trade.limits import Limits, say_measured, write_limits

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

SHOWN = 20
FIGURES = 4


@dataclass(frozen=True, slots=True)
class PastReading:
    """One reading: of which build and unit, when, how it stands against the limits of now.

    `margin` is how far inside the limits it is, as a share of their window; None where there is none, and for what is
    beyond the scale of the instrument.
    """

    build: str
    unit_number: int
    at: str
    value: float
    said: str
    margin: float | None
    note: str


@dataclass(frozen=True, slots=True)
class PointHistory(Answer):
    """What a point read over all builds and units, in SI units; the last twenty readings, the newest first.

    `spread` is the sample standard deviation. `margin` is the worst of all readings. `beyond` counts readings beyond
    the scale of the instrument, which are in none of the figures.
    """

    SCHEMA: ClassVar[str] = "buildbook.point-history/1"
    point: str
    name: str
    unit: str
    limits: str
    readings: int
    beyond: int
    mean: float | None
    spread: float | None
    lowest: float | None
    highest: float | None
    margin: float | None
    rows: tuple[PastReading, ...]


def point_history(shop: Workshop, point: str) -> PointHistory:
    """The history of the point of that name. Raises BadInput when there is none, or more than one."""
    at = stored.find_point(shop, point)
    limits = Limits(at.nominal, at.low, at.high)
    found = [(one, beyond_of(one.text, at.unit)) for one in stored.every_reading(shop.reads, at.id)]
    shown = show([one.value for one, beyond in found if not beyond], limits)
    rows = tuple(
        PastReading(
            build=one.build,
            unit_number=one.unit_number,
            at=one.at,
            value=one.value,
            said=say_measured(one.value, limits, at.unit, beyond=beyond),
            margin=None if beyond else margin(one.value, limits),
            note=one.note,
        )
        for one, beyond in found[:SHOWN]
    )
    answer = PointHistory(
        sentence="",
        point=at.path,
        name=at.name,
        unit=at.unit,
        limits=write_limits(limits, at.unit),
        readings=len(found),
        beyond=sum(bool(beyond) for _, beyond in found),
        mean=shown.mean if shown else None,
        spread=shown.spread if shown else None,
        lowest=shown.lowest if shown else None,
        highest=shown.highest if shown else None,
        margin=shown.margin if shown else None,
        rows=rows,
    )
    said = history_said(answer) or "it has not been read yet"
    return replace(answer, sentence=f"{at.path}: {said}.")


def history_said(one: PointHistory) -> str:
    """The history in words; nothing where it was never read."""
    if not one.readings:
        return ""
    parts = [count_of(one.readings, "reading")]
    if one.beyond:
        parts.append(f"{one.beyond} beyond the scale")
    if one.mean is not None and one.lowest is not None and one.highest is not None:
        parts.append(f"mean {_amount(one.mean, one.unit)}")
        if one.spread is not None:
            parts.append(f"spread {_amount(one.spread, one.unit, like=one.mean)}")
            ends = (show_amount(size, one.unit, like=one.mean) for size in (one.lowest, one.highest))
            parts.append(" to ".join(ends))
    if one.margin is not None:
        parts.append(margin_said(one.margin))
    return ", ".join(parts)


def margin_said(share: float) -> str:
    """How near the limit, in words.

    >>> margin_said(0.125), margin_said(-0.04)
    ('nearest 12.5 % of the window inside its limit', 'worst 4 % of the window out of limits')
    """
    percent = f"{abs(share) * 100:.3g} %"
    return (
        f"worst {percent} of the window out of limits"
        if share < 0
        else f"nearest {percent} of the window inside its limit"
    )


def _amount(value: float, unit: str, like: float | None = None) -> str:
    return show_amount(float(f"{value:.{FIGURES}g}"), unit, like=like)
