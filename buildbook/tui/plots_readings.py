"""Readings as marks in the window of their limits: those of each point, and those of one point over the builds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from buildbook.tui.laying import UNICODE, Glyphs, plain, set_to, width_of
from buildbook.tui.plots import Drawn, Piece, key_lines, signs_of, words
from buildbook.tui.plots_steps import together

if TYPE_CHECKING:
    from buildbook.answers.plotted import PointDots, Window

LONGEST_NAME, LEAST_WINDOW = 26, 9
TONES = {"within": "good", "out": "bad", "read": "", "to read": "quiet"}


class Marks(NamedTuple):
    """What stands in a window: a limit, the nominal amount, an older reading, the last one, a mean."""

    limit: str
    nominal: str
    older: str
    last: str
    mean: str


SIGNS = Marks(limit="│", nominal="┼", older="○", last="●", mean="M")
PLAIN = Marks(limit="|", nominal="+", older="o", last="@", mean="M")


def marks_of(glyphs: Glyphs) -> Marks:
    """The marks that go with the signs of the rest of the screen."""
    return SIGNS if glyphs is UNICODE else PLAIN


def readings_lines(points: Sequence[PointDots], room: int, glyphs: Glyphs) -> list[Drawn]:
    """A window for each point, with its readings in it; below it in words how the last one stands."""
    from buildbook.answers.plotted import window_of

    if not points:
        return words("No point has been read yet.", room, "quiet")
    wide = name_width([one.name for one in points], room)
    lines = key_of(room, glyphs)
    for one in points:
        window = window_of(one)
        cells = frame_cells(one, window, room - wide - 1, glyphs)
        for dot in one.dots[:-1]:
            put(cells, window, dot.value, Piece(marks_of(glyphs).older, TONES.get(dot.state, "")))
        for dot in one.dots[-1:]:
            put(cells, window, dot.value, Piece(marks_of(glyphs).last, TONES.get(dot.state, "")))
        lines.append([Piece(f"{set_to(plain(one.name), wide, glyphs=glyphs)} "), *together(cells)])
        taken = f", {len(one.dots)} readings" if len(one.dots) > 1 else ""
        out = "OUT of limits: " if one.state == "out" else ""
        told = f"{out}{plain(one.said)}{taken}; limits: {plain(one.limits) or 'none'}"
        lines += [[Piece("  "), *line] for line in words(told, room - 2, TONES.get(one.state, ""))]
    return lines


def builds_lines(point: PointDots, room: int, glyphs: Glyphs) -> list[Drawn]:
    """A window for each build with its last reading, and one with their mean and spread."""
    from buildbook.answers.plotted import amount_said, spread_of, spread_said, window_of

    if not point.dots:
        return words("No build has read this point yet.", room, "quiet")
    window, marks, found = window_of(point), marks_of(glyphs), spread_of(point)
    said = [f"{amount_said(dot.value, point.unit)} {'OUT' if dot.state == 'out' else dot.state}" for dot in point.dots]
    figures = max(map(width_of, map(plain, said)))
    wide = name_width([dot.label for dot in point.dots], room)
    lines = words(f"limits: {plain(point.limits) or 'none'}", room, "quiet") + key_of(room, glyphs)
    for dot, text in zip(point.dots, said, strict=True):
        cells = frame_cells(point, window, room - wide - figures - 2, glyphs)
        put(cells, window, dot.value, Piece(marks.last, TONES.get(dot.state, "")))
        figure = Piece(f"{set_to(plain(text), figures, right=True, glyphs=glyphs)} ", TONES.get(dot.state, ""))
        lines.append([Piece(f"{set_to(plain(dot.label), wide, glyphs=glyphs)} "), figure, *together(cells)])
    if found.mean is not None:
        cells = frame_cells(point, window, room - wide - figures - 2, glyphs)
        if found.deviation is not None and cells:
            first, last = (
                column(window, found.mean + sign * found.deviation, len(cells), strict=False) for sign in (-1, 1)
            )
            for at in range(first, last + 1):
                cells[at] = Piece("=", "key")
        put(cells, window, found.mean, Piece(marks.mean, "head"))
        mean = set_to(plain(amount_said(found.mean, point.unit)), figures, right=True, glyphs=glyphs)
        lines.append([Piece(f"{set_to('mean', wide, glyphs=glyphs)} {mean} ", "head"), *together(cells)])
    return [*lines, *words(spread_said(point), room)]


def name_width(names: Sequence[str], room: int) -> int:
    """How wide the names are drawn."""
    return min(LONGEST_NAME, room // 3, max((width_of(plain(name)) for name in names), default=0))


def key_of(room: int, glyphs: Glyphs) -> list[Drawn]:
    """What the marks stand for."""
    marks = marks_of(glyphs)
    said = zip(marks[:4], ("limit", "nominal", "earlier reading", "last reading"), strict=True)
    return key_lines([[Piece(mark, "key"), Piece(f" {text}", "quiet")] for mark, text in said], room, glyphs)


def frame_cells(point: PointDots, window: Window, room: int, glyphs: Glyphs) -> list[Piece]:
    """The window of a point with its limits and its nominal mark; nothing where there is no room for it."""
    if room < LEAST_WINDOW:
        return []
    marks, run = marks_of(glyphs), signs_of(glyphs).line[0]
    low = -1 if point.low is None else column(window, point.low, room)
    high = room if point.high is None else column(window, point.high, room)
    given = point.low is not None or point.high is not None
    cells = [Piece(run if given and low < at < high else " ", "quiet") for at in range(room)]
    if point.nominal is not None:
        put(cells, window, point.nominal, Piece(marks.nominal, "quiet"))
    for limit, at in ((point.low, low), (point.high, high)):
        if limit is not None:
            cells[at] = Piece(marks.limit, "head")
    return cells


def put(cells: list[Piece], window: Window, value: float, mark: Piece) -> None:
    """Set a mark where an amount stands; one beyond the window is an arrow at its edge."""
    if cells:
        at = column(window, value, len(cells), strict=False)
        cells[at] = Piece(" ><"[window.beyond(value)], mark.tone) if window.beyond(value) else mark


def column(window: Window, value: float, cells: int, *, strict: bool = True) -> int:
    """In which of so many cells an amount stands; a limit (`strict`) leaves a cell at either edge."""
    at = round(window.place(value) * (cells - 1))
    return max(1, min(cells - 2, at)) if strict else at
