"""The frame around the six places: which is open, for which build; keys to verbs; what is said below the list."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, Static

from buildbook.errors import BuildbookError
from buildbook.tui import bars
from buildbook.tui.alarm import Alarm
from buildbook.tui.asking import Typed
from buildbook.tui.dates import DatedTitle
from buildbook.tui.desk import Desk, Left
from buildbook.tui.door import Door
from buildbook.tui.everywhere import VERBS
from buildbook.tui.folding import FoldingList
from buildbook.tui.head import FIRST, Head
from buildbook.tui.headlines import keys_of, standing_of, title_of
from buildbook.tui.laying import Glyphs
from buildbook.tui.panel import Panel
from buildbook.tui.place import Place, Verb
from buildbook.tui.places import Places, loaded
from buildbook.tui.rows import Line
from buildbook.tui.watch import EVERY_S, Watch

if TYPE_CHECKING:
    from buildbook.tui.app import BuildbookApp
    from buildbook.tui.first import FirstSteps

# Below this, nothing of it could be read.
LEAST_WIDTH, LEAST_HEIGHT = 36, 9


class Frame(Screen[None]):
    """The one screen that places are shown in."""

    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave_off", "leave the search, mark as read", show=False),
        Binding("right", "into_beside", "into what stands beside", show=False),
        Binding("left", "back_to_list", "back to the list", show=False),
    ]
    DEFAULT_CSS = bars.FRAME_CSS

    class Watched(Message):
        """What the watch saw: whether somebody wrote, or what is wrong with the file."""

        def __init__(self, *, changed: bool, fault: BuildbookError | None) -> None:
            super().__init__()
            self.changed = changed
            self.fault = fault

    def __init__(self, door: Door, places: Places, first: FirstSteps, glyphs: Glyphs, build: str | None) -> None:
        super().__init__()
        self.door = door
        self.places = places
        self.first = first
        self.glyphs = glyphs
        self.build = build
        self.chosen = build is not None
        self.head = Head((), None, empty=False)
        self.watch_file = Watch(door)
        self.alarm = Alarm()
        self.panels: dict[str, Panel] = {}
        self.panel = self._panel(places[0])
        self._looking = self._first_look = False
        self._at_work = 0

    def _panel(self, place: Place) -> Panel:
        if place.KEY not in self.panels:
            self.panels[place.KEY] = Panel(place, self.first, self.door, self.glyphs)
        return self.panels[place.KEY]

    def compose(self) -> ComposeResult:
        """Title, places, answer, search, list, messages, keys."""
        glyphs = self.glyphs
        with Vertical(id="all"):
            yield DatedTitle(glyphs=glyphs)
            yield bars.PlacesLine(self.places.signs, glyphs=glyphs)
            yield bars.Sentence(glyphs=glyphs)
            yield bars.Rule(glyphs=glyphs)
            yield bars.SearchLine()
            with Vertical(id="panels"):
                yield self.panel
            yield bars.MessageLine(glyphs=glyphs)
            yield bars.Footer(glyphs=glyphs)
        yield Static("", id="small", markup=False)

    def on_mount(self) -> None:
        """Show the keys at once, then ask; look after the file from now on."""
        self._show_place()
        self.panel.list.focus()
        self.call_after_refresh(self._begin)
        self.set_interval(EVERY_S, self._look_after)

    async def open_workshop(self, door: Door) -> None:
        """Show another workshop instead, from its first place on."""
        self.watch_file.close()
        self.door, self.watch_file = door, Watch(door)
        self.build, self.chosen = None, False
        self.panels.clear()
        panels = self.query_one("#panels")
        await panels.remove_children()
        self.panel = self._panel(self.places[0])
        await panels.mount(self.panel)
        self._show_place()
        self.panel.list.focus()
        self._begin()

    def _begin(self) -> None:
        """The first look at the file comes before the first asking, so that no change falls between them."""
        self._first_look = not self.door.is_new()
        if self._first_look:
            self._look_after()
        else:
            self.panel.renew(self.asked)

    # --- places ------------------------------------------------------------------------------------------------------

    def go(self, name: str, *, narrow: str | None = None, select: str = "", out: bool = True) -> None:
        """Open the place of that name; narrow its list and select a row when asked to.

        `out` leaves what was opened within that place, such as one of its sections.
        """
        place = loaded(name)
        new = place.KEY not in self.panels
        panel = self._panel(place)
        if panel is not self.panel:
            self.panel.display = False
            self.panel = panel
            if new:
                self.query_one("#panels").mount(panel)
            panel.display = True
        if out:
            panel.go_out()
        self._show_place()
        panel.list.focus()
        if narrow is not None:
            self._set_search(narrow)
        if select:
            panel.wish(select)
        if panel.stale:
            panel.renew(self.asked)

    def go_in(self, place: Place) -> None:
        """Open a place that stands within the one shown."""
        self.panel.go_in(place)
        self._show_place()
        self.panel.list.focus()
        self.panel.renew(self.asked)

    def _show_place(self) -> None:
        panel = self.panel
        self.query_one(bars.PlacesLine).show(panel.place.KEY)
        self.query_one(bars.Sentence).show(panel.sentence or panel.place.QUESTION)
        with self.prevent(Input.Changed):
            self.query_one("#search", Typed).value = panel.list.text
        self.query_one(bars.SearchLine).set_class(bool(panel.list.text), "open")
        self.query_one(bars.Footer).show(keys_of(panel))
        self.query_one(bars.Rule).show(standing_of(panel.list))

    @property
    def asked(self) -> str | None:
        """The build to ask about: the first there is while none was chosen."""
        return self.build if self.chosen else FIRST

    def switch(self, build: str | None) -> None:
        """Show another build, or all of them."""
        self.build, self.chosen = build, True
        self.renew()

    def renew(self) -> None:
        """Ask the open place again now, the others when they are opened."""
        for panel in self.panels.values():
            panel.stale = True
        self.panel.renew(self.asked)

    def on_panel_loaded(self, message: Panel.Loaded) -> None:
        """The answer is there. One of a place that was left meanwhile says nothing about what is shown now."""
        if message.panel is not self.panel:
            return
        self.head = message.head
        self.alarm.set(message.head.waits)
        self.query_one(bars.MessageLine).stand("")
        if not self.chosen and message.head.build:
            self.build, self.chosen = message.head.build, True
        title = self.query_one(DatedTitle)
        title.title(*title_of(message.head), message.head.build or "")
        if self._app.foretells:
            title.foretell(self.door)
        self._show_place()

    def on_panel_failed(self, message: Panel.Failed) -> None:
        """The answer could not be had; what is on the screen stays."""
        message.panel.stale = True
        if isinstance(message.error, BuildbookError):
            self.query_one(bars.MessageLine).stand(f"{message.error} Trying again.")
        else:
            self.warn(self._app.told(message.error))

    # --- keys and verbs ----------------------------------------------------------------------------------------------

    def on_key(self, event: events.Key) -> None:
        """A key that nobody took: a place, or a verb of the place or of the frame."""
        key = event.character if event.character and event.character.strip() else event.key
        if isinstance(self.focused, Typed):
            self._on_search_key(event)
            return
        if key != "escape":
            self.query_one(bars.MessageLine).next_key()
        # Enter belongs to whichever list has the keyboard.
        if key != "enter" and self.press(key):
            event.stop()
            event.prevent_default()

    def press(self, key: str) -> bool:
        """Do what a key means here; False when it means nothing."""
        place = self.places.keyed(key)
        if place:
            self.go(place.NAME, out=place.KEY == self.panel.place.KEY)
            return True
        if key == "enter":
            self.panel.list.action_enter()
            return True
        if key == "esc":
            self.action_leave_off()
            return True
        verb = self.panel.acting.verb(key) or next((verb for verb in VERBS if verb.key == key), None)
        if verb and key:
            self.do(verb)
        return verb is not None

    def on_pressed(self, message: bars.Pressed) -> None:
        """A key named on the screen was clicked."""
        self.press(message.key)

    @property
    def under_way(self) -> bool:
        """Whether a verb is at work, or waits for an answer."""
        return self._at_work > 0

    def do(self, verb: Verb, line: Line | None = None) -> None:
        """Run a verb on the selected row, beside whatever else happens."""
        self._at_work += 1
        self.run_worker(self._run(verb, line), group="verb", exit_on_error=False)

    async def _run(self, verb: Verb, line: Line | None) -> None:
        panel = self.panel
        await panel.settled()
        # In an empty workshop the rows are the first steps, and nothing that the verbs of the place could take.
        foreign = panel.acting is not panel.place and verb in panel.place.verbs
        desk = Desk(self, None if foreign else panel.list.selected, line or panel.line)
        try:
            await verb.run(desk)
        except Left:
            pass
        except BuildbookError as error:
            self.warn(error)
        except Exception as error:  # noqa: BLE001 - the edge: it becomes a message and a log file
            self.warn(self._app.told(error))
        finally:
            self._at_work -= 1

    def on_folding_list_entered(self, message: FoldingList.Entered) -> None:
        """Enter on a line that does something, or on a row that does not fold."""
        panel = self.panel
        line = message.line
        if message.within is panel.beside:
            about = message.row.about
            line = about if isinstance(about, Line) else None
        enter = "" if panel.acting.FOLDS else "enter" if panel.acting.verb("enter") else "space"
        key = line.verb if line and line.verb else enter
        verb = panel.acting.verb(key) if key else None
        if verb:
            self.do(verb, line)

    def on_listing_changed(self, _: FoldingList.Changed) -> None:
        """The list was narrowed or sorted."""
        self.query_one(bars.Rule).show(standing_of(self.panel.list))

    # --- the search --------------------------------------------------------------------------------------------------

    def search(self) -> None:
        """Open the line where one types to narrow the list."""
        self.query_one(bars.SearchLine).add_class("open")
        self.query_one("#search", Typed).focus()

    def _set_search(self, text: str) -> None:
        with self.prevent(Input.Changed):
            self.query_one("#search", Typed).value = text
        self.query_one(bars.SearchLine).set_class(bool(text), "open")
        self._narrow(text)

    def _narrow(self, text: str) -> None:
        self.panel.list.narrow(text, self.panel.place.other_names(text) if text.strip() else ())

    def on_input_changed(self, event: Input.Changed) -> None:
        """Each letter narrows."""
        if event.input.id == "search":
            self._narrow(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter: on with the list as it stands."""
        self.panel.list.focus()
        self.query_one(bars.SearchLine).set_class(bool(event.value.strip()), "open")

    def _on_search_key(self, event: events.Key) -> None:
        listed = self.panel.list
        moves = {"up": (listed.action_go, -1), "down": (listed.action_go, 1)}
        moves |= {"pageup": (listed.action_page, -1), "pagedown": (listed.action_page, 1)}
        if event.key in moves:
            event.stop()
            move, by = moves[event.key]
            move(by)

    def action_leave_off(self) -> None:
        """Leave the search, or mark the message as read, or go back to the list, or out of what was opened."""
        if isinstance(self.focused, Typed):
            self._set_search("")
            self.panel.list.focus()
        elif self.query_one(bars.MessageLine).read():
            return
        elif self.panel.beside.has_focus:
            self.panel.list.focus()
        elif self.panel.list.text:
            self._set_search("")
        elif self.panel.list.opened and not self.panel.list.folds:
            for key in self.panel.list.opened:
                self.panel.list.close(key)
        elif self.panel.outer:
            self.go(self.panel.outer.place.NAME)

    def action_into_beside(self) -> None:
        """Into the lines that stand beside the list."""
        if self.panel.has_class("wide"):
            self.panel.beside.focus()

    def action_back_to_list(self) -> None:
        """Back to the list."""
        self.panel.list.focus()

    # --- messages, the file, the size ---------------------------------------------------------------------------------

    def say(self, text: str) -> None:
        """Say what was done."""
        self.query_one(bars.MessageLine).say(text)

    def warn(self, error: BuildbookError | str) -> None:
        """Show what went wrong until it is read."""
        self.query_one(bars.MessageLine).warn(str(error))

    def _look_after(self) -> None:
        if told := self.alarm.rings():
            self.warn(" ".join(told))
            self.renew()
            if self._app.settings.bell:
                self._app.bell()
        if self._looking or self.door.is_new():
            return
        self._looking = True

        def look() -> None:
            try:
                self.post_message(self.Watched(changed=self.watch_file.changed(), fault=None))
            except BuildbookError as error:
                self.post_message(self.Watched(changed=False, fault=error))

        self.run_worker(look, thread=True, group="watch", exit_on_error=False)

    def on_frame_watched(self, message: Watched) -> None:
        """Somebody wrote: ask again. The file cannot be used: say so until it can."""
        self._looking = False
        if self._first_look:
            self._first_look = False
            self.renew()
        elif message.fault:
            self.query_one(bars.MessageLine).stand(f"{message.fault} Trying again.")
        elif message.changed or self.query_one(bars.MessageLine).standing:
            self.query_one(bars.MessageLine).stand("")
            self.renew()

    def on_resize(self, event: events.Resize) -> None:
        """Too small a terminal is told so."""
        small = event.size.width < LEAST_WIDTH or event.size.height < LEAST_HEIGHT
        self.set_class(small, "small")
        if small:
            self.query_one("#small", Static).update(f"Too small: {LEAST_WIDTH} x {LEAST_HEIGHT} at least.")

    def on_unmount(self) -> None:
        """Let go of the file."""
        self.watch_file.close()

    @property
    def _app(self) -> BuildbookApp:
        return cast("BuildbookApp", self.app)
