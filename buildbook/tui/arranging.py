"""Which rows of a list are shown, and in which order: narrowed by words, sorted by a column; fast at 20,000."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from buildbook.tui.rows import Cell, Row, text_of

_NUMBERS = re.compile(r"(\d+(?:\.\d+)?)")


def sort_key(cell: Cell | str) -> tuple[int, float, tuple[tuple[int, float, str], ...]]:
    """What a cell is sorted by: figures by size, texts as people would, what is empty last.

    >>> sorted(["R10", "R2", "", "C1"], key=sort_key)
    ['C1', 'R2', 'R10', '']
    """
    by = cell.sort if isinstance(cell, Cell) and cell.sort is not None else text_of(cell)
    if not isinstance(by, str):
        return 0, float(by), ()
    if not by:
        return 2, 0.0, ()
    parts = _NUMBERS.split(by.casefold())
    return 1, 0.0, tuple((0, float(part), "") if at % 2 else (1, 0.0, part) for at, part in enumerate(parts) if part)


class Arrangement:
    """The rows of one view, ready to be narrowed and sorted again and again. Threads may share it."""

    def __init__(self, rows: Sequence[Row], names: Callable[[Row], Sequence[str]] = lambda row: ()) -> None:
        self.rows = rows
        self._names = names
        self._hays: list[str] | None = None
        self._named: dict[str, list[int]] = {}
        self._orders: dict[tuple[int, bool], Sequence[int]] = {}

    def hays(self) -> list[str]:
        """What the words are looked for in, one text a row; the first time takes as long as there are rows."""
        if self._hays is None:
            named: dict[str, list[int]] = {}
            for at, row in enumerate(self.rows):
                for name in self._names(row):
                    named.setdefault(name, []).append(at)
            self._named = named
            self._hays = ["\n".join((*map(text_of, row.cells), row.hay)).casefold() for row in self.rows]
        return self._hays

    def is_ready(self, by: int | None, *, falling: bool = False) -> bool:
        """Whether all that takes long has been done: the texts to look in are there, and so is the order."""
        return self._hays is not None and (by is None or (by, falling) in self._orders)

    def order(self, by: int | None, *, falling: bool = False) -> Sequence[int]:
        """The numbers of all rows in the order of a column, or in the place's own for None; empty cells stay last."""
        if by is None:
            return range(len(self.rows) - 1, -1, -1) if falling else range(len(self.rows))
        if (by, falling) not in self._orders:
            keys = [sort_key(row.cells[by]) for row in self.rows]
            order = sorted(range(len(keys)), key=keys.__getitem__, reverse=falling)
            order.sort(key=lambda at: keys[at][0] == 2)
            self._orders[by, falling] = order
        return self._orders[by, falling]

    def shown(
        self, text: str, by: int | None = None, *, falling: bool = False, others: Sequence[str] = ()
    ) -> Sequence[int]:
        """The rows, by number, that hold every word of the text or bear one of the other names, in order."""
        order = self.order(by, falling=falling)
        words = text.casefold().split()
        if not words:
            return order
        hays = self.hays()
        found: Sequence[int] = order
        for word in words:
            found = [at for at in found if word in hays[at]]
        known = {at for name in others for at in self._named.get(name, ())}
        if not known or known.issubset(found):
            return found
        known.update(found)
        return [at for at in order if at in known]
