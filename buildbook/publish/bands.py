"""The colour bands of a resistor as a small picture, and in words beside it, so that nothing hangs on colour alone."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from buildbook.answers.values import bands_of
from buildbook.publish.document import Picture
from buildbook.trade.marking import Tolerance
from buildbook.trade.values import Value, read

# The colours of IEC 60062 in printing inks that stay apart on paper, and the body that they are painted on.
_INKS = {
    "black": "#000000", "brown": "#7a3b10", "red": "#d0201a", "orange": "#f08000", "yellow": "#f2d800",
    "green": "#108030", "blue": "#1040c0", "violet": "#8030b0", "grey": "#808080", "white": "#ffffff",
    "gold": "#b8902a", "silver": "#c4c4c4", "pink": "#f090a8",
}  # fmt: skip
_BODY = "#ecdcb4"
_PERCENT = re.compile(r"(?<![\d.,])(\d{1,2}(?:\.\d{1,2})?) ?%")


class Bands(NamedTuple):
    """The bands of a resistor from the end where they begin; `whole` when the last one, its tolerance, is known."""

    colours: tuple[str, ...]
    whole: bool


@cache
def bands_on(value: str, name: str = "") -> Bands | None:
    """The bands of a resistor by its value, with the tolerance that the value or its name tells (IEC 60062).

    Without a tolerance there is no last band. None where the value is not clear, or no bands say it.

    >>> bands_on("4k7", "Resistor, metal film 1 %"), bands_on("4k7 0.6W")
    (Bands(colours=('yellow', 'violet', 'black', 'brown', 'brown'), whole=True), \
Bands(colours=('yellow', 'violet', 'red'), whole=False))
    """
    found = read(value, "R")
    if not isinstance(found, Value):
        return None
    told = _PERCENT.search(name)
    if found.tolerance is None and told and Decimal(told[1]):
        found = replace(found, tolerance=Tolerance(Decimal(told[1]), Decimal(told[1])))
    colours = bands_of(found)
    if not colours:
        return None
    whole = found.tolerance is not None or len(colours) == 1
    return Bands(colours if whole else colours[:-1], whole)


def draw_bands(bands: Bands) -> Picture:
    """A resistor with its bands, the last one set apart; a dashed one where that is not known."""
    colours = bands.colours
    set_apart = bands.whole and len(colours) > 1
    row = colours[:-1] if set_apart else colours
    shapes = [_band(15 + 10 * at, f'fill="{_INKS[colour]}" stroke-width="0.4"') for at, colour in enumerate(row)]
    if set_apart:
        shapes.append(_band(70, f'fill="{_INKS[colours[-1]]}" stroke-width="0.4"'))
    elif not bands.whole:
        shapes.append(_band(70, 'fill="none" stroke-width="0.7" stroke-dasharray="1.6 1.4"'))
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="92" height="20" viewBox="0 0 92 20" stroke="#555555">'
        '<path d="M0 10H92" stroke-width="1.6"/>'
        f'<rect x="8" y="2" width="76" height="16" rx="5" fill="{_BODY}" stroke-width="0.8"/>{"".join(shapes)}</svg>'
    )
    return Picture(drawing.encode(), "image/svg+xml", in_words(colours))


def _band(x: int, look: str) -> str:
    return f'<rect x="{x}" y="2.4" width="6" height="15.2" {look}/>'


def in_words(colours: Sequence[str]) -> str:
    """The colours in words.

    >>> in_words(("yellow", "violet", "red"))
    'yellow violet red'
    """
    return " ".join(colours)
