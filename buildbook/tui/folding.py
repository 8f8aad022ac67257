"""The list that every place is made of: rows that fold open, their lines standing below them, or beside the list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message

from buildbook.tui.laying import UNICODE, Glyphs
from buildbook.tui.listing import Listing
from buildbook.tui.rows import Line, Row
from buildbook.tui.stacking import wrap_lines

ASKED = (Line("looking it up", "quiet"),)


class FoldingList(Listing):
    """Rows, one of them selected. Enter folds one open; several may stand open, but only one where `beside` is set.

    Where `folds` is off, enter only tells that a row was entered.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "enter", "fold open or close, do", show=False)]

    class Wanted(Message):
        """A row was opened whose lines have to be asked for."""

        def __init__(self, within: FoldingList, row: Row) -> None:
            super().__init__()
            self.within = within
            self.row = row

    class Folded(Message):
        """A row was folded up."""

        def __init__(self, within: FoldingList) -> None:
            super().__init__()
            self.within = within

    class Entered(Message):
        """Enter on a row that does not fold, or on a line that does something."""

        def __init__(self, within: FoldingList, row: Row, line: Line | None) -> None:
            super().__init__()
            self.within = within
            self.row = row
            self.line = line

    def __init__(
        self,
        *,
        folds: bool = True,
        headings: bool = True,
        marks: bool = True,
        glyphs: Glyphs = UNICODE,
        id: str | None = None,
    ) -> None:
        super().__init__(headings=headings, marks=marks, glyphs=glyphs, id=id)
        self.folds = folds
        self.beside = False
        self._open: dict[str, tuple[Line, ...]] = {}

    def lines_below(self, room: int) -> list[tuple[int, list[Line]]]:
        """The lines of the rows that are open, unless they stand beside."""
        if not self._open or self.beside:
            return []
        keys = ((place, row.key) for place, row in enumerate(self.shown))
        return [(place, wrap_lines(self._open[key], room)) for place, key in keys if key in self._open]

    def action_enter(self) -> None:
        """Fold the row open, or close it; on a line that does something, do it."""
        row, line = self.selected, self.line
        if row is None:
            return
        if (line and line.verb) or not self.folds:
            self.post_message(self.Entered(self, row, line))
        elif row.key in self._open:
            self.close(row.key)
        else:
            self.open(row)

    def open(self, row: Row) -> None:
        """Fold a row open; its lines are asked for when it does not bring them along."""
        self.open_with(row, row.fold if row.fold is not None else ASKED)
        self.post_message(self.Wanted(self, row))

    def open_with(self, row: Row, lines: Sequence[Line]) -> None:
        """Fold a row open on these lines."""
        if self.beside:
            self._open.clear()
        self._open[row.key] = tuple(lines)
        self._relay(row.key, 0)

    def close(self, key: str) -> None:
        """Fold a row up."""
        self._open.pop(key, None)
        self._relay(key, 0)
        self.post_message(self.Folded(self))

    def close_all(self) -> None:
        """Fold every row up."""
        self._open.clear()
        self.relay()

    def is_open(self, key: str) -> bool:
        """Whether a row is folded open."""
        return key in self._open

    @property
    def opened(self) -> tuple[str, ...]:
        """The keys of the rows that are folded open."""
        return tuple(self._open)

    def set_fold(self, key: str, lines: Sequence[Line]) -> None:
        """The lines below an open row, now that they are known."""
        if key in self._open:
            selected = self.selected
            number = self.line_number
            self._open[key] = tuple(lines)
            if selected:
                self._relay(selected.key, number)
            if selected and selected.key == key and not number:
                self._show_fold()

    def _relay(self, key: str, line: int) -> None:
        self._put(self._shown, key, line, self._at)

    def _show_fold(self) -> None:
        """Scroll so that as much as possible of the selected row's fold is in sight, the row itself included."""
        below = self._stack.below(self._stack.place_of(self._at)[0])
        page = max(1, self.size.height - self.headings)
        excess = self._at + below + 1 - round(self.scroll_y) - page
        if excess > 0:
            self.scroll_to(y=min(self._at, round(self.scroll_y) + excess), animate=False, immediate=True)

    def on_click(self, event: events.Click) -> None:
        """A click selects; a click on what is selected is enter."""
        number = event.y - self.headings + round(self.scroll_y)
        if event.y < self.headings or not 0 <= number < self._stack.height:
            return
        if number == self._at and event.chain != 2:
            self.action_enter()
        else:
            self._at = number
            self._settle()
