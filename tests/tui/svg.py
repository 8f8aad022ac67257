"""A screen as an SVG picture that asks for nothing from outside: a line of the file for a line of the screen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape, unescape

from rich.segment import Segment
from rich.style import Style
from textual.app import App
from textual.color import Color

# One cell, in pixels; most fonts of fixed width are three fifths as wide as they are high.
WIDE, HIGH, LETTER = 12, 24, 20
MARGIN = 12
# Where letters stand in their cell, from its top.
BASE = 18
FONTS = "'DejaVu Sans Mono', 'Liberation Mono', Menlo, Consolas, monospace"


class Looks:
    """The styles of a picture, each given a short name when it is first met."""

    def __init__(self) -> None:
        self.names: dict[str, str] = {}

    def name(self, style: Style, text: str) -> str:
        """The name of the look of letters of that style and colour."""
        said = f"fill: {text}"
        if style.bold:
            said += "; font-weight: bold"
        if style.italic:
            said += "; font-style: italic"
        if style.dim:
            said += "; fill-opacity: 0.6"
        return self.names.setdefault(said, f"s{len(self.names)}")

    def sheet(self) -> str:
        """All of them, as a style sheet."""
        return "\n".join(f".{name} {{ {said} }}" for said, name in self.names.items())


def picture(app: App[None]) -> str:
    """What an application shows now, as an SVG."""
    ground = app.current_theme.background or "#000000"
    text = app.current_theme.foreground or "#ffffff"
    rows = [list(Segment.simplify(row)) for row in drawn(app)]
    looks = Looks()
    lines = [line(row, at, looks, text, ground) for at, row in enumerate(rows)]
    width, height = app.size.width * WIDE + 2 * MARGIN, app.size.height * HIGH + 2 * MARGIN
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" xml:space="preserve" viewBox="0 0 {width} {height}" '
            f'font-size="{LETTER}" font-family="{FONTS}">',
            f"<style>\ntext {{ white-space: pre }}\n{looks.sheet()}\n</style>",
            f'<rect width="{width}" height="{height}" rx="6" fill="{ground}"/>',
            *lines,
            "</svg>\n",
        )
    )


def drawn(app: App[None]) -> Iterable[Iterable[Segment]]:
    """The lines of the screen, with whatever question stands over the list."""
    return app.screen._compositor.render_strips(app.size)


def line(row: Sequence[Segment], at: int, looks: Looks, text: str, ground: str) -> str:
    """One line of the screen: first its grounds, then its words."""
    grounds: list[tuple[int, int, str]] = []
    words = []
    left, top = MARGIN, MARGIN + at * HIGH
    for segment in row:
        width = segment.cell_length * WIDE
        style = segment.style or Style()
        before, behind = colours(style, text, ground)
        if grounds and grounds[-1][2] == behind:
            start, wide, _ = grounds.pop()
            grounds.append((start, wide + width, behind))
        else:
            grounds.append((left, width, behind))
        if style.underline:
            words.append(f'<rect x="{left}" y="{top + BASE + 3}" width="{width}" height="1" fill="{before}"/>')
        bare = segment.text.strip(" ")
        if bare:
            skipped = len(segment.text) - len(segment.text.lstrip(" "))
            name, span = looks.name(style, before), Segment(bare).cell_length * WIDE
            where = f'x="{left + skipped * WIDE}" y="{top + BASE}" textLength="{span}"'
            words.append(f'<text class="{name}" {where}>{escape(bare)}</text>')
        left += width
    behinds = [
        f'<rect x="{start}" y="{top}" width="{wide}" height="{HIGH}" fill="{colour}"/>'
        for start, wide, colour in grounds
        if colour != ground
    ]
    return f"<g>{''.join(behinds)}{''.join(words)}</g>"


def colours(style: Style, text: str, ground: str) -> tuple[str, str]:
    """The colours of the letters and of the ground behind them."""
    before = style.color.get_truecolor().hex if style.color and not style.color.is_default else text
    behind = style.bgcolor.get_truecolor().hex if style.bgcolor and not style.bgcolor.is_default else ground
    found = (behind, before) if style.reverse else (before, behind)
    return Color.parse(found[0]).hex.lower(), Color.parse(found[1]).hex.lower()


def lines_of(svg: str) -> list[str]:
    """The lines of the screen that a picture shows, as plain text.

    >>> lines_of('<g><text class="s0" x="12" y="30" textLength="36">R&amp;D</text></g>')
    ['R&D']
    """
    found = []
    for group in re.findall(r"<g>(.*)</g>", svg):
        said = ""
        for left, bare in re.findall(r'<text [^>]*x="(\d+)"[^>]*>([^<]*)</text>', group):
            said += " " * ((int(left) - MARGIN) // WIDE - Segment(said).cell_length) + unescape(bare)
        found.append(said)
    return found
