"""A level over time as a step line: what lay there, what will when what is coming has come, and days below it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from buildbook.tui.laying import width_of
from buildbook.tui.plots import Drawn, Piece, Signs

GOES_UP, THEN_RIGHT, GOES_DOWN, RIGHT_AGAIN = range(4)
# How far apart the letters stand that mark a level.
EVERY = 4


class Level(NamedTuple):
    """From column `at` on, so much lies there; `expected` if it is not there yet."""

    at: int
    qty: int
    expected: bool = False


class Mark(NamedTuple):
    """A level that is marked all along by a letter."""

    letter: str
    qty: int
    tone: str


class Grid:
    """Cells of `width` columns and `height` rows, the quantity `top` in the first row and 0 in the last."""

    def __init__(self, width: int, height: int, top: int) -> None:
        self.width, self.height, self.top = width, height, max(1, top)
        self.cells = [[Piece(" ")] * width for _ in range(height)]

    def row_of(self, qty: int) -> int:
        """The row of a quantity, the nearest; what is anything stands above what is nothing.

        >>> grid = Grid(20, 5, 100)
        >>> grid.row_of(100), grid.row_of(50), grid.row_of(1), grid.row_of(0)
        (0, 2, 3, 4)
        """
        high = self.height - 1
        up = (2 * qty * high + self.top) // (2 * self.top)
        if qty > 0 and not up and high:
            up = 1
        return high - max(0, min(high, up))

    def put(self, row: int, column: int, text: str, tone: str = "") -> None:
        """Draw one sign."""
        self.cells[row][column] = Piece(text, tone)

    def draw_levels(self, levels: Sequence[Level], signs: Signs) -> None:
        """Draw a line from column to column, upright where the level changes; levels in the order of their columns."""
        at = 0
        before: int | None = None
        for column in range(self.width):
            met = [] if before is None else [before]
            dotted = False
            while at < len(levels) and levels[at].at <= column:
                met.append(self.row_of(levels[at].qty))
                dotted = levels[at].expected
                at += 1
            dotted = dotted or bool(at and levels[at - 1].expected)
            if met:
                self._draw_column(column, met, before, signs, dotted=dotted)
                before = met[-1]

    def _draw_column(self, column: int, met: Sequence[int], before: int | None, signs: Signs, *, dotted: bool) -> None:
        """One column, in which the line comes from the row `before` and goes through all rows `met`, to the last."""
        along, upright = tuple(signs.dotted if dotted else signs.line)
        tone = "warn" if dotted else "good"
        for row in range(min(met), max(met) + 1):
            self.put(row, column, upright, tone)
        now = met[-1]
        if before is None or before == now:
            if len(set(met)) == 1:
                self.put(now, column, along, tone)
            return
        up = now < before
        if max(met) == max(before, now) and min(met) == min(before, now):
            self.put(before, column, signs.corners[GOES_UP if up else GOES_DOWN], tone)
            self.put(now, column, signs.corners[THEN_RIGHT if up else RIGHT_AGAIN], tone)

    def draw_marks(self, marks: Sequence[Mark]) -> None:
        """Letters along levels, wherever nothing is drawn yet; several at one level take turns."""
        step = max(1, EVERY // max(1, len(marks)))
        for turn, mark in enumerate(marks):
            row = self.row_of(mark.qty)
            for column in range(turn * step, self.width, EVERY):
                if self.cells[row][column].text == " ":
                    self.put(row, column, mark.letter, mark.tone)

    def lines(self) -> list[Drawn]:
        """The rows, signs of one tone together."""
        return [together(row) for row in self.cells]


def together(pieces: Iterable[Piece]) -> Drawn:
    """Pieces of the same tone that follow each other, as one."""
    joined: Drawn = []
    for piece in pieces:
        if joined and joined[-1].tone == piece.tone:
            joined[-1] = Piece(joined[-1].text + piece.text, piece.tone)
        else:
            joined.append(piece)
    return joined


def column_of(when: float, begin: float, end: float, width: int) -> int:
    """The column in which a moment stands, of so many from `begin` to `end` (in seconds).

    >>> column_of(5.0, 0.0, 10.0, 21), column_of(-1.0, 0.0, 10.0, 21), column_of(11.0, 0.0, 10.0, 21)
    (10, 0, 20)
    """
    if end <= begin:
        return 0
    return max(0, min(width - 1, int((when - begin) * (width - 1) / (end - begin))))


def below_axis(marks: Sequence[tuple[int, str]], width: int) -> str:
    """Texts below their columns, the first the most wanted: each whole, or not at all where there is no room for it.

    >>> below_axis([(10, "today"), (0, "5 Sep"), (12, "6 Sep")], 20)
    '5 Sep   today       '
    """
    line = " " * width
    for column, text in marks:
        wide = width_of(text)
        left = max(0, min(width - wide, column - wide // 2))
        if wide <= width and not line[max(0, left - 1) : left + wide + 1].strip():
            line = line[:left] + text + line[left + wide :]
    return line


def with_scale(lines: Sequence[Drawn], labels: Sequence[tuple[int, str]], signs: Signs) -> list[Drawn]:
    """Rows of a grid behind an axis, with figures beside the rows of those numbers."""
    at = dict(reversed(labels))
    wide = max((width_of(text) for text in at.values()), default=0)
    return [[Piece(f"{at.get(row, ''):>{wide}}{signs.axis}", "quiet"), *line] for row, line in enumerate(lines)]
