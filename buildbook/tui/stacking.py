"""Where the lines of a list stand: rows one below the other, and below those folded open their own lines."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from buildbook.tui.laying import LONGEST_LINE, plain, wrapped
from buildbook.tui.rows import Line


class Stack:
    """So many rows, of which those at some places have lines below them. Lines are numbered from the top, from 0.

    >>> stack = Stack(3, [(1, [Line("holds 10"), Line("spoken for 2")])])
    >>> stack.height, [stack.place_of(number) for number in range(5)]
    (5, [(0, 0), (1, 0), (1, 1), (1, 2), (2, 0)])
    >>> stack.line_of(2), stack.line_of(1, 2), stack.line_at(3).text
    (4, 3, 'spoken for 2')
    """

    def __init__(self, rows: int = 0, folds: Sequence[tuple[int, list[Line]]] = ()) -> None:
        self._lines = [lines for _, lines in folds]
        self._places = [place for place, _ in folds]
        self._starts: list[int] = []
        before = 0
        for place, lines in folds:
            self._starts.append(place + 1 + before)
            before += len(lines)
        self.height = rows + before

    def line_of(self, place: int, below: int = 0) -> int:
        """The number of a row's line, or of the line so far below it; of its last one when it has fewer."""
        at = bisect_right(self._places, place - 1)
        number = place + (self._starts[at - 1] - self._places[at - 1] - 1 + len(self._lines[at - 1]) if at else 0)
        if below and at < len(self._places) and self._places[at] == place:
            return number + min(below, len(self._lines[at]))
        return number

    def place_of(self, number: int) -> tuple[int, int]:
        """The row that a line belongs to, and how far below it the line stands: 0 for the row itself."""
        at = bisect_right(self._starts, number) - 1
        if at < 0:
            return number, 0
        below = number - self._starts[at]
        if below < len(self._lines[at]):
            return self._places[at], below + 1
        return self._places[at] + 1 + below - len(self._lines[at]), 0

    def line_at(self, number: int) -> Line | None:
        """The line below a row that stands there; None for a row."""
        at = bisect_right(self._starts, number) - 1
        below = number - self._starts[at] if at >= 0 else -1
        return self._lines[at][below] if 0 <= below < len(self._lines[at]) else None

    def below(self, place: int) -> int:
        """How many lines stand below a row."""
        at = bisect_right(self._places, place - 1)
        return len(self._lines[at]) if at < len(self._places) and self._places[at] == place else 0


def wrap_lines(lines: Sequence[Line], room: int) -> list[Line]:
    """Lines broken to the width there is; each piece does what the whole does."""
    return [line._replace(text=part) for line in lines for part in wrapped(plain(line.text, LONGEST_LINE), room)]
