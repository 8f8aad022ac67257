"""How the lines of a list are drawn, as segments of Rich: headings, cells, colour bands."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.segment import Segment
from rich.style import Style

from buildbook.tui.laying import GAP, Glyphs, bands_width, plain, set_to
from buildbook.tui.rows import Cell, Column, Row

# Gives the style of a tone.
Styles = Callable[[str], Style]
# Pairs of a column's number and its width.
Layout = Sequence[tuple[int, int]]
# The colours of IEC 60062 as the screen draws them, and of the body that they are painted on.
BAND_COLOURS = {
    "black": "#000000",
    "brown": "#7a3b10",
    "red": "#d0201a",
    "orange": "#f08000",
    "yellow": "#f0d000",
    "green": "#108030",
    "blue": "#1040c0",
    "violet": "#8030b0",
    "grey": "#808080",
    "white": "#ffffff",
    "gold": "#b8902a",
    "silver": "#c4c4c4",
    "pink": "#f090a8",
}
BODY = "#d8c49a"


def draw_headings(
    columns: Sequence[Column], layout: Layout, sorted_by: int | None, styles: Styles, glyphs: Glyphs
) -> list[Segment]:
    """The headings, underlined; that of the column sorted by is bold."""
    segments: list[Segment] = []
    for at, wide in layout:
        if segments:
            segments.append(Segment(" " * GAP, styles("row")))
        text = set_to(plain(columns[at].heading), wide, right=columns[at].right, glyphs=glyphs)
        bare = text.strip(" ")
        left = len(text) - len(text.lstrip(" "))
        segments.append(Segment(" " * left, styles("row")))
        segments.append(Segment(bare, styles("sorted" if at == sorted_by else "headings")))
        segments.append(Segment(" " * (len(text) - left - len(bare)), styles("row")))
    return segments


def draw_row(row: Row, columns: Sequence[Column], layout: Layout, styles: Styles, glyphs: Glyphs) -> list[Segment]:
    """The cells of a row."""
    tone = row.tone or "row"
    segments: list[Segment] = []
    free = 0
    for place, (at, wide) in enumerate(layout):
        if at < free:
            continue
        if segments:
            segments.append(Segment(" " * GAP, styles(tone)))
        cell = row.cells[at] if at < len(row.cells) else ""
        if isinstance(cell, Cell) and cell.span > 1:
            free = at + cell.span
            wide += sum(GAP + more for other, more in layout[place + 1 :] if other < free)
        text, own = (cell, "") if isinstance(cell, str) else (cell.text, cell.tone)
        style = styles(own or tone)
        if isinstance(cell, Cell) and cell.bands and bands_width(cell) < wide:
            segments += draw_bands(cell.bands, style)
            wide -= bands_width(cell)
        segments.append(Segment(set_to(plain(text), wide, right=columns[at].right, glyphs=glyphs), style))
    return segments


def draw_bands(bands: Sequence[str], style: Style) -> list[Segment]:
    """The bands of a resistor, one cell each on the colour of its body; blanks, so that only colours are lost."""
    body = Segment(" ", style + Style(bgcolor=BODY))
    segments = [body]
    for band in bands:
        colour = BAND_COLOURS.get(band)
        segments += [Segment(" ", style + Style(bgcolor=colour)) if colour else body, body]
    return [*segments, Segment(" ", style)]
