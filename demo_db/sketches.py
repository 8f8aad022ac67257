"""Sketches from the demo's bench book, drawn by this short program as SVG and attached to what they show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, pi, sin
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from buildbook.actions.attachments import Of, attach

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

DRAWN = "2026-10-03"


def sheet(width: int, height: int, *shapes: str) -> str:
    """A sheet with shapes on it, in millimetres."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">'
    )
    style = '<g fill="none" stroke="#222" stroke-width="0.5" font-family="sans-serif" font-size="4">'
    paper = f'<rect width="{width}" height="{height}" fill="#fff" stroke="none"/>'
    return "\n".join((head, style, paper, *shapes, "</g>", "</svg>", ""))


def box(x: float, y: float, width: float, height: float) -> str:
    """A rectangle."""
    return f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}"/>'


def ring(x: float, y: float, radius: float, more: str = "") -> str:
    """A circle."""
    return f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}"{more}/>'


def line(x: float, y: float, to_x: float, to_y: float) -> str:
    """A line."""
    return f'<path d="M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}"/>'


def word(x: float, y: float, text: str) -> str:
    """A word, begun there."""
    return f'<text x="{x:g}" y="{y:g}" fill="#222" stroke="none">{text}</text>'


def earth_stud() -> str:
    """The stud through the wall of the case, from the side, with what lies on it."""
    layers: Sequence[tuple[float, float, str]] = (
        (22, 3, "lock nut"),
        (26, 3, "nut"),
        (30, 1.5, "ring tag, mains earth"),
        (32.5, 1, "shakeproof washer"),
        (34, 4, "case wall: bare metal, 12 mm round"),
        (39, 1, "shakeproof washer"),
        (41, 3, "head, M4 x 20"),
    )
    shapes = [box(28, 16, 4, 28)]
    for at, (top, thick, text) in enumerate(layers):
        half = 24 if "wall" in text else 7
        middle, beside = top + thick / 2, 17 + 5.5 * at
        shapes += [box(30 - half, top, 2 * half, thick), line(30 + half, middle, 64, beside)]
        shapes.append(word(66, beside + 1.3, text))
    return sheet(140, 56, word(4, 9, "Earth stud, from the side: nothing painted below the tag"), *shapes)


def dial() -> str:
    """The dial of the three bands: scales over half a turn."""
    shapes = [ring(60, 58, 3)]
    for radius, text in ((34, "A  1.7 - 4.4 MHz"), (41, "B  4.2 - 10.8"), (48, "C  9.8 - 25.2")):
        shapes.append(f'<path d="M{60 - radius} 58A{radius} {radius} 0 0 1 {60 + radius} 58"/>')
        shapes += [*marks(radius), word(60 + radius - 3, 63, text[0]), word(4, radius - 26, text)]
    return sheet(120, 68, word(70, 8, "Dial, 180 degrees"), *shapes)


def marks(radius: float) -> Iterator[str]:
    """Marks along a scale, every tenth of its way."""
    for tenth in range(11):
        x, y = cos(pi * tenth / 10), sin(pi * tenth / 10)
        yield line(60 + radius * x, 58 - radius * y, 60 + (radius - 3) * x, 58 - (radius - 3) * y)


def chassis() -> str:
    """Where the boards and the transformer stand in the case, from above."""
    places = (
        (8, 16, 40, 40, "transformer"),
        (8, 60, 40, 22, "mains"),
        (52, 16, 42, 30, "HT, heaters"),
        (52, 50, 42, 32, "audio"),
        (98, 16, 40, 30, "IF"),
        (98, 50, 40, 32, "mixer, coils"),
    )
    shapes = [
        box(4, 12, 138, 74),
        ring(12, 84, 1.5, ' fill="#222"'),
        word(16, 93, "earth stud, beside the mains inlet"),
    ]
    for x, y, width, height, text in places:
        shapes += [box(x, y, width, height), word(x + 3, y + height / 2 + 1, text)]
    return sheet(146, 98, word(4, 8, "Chassis from above, front at the right"), *shapes)


def attach_all(shop: Workshop) -> None:
    """Draw the three sheets and attach each."""
    case = Of(build="CURLEW", assembly="CURLEW/CASE")
    panel = Of(build="CURLEW", assembly="CURLEW/PANEL")
    sheets = (
        ("earth-stud.svg", earth_stud(), case, "Earth stud: bare metal under it; mask the patch before the primer."),
        ("dial.svg", dial(), panel, "Dial as it will be lettered, three bands."),
        ("chassis.svg", chassis(), Of(build="CURLEW"), "What stands where: mains on the left, signal on the right."),
    )
    with TemporaryDirectory() as folder:
        for name, drawn, about, caption in sheets:
            path = Path(folder, name)
            path.write_text(drawn, encoding="utf-8")
            attach(shop, path, about, caption=caption)
