"""Options side by side on paper: for each criterion a bar an option, the best said in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.answers.options import best_of, figure_said
from buildbook.publish.paper import INK, PALE, USUAL, WIDTH_MM, LineLook, Look, Paper, fitted, heading, printing

if TYPE_CHECKING:
    from buildbook.answers.plotted import OptionFigure

NAME_MM = 48.0


def draw_options(figures: Sequence[OptionFigure], *, title: str = "Options side by side") -> Paper:
    """A group of bars for each criterion, one an option; the best is said in words."""
    criteria = list(dict.fromkeys(one.criterion for one in figures))
    with printing():
        paper = Paper(13.0 + 8.0 * len(criteria) + 5.2 * len(figures))
        y = heading(paper, title, "each criterion on a scale of its own" if figures else "There is nothing to weigh.")
        for criterion in criteria:
            rows = [one for one in figures if one.criterion == criterion]
            better = f" ({rows[0].better} is better)" if rows[0].better else ""
            paper.text(0, y + 3, fitted(f"{criterion}{better}", WIDTH_MM, USUAL, bold=True), bold=True)
            y = _draw_criterion(paper, y + 5, rows, f"criterion-{criteria.index(criterion)}") + 3
    return paper


def _draw_criterion(paper: Paper, y: float, rows: Sequence[OptionFigure], name: str) -> float:
    known = [one.value for one in rows if one.value is not None]
    low, high, best = min([0.0, *known]), max([0.0, *known]), best_of(rows)
    wide = WIDTH_MM - NAME_MM - 42
    for at, one in enumerate(rows):
        paper.text(2, y + 3, fitted(one.label, NAME_MM - 4, USUAL))
        if one.value is not None and high > low:
            zero, end = (wide * (value - low) / (high - low) for value in (0.0, one.value))
            look = Look("#56b4e9") if one in best else Look("#e8e8e8", "////")
            paper.box(NAME_MM + min(zero, end), y, abs(end - zero), 3.8, look, name=f"{name}-option-{at}")
            paper.line([NAME_MM + zero] * 2, [y - 0.6, y + 4.4], look=LineLook(0.6, "-", INK if low < 0 else PALE))
        said = f"{figure_said(one)}{', best' if one in best else ''}"
        paper.text(NAME_MM + wide + 2, y + 3, fitted(said, 40, USUAL, bold=one in best), bold=one in best)
        y += 5.2
    return y
