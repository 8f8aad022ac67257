"""A list of rows, of which only those in sight are drawn, so that 20,000 cost no more than a screenful."""

from __future__ import annotations

from asyncio import sleep
from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import Reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from buildbook.tui.arranging import Arrangement
from buildbook.tui.drawing import draw_headings, draw_line, draw_row
from buildbook.tui.laying import INDENT, LONGEST_LINE, UNICODE, Glyphs, laid, natural_widths, plain, wrapped
from buildbook.tui.rows import TONES, Column, Line, Row
from buildbook.tui.stacking import Stack

HEADINGS = 1
# So many rows are narrowed and sorted within a keystroke, or so many where all is ready for it; a worker does the rest.
AT_ONCE, AT_ONCE_IF_READY = 1_000, 30_000
GUTTER = 2


class Listing(ScrollView, can_focus=True):
    """Rows, one of them selected; below a row there may be lines. `marks` off hides the selection while not in use."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "go(-1)", "a line up", show=False),
        Binding("down", "go(1)", "a line down", show=False),
        Binding("pageup", "page(-1)", "a page up", show=False),
        Binding("pagedown", "page(1)", "a page down", show=False),
        Binding("home", "top", "to the first row", show=False),
        Binding("end", "bottom", "to the last row", show=False),
    ]
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "listing--row",
        "listing--headings",
        "listing--sorted",
        "listing--selected",
        "listing--left",
        *(f"listing--{tone}" for tone in TONES),
    }
    DEFAULT_CSS = """
    Listing {
        background: $background; color: $foreground;
        overflow-x: hidden; scrollbar-size-vertical: 1; scrollbar-gutter: stable; height: 1fr;
        & > .listing--row { color: $foreground; }
        & > .listing--headings { color: $tone-quiet; text-style: underline; }
        & > .listing--sorted { color: $foreground; text-style: bold underline; }
        & > .listing--selected { background: $selected; }
        & > .listing--left { background: $selected-blurred; }
        & > .listing--good { color: $tone-good; }
        & > .listing--warn { color: $tone-warn; }
        & > .listing--bad { color: $tone-bad; }
        & > .listing--quiet { color: $tone-quiet; }
        & > .listing--head { color: $foreground; text-style: bold; }
        & > .listing--do { color: $tone-key; text-style: bold; }
    }
    """

    # A list that fills the room it is given moves nothing else when it gets longer, so the screen is not laid out anew.
    virtual_size = Reactive(Size(0, 0), layout=False)

    class Selected(Message):
        """The selection moved to another row, or there is none."""

        def __init__(self, within: Listing, row: Row | None) -> None:
            super().__init__()
            self.within = within
            self.row = row

    class Changed(Message):
        """The list was narrowed or sorted."""

        def __init__(self, within: Listing) -> None:
            super().__init__()
            self.within = within

    class Arranged(Message):
        """What a worker found, for the list itself."""

        def __init__(self, within: Listing, ticket: int, shown: Sequence[int]) -> None:
            super().__init__()
            self.within = within
            self.ticket = ticket
            self.shown = shown

    def __init__(
        self,
        *,
        headings: bool = True,
        marks: bool = True,
        glyphs: Glyphs = UNICODE,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id)
        self.marks = marks
        self.headings = HEADINGS if headings else 0
        self.glyphs = glyphs
        self.columns: tuple[Column, ...] = ()
        self.remark = ""
        self.text = ""
        self.sorted_by: int | None = None
        self.falling = False
        self.others: Sequence[str] = ()
        self._arrangement = Arrangement(())
        self._widths: tuple[int, ...] = ()
        self._shown: Sequence[int] = ()
        self._stack = Stack()
        self._layout: list[tuple[int, int]] = []
        self._tail: list[str] = []
        self._at = 0
        self._told: str | None = None
        self._ticket = self._settled = 0
        self._styles: dict[str, Style] = {}

    # --- what is in it -----------------------------------------------------------------------------------------------

    def show(
        self,
        columns: tuple[Column, ...],
        rows: Sequence[Row],
        *,
        remark: str = "",
        arrangement: Arrangement | None = None,
        widths: tuple[int, ...] | None = None,
        shown: Sequence[int] | None = None,
    ) -> None:
        """Fill the list. What was selected, open, narrowed and sorted stays so, as far as it is still there.

        The last three may be prepared in a worker, which spares the screen the work with many rows.
        """
        selected, line = self.selected, self.line_number
        was_at = self._at
        self._ticket += 1
        if columns != self.columns and self.sorted_by is not None:
            self.sorted_by = shown = None
        self.columns = columns
        self._arrangement = arrangement or Arrangement(rows)
        self._widths = natural_widths(columns, rows) if widths is None else widths
        self.remark = remark
        if shown is None or len(rows) != len(self._arrangement.rows):
            shown = self._arranged()
        self._settled = self._ticket
        self._put(shown, selected.key if selected else None, line, was_at)

    def _arranged(self) -> Sequence[int]:
        return self._arrangement.shown(self.text, self.sorted_by, falling=self.falling, others=self.others)

    def narrow(self, text: str, others: Sequence[str] = ()) -> None:
        """Show the rows in which every word stands, or one of `others`; a worker looks, the newest text wins."""
        self.text, self.others = text, others
        self._arrange()

    def sort_by(self, column: int | None, *, falling: bool = False) -> None:
        """Sort by a column, or as the place has it for None."""
        self.sorted_by, self.falling = column, falling
        self._arrange()

    def _arrange(self) -> None:
        self._ticket += 1
        ticket, arrangement = self._ticket, self._arrangement
        text, by, falling, others = self.text, self.sorted_by, self.falling, self.others

        if len(arrangement.rows) <= (AT_ONCE_IF_READY if arrangement.is_ready(by, falling=falling) else AT_ONCE):
            self._take(self._arranged())
            return

        def look() -> None:
            shown = arrangement.shown(text, by, falling=falling, others=others)
            self.post_message(self.Arranged(self, ticket, shown))

        self.run_worker(look, thread=True, exclusive=True, group=f"arrange-{self.id}")

    def on_listing_arranged(self, message: Arranged) -> None:
        """Take what the worker found, unless more was typed since."""
        if message.within is self and message.ticket == self._ticket:
            self._take(message.shown)

    def _take(self, shown: Sequence[int]) -> None:
        selected = self.selected
        self._settled = self._ticket
        self._put(shown, selected.key if selected else None, self.line_number, 0)
        self.post_message(self.Changed(self))

    async def settled(self) -> None:
        """Wait until what was typed last has been looked for."""
        while self._settled != self._ticket:
            await sleep(0.005)

    @property
    def rows(self) -> Sequence[Row]:
        """All rows, shown or not."""
        return self._arrangement.rows

    @property
    def shown(self) -> list[Row]:
        """The rows as they stand: narrowed and sorted."""
        return [self._arrangement.rows[at] for at in self._shown]

    def __len__(self) -> int:
        return len(self._shown)

    # --- where the selection is --------------------------------------------------------------------------------------

    def _put(self, shown: Sequence[int], key: str | None, line: int, otherwise: int) -> None:
        """Lay these rows; select the row of that key, or the line that stands where the selection was."""
        self._shown = shown
        self._lay()
        place = self._find(key) if key else None
        self._at = otherwise if place is None else self._stack.line_of(place, line)
        self._settle()

    def _find(self, key: str) -> int | None:
        rows = self._arrangement.rows
        return next((place for place, number in enumerate(self._shown) if rows[number].key == key), None)

    def _lay(self) -> None:
        """Work out which lines stand where, for the width there is."""
        width = self.scrollable_content_region.width
        room = max(1, width - GUTTER)
        self._stack = Stack(len(self._shown), self.lines_below(max(1, room - INDENT)))
        self._layout = laid(self.columns, self._widths, room)
        apart = [""] if self._shown else []
        self._tail = [*apart, *wrapped(plain(self.remark, LONGEST_LINE), room)] if self.remark else []
        self.virtual_size = Size(width, self._stack.height + len(self._tail) + self.headings)
        self.refresh()

    def watch_virtual_size(self, size: Size) -> None:
        """The scrollbar follows; a list that is as high as its rows takes more room, or less."""
        if self.styles.height is not None and self.styles.height.is_auto:
            self.refresh(layout=True)
        else:
            self._scroll_update(size)

    def lines_below(self, room: int) -> list[tuple[int, list[Line]]]:
        """The places of the rows shown that have lines below them, and those lines, wrapped to so many cells."""
        return []

    @property
    def selected(self) -> Row | None:
        """The row that is selected, or to which the selected line belongs."""
        if not self._stack.height:
            return None
        return self._arrangement.rows[self._shown[self._stack.place_of(self._at)[0]]]

    @property
    def line_number(self) -> int:
        """How far below its row the selected line stands; 0 for the row itself."""
        return self._stack.place_of(self._at)[1] if self._stack.height else 0

    @property
    def line(self) -> Line | None:
        """The line below a row that is selected, if it is one."""
        return self._stack.line_at(self._at)

    def select(self, key: str) -> bool:
        """Select the row of that key, if it is shown."""
        place = self._find(key)
        if place is not None:
            self._at = self._stack.line_of(place)
            self._settle()
        return place is not None

    def _settle(self) -> None:
        """Keep the selection in the list and in sight, and tell when it is another row."""
        self._at = max(0, min(self._at, self._stack.height - 1))
        page = max(1, self.size.height - self.headings)
        top = round(self.scroll_y)
        if self._at < top:
            self.scroll_to(y=self._at, animate=False, immediate=True)
        elif self._at >= top + page:
            self.scroll_to(y=self._at - page + 1, animate=False, immediate=True)
        self.refresh()
        row = self.selected
        key = row.key if row else None
        if key != self._told:
            self._told = key
            self.post_message(self.Selected(self, row))

    def action_go(self, by: int) -> None:
        """So many lines down, or up."""
        self._at += by
        self._settle()

    def action_page(self, by: int) -> None:
        """A page down or up."""
        self.action_go(by * max(1, self.size.height - self.headings - 1))

    def action_top(self) -> None:
        """To the first row."""
        self._at = 0
        self._settle()

    def action_bottom(self) -> None:
        """To the last row."""
        self._at = self._stack.height - 1
        self._settle()

    # --- size and theme ----------------------------------------------------------------------------------------------

    def on_resize(self, _: events.Resize) -> None:
        """Another width: everything stands elsewhere."""
        self.relay()

    def relay(self) -> None:
        """Lay everything anew for the width there is now."""
        selected = self.selected
        self._put(self._shown, selected.key if selected else None, self.line_number, self._at)

    def notify_style_update(self) -> None:
        """Another theme: forget the styles worked out so far."""
        self._styles.clear()
        super().notify_style_update()

    # --- drawing -----------------------------------------------------------------------------------------------------

    def _style(self, tone: str, *, selected: bool = False) -> Style:
        """The style of a tone, on the ground of the list or of the selected line."""
        name = f"{tone} {self.has_focus}" if selected else tone
        if name not in self._styles:
            style = self.rich_style + self.get_component_rich_style(f"listing--{tone}", partial=True)
            if selected:
                # Which of the two it is, the style sheet would learn of a moment after the keyboard has moved.
                ground = "listing--selected" if self.has_focus else "listing--left"
                style += self.get_component_rich_style(ground, partial=True)
            self._styles[name] = style
        return self._styles[name]

    def render_line(self, y: int) -> Strip:
        """One line of the screen, from the part of the list that is in sight."""
        width = self.scrollable_content_region.width
        number = y - self.headings + round(self.scroll_y)
        selected = number == self._at < self._stack.height and y >= self.headings and (self.marks or self.has_focus)
        ground = self._style("row", selected=selected)
        if y < self.headings:
            # Over a list without rows, headings would promise what is not there.
            layout = self._layout if self.rows else ()
            drawn = draw_headings(self.columns, layout, self.sorted_by, self._style, self.glyphs)
        elif number < self._stack.height:
            drawn = self._draw(number, width - GUTTER, selected=selected)
        else:
            tail = number - self._stack.height
            drawn = [Segment(self._tail[tail] if tail < len(self._tail) else "", self._style("quiet"))]
        mark = self.glyphs.mark.ljust(GUTTER) if selected else " " * GUTTER
        return Strip([Segment(mark, ground), *drawn]).adjust_cell_length(width, ground)

    def _draw(self, number: int, room: int, *, selected: bool) -> list[Segment]:
        def styles(tone: str) -> Style:
            return self._style(tone, selected=selected)

        line = self._stack.line_at(number)
        if line is not None:
            return draw_line(line, room, styles, self.glyphs)
        row = self._arrangement.rows[self._shown[self._stack.place_of(number)[0]]]
        return draw_row(row, self.columns, self._layout, styles, self.glyphs)
