"""Plots out of letters: bars that are told apart by patterns and letters, with their figures in words beside them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple, TypeAlias

from buildbook.tui.laying import UNICODE, Glyphs, plain, set_to, width_of, wrapped


class Signs(NamedTuple):
    """What plots are drawn with.

    `shades` fill bars, the densest first; `line` and `dotted` hold how a level goes on and how it rises; `corners` are
    where a line turns: it comes from the left and goes up, comes from below and goes right, from the left and down,
    from above and right.
    """

    shades: str
    line: str
    dotted: str
    corners: str
    axis: str
    foot: str


BLOCKS = Signs(shades="█▓▒░", line="─│", dotted="╌╎", corners="┘┌┐└", axis="│", foot="└─")
LETTERS = Signs(shades="#=-.", line="-|", dotted=".:", corners="++++", axis="|", foot="+-")


# Stands between the words of a key.
BETWEEN = "   "


def signs_of(glyphs: Glyphs) -> Signs:
    """The signs that go with those of the rest of the screen."""
    return BLOCKS if glyphs is UNICODE else LETTERS


class Piece(NamedTuple):
    """A text of a plot, and the tone that supports it."""

    text: str
    tone: str = ""


Drawn: TypeAlias = list[Piece]
"""One line of a plot."""


class Plot(NamedTuple):
    """A plot: the sentence above it, and how it is drawn into so many cells and, if it can, so many lines."""

    title: str
    sentence: str
    draw: Callable[[int, int, Glyphs], list[Drawn]]


class Part(NamedTuple):
    """What one part of a bar stands for: its letter, its words in the key, its shade (0 the densest) and its tone."""

    letter: str
    words: str
    shade: int
    tone: str


def shared_out(parts: Sequence[int], cells: int) -> list[int]:
    """So many cells shared out among the parts of a whole, none of them below 0.

    The cells go by the largest remainder; a part that is anything gets one, as long as there are enough for all.

    >>> shared_out([30, 20, 50], 10), shared_out([1, 999], 10), shared_out([0, 0], 10)
    ([3, 2, 5], [1, 9], [0, 0])
    """
    whole = sum(parts)
    if not whole or cells <= 0:
        return [0] * len(parts)
    given = [part * cells // whole for part in parts]
    by_remainder = sorted(range(len(parts)), key=lambda at: -(parts[at] * cells % whole))
    for at in by_remainder[: cells - sum(given)]:
        given[at] += 1
    for at, part in enumerate(parts):
        richest = max(range(len(parts)), key=given.__getitem__)
        if part and not given[at] and given[richest] > 1:
            given[at], given[richest] = 1, given[richest] - 1
    return given


def scaled(value: int, largest: int, cells: int) -> int:
    """How many cells a value takes where the largest takes all; one at least, unless it is nothing.

    >>> scaled(50, 100, 30), scaled(1, 1000, 30), scaled(0, 1000, 30)
    (15, 1, 0)
    """
    if value <= 0 or cells <= 0:
        return 0
    return max(1, min(cells, (2 * value * cells + largest) // (2 * largest)))


def bar(values: Sequence[int], parts: Sequence[Part], cells: int, signs: Signs, *, lettered: bool = False) -> Drawn:
    """A bar of exactly so many cells, unless all of it is nothing; `lettered` puts its letter before each part.

    >>> kinds = (Part("d", "done", 0, "good"), Part("l", "left", 3, "quiet"))
    >>> "".join(piece.text for piece in bar([2, 6], kinds, 8, LETTERS))
    '##......'
    >>> "".join(piece.text for piece in bar([2, 6], kinds, 8, LETTERS, lettered=True))
    'd#l.....'
    """
    drawn = []
    for wide, part in zip(shared_out(values, cells), parts, strict=True):
        if wide:
            fill = signs.shades[part.shade]
            drawn.append(Piece(part.letter + fill * (wide - 1) if lettered else fill * wide, part.tone))
    return drawn


def key_of(parts: Iterable[Part], signs: Signs, *, lettered: bool = False) -> list[Drawn]:
    """What the parts of a bar stand for: of each, its signs and its words."""
    key = []
    for part in parts:
        fill = signs.shades[part.shade] * 2
        key.append([Piece(f"{part.letter}{fill}" if lettered else fill, part.tone), Piece(f" {part.words}", "quiet")])
    return key


def width_drawn(line: Drawn) -> int:
    """How many cells a line takes."""
    return sum(width_of(piece.text) for piece in line)


def within_room(line: Drawn, room: int, glyphs: Glyphs) -> Drawn:
    """A line cut to the room there is."""
    kept = []
    for piece in line:
        wide = width_of(piece.text)
        if wide > room:
            kept.append(piece._replace(text=set_to(piece.text, max(0, room), glyphs=glyphs)))
            break
        kept.append(piece)
        room -= wide
    return kept


def words(text: str, room: int, tone: str = "") -> list[Drawn]:
    """A text in as many lines as it takes."""
    return [[Piece(line, tone)] for line in wrapped(plain(text), room)]


def key_lines(key: Iterable[Drawn], room: int, glyphs: Glyphs) -> list[Drawn]:
    """A key in as many lines as it takes, nothing of it broken in two; cut only where it is alone in its line."""
    lines: list[Drawn] = []
    for one in key:
        if lines and width_drawn(lines[-1]) + len(BETWEEN) + width_drawn(one) <= room:
            lines[-1] += [Piece(BETWEEN), *one]
        else:
            lines.append(within_room(one, room, glyphs))
    return lines
