"""Questions to the user, at the foot of the screen: a line to be typed, one of several to be chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, NamedTuple, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from buildbook.errors import BuildbookError
from buildbook.tui.folding import FoldingList
from buildbook.tui.laying import LONGEST_LINE, UNICODE, Glyphs, plain
from buildbook.tui.question import Question
from buildbook.tui.rows import Cell, Column, Row

Check = Callable[[str], str | None]
Completions = Sequence[str] | Callable[[str], Sequence[str]]
MOST_COMPLETIONS = 200


class Option(NamedTuple):
    """One of several: its key, its word, and a sentence about it."""

    key: str
    word: str
    help: str = ""
    mark: str = ""


def options_of(options: Sequence[Option | str]) -> list[Option]:
    """Options, of which some may have been given as texts."""
    return [Option(one, one) if isinstance(one, str) else one for one in options]


def said(text: str) -> Content:
    """Text from outside as plain content."""
    return Content(plain(text, LONGEST_LINE))


def glyphs_of(screen: Question[str | None]) -> Glyphs:
    """The signs that the program draws with."""
    return cast(Glyphs, getattr(screen.app, "glyphs", UNICODE))


ASKING_CSS = """
AskLine, Choose {
    align: left bottom; background: $background 0%;
    & #asked {
        height: auto; max-height: 80%; width: 100%; background: $bar; padding: 0 1; border: none;
        layout: vertical;
    }
    & #question { text-style: bold; height: auto; width: 100%; }
    & .reason { height: auto; width: 100%; padding: 0 2; }
    & #understood { height: auto; width: 100%; color: $tone-quiet; }
    & #understood.fault { color: $tone-bad; }
    & #keys { height: 1; width: 100%; color: $tone-quiet; }
    & FoldingList { background: $bar; height: auto; max-height: 12; }
    & FoldingList > .listing--left { background: $selected; }
}
"""


class Typed(Input):
    """A field of one line, without a frame."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    Typed, Typed:focus {
        border: none; height: 1; padding: 0; color: $foreground;
        background: $background; background-tint: $background 0%;
    }
    """


class AskLine(Question[str | None]):
    """One line to be typed, checked while it is, with what it may be completed to above it."""

    CSS = ASKING_CSS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "leave it", show=False),
        Binding("up", "go(-1)", "up", show=False),
        Binding("down", "go(1)", "down", show=False),
        Binding("tab", "complete", "complete", show=False, priority=True),
    ]

    def __init__(
        self, question: str, *, initial: str, check: Check | None, complete: Completions, need: bool = True
    ) -> None:
        super().__init__()
        self.question = question
        self.initial = initial
        self.check = check
        self.complete = complete
        self.need = need
        self.meant: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """The question, the field, how it is understood, what it may be completed to."""
        glyphs = glyphs_of(self)
        with Vertical(id="asked"):
            yield Static(said(self.question), id="question", markup=False)
            yield Typed(self.initial, id="typed", select_on_focus=True)
            yield Static("", id="understood", markup=False)
            completions = FoldingList(folds=False, headings=False, glyphs=glyphs, id="completions")
            completions.can_focus = False
            completions.styles.max_height = 6
            yield completions
            keys = "enter take it   esc leave it" + ("   tab complete   up, down choose" if self.complete else "")
            yield Static(keys, id="keys", markup=False)

    def on_mount(self) -> None:
        """The field is ready at once."""
        self.query_one(Typed).focus()
        self._look(self.initial, fresh=True)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Say at once how the text is understood, or what is wrong with it."""
        self._look(event.value, fresh=event.value == self.initial)

    def _look(self, text: str, *, fresh: bool) -> None:
        self._tell(self._understood(text) if text.strip() else ("", False))
        self._suggest("" if fresh else text)

    def _understood(self, text: str) -> tuple[str, bool]:
        """How it is understood, or what is wrong with it and True."""
        try:
            return (self.check(text) or "" if self.check else ""), False
        except BuildbookError as error:
            return str(error), True

    def _tell(self, understood: tuple[str, bool]) -> None:
        words, fault = understood
        line = self.query_one("#understood", Static)
        line.update(said(words))
        line.display = bool(words)
        line.set_class(fault, "fault")

    def _suggest(self, text: str) -> None:
        if callable(self.complete):
            meant = tuple(self.complete(text))
        else:
            sought = text.casefold().strip()
            begin = [one for one in self.complete if one.casefold().startswith(sought)]
            meant = (*begin, *(one for one in self.complete if sought in one.casefold() and one not in set(begin)))
        self.meant = meant[:MOST_COMPLETIONS]
        rows = [Row(str(at), (one,)) for at, one in enumerate(self.meant)]
        completions = self.query_one(FoldingList)
        completions.display = bool(rows)
        completions.show((Column("", shrink=True),), rows)

    def action_go(self, by: int) -> None:
        """Take the completion above or below."""
        completions = self.query_one(FoldingList)
        if not self.meant:
            return
        field = self.query_one(Typed)
        if field.value in self.meant:
            completions.action_go(by)
        row = completions.selected
        if row:
            with self.prevent(Input.Changed):
                field.value = self.meant[int(row.key)]
            field.cursor_position = len(field.value)
            self._tell(self._understood(field.value))

    def action_complete(self) -> None:
        """Take the first completion."""
        row = self.query_one(FoldingList).selected
        if row and self.meant:
            field = self.query_one(Typed)
            field.value = self.meant[int(row.key)]
            field.cursor_position = len(field.value)

    def on_folding_list_entered(self, message: FoldingList.Entered) -> None:
        """A completion was clicked."""
        message.stop()
        self._take(self.meant[int(message.row.key)])

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the line, unless something is wrong with it."""
        event.stop()
        self._take(event.value)

    def _take(self, text: str) -> None:
        if not text.strip():
            if self.need:
                self._refuse("Nothing is typed yet.")
            else:
                self.dismiss("")
            return
        words, fault = self._understood(text)
        if fault:
            self._refuse(words)
        else:
            self.dismiss(text.strip())

    def _refuse(self, words: str) -> None:
        self._tell((words, True))


class Choose(Question[str | None]):
    """One of several, in a list that is narrowed by typing."""

    CSS = ASKING_CSS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "leave it", show=False),
        Binding("up", "pass_on('go(-1)')", "up", show=False),
        Binding("down", "pass_on('go(1)')", "down", show=False),
        Binding("pageup", "pass_on('page(-1)')", "page up", show=False),
        Binding("pagedown", "pass_on('page(1)')", "page down", show=False),
    ]

    def __init__(self, question: str, options: Sequence[Option], *, at: str = "", reasons: Sequence[str] = ()) -> None:
        super().__init__()
        self.question = question
        self.options = options
        self.at = at
        self.reasons = reasons

    def compose(self) -> ComposeResult:
        """The question, the reasons if any, the field that narrows, the list."""
        with Vertical(id="asked"):
            yield Static(said(self.question), id="question", markup=False)
            for reason in self.reasons:
                yield Static(said(reason), classes="reason", markup=False)
            if not self.reasons:
                yield Typed(id="typed", placeholder="type to narrow the list")
            listed = FoldingList(
                folds=False,
                headings=False,
                glyphs=glyphs_of(self),
                id="options",
            )
            yield listed
            yield Static("enter choose   esc leave it", id="keys", markup=False)

    def on_mount(self) -> None:
        """Fill the list; what is typed goes to the field."""
        marked = any(option.mark for option in self.options)
        columns: tuple[Column, ...] = (Column("", shrink=True), Column("", shrink=True))
        rows = [Row(one.key, (one.word, Cell(one.help, "quiet"))) for one in self.options]
        if marked:
            columns = (Column(""), *columns)
            rows = [
                row._replace(cells=(Cell(one.mark, "do"), *row.cells))
                for one, row in zip(self.options, rows, strict=True)
            ]
        listed = self.query_one(FoldingList)
        listed.show(columns, rows)
        if self.at:
            listed.select(self.at)
        if self.reasons:
            listed.focus()
        else:
            listed.can_focus = False
            self.query_one(Typed).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow the list."""
        self.query_one(FoldingList).narrow(event.value)

    def action_pass_on(self, action: str) -> None:
        """Move in the list while typing."""
        name, _, number = action.partition("(")
        getattr(self.query_one(FoldingList), f"action_{name}")(int(number.rstrip(")")))

    async def on_input_submitted(self, event: Input.Submitted) -> None:
        """Choose what is selected, once what was typed last has been looked for."""
        event.stop()
        listed = self.query_one(FoldingList)
        await listed.settled()
        row = listed.selected
        if row:
            self.dismiss(row.key)

    def on_folding_list_entered(self, message: FoldingList.Entered) -> None:
        """Enter or a click on a row of the list."""
        message.stop()
        self.dismiss(message.row.key)

    def on_click(self, event: events.Click) -> None:
        """A click beside the question leaves it."""
        if event.widget is self:
            self.dismiss(None)
