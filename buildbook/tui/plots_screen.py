"""The view that a plot stands in: over the whole screen, scrolled by keys and wheel, closed by esc."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, cast

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from buildbook.errors import BuildbookError
from buildbook.tui.bars import Bar, Pressed, Rule, Sentence
from buildbook.tui.desk import Desk
from buildbook.tui.laying import UNICODE, Glyphs
from buildbook.tui.plots import Drawn, Plot, within_room
from buildbook.tui.question import Question
from buildbook.tui.rows import TONES
from buildbook.tui.watch import EVERY_S, Watch

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.stores import StockRow
    from buildbook.tui.door import Door

Ask = Callable[["Workshop"], Plot]
# Cells left free on either side.
SIDE = 1


class PlotView(ScrollView, can_focus=True):
    """The lines of a plot, drawn anew for every width."""

    ALLOW_SELECT = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {f"plotview--{tone}" for tone in (*TONES, "key")}
    DEFAULT_CSS = """
    PlotView {
        background: $background; color: $foreground; height: 1fr; width: 100%;
        overflow-x: hidden; scrollbar-size-vertical: 1; scrollbar-gutter: stable;
        & > .plotview--good { color: $tone-good; }
        & > .plotview--warn { color: $tone-warn; }
        & > .plotview--bad { color: $tone-bad; }
        & > .plotview--quiet { color: $tone-quiet; }
        & > .plotview--head { color: $foreground; text-style: bold; }
        & > .plotview--do { color: $tone-key; }
        & > .plotview--key { color: $tone-key; }
    }
    """

    def __init__(self, plot: Plot, glyphs: Glyphs) -> None:
        super().__init__()
        self.plot = plot
        self.glyphs = glyphs
        self._lines: list[Drawn] = []

    def on_mount(self) -> None:
        """A scrollbar is drawn with block signs, which a terminal without them cannot show."""
        if self.glyphs is not UNICODE:
            self.styles.scrollbar_size_vertical = 0

    def show(self, plot: Plot) -> None:
        """Draw this."""
        self.plot = plot
        region = self.scrollable_content_region
        room = max(1, region.width - 2 * SIDE)
        lines = plot.draw(room, region.height, self.glyphs)
        self._lines = [within_room(line, room, self.glyphs) for line in lines]
        self.virtual_size = Size(region.width, len(self._lines))
        self.refresh()

    def on_resize(self, _: events.Resize) -> None:
        """Another width, another drawing."""
        self.show(self.plot)

    def render_line(self, y: int) -> Strip:
        """One line of those in sight."""
        number = y + round(self.scroll_y)
        line = self._lines[number] if number < len(self._lines) else []
        segments = [Segment(" " * SIDE, self.rich_style), *(Segment(one.text, self._style(one.tone)) for one in line)]
        return Strip(segments).adjust_cell_length(self.scrollable_content_region.width, self.rich_style)

    def _style(self, tone: str) -> Style:
        if not tone:
            return self.rich_style
        return self.rich_style + self.get_component_rich_style(f"plotview--{tone}", partial=True)


class PlotKeys(Bar):
    """The keys of the view."""

    def pieces(self, room: int) -> list[Bar.Piece]:
        """How to leave, and how to see more."""
        keys = [self.Piece(" "), self.Piece("esc", "key", "esc"), self.Piece(" back   ", "", "esc")]
        more = [self.Piece("up down", "key"), self.Piece(" scroll")]
        return [*keys, *more] if room >= 26 else keys


class PlotScreen(Question[None]):
    """A plot with its sentence above it. It is asked again when somebody has written."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,equals_sign", "dismiss", "back", show=False),
    ]
    CSS = "PlotScreen { background: $background; } PlotScreen #plot { width: 100%; height: 100%; }"

    class Asked(Message):
        """What was asked again."""

        def __init__(self, plot: Plot) -> None:
            super().__init__()
            self.plot = plot

    def __init__(self, plot: Plot, ask: Ask, door: Door, glyphs: Glyphs) -> None:
        super().__init__()
        self.plot = plot
        self.ask = ask
        self.door = door
        self.glyphs = glyphs
        self.watch_file = Watch(door)

    def compose(self) -> ComposeResult:
        """The sentence, a rule, the plot, the keys."""
        with Vertical(id="plot"):
            yield Sentence(glyphs=self.glyphs)
            yield Rule(glyphs=self.glyphs)
            yield PlotView(self.plot, self.glyphs)
            yield PlotKeys(glyphs=self.glyphs)

    def on_mount(self) -> None:
        """Show what is there; look after the file from now on."""
        self.query_one(Sentence).show(self.plot.sentence)
        self.query_one(Rule).show(self.plot.title)
        self.query_one(PlotView).focus()
        self.set_interval(EVERY_S, self._look_after)

    def _look_after(self) -> None:
        def look() -> None:
            try:
                if self.watch_file.changed():
                    self.post_message(self.Asked(self.door.read(self.ask)))
            except BuildbookError:
                return  # The frame behind says so, and goes on trying.

        self.run_worker(look, thread=True, exclusive=True, group="watch", exit_on_error=False)

    def on_plot_screen_asked(self, message: Asked) -> None:
        """Draw what was asked again."""
        self.plot = message.plot
        self.query_one(Sentence).show(self.plot.sentence)
        self.query_one(PlotView).show(self.plot)

    def on_pressed(self, message: Pressed) -> None:
        """The key named at the foot was clicked."""
        message.stop()
        self.dismiss(None)

    def on_unmount(self) -> None:
        """Let go of the file."""
        self.watch_file.close()


async def draw(desk: Desk, ask: Ask) -> None:
    """Ask for a plot and show it until it is left."""
    plot = await desk.read(ask)
    await desk.open(PlotScreen(plot, ask, desk.frame.door, desk.app.glyphs))


async def plot_boards(desk: Desk) -> None:
    """Draw the progress of each section, and what each costs."""
    from buildbook.tui.plots_boards import boards_plot

    build = desk.build
    await draw(desk, lambda shop: boards_plot(shop, build))


async def plot_cover(desk: Desk) -> None:
    """Draw what lay of the selected part over time."""
    from buildbook.tui.plots_stores import cover_plot

    part = cast("StockRow", desk.row.about).key
    await draw(desk, lambda shop: cover_plot(shop, part))


async def plot_checks(desk: Desk) -> None:
    """Draw the headroom of the supplies and the readings in their limits; of a point, its readings in every build."""
    from buildbook.answers.measuring import PointRow
    from buildbook.tui.plots_checks import checks_plot, point_plot

    build, row = desk.build, desk.frame.panel.list.selected
    about = row.about if row else None
    if isinstance(about, PointRow):
        await draw(desk, lambda shop: point_plot(shop, about.point))
    else:
        await draw(desk, lambda shop: checks_plot(shop, build))


async def plot_prices(desk: Desk) -> None:
    """Draw what the selected part, or one that is named, cost over time."""
    from buildbook.tui.buying_offers import part_meant
    from buildbook.tui.plots_prices import price_plot

    part = await part_meant(desk)
    await draw(desk, lambda shop: price_plot(shop, part))


async def plot_options(desk: Desk) -> None:
    """Draw the answers to a question side by side, criterion by criterion."""
    from buildbook.tui.plots_options import question_plot

    question = str(getattr(desk.frame.panel.place, "question", ""))
    await draw(desk, lambda shop: question_plot(shop, question))
