"""Options side by side, in words: what each figure says, and which one is the best by a criterion."""

from __future__ import annotations

from collections.abc import Sequence

from buildbook.answers.plotted import OptionFigure, amount_said
from buildbook.trade.amounts import UNITS


def figure_said(one: OptionFigure) -> str:
    """A figure as it is told.

    >>> figure_said(OptionFigure("A", "current", 0.176, "A")), figure_said(OptionFigure("A", "work", 2.5, "h"))
    ('0.176 A', '2.5 h')
    >>> figure_said(OptionFigure("A", "money", None, "GBP"))
    'not known'
    """
    if one.said or one.value is None:
        return one.said or "not known"
    return amount_said(one.value, one.unit) if one.unit in UNITS else f"{one.value:,.6g} {one.unit}".rstrip()


def best_of(rows: Sequence[OptionFigure]) -> tuple[OptionFigure, ...]:
    """The best of the options by one criterion; none where nobody says what is better, or all are alike.

    >>> rows = (OptionFigure("A", "money", 3.0, "GBP", "less"), OptionFigure("B", "money", 4.0, "GBP", "less"))
    >>> [one.label for one in best_of(rows)], best_of(rows[:1])
    (['A'], ())
    """
    known = [one for one in rows if one.value is not None]
    values = {one.value for one in known}
    if len(values) < 2 or rows[0].better not in ("less", "more"):
        return ()
    found = [one.value for one in known if one.value is not None]
    best = min(found) if rows[0].better == "less" else max(found)
    return tuple(one for one in known if one.value == best)
