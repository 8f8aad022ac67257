"""How the lines of a list are drawn, as segments of Rich: headings, cells, lines below a row, colour bands."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.segment import Segment
from rich.style import Style

from buildbook.tui.laying import GAP, INDENT, Glyphs, bands_width, plain, set_to, width_of
from buildbook.tui.rows import Cell, Column, Line, Row, text_of

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
    for place, (at, _) in enumerate(layout):
        if at < free:
            continue
        if segments:
            segments.append(Segment(" " * GAP, styles(tone)))
        cell = cell_at(row, at)
        wide, free = room_of(cell, row, columns, layout, place)
        style = styles(cell.tone or tone)
        if cell.bands and bands_width(cell) < wide:
            segments += draw_bands(cell.bands, style, glyphs)
            wide -= bands_width(cell)
        text = set_to(plain(cell.text), wide, right=columns[at].right, glyphs=glyphs)
        segments += draw_marked(text, cell, style, styles("do")) if cell.marks else [Segment(text, style)]
    return segments


def draw_marked(drawn: str, cell: Cell, style: Style, stands_out: Style) -> list[Segment]:
    """The text of a cell as it is drawn, set left and perhaps cut, its marks standing out."""

    def place(at: int) -> int:
        # Spelt in ASCII a text may be longer; the sign behind it keeps the blanks before a mark.
        return len(plain(f"{cell.text[:at]}.")) - 1

    segments: list[Segment] = []
    done = 0
    for start, end in cell.marks:
        segments += [Segment(drawn[done : place(start)], style), Segment(drawn[place(start) : place(end)], stands_out)]
        done = place(end)
    return [segment for segment in (*segments, Segment(drawn[done:], style)) if segment.text]


def room_of(cell: Cell, row: Row, columns: Sequence[Column], layout: Layout, place: int) -> tuple[int, int]:
    """How wide a row's cell at a place of the layout is drawn, and the number of the first column behind it.

    A cell takes the columns that it spans; a text too long for them runs on over empty cells rather than be cut.
    """
    at, wide = layout[place]
    free = at + cell.span
    needs = 0 if columns[at].right else bands_width(cell) + width_of(plain(cell.text))
    for other, more in layout[place + 1 :]:
        if other >= free and (needs <= wide or text_of(cell_at(row, other))):
            break
        wide += GAP + more
        free = max(free, other + 1)
    return wide, free


def cell_at(row: Row, at: int) -> Cell:
    """The cell of a column; an empty one where the row has none."""
    cell = row.cells[at] if at < len(row.cells) else ""
    return Cell(cell) if isinstance(cell, str) else cell


def draw_line(line: Line, room: int, styles: Styles, glyphs: Glyphs) -> list[Segment]:
    """A line below a row; of one that names a verb, the key stands out."""
    text = set_to(" " * INDENT + line.text, room, glyphs=glyphs)
    if line.tone != "do" or not line.verb:
        return [Segment(text, styles(line.tone or ("do" if line.verb else "row")))]
    named = INDENT + len(line.verb) if line.text.startswith(f"{line.verb} ") else 0
    return [Segment(text[:named], styles("do")), Segment(text[named:], styles("row"))]


def draw_bands(bands: Sequence[str], style: Style, glyphs: Glyphs) -> list[Segment]:
    """The bands of a resistor, one cell each on the colour of its body, with a thin gap to the one in the row above."""
    gap = glyphs.gap if style.bgcolor else " "
    before = style + Style(color=style.bgcolor)
    body = Segment(gap, before + Style(bgcolor=BODY))
    segments = [body]
    for band in bands:
        colour = BAND_COLOURS.get(band)
        segments += [Segment(gap, before + Style(bgcolor=colour)) if colour else body, body]
    return [*segments, Segment(" ", style)]
