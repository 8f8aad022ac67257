"""What the plots of Checks draw, as plain figures: the same on the screen and in the book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.measuring import PointRow, points, state_of
from buildbook.answers.supply import SupplyLine, supplies
from buildbook.reckon.spread import Spread, spread
from buildbook.store.read import measuring as stored
from buildbook.store.read import readings as read
from buildbook.trade.amounts import show_amount
from buildbook.trade.limits import Limits, write_limits

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# How much of a window is shown on either side of it, and of the open side where there is but one limit.
ASIDE, OPEN_SIDE = 0.5, 1.1
FIGURES = 4


class AnswerBar(NamedTuple):
    """What a supply would carry with an answer (QUESTION:ANSWER); `load_micro` in millionths of the supply's unit."""

    answer: str
    chosen: bool
    load_micro: int
    state: str
    said: str


class SupplyBar(NamedTuple):
    """One supply, `..._micro` in millionths of `unit`; `percent` of the limit, rounded up; None where it is unknown."""

    code: str
    name: str
    depth: int
    unit: str
    limit_micro: int | None
    load_micro: int
    all_on_micro: int
    keep_free_micro: int
    percent: int | None
    state: str
    said: str
    answers: tuple[AnswerBar, ...]


class Dot(NamedTuple):
    """One reading: when, of which build and unit, how much in SI units, and how it stands against its limits."""

    at: str
    label: str
    value: float
    state: str


class PointDots(NamedTuple):
    """A point with its limits and readings, the last one last; amounts in SI units, `limits` and `said` in words."""

    point: str
    name: str
    unit: str
    nominal: float | None
    low: float | None
    high: float | None
    limits: str
    state: str
    said: str
    dots: tuple[Dot, ...]


class OptionFigure(NamedTuple):
    """What an option is worth by a criterion; None where it is not known, `better` is "less", "more" or nothing.

    `said` are its words, where the figure and its unit do not say it best (a day, an amount of money).
    """

    label: str
    criterion: str
    value: float | None
    unit: str
    better: str = ""
    said: str = ""


class Window(NamedTuple):
    """The amounts from `begin` to `end` that are shown of a point; its limits lie inside."""

    begin: float
    end: float

    def place(self, value: float) -> float:
        """Where an amount stands, from 0 to 1; what lies beyond stands at the edge.

        >>> Window(0.0, 10.0).place(2.5), Window(0.0, 10.0).place(99.0)
        (0.25, 1.0)
        """
        return max(0.0, min(1.0, (value - self.begin) / (self.end - self.begin)))

    def beyond(self, value: float) -> int:
        """-1 below what is shown, 1 above it, else 0."""
        return (value > self.end) - (value < self.begin)


def window_of(point: PointDots) -> Window:
    """The amounts worth showing: the window from low to high with half of it on either side.

    Where a side is open, every reading on that side is inside.

    >>> dots = (Dot("", "", 2.0, "within"),)
    >>> window_of(PointDots("P", "", "V", None, 1.0, 3.0, "", "within", "", dots))
    Window(begin=0.0, end=4.0)
    """
    values = [dot.value for dot in point.dots]
    low, high = point.low, point.high
    if low is not None and high is not None:
        wide = high - low or abs(low) / 10 or 1.0
        return Window(low - ASIDE * wide, high + ASIDE * wide)
    if high is not None:
        wide = abs(high) or max(map(abs, values), default=1.0) or 1.0
        return Window(min([high - OPEN_SIDE * wide, *values]), high + ASIDE * wide)
    if low is not None:
        wide = abs(low) or max(map(abs, values), default=1.0) or 1.0
        return Window(low - ASIDE * wide, max([low + OPEN_SIDE * wide, *values]))
    known = values + ([] if point.nominal is None else [point.nominal])
    begin, end = min(known, default=0.0), max(known, default=0.0)
    wide = end - begin or abs(begin) / 10 or 1.0
    return Window(begin - ASIDE * wide, end + ASIDE * wide)


def spread_of(point: PointDots) -> Spread:
    """The mean of the readings of a point, and how far they lie apart."""
    return spread([dot.value for dot in point.dots])


