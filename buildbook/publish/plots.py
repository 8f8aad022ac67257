"""All plots of the book: what each draws, and how a picture is written into a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import ceil
from pathlib import Path
from typing import TypeVar

from buildbook.errors import BadInput
from buildbook.publish.paper import MOST_HEIGHT_MM, Paper, pdf, png, svg
from buildbook.publish.plots_options import draw_options
from buildbook.publish.plots_readings import draw_builds, draw_readings
from buildbook.publish.plots_supplies import draw_supplies
from buildbook.publish.plots_time import (
    CostBar,
    PricePaid,
    Progress,
    costs_of,
    draw_costs,
    draw_prices,
    draw_progress,
    prices_of,
    progress_of,
)
from buildbook.trade.plain import quote

__all__ = [
    "CostBar",
    "PricePaid",
    "Progress",
    "costs_of",
    "draw_builds",
    "draw_costs",
    "draw_options",
    "draw_prices",
    "draw_progress",
    "draw_readings",
    "draw_supplies",
    "kind_of",
    "prices_of",
    "progress_of",
    "sheets",
    "written",
]
KINDS = ("svg", "pdf", "png")
Row = TypeVar("Row")


def kind_of(file: Path) -> str:
    """The kind of picture that a file is to be, by its ending; BadInput for another.

    >>> kind_of(Path("supplies.SVG"))
    'svg'
    """
    kind = file.suffix[1:].lower()
    if kind not in KINDS:
        raise BadInput(
            f"{quote(file.name, limit=80)} was not written.",
            "Plots are written as SVG, PDF or PNG.",
            "Give a file that ends in .svg, .pdf or .png.",
        )
    return kind


def sheets(rows: Sequence[Row], draw: Callable[[Sequence[Row]], Paper]) -> list[Paper]:
    """The rows drawn on as many pages as they need, shared out evenly; a row alone may be higher than a page."""
    whole = draw(rows)
    if whole.height_mm <= MOST_HEIGHT_MM or len(rows) < 2:
        return [whole]
    pages = min(len(rows), ceil(whole.height_mm / MOST_HEIGHT_MM) + 1)
    ends = [len(rows) * page // pages for page in range(pages + 1)]
    return [sheet for first, end in pairwise(ends) for sheet in sheets(rows[first:end], draw)]


def written(kind: str, title: str, rows: Sequence[Row], draw: Callable[[Sequence[Row]], Paper]) -> bytes:
    """A plot of rows as the bytes of a file: a PDF in pages, the others as one picture as high as it needs to be."""
    if kind == "pdf":
        return pdf(sheets(rows, draw), title)
    picture = draw(rows)
    return svg(picture, title) if kind == "svg" else png(picture, title)
