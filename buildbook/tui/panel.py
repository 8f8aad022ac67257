"""One place on the screen: its list and, on a wide terminal, what is folded open beside it; asked for in threads."""

from __future__ import annotations

from asyncio import sleep
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.timer import Timer

from buildbook.errors import BuildbookError
from buildbook.tui.arranging import Arrangement
from buildbook.tui.door import Door
from buildbook.tui.folding import FoldingList
from buildbook.tui.head import FIRST, Head, look
from buildbook.tui.laying import Glyphs, natural_widths
from buildbook.tui.place import Place, act_lines
from buildbook.tui.rows import Column, Line, Row, View
from buildbook.tui.stacking import wrap_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.tui.first import FirstSteps

# The lines below rows, by the row's key.
Folds = dict[str, tuple[Line, ...]]
# From this width on, what is folded open stands beside the list.
WIDE = 120
# How long the selection must rest, in seconds, before what stands beside the list follows it.
REST_S = 0.12
# How often a verb looks whether the first answer is there, in seconds.
LOOK_S = 0.005


class Outer(NamedTuple):
    """A place that was left for one within it, and how its list stood."""

    place: Place
    view: View
    state: State
    key: str


class Panel(Horizontal):
    """The list of a place. What it shows is asked for in a thread and put in when it is there."""

    DEFAULT_CSS = """
    Panel {
        height: 1fr; width: 100%;
        & > .beside { width: 2fr; display: none; padding: 0 0 0 1; border-left: none; background: $bar; }
        & > .main { width: 3fr; }
        &.wide > .beside { display: block; }
    }
    """

    class Loaded(Message):
        """The answer is there, and was put into the list."""

        def __init__(self, panel: Panel, head: Head, view: View) -> None:
            super().__init__()
            self.panel = panel
            self.head = head
            self.view = view

    class Failed(Message):
        """The answer could not be had."""

        def __init__(self, panel: Panel, error: Exception) -> None:
            super().__init__()
            self.panel = panel
            self.error = error

    class Fetched(Message):
        def __init__(self, ticket: int, found: Found) -> None:
            super().__init__()
            self.ticket = ticket
            self.found = found

    class Unfolded(Message):
        def __init__(self, key: str, lines: Sequence[Line]) -> None:
            super().__init__()
            self.key = key
            self.lines = lines

    def __init__(self, place: Place, first: FirstSteps, door: Door, glyphs: Glyphs) -> None:
        super().__init__(id=f"panel-{place.KEY}")
        self.place = place
        self.first = first
        # The place whose verbs count: in an empty workshop that is the first steps.
        self.acting = place
        self.door = door
        self.list = FoldingList(glyphs=glyphs, id=f"list-{place.KEY}")
        self.list.add_class("main")
        self.beside = FoldingList(folds=False, headings=False, marks=False, glyphs=glyphs, id=f"beside-{place.KEY}")
        self.beside.add_class("beside")
        self.sentence = ""
        self.stale = True
        self.build: str | None = None
        self._ticket = 0
        self._resting: Timer | None = None
        self._folds: Folds = {}
        self._wished = ""
        # The place within which the one shown stands, if it does; and whether the selection is still to be made.
        self.outer: Outer | None = None
        self._fresh = True
        # Whether the place shown has answered, or cannot.
        self._answered = False

    def compose(self) -> ComposeResult:
        """The list, and what stands beside it."""
        yield self.list
        yield self.beside

    @property
    def line(self) -> Line | None:
        """The line selected below a row, or beside the list."""
        row = self.beside.selected if self.beside.has_focus else None
        return row.about if row and isinstance(row.about, Line) else self.list.line

    @property
    def answered(self) -> bool:
        """Whether the place shown has given its first answer, or cannot."""
        return self._answered

    def wish(self, key: str) -> None:
        """Select the row of that key, now or when it is there."""
        self._fresh = False
        self._wished = "" if self.list.select(key) else key

    def go_in(self, place: Place) -> None:
        """Show a place that stands within this one, such as the parts list of a section, until `go_out`."""
        listed = self.list
        here = View(self.sentence, listed.columns, listed.rows, listed.remark)
        self.outer = Outer(self.place, here, listed_state(listed), listed.selected.key if listed.selected else "")
        self._become(place, View(""), State("", None, falling=False, others=(), opened=()))
        self._fresh = True

    def go_out(self) -> bool:
        """Back to the place within which this one stands, as it was left; False when there is none."""
        outer, self.outer = self.outer, None
        if outer is None:
            return False
        self._become(outer.place, outer.view, outer.state)
        self.wish(outer.key)
        self.stale = True
        return True

    def _become(self, place: Place, view: View, state: State) -> None:
        """Another place in this panel; what it shows is asked for by `renew`."""
        self._ticket += 1
        self._answered = False
        self.place = self.acting = place
        self.sentence = view.sentence
        listed = self.list
        listed.close_all()
        listed.folds = place.FOLDS
        listed.text, listed.others = state.text, state.others
        listed.sorted_by, listed.falling = None, state.falling
        listed.show(view.columns, view.rows, remark=view.remark)
        if state.by is not None:
            listed.sort_by(state.by, falling=state.falling)
        self._show_beside()

    async def settled(self) -> None:
        """Wait until the first answer is there, and what was typed last has been looked for."""
        while not self.answered:
            await sleep(LOOK_S)
        await self.list.settled()

    # --- asking ------------------------------------------------------------------------------------------------------

    def renew(self, build: str | None) -> None:
        """Ask the place again, in a thread; an older asking that is still under way is forgotten."""
        self.stale = False
        self._fresh = self._fresh or build != self.build
        self.build = build
        self._ticket += 1
        ticket = self._ticket
        state = listed_state(self.list)

        def ask() -> None:
            try:
                found = self._fetch(build, state)
            except BuildbookError as error:
                self.post_message(self.Failed(self, error))
            except Exception as error:  # noqa: BLE001 - the edge: it becomes a message and a log file
                self.post_message(self.Failed(self, error))
            else:
                self.post_message(self.Fetched(ticket, found))
                # So that the first letter typed need not wait for it.
                found.arrangement.hays()

        self.run_worker(ask, thread=True, exclusive=True, group=f"ask-{self.id}")

    def _fetch(self, build: str | None, state: State) -> Found:
        if self.door.is_absent():
            head, view = Head((), None, empty=True), self.first.ask(None, None)
            folds: Folds = {}
        else:
            head, view, folds = self.door.read(lambda shop: self._ask(shop, build, state.opened))
        arrangement = Arrangement(view.rows, (self.first if head.empty else self.place).names)
        by = state.by if state.by is not None and state.by < len(view.columns) else None
        shown = arrangement.shown(state.text, by, falling=state.falling, others=state.others)
        return Found(head, view, arrangement, natural_widths(view.columns, view.rows), shown, folds, state)

    def _ask(self, shop: Workshop, build: str | None, opened: Sequence[str]) -> tuple[Head, View, Folds]:
        head = look(shop, build)
        if head.empty:
            return head, self.first.ask(shop, None), {}
        view = self.place.ask(shop, head.build)
        wanted = set(opened)
        folds = {row.key: self._fold(shop, row) for row in view.rows if row.key in wanted} if wanted else {}
        return head, view, folds

    def _fold(self, shop: Workshop, row: Row) -> tuple[Line, ...]:
        lines = row.fold if row.fold is not None else self.place.unfold(shop, self.build, row)
        return self._with_verbs(lines)

    def _with_verbs(self, lines: Sequence[Line]) -> tuple[Line, ...]:
        acts = act_lines(self.acting.verbs)
        return (*lines, *([Line(""), *acts] if acts and lines else acts))

    def on_panel_fetched(self, message: Fetched) -> None:
        """Put in what was found, unless it was asked for again since."""
        message.stop()
        if message.ticket != self._ticket:
            return
        found = message.found
        self._answered = True
        self.build = found.head.build if self.build == FIRST else self.build
        self.acting = self.first if found.head.empty else self.place
        self.list.folds = self.acting.FOLDS
        self.sentence = found.view.sentence
        listed = self.list
        listed.show(
            found.view.columns,
            found.view.rows,
            remark=found.view.remark,
            arrangement=found.arrangement,
            widths=found.widths,
            shown=found.shown if found.state == listed_state(listed) else None,
        )
        self._folds = {key: found.folds.get(key, self._folds.get(key, ())) for key in listed.opened}
        for key, lines in self._folds.items():
            listed.set_fold(key, lines)
        for row in listed.shown:
            if row.key in self._folds and row.key not in found.folds:
                # It was opened while the place was being asked.
                self._unfold(row)
        if self._wished:
            self.wish(self._wished)
        elif self._fresh and found.view.rows:
            self._fresh = False
            listed.select(found.view.at)
        self._show_beside()
        self.post_message(self.Loaded(self, found.head, found.view))
        self.acting.answered(self)

    def on_panel_failed(self, _: Failed) -> None:
        """There is no answer; nobody need wait for it."""
        self._answered = True

    # --- folding open ------------------------------------------------------------------------------------------------

    def on_folding_list_wanted(self, message: FoldingList.Wanted) -> None:
        """A row was opened: ask for its lines."""
        message.stop()
        self._unfold(message.row)

    def _unfold(self, row: Row) -> None:
        if row.fold is not None:
            self.put_fold(row.key, self._with_verbs(row.fold))
            return
        self._show_beside()

        def ask() -> None:
            try:
                lines = self.door.read(lambda shop: self._fold(shop, row))
            except BuildbookError as error:
                lines = (Line(str(error), "bad"),)
            except Exception as error:  # noqa: BLE001 - the edge: it becomes a message and a log file
                lines = ()
                self.post_message(self.Failed(self, error))
            self.post_message(self.Unfolded(row.key, lines))

        self.run_worker(ask, thread=True, group=f"unfold-{self.id}")

    def on_panel_unfolded(self, message: Unfolded) -> None:
        """Put the lines in."""
        message.stop()
        self.put_fold(message.key, message.lines)

    def put_fold(self, key: str, lines: Sequence[Line]) -> None:
        """Show these lines below a row, or beside it."""
        self._folds[key] = tuple(lines)
        if not self.list.is_open(key):
            row = next((row for row in self.list.shown if row.key == key), None)
            if row is None:
                return
            self.list.open_with(row, lines)
        self.list.set_fold(key, lines)
        self._show_beside()

    def on_folding_list_folded(self, message: FoldingList.Folded) -> None:
        """A row was closed."""
        message.stop()
        self._show_beside()

    def on_listing_selected(self, message: FoldingList.Selected) -> None:
        """What stands beside the list follows the selection, once that rests."""
        if message.within is not self.list or not self.list.beside or not self.list.opened:
            return
        if self._resting:
            self._resting.stop()
        self._resting = self.set_timer(REST_S, self._follow)

    def _follow(self) -> None:
        row = self.list.selected
        if self.list.beside and row and self.list.opened and not self.list.is_open(row.key):
            self.list.open(row)

    def _show_beside(self) -> None:
        row = self.list.selected
        shown = bool(self.list.beside and row and self.list.is_open(row.key))
        self.set_class(shown, "wide")
        if not shown:
            if self.beside.has_focus:
                self.list.focus()
            return
        self.call_after_refresh(self._fill_beside)

    def _fill_beside(self) -> None:
        row = self.list.selected
        if row is None or not self.has_class("wide"):
            return
        if not self.beside.size.width:
            # It has just been shown and has no size yet.
            self.call_after_refresh(self._fill_beside)
            return
        room = max(10, self.beside.size.width - 4)
        lines = wrap_lines(self._folds.get(row.key, ()), room)
        rows = [Row(f"{row.key} {at}", (line.text,), tone=tone_of(line), about=line) for at, line in enumerate(lines)]
        self.beside.show((Column("", shrink=True),), rows)

    def on_resize(self, event: events.Resize) -> None:
        """Wide enough, what is open stands beside the list; else below its row."""
        wide = event.size.width >= WIDE
        if wide != self.list.beside:
            self.list.beside = wide
            row = self.list.selected
            if wide and row and self.list.opened:
                self.list.open(row) if self.list.is_open(row.key) else self.list.close_all()
        self._show_beside()
        self.call_after_refresh(self.list.relay)


class State(NamedTuple):
    """How the list stood when the place was asked: narrowed, sorted, folded open."""

    text: str
    by: int | None
    falling: bool
    others: Sequence[str]
    opened: Sequence[str]


class Found(NamedTuple):
    """All that was made of an answer in the thread."""

    head: Head
    view: View
    arrangement: Arrangement
    widths: tuple[int, ...]
    shown: Sequence[int]
    folds: Folds
    state: State


def listed_state(listed: FoldingList) -> State:
    """How a list stands."""
    return State(listed.text, listed.sorted_by, listed.falling, listed.others, listed.opened)


def tone_of(line: Line) -> str:
    """The tone of a line that stands as a row of its own."""
    return line.tone or ("do" if line.verb else "")
