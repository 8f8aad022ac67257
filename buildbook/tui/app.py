"""Buildbook on the screen: the application, its themes and signs, and the workshop that it shows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from textual import events
from textual.app import App

from buildbook.tui.ahead import TypedAhead
from buildbook.tui.door import Door
from buildbook.tui.frame import Frame
from buildbook.tui.laying import ASCII, UNICODE, show_ascii_only
from buildbook.tui.places import PLACES, first_steps
from buildbook.tui.settings import Settings, keep_settings
from buildbook.tui.themes import NAMES, theme, variables

# How long after the first answer, in seconds, what writing needs is imported, so that the first write is not slow.
WARM_AFTER_S = 1.5


class BuildbookApp(App[None]):
    """The screen over the workshop at `path`.

    `demo` makes the demo workshop where it is not there and says where it lies; `told` turns a mistake of our own into
    a sentence and a log file. `settings` are kept at `settings_at` when they change, if that is given. `warm` lets it
    work ahead: import what writing needs, and foretell the finish.
    """

    TITLE = "Buildbook"
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    ESCAPE_TO_MINIMIZE: ClassVar[bool] = False
    CSS = "ModalScreen { background: $background 0%; }"

    def __init__(
        self,
        path: Path,
        *,
        build: str | None = None,
        settings: Settings = Settings(),  # noqa: B008 (frozen)
        settings_at: Path | None = None,
        demo: Callable[[], Path] | None = None,
        told: Callable[[Exception], str] | None = None,
        warm: bool = True,
    ) -> None:
        super().__init__()
        self.settings = settings
        self.settings_at = settings_at
        self.demo = demo
        self.told = told or (lambda error: f"Something went wrong inside Buildbook ({type(error).__name__}).")
        self.glyphs = ASCII if settings.ascii else UNICODE
        show_ascii_only(wanted=settings.ascii)
        self.door = Door(path)
        self.ahead = TypedAhead(self)
        self._build = build
        self._warm = self.foretells = warm
        for name in NAMES:
            self.register_theme(theme(name))
        self.theme = settings.theme

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Our colours, for the moment before the theme is set."""
        return variables(self.settings.theme) if hasattr(self, "settings") else variables(NAMES[0])

    def get_default_screen(self) -> Frame:
        """The frame is the first screen there is: nothing is painted before it."""
        return self._frame()

    async def on_event(self, event: events.Event) -> None:
        """Let keys pass one at a time."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded and not self.ahead.may_pass(event):
            return
        await super().on_event(event)

    def on_mount(self) -> None:
        """Plain signs where they are wanted; what writing needs, later."""
        if self.settings.ascii:
            # A scrollbar is drawn with block signs, which a terminal without them cannot show.
            self.stylesheet.add_source("FoldingList { scrollbar-size-vertical: 0; }", read_from=("ascii", ""))
        if self._warm:
            self.set_timer(WARM_AFTER_S, self._warm_up)

    def _frame(self) -> Frame:
        return Frame(self.door, PLACES, first_steps, self.glyphs, self._build)

    def _warm_up(self) -> None:
        self.run_worker(import_writing, thread=True, group="warm", exit_on_error=False)

    @property
    def frame(self) -> Frame:
        """The frame, whatever question stands over it."""
        return next(screen for screen in self.screen_stack if isinstance(screen, Frame))

    def use_theme(self, name: str) -> None:
        """Use a theme, now and from now on."""
        self.theme = name
        self.keep(replace(self.settings, theme=name))

    def keep(self, settings: Settings) -> None:
        """Go by these settings, now and from now on."""
        self.settings = settings
        if self.settings_at:
            keep_settings(self.settings_at, settings)

    async def open_workshop(self, path: Path) -> None:
        """Show another workshop instead."""
        self.door.reopen()
        self.door = Door(path)
        await self.frame.open_workshop(self.door)

    def on_unmount(self) -> None:
        """Let go of the file."""
        self.door.reopen()


def import_writing() -> None:
    """Import what the first action, and the first look into another place, would have to wait for."""
    import buildbook.actions.stores  # noqa: F401

    list(PLACES)
