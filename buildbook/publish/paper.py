"""The paper that plots are drawn on: millimetres from the top left, texts that stay texts, the same bytes every time.

Matplotlib is imported only here, inside the functions that need it: a command that draws nothing never waits for it.
Its own configuration, the fonts of the machine and the clock have no say in what is drawn.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from buildbook.trade.plain import clean

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from matplotlib.font_manager import FontProperties
    from matplotlib.patches import Patch

# Between the margins of A4 and of Letter alike.
WIDTH_MM, MOST_HEIGHT_MM = 165.0, 235.0
MM_PER_INCH, MM_PER_POINT = 25.4, 25.4 / 72
SMALL, USUAL, LARGE = 6.5, 7.5, 9.0
PIXELS_PER_INCH = 200
INK, QUIET, PALE = "#000000", "#505050", "#c8c8c8"
# Nobody reads more of a text on paper.
LONGEST_TEXT = 2_000
_LOOKS: Any = {
    "text.parse_math": False,
    "text.usetex": False,
    "svg.hashsalt": "buildbook",
    "svg.fonttype": "path",
    "pdf.fonttype": 42,
    "hatch.linewidth": 0.5,
    "path.simplify": False,
}


@contextmanager
def printing() -> Iterator[None]:
    """Our looks, and nobody else's, while something is drawn or written."""
    import matplotlib

    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_LOOKS)
        yield


@cache
def font_file(*, bold: bool = False) -> Path:
    """The font that comes with Matplotlib."""
    import matplotlib

    return Path(matplotlib.get_data_path(), "fonts", "ttf", f"DejaVuSans{'-Bold' if bold else ''}.ttf")


def font(size: float, *, bold: bool = False) -> FontProperties:
    """That font, in points."""
    from matplotlib.font_manager import FontProperties

    return FontProperties(fname=font_file(bold=bold), size=size)


@cache
def drawable(letter: str) -> bool:
    """Whether the font has a letter."""
    from matplotlib.font_manager import get_font

    return bool(get_font(str(font_file())).get_char_index(ord(letter)))


@cache
def _advance_mm(letter: str, *, bold: bool) -> float:
    """How wide a letter is at one point."""
    from matplotlib.font_manager import get_font

    face = get_font(str(font_file(bold=bold)))
    face.set_size(100, 72)
    return float(face.load_char(ord(letter)).linearHoriAdvance) / 65536 / 100 * MM_PER_POINT


def plain_text(text: str) -> str:
    r"""A text from outside on one line, harmless, with a question mark for what the font cannot show.

    >>> plain_text("  4k7\n $x^2$ \x1b[31m\u202e\u62b5")
    '4k7 $x^2$ ?'
    """
    kept = clean(text[:LONGEST_TEXT], limit=4 * LONGEST_TEXT)
    return "".join(letter if letter == " " or drawable(letter) else "?" for letter in kept)