def spread_said(point: PointDots) -> str:
    """Mean and spread in words.

    >>> one, two = Dot("", "", 1.0, "within"), Dot("", "", 3.0, "within")
    >>> spread_said(PointDots("P", "", "V", None, None, None, "", "read", "", (one, two)))
    'mean of 2: 2 V, spread 1.414 V (one standard deviation)'
    """
    found = spread_of(point)
    if found.mean is None:
        return "no reading yet"
    said = f"mean of {found.readings}: {amount_said(found.mean, point.unit)}"
    if found.deviation is None:
        return f"{said}, too few for a spread"
    return f"{said}, spread {amount_said(found.deviation, point.unit)} (one standard deviation)"


def amount_said(value: float, unit: str) -> str:
    """An amount in four figures.

    >>> amount_said(251.23456, "V"), amount_said(0.0001, "A")
    ('251.2 V', '100 µA')
    """
    return show_amount(float(f"{value:.{FIGURES}g}"), unit)


def supply_bars(rows: Iterable[SupplyLine]) -> tuple[SupplyBar, ...]:
    """The supplies as they are drawn; those of several projects with the project before the code."""
    rows = tuple(rows)
    several = len({row.project for row in rows}) > 1
    return tuple(
        SupplyBar(
            code=f"{row.project}/{row.code}" if several else row.code,
            name=row.name or row.kind,
            depth=row.depth,
            unit=row.unit,
            limit_micro=row.limit_micro,
            load_micro=row.load_micro,
            all_on_micro=row.all_on_micro,
            keep_free_micro=row.keep_free_micro,
            percent=row.percent,
            state=row.state,
            said=row.said,
            answers=tuple(AnswerBar(*(getattr(one, field) for field in AnswerBar._fields)) for one in row.answers),
        )
        for row in rows
    )


def supplies_plotted(shop: Workshop, build: str | None = None) -> tuple[SupplyBar, ...]:
    """The supplies of every project, or of that of one build. Raises BadInput for an unknown build."""
    return supply_bars(supplies(shop, build))


def readings_plotted(shop: Workshop, build: str | None = None) -> tuple[PointDots, ...]:
    """Every point that was read, with all its readings; of the build named, else of every build under way.

    Raises BadInput for an unknown build.
    """
    rows = [row for row in points(shop, build) if row.times]
    names = {point.id: f"{point.path}/{point.code}" for sheet in stored.points(shop.reads).values() for point in sheet}
    taken: dict[tuple[str, str, int], list[read.TakenRow]] = {}
    for one in read.of_builds(shop.reads, dict.fromkeys(row.build for row in rows)):
        taken.setdefault((one.build, names.get(one.point, ""), one.unit_number), []).append(one)
    several = len({row.build for row in rows}) > 1
    return tuple(_dots_of(row, taken[row.build, row.point, row.unit_number], several=several) for row in rows)


def _dots_of(row: PointRow, taken: Sequence[read.TakenRow], *, several: bool) -> PointDots:
    limits = Limits(row.nominal, row.low, row.high)
    unit = f", unit {row.unit_number}" if row.units > 1 else ""
    name = f"{f'{row.build}: ' if several else ''}{row.name or row.code}{unit}"
    dots = tuple(Dot(one.at, f"{one.build}{unit}", one.value, state_of(one.value, limits)) for one in taken)
    return PointDots(row.point, name, row.unit, *limits, row.limits, row.state, row.said, dots)


def point_over_builds(shop: Workshop, point: str) -> PointDots:
    """The last reading of one point in each unit of every build, finished ones too. BadInput for an unknown one."""
    at = stored.find_point(shop, point)
    limits = Limits(at.nominal, at.low, at.high)
    taken = read.last_of_point(shop.reads, at.id)
    dots = tuple(
        Dot(one.at, f"{one.build}, unit {one.unit_number}", one.value, state_of(one.value, limits)) for one in taken
    )
    state = dots[-1].state if dots else "to read"
    found = PointDots(at.path, at.name or at.code, at.unit, *limits, write_limits(limits, at.unit), state, "", dots)
    return found._replace(said=spread_said(found))
