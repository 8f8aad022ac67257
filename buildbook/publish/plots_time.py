"""Progress over time, cost by section and the history of a price, on paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from buildbook.publish.paper import (
    QUIET,
    SMALL,
    USUAL,
    WIDTH_MM,
    LineLook,
    Look,
    Paper,
    fitted,
    heading,
    in_days,
    printing,
    width_mm,
)
from buildbook.trade.moments import MONTHS
from buildbook.trade.money import show_money

if TYPE_CHECKING:
    from buildbook.answers.cost import BuildCost
    from buildbook.answers.finish import Finish
    from buildbook.answers.orders import OrderRow

LEFT_MM, CHART_MM, NAME_MM, TOTAL_MM = 20.0, 60.0, 40.0, 30.0
MONEY = (
    ("spent", Look("#777777")),
    ("in the drawers", Look("#56b4e9", "////")),
    ("on order", Look("#f0c860", "\\\\\\\\")),
    ("still to spend", Look("#ffffff", "----")),
)


class Progress(NamedTuple):
    """So many hands-on minutes and steps were done by a moment (of the store, or a day)."""

    at: str
    minutes: int
    steps: int


class CostBar(NamedTuple):
    """What a section costs, in millionths of the currency."""

    name: str
    spent: int
    in_stock: int
    ordered: int
    to_spend: int


class PricePaid(NamedTuple):
    """What so many (`per_qty`) cost on a day at a supplier, in millionths of the currency."""

    day: str
    price_micros: int
    per_qty: int
    supplier: str


def progress_of(answer: Finish) -> tuple[Progress, ...]:
    """What was done of a build so far, as running sums."""
    found, minutes = [], 0
    for steps, row in enumerate(sorted(answer.done, key=lambda one: one.at), start=1):
        minutes += row.minutes
        found.append(Progress(row.at, minutes, steps))
    return tuple(found)


def costs_of(answer: BuildCost) -> tuple[CostBar, ...]:
    """The sections of a build that cost anything."""
    return tuple(
        CostBar(row.name, row.spent, row.in_stock, row.ordered, row.to_spend) for row in answer.sections if row.total
    )


def prices_of(rows: Iterable[OrderRow], key: str) -> tuple[PricePaid, ...]:
    """What was paid for a part, by the orders placed, the oldest first."""
    paid = [
        PricePaid(row.placed_on, row.price_micros, row.per_qty, row.supplier)
        for row in rows
        if row.key == key and row.placed_on and row.price_micros is not None
    ]
    return tuple(sorted(paid))


# --- drawn -----------------------------------------------------------------------------------------------------------


def draw_progress(moments: Sequence[Progress], *, left_min: int = 0, title: str = "Hands-on hours done") -> Paper:
    """The hands-on hours done as a rising line, with all that there is to do as a dashed level above it."""
    with printing():
        paper = Paper(96.0)
        done = moments[-1] if moments else Progress("", 0, 0)
        said = f"{hours(done.minutes)} in {done.steps} steps done, {hours(left_min)} left"
        y = heading(paper, title, said if moments else "Nothing has been finished yet.")
        if moments:
            chart = Chart(paper, y + 2, [in_days(one.at) for one in moments], done.minutes + left_min)
            chart.draw_axes(hours(chart.top))
            corners = [(chart.begin, 0.0)]
            for one in moments:
                corners += [(in_days(one.at), corners[-1][1]), (in_days(one.at), float(one.minutes))]
            corners.append((chart.end, corners[-1][1]))
            chart.draw(corners, LineLook(1.4), "progress")
            paper.text(chart.x(chart.end), chart.y(done.minutes) - 1.5, hours(done.minutes), at="right", bold=True)
            if left_min:
                level = float(done.minutes + left_min)
                chart.draw([(chart.begin, level), (chart.end, level)], LineLook(0.8, "--"), "progress-all")
            paper.text(LEFT_MM, y + CHART_MM + 16, "solid: done; dashed: all that there is to do", size=SMALL)
    return paper


def draw_prices(
    prices: Sequence[PricePaid], currency: str, *, title: str = "Price history", per: str = "a piece"
) -> Paper:
    """What one piece cost at each order, a sign for each supplier."""
    suppliers = list(dict.fromkeys(one.supplier for one in prices))
    with printing():
        paper = Paper(92.0 + 4.5 * len(suppliers))
        y = heading(paper, title, f"{currency} {per}" if prices else "No price is known yet.")
        if prices:
            each = [one.price_micros / max(1, one.per_qty) for one in prices]
            chart = Chart(paper, y + 2, [in_days(one.day) for one in prices], round(max(each)))
            chart.draw_axes(show_money(chart.top, currency))
            said_up_to = 0.0
            for at, (one, micros) in enumerate(zip(prices, each, strict=True)):
                sign, filled = sign_of(suppliers.index(one.supplier))
                paper.mark(chart.x(in_days(one.day)), chart.y(micros), sign, filled=filled, name=f"price-{at}")
                if chart.x(in_days(one.day)) > said_up_to:
                    said = show_money(round(micros), currency)
                    paper.text(chart.x(in_days(one.day)) + 1.5, chart.y(micros) - 1.5, said)
                    said_up_to = chart.x(in_days(one.day)) + width_mm(said, USUAL) + 2
            for at, supplier in enumerate(suppliers):
                sign, filled = sign_of(at)
                paper.mark(LEFT_MM + 1, y + CHART_MM + 15 + 4.5 * at, sign, filled=filled)
                paper.text(LEFT_MM + 4, y + CHART_MM + 16 + 4.5 * at, fitted(supplier, 120, USUAL))
    return paper


def sign_of(number: int) -> tuple[str, bool]:
    """The sign of a supplier: ten that are told apart without a colour, then over again."""
    return "osD^v"[number % 5], number // 5 % 2 == 0


class Chart:
    """A field of CHART_MM height over an axis of time, from nothing to `top`."""

    def __init__(self, paper: Paper, y: float, days: Sequence[float], top: int) -> None:
        self.paper, self.upper, self.top = paper, y, max(1, top)
        aside = max(0.5, (max(days) - min(days)) / 20)
        self.begin, self.end = min(days) - aside, max(days) + aside

    def x(self, when: float) -> float:
        """Where a day stands."""
        return LEFT_MM + (WIDTH_MM - LEFT_MM - 12) * (when - self.begin) / (self.end - self.begin)

    def y(self, value: float) -> float:
        """Where an amount stands."""
        return self.upper + CHART_MM * (1 - value / self.top)

    def draw_axes(self, top_said: str) -> None:
        """Two axes, with the first and the last day, and the largest amount."""
        right = self.x(self.end)
        self.paper.line([LEFT_MM, LEFT_MM, right], [self.upper, self.y(0), self.y(0)])
        self.paper.text(LEFT_MM - 1.5, self.upper + 1, fitted(top_said, LEFT_MM - 2, SMALL), size=SMALL, at="right")
        self.paper.text(LEFT_MM - 1.5, self.y(0) + 1, "0", size=SMALL, at="right")
        for share in (0.0, 0.5, 1.0):
            when = self.begin + share * (self.end - self.begin)
            self.paper.line([self.x(when)] * 2, [self.y(0), self.y(0) + 1.2])
            self.paper.text(self.x(when), self.y(0) + 4.5, day_said(when), size=SMALL, at="center", ink=QUIET)

    def draw(self, corners: Sequence[tuple[float, float]], look: LineLook, name: str) -> None:
        """A line through days and amounts."""
        xs, ys = [self.x(when) for when, _ in corners], [self.y(value) for _, value in corners]
        self.paper.line(xs, ys, look=look, name=name)


def draw_costs(bars: Sequence[CostBar], currency: str, *, title: str = "Cost by section") -> Paper:
    """A bar for each section: what is spent, lies in the drawers, is on order and still to spend."""
    with printing():
        paper = Paper(22.0 + 7.0 * max(1, len(bars)))
        y = heading(paper, title, currency if bars else "No section costs anything yet.")
        wide = WIDTH_MM - NAME_MM - TOTAL_MM
        largest = max((sum(shares_of(bar)) for bar in bars), default=0) or 1
        for at, bar in enumerate(bars):
            paper.text(0, y + 3.4, fitted(bar.name, NAME_MM - 2, USUAL))
            x = NAME_MM
            for (word, look), micros in zip(MONEY, shares_of(bar), strict=True):
                if micros:
                    share = wide * micros / largest
                    paper.box(x, y, share, 4.6, look, name=f"cost-{at}-{word.replace(' ', '-')}")
                    x += share
            paper.text(WIDTH_MM, y + 3.4, show_money(sum(shares_of(bar)), currency), at="right", bold=True)
            y += 7.0
        for at, (word, look) in enumerate(MONEY if bars else ()):
            paper.box(NAME_MM + 31 * at, y + 2, 6, 3, look)
            paper.text(NAME_MM + 31 * at + 7, y + 4.5, word, size=SMALL)
    return paper


def shares_of(bar: CostBar) -> tuple[int, int, int, int]:
    """The terms of a cost as MONEY names them; none is less than nothing."""
    return max(0, bar.spent), max(0, bar.in_stock), max(0, bar.ordered), max(0, bar.to_spend)


def hours(minutes: int) -> str:
    """Minutes as hours.

    >>> hours(90)
    '1.5 h'
    """
    return f"{round(minutes / 60, 1):g} h"


def day_said(when: float) -> str:
    """A day, from its number since 1970 (UTC).

    >>> day_said(20_000.5)
    '4 Oct 2024'
    """
    from datetime import UTC

    at = datetime.fromtimestamp(when * 86_400, tz=UTC)
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}"
