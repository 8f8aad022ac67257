"""The lines around the list: the title, the six places, the answer, the search, messages, and the keys at the foot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static

from buildbook.tui.asking import Typed
from buildbook.tui.laying import UNICODE, Glyphs, plain, set_to, width_of, within

# How the lines and the list stand one below the other.
FRAME_CSS = """
Frame { background: $background; color: $foreground; layout: vertical; overflow: hidden; }
#all { height: 1fr; width: 100%; }
#panels { height: 1fr; width: 100%; }
#small { display: none; width: 100%; height: auto; }
Frame.small #all { display: none; }
Frame.small #small { display: block; }
"""


class Pressed(Message):
    """A key named on the screen was clicked."""

    def __init__(self, key: str) -> None:
        super().__init__()
        self.key = key


class Bar(Widget):
    """One line of the screen, drawn from texts with a style each; texts that belong to a key can be clicked."""

    ALLOW_SELECT = False
    COMPONENT_CLASSES = {"bar--key", "bar--here", "bar--quiet"}  # noqa: RUF012 - so Textual has it
    DEFAULT_CSS = """
    Bar {
        height: 1; width: 100%; background: $bar; color: $foreground;
        & > .bar--key { color: $tone-key; text-style: bold; }
        & > .bar--here { background: $foreground; color: $background; text-style: bold; }
        & > .bar--quiet { color: $tone-quiet; }
    }
    """

    class Piece(NamedTuple):
        """A text, the name of its style, and the key that a click on it presses."""

        text: str
        style: str = ""
        key: str = ""

    def __init__(self, *, glyphs: Glyphs = UNICODE, id: str | None = None) -> None:
        super().__init__(id=id)
        self.glyphs = glyphs

    def pieces(self, room: int) -> list[Piece]:
        """What stands in the line, for so many cells."""
        raise NotImplementedError

    def render_line(self, y: int) -> Strip:
        """The pieces, one after the other."""
        segments = [Segment(piece.text, self._look(piece.style)) for piece in self.pieces(self.size.width)]
        return Strip(segments).adjust_cell_length(self.size.width, self.rich_style)

    def _look(self, name: str) -> Style:
        if not name:
            return self.rich_style
        return self.rich_style + self.get_component_rich_style(f"bar--{name}", partial=True)

    def on_click(self, event: events.Click) -> None:
        """Press the key of what was clicked."""
        left = 0
        for piece in self.pieces(self.size.width):
            right = left + width_of(piece.text)
            if left <= event.x < right and piece.key:
                self.post_message(Pressed(piece.key))
                return
            left = right


class TitleLine(Bar):
    """Which build this is, how many units, and for when."""

    left = "Buildbook"
    right = ""

    def show(self, left: str, right: str) -> None:
        """Draw these."""
        self.left, self.right = left, right
        self.refresh()

    def pieces(self, room: int) -> list[Bar.Piece]:
        """The build to the left, which is cut first, and the target to the right."""
        right = plain(self.right)
        left = max(0, room - 2 - (width_of(right) + 2 if right else 0))
        said = set_to(plain(self.left), left, glyphs=self.glyphs)
        return [self.Piece(" "), self.Piece(said, "key"), self.Piece(f"  {right} " if right else " ", key="b")]


class PlacesLine(Bar):
    """The names of the places, each with its key; the one that is open stands out."""

    def __init__(self, places: Sequence[tuple[str, str]], *, glyphs: Glyphs = UNICODE, id: str | None = None) -> None:
        super().__init__(glyphs=glyphs, id=id)
        self.places = places
        self.here = places[0][0]

    def show(self, key: str) -> None:
        """Say which place is open."""
        self.here = key
        self.refresh()

    def pieces(self, room: int) -> list[Bar.Piece]:
        """Names as far as there is room, else keys alone but for the place that is open."""
        whole = sum(len(key) + len(name) + 3 for key, name in self.places)
        found = []
        for key, name in self.places:
            here = key == self.here
            said = f"{key} {name}" if here or whole <= room else key
            found.append(self.Piece(f" {said} ", "here" if here else "", key))
        return found


class Sentence(Static):
    """The answer of the place, in three lines at most."""

    ALLOW_SELECT = False
    MOST_LINES = 3
    DEFAULT_CSS = "Sentence { height: auto; max-height: 3; width: 100%; padding: 0 1; text-style: bold; }"

    def __init__(self, *, glyphs: Glyphs = UNICODE, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self.glyphs = glyphs
        self.text = ""

    def show(self, text: str) -> None:
        """Draw this."""
        self.text = text
        self._draw()

    def _draw(self) -> None:
        width = self.size.width or self.app.size.width
        self.update("\n".join(within(self.text, max(8, width - 2), self.MOST_LINES, self.glyphs)))

    def on_resize(self) -> None:
        """Another width breaks the lines elsewhere."""
        self._draw()


class Rule(Bar):
    """A line across the screen that says, to the right, how the list stands."""

    DEFAULT_CSS = "Rule { background: $background; color: $tone-quiet; }"
    text = ""

    def show(self, text: str) -> None:
        """Say this."""
        self.text = text
        self.refresh()

    def pieces(self, room: int) -> list[Bar.Piece]:
        """The rule, and the words near its end."""
        said = f" {plain(self.text)} " if self.text else ""
        if width_of(said) > room - 4:
            said = set_to(said, max(0, room - 4), glyphs=self.glyphs)
        return [
            self.Piece(self.glyphs.rule * (room - width_of(said) - 2)),
            self.Piece(said),
            self.Piece(self.glyphs.rule * 2),
        ]


class SearchLine(Horizontal):
    """Where the text is typed that narrows the list; hidden while there is none."""

    DEFAULT_CSS = """
    SearchLine { height: 1; width: 100%; display: none; padding: 0 1; }
    SearchLine.open { display: block; }
    SearchLine > Static { width: auto; }
    """

    def compose(self) -> ComposeResult:
        """A word and the field."""
        yield Static("find  ", markup=False)
        yield Typed(id="search")


class MessageLine(Static):
    """What was done, or what went wrong; the latter stays until it is read."""

    ALLOW_SELECT = False
    MOST_LINES = 3
    DEFAULT_CSS = """
    MessageLine {
        height: auto; max-height: 3; width: 100%; padding: 0 1; display: none; background: $bar; color: $tone-good;
    }
    MessageLine.open { display: block; }
    MessageLine.fault { color: $tone-bad; }
    """

    def __init__(self, *, glyphs: Glyphs = UNICODE, id: str | None = None) -> None:
        super().__init__("", id=id, markup=False)
        self.glyphs = glyphs
        self.unread: list[str] = []
        self.standing = ""
        self.done = ""

    def say(self, text: str) -> None:
        """Say what was done; it goes with the next key."""
        self.done = text
        self._draw()

    def warn(self, text: str) -> None:
        """Say what went wrong; it stays until it is read."""
        if text not in self.unread:
            self.unread.append(text)
        self._draw()

    def stand(self, text: str) -> None:
        """Say what is wrong with the file for as long as it is so; nothing when it is over."""
        if text != self.standing:
            self.standing = text
            self._draw()

    def read(self) -> bool:
        """The first message has been read; False when there was none."""
        if not self.unread:
            return False
        self.unread.pop(0)
        self._draw()
        return True

    def next_key(self) -> None:
        """Another key was pressed: what was done has been seen."""
        if self.done:
            self.done = ""
            self._draw()

    def _draw(self) -> None:
        fault = bool(self.standing or self.unread)
        if self.standing:
            text = self.standing
        elif self.unread:
            more = f"; {len(self.unread) - 1} more" if len(self.unread) > 1 else ""
            text = f"{self.unread[0]} (esc when read{more})"
        else:
            text = self.done
        self.set_class(fault, "fault")
        self.set_class(bool(text), "open")
        self.update("\n".join(within(text, max(8, self.app.size.width - 2), self.MOST_LINES, self.glyphs)))

    def on_resize(self) -> None:
        """Another width breaks the lines elsewhere."""
        self._draw()


class Footer(Bar):
    """The keys of this very place, as many as there is room for; help and palette always."""

    LAST = ((":", "actions"), ("?", "keys"))
    keys: Sequence[tuple[str, str]] = ()

    def show(self, keys: Sequence[tuple[str, str]]) -> None:
        """Name these keys, the most wanted first."""
        self.keys = keys
        self.refresh()

    def pieces(self, room: int) -> list[Bar.Piece]:
        """Keys and their words."""
        left = room - 1 - sum(len(key) + len(word) + 4 for key, word in self.LAST)
        kept = []
        for key, word in self.keys:
            left -= len(key) + len(word) + 4
            if left < 0:
                break
            kept.append((key, word))
        found = [self.Piece(" ")]
        for key, word in (*kept, *self.LAST):
            found += [self.Piece(key, "key", key), self.Piece(f" {word}", "", key), self.Piece("   ")]
        return found
