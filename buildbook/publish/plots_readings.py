"""Readings on paper: those of each point in the window of its limits, and those of one point over the builds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.answers.plotted import amount_said, spread_of, spread_said, window_of
from buildbook.publish.paper import (
    QUIET,
    SMALL,
    USUAL,
    WIDTH_MM,
    LineLook,
    Look,
    Paper,
    broken,
    fitted,
    heading,
    printing,
)

if TYPE_CHECKING:
    from buildbook.answers.plotted import PointDots, Window

NAME_MM, LINE_MM = 48.0, 3.2
WINDOW_MM = 66.0
POINT_MM, MOST_LINES = 9.5, 3


def draw_readings(points: Sequence[PointDots], *, title: str = "Readings in their limits") -> Paper:
    """A window for each point from its low limit to its high one, with its readings in it, the last one filled."""
    with printing():
        names = [broken(one.name, NAME_MM - 2, USUAL, bold=True)[:MOST_LINES] for one in points]
        paper = Paper(18.0 + sum(POINT_MM + LINE_MM * (len(lines) - 1) for lines in names))
        y = heading(paper, title, "drawn from the low to the high limit" if points else "No point has been read yet.")
        for at, (one, lines) in enumerate(zip(points, names, strict=True)):
            for line, text in enumerate(lines):
                paper.text(0, y + 3 + LINE_MM * line, text, bold=True)
            below = y + LINE_MM * (len(lines) - 1)
            paper.text(0, below + 6.2, fitted(one.point, NAME_MM - 2, SMALL), size=SMALL, ink=QUIET)
            _draw_point(paper, y, one, f"point-{at}")
            y = below + POINT_MM
        if points:
            _key_of_readings(paper, y + 1)
    return paper


def _draw_point(paper: Paper, y: float, one: PointDots, name: str) -> None:
    window = window_of(one)
    _draw_window(paper, y + 2.2, one, window, name)
    _say_limits(paper, y + 6.6, one, window)
    for number, dot in enumerate(one.dots):
        last = number == len(one.dots) - 1
        put(paper, y + 2.2, window, dot.value, last=last, name=f"{name}-dot-{number}")
    _say_reading(paper, y, one)


def _say_reading(paper: Paper, y: float, one: PointDots) -> None:
    x, out = NAME_MM + WINDOW_MM + 3, one.state == "out"
    said = f"OUT: {one.said}" if out else one.said
    for line in broken(said, WIDTH_MM - x, SMALL, bold=out)[:3]:
        paper.text(x, y + 3.0, line, size=SMALL, bold=out)
        y += 2.9


def _draw_window(paper: Paper, y: float, point: PointDots, window: Window, name: str) -> None:
    """The line from limit to limit, the limits as uprights, the nominal amount as a cross-line."""
    low = NAME_MM if point.low is None else spot_mm(window, point.low)
    high = NAME_MM + WINDOW_MM if point.high is None else spot_mm(window, point.high)
    if point.low is not None or point.high is not None:
        paper.box(low, y - 1.4, high - low, 2.8, Look("#f2f2f2", edge="#f2f2f2"), name=f"{name}-window")
    paper.line([NAME_MM, NAME_MM + WINDOW_MM], [y, y], look=LineLook(0.4, ":", QUIET))
    for word, limit in (("low", point.low), ("high", point.high)):
        if limit is not None:
            paper.line([spot_mm(window, limit)] * 2, [y - 2, y + 2], look=LineLook(1.6), name=f"{name}-{word}")
    if point.nominal is not None:
        look = LineLook(0.8, "--")
        paper.line([spot_mm(window, point.nominal)] * 2, [y - 1.6, y + 1.6], look=look, name=f"{name}-nominal")


def _say_limits(paper: Paper, y: float, point: PointDots, window: Window) -> None:
    ends = [(limit, at) for limit, at in ((point.low, "right"), (point.high, "left")) if limit is not None]
    for limit, at in ends:
        alone = "center" if len(ends) == 1 else at
        shift = {"right": 4.0, "left": -4.0}.get(alone, 0.0)
        said = f"{'at least' if point.high is None else 'at most' if point.low is None else ''} "
        text = f"{said}{amount_said(limit, point.unit)}".strip()
        paper.text(spot_mm(window, limit) + shift, y, text, size=SMALL - 0.5, at=alone, ink=QUIET)


def spot_mm(window: Window, value: float) -> float:
    """Where an amount stands on the paper; what lies beyond the window stands at its edge."""
    return NAME_MM + WINDOW_MM * window.place(value)


def put(paper: Paper, y: float, window: Window, value: float, *, last: bool, name: str) -> None:
    """A reading as a dot; one beyond the window as an arrow at its edge."""
    sign = ("o", ">", "<")[window.beyond(value)]
    paper.mark(spot_mm(window, value), y, sign, filled=last, size=5.0 if last else 4.0, name=name)


def _key_of_readings(paper: Paper, y: float) -> None:
    keys = (("o", True, "last reading"), ("o", False, "earlier reading"), (">", True, "beyond what is drawn"))
    for at, (sign, filled, text) in enumerate(keys):
        paper.mark(2 + 38 * at, y + 1.5, sign, filled=filled)
        paper.text(5 + 38 * at, y + 2.5, text, size=SMALL)
    paper.line([116, 116], [y, y + 3], look=LineLook(1.6))
    paper.text(118, y + 2.5, "limit", size=SMALL)
    paper.line([132, 132], [y, y + 3], look=LineLook(0.8, "--"))
    paper.text(134, y + 2.5, "nominal", size=SMALL)


def draw_builds(point: PointDots, *, title: str = "") -> Paper:
    """A window for each build with its last reading of one point, and one with their mean and spread."""
    with printing():
        window, found = window_of(point), spread_of(point)
        paper = Paper(16.0 + 5.5 * (len(point.dots) + 1))
        y = heading(paper, title or f"{point.name}, build by build", f"{point.point}; {spread_said(point)}")
        for at, dot in enumerate(point.dots):
            paper.text(0, y + 3.2, fitted(dot.label, NAME_MM - 2, USUAL))
            _draw_window(paper, y + 2.2, point, window, f"build-{at}")
            put(paper, y + 2.2, window, dot.value, last=True, name=f"build-{at}-dot")
            said = f"{'OUT: ' if dot.state == 'out' else ''}{amount_said(dot.value, point.unit)}"
            paper.text(NAME_MM + WINDOW_MM + 3, y + 3.2, said, bold=dot.state == "out")
            y += 5.5
        if found.mean is not None:
            paper.text(0, y + 3.2, "mean and spread", bold=True)
            _draw_window(paper, y + 2.2, point, window, "mean")
            if found.deviation is not None:
                left, right = (spot_mm(window, found.mean + sign * found.deviation) for sign in (-1, 1))
                paper.box(left, y + 1, right - left, 2.4, Look("#56b4e9", "////"), name="spread")
            paper.mark(spot_mm(window, found.mean), y + 2.2, "D", name="mean-mark")
            paper.text(NAME_MM + WINDOW_MM + 3, y + 3.2, amount_said(found.mean, point.unit), bold=True)
            _say_limits(paper, y + 8, point, window)
    return paper