def width_mm(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a plain text stands on the paper."""
    return sum(_advance_mm(letter, bold=bold) for letter in text) * size


def fitted(text: str, room_mm: float, size: float, *, bold: bool = False) -> str:
    """A text made plain, and cut with an ellipsis where it is wider than its room."""
    kept = plain_text(text)
    if width_mm(kept, size, bold=bold) <= room_mm:
        return kept
    while kept and width_mm(f"{kept}…", size, bold=bold) > room_mm:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def broken(text: str, room_mm: float, size: float, *, bold: bool = False) -> list[str]:
    """A text made plain, in lines no wider than their room; a word too long for one is cut."""
    lines: list[str] = []
    for word in plain_text(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(longer, size, bold=bold) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(fitted(word, room_mm, size, bold=bold))
    return lines


def in_days(text: str) -> float:
    """A day or a moment of the store as days, for an axis of time."""
    from datetime import UTC, datetime

    at = datetime.fromisoformat(text)
    return (at if at.tzinfo else at.replace(tzinfo=UTC)).timestamp() / 86_400


class Look(NamedTuple):
    """How a rectangle is filled: told apart by its hatch where colours are not seen."""

    face: str
    hatch: str = ""
    edge: str = INK


class LineLook(NamedTuple):
    """How a line is drawn."""

    points: float = 0.8
    style: Literal["-", "--", ":"] = "-"
    colour: str = INK


class Paper:
    """One picture being drawn, `height_mm` high; every length is in millimetres from the top left.

    What stands for a figure has a `name`, which is its id in an SVG file.
    """

    def __init__(self, height_mm: float) -> None:
        from matplotlib.figure import Figure

        self.figure: Figure = Figure(figsize=(WIDTH_MM / MM_PER_INCH, height_mm / MM_PER_INCH), facecolor="white")
        self.height_mm = height_mm
        self._axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self._axes.set_xlim(0, WIDTH_MM)
        self._axes.set_ylim(height_mm, 0)
        self._axes.set_axis_off()

    def box(self, x: float, y: float, wide: float, high: float, look: Look, *, name: str = "") -> Patch:
        """A rectangle, of which the left upper corner is given."""
        from matplotlib.patches import Rectangle

        patch = Rectangle(
            (x, y), wide, high, facecolor=look.face, edgecolor=look.edge, hatch=look.hatch or None, linewidth=0.6
        )
        patch.set_gid(name or None)
        self._axes.add_artist(patch)
        return patch

    def line(self, xs: list[float], ys: list[float], *, look: LineLook | None = None, name: str = "") -> None:
        """A line from point to point."""
        from matplotlib.lines import Line2D

        look = look or LineLook()
        drawn = Line2D(xs, ys, color=look.colour, linewidth=look.points, linestyle=look.style, solid_capstyle="butt")
        drawn.set_gid(name or None)
        self._axes.add_artist(drawn)

    def mark(self, x: float, y: float, sign: str, *, filled: bool = True, size: float = 4.5, name: str = "") -> None:
        """One sign of Matplotlib's (o, s, x, <, >, D ...), filled or hollow."""
        from matplotlib.lines import Line2D

        drawn = Line2D(
            [x], [y], marker=sign, markersize=size, color=INK, markerfacecolor=INK if filled else "white", linestyle=""
        )
        drawn.set_gid(name or None)
        self._axes.add_artist(drawn)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = USUAL,
        bold: bool = False,
        at: str = "left",
        ink: str = INK,
    ) -> None:
        """A plain text whose foot stands at `y`, from `x` on, up to it (`right`) or around it (`center`)."""
        drawn = self._axes.text(x, y, plain_text(text), ha=at, va="baseline", color=ink)
        drawn.set_fontproperties(font(size, bold=bold))


def heading(paper: Paper, title: str, below: str) -> float:
    """A title with a line below it; returns where the picture goes on."""
    paper.text(0, 4.5, fitted(title, WIDTH_MM, LARGE, bold=True), size=LARGE, bold=True)
    paper.text(0, 8.5, fitted(below, WIDTH_MM, SMALL), size=SMALL, ink=QUIET)
    return 12.0


def svg(picture: Paper, title: str) -> bytes:
    """The picture as SVG, letters as outlines."""
    return _written([picture], "svg", {"Title": plain_text(title), "Creator": "Buildbook", "Date": None})


def pdf(pictures: list[Paper], title: str) -> bytes:
    """The pictures as PDF, one a page, with the letters embedded."""
    return _written(pictures, "pdf", {"Title": plain_text(title), "Creator": "Buildbook", "CreationDate": None})


def png(picture: Paper, title: str) -> bytes:
    """The picture as PNG, 200 dots an inch."""
    return _written([picture], "png", {"Title": plain_text(title), "Software": None})


def _written(pictures: list[Paper], kind: str, about: dict[str, Any]) -> bytes:
    whole = BytesIO()
    with printing():
        if kind == "pdf":
            from matplotlib.backends.backend_pdf import PdfPages

            with PdfPages(whole, metadata=about | {"Producer": None}) as pages:
                for picture in pictures:
                    pages.savefig(picture.figure)
        else:
            pictures[0].figure.savefig(whole, format=kind, metadata=about, dpi=PIXELS_PER_INCH)
    return whole.getvalue()
