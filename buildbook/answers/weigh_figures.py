"""The answers to a question as figures for a plot, criterion by criterion."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from buildbook.answers.finish import day
from buildbook.answers.plotted import OptionFigure
from buildbook.answers.weigh import differing
from buildbook.answers.weigh_said import limit_said
from buildbook.trade.area import show_area
from buildbook.trade.moments import minutes_of
from buildbook.trade.money import show_money
from buildbook.trade.units import show_minutes

if TYPE_CHECKING:
    from buildbook.answers.weigh import Weigh

MICRO, UM2_PER_MM2, DAY_MIN = 1e6, 1e6, 1440


def figures_weighed(answer: Weigh) -> tuple[OptionFigure, ...]:
    """What each answer is worth by each criterion; of limits those that do not stand alike with all of them."""
    return (*_amounts(answer), *_days(answer), *_limits(answer))


def _amounts(answer: Weigh) -> Iterator[OptionFigure]:
    for row in answer.rows:
        money = show_money(row.to_spend_micros, answer.currency)
        known = None if row.unpriced else row.to_spend_micros / MICRO
        said = f"{money} {answer.currency}" if known is not None else f"over {money} {answer.currency}"
        yield OptionFigure(row.code, "to spend", known, answer.currency, "less", said)
    for row in answer.rows:
        yield OptionFigure(row.code, "work", row.minutes / 60, "h", "less", show_minutes(row.minutes) or "none")
    if any(row.area_um2 or row.unplaced for row in answer.rows):
        for row in answer.rows:
            known = None if row.unplaced else row.area_um2 / UM2_PER_MM2
            yield OptionFigure(row.code, "board area", known, "mm2", "less", show_area(row.area_um2) or "none")


def _days(answer: Weigh) -> Iterator[OptionFigure]:
    """Days as days after the earliest of them: from a common nought, a bar would say nothing."""
    for name, moments in (
        ("likely done", [minutes_of(row.likely) for row in answer.rows]),
        ("safely done", [minutes_of(row.safe) for row in answer.rows]),
    ):
        known = [one for one in moments if one is not None]
        for row, one in zip(answer.rows, moments, strict=True):
            after = None if one is None else one // DAY_MIN - min(known) // DAY_MIN
            yield OptionFigure(row.code, name, after, "d", "less", "" if one is None else day(one))


def _limits(answer: Weigh) -> Iterator[OptionFigure]:
    for code in differing(answer.rows):
        for row in answer.rows:
            limit = next((one for one in row.limits if one.code == code), None)
            share = None if limit is None else limit.percent
            said = "" if limit is None else limit_said(limit)
            yield OptionFigure(row.code, f"{code}, of its limit", share, "%", "less", said)
