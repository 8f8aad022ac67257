"""What a verb has before it: the selected row, and ways to read, to ask, to write, and to say what was done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar, cast

from buildbook.errors import BuildbookError, StoreFault
from buildbook.tui.asking import AskLine, Check, Choose, Completions, Option, options_of
from buildbook.tui.rows import Line, Row

if TYPE_CHECKING:
    from textual.screen import Screen

    from buildbook.actions.workshop import Workshop
    from buildbook.tui.app import BuildbookApp
    from buildbook.tui.frame import Frame
    from buildbook.tui.place import Place

T = TypeVar("T")


class Left(Exception):
    """The user left a question with esc, or an action was refused and its sentence is on the screen: the verb ends."""


class Desk:
    """One verb at work. Everything that waits is awaited; the screen stays usable meanwhile."""

    def __init__(self, frame: Frame, row: Row | None, line: Line | None) -> None:
        self.frame = frame
        self.build = frame.build
        self._row = row
        self.about = line.about if line else None

    @property
    def app(self) -> BuildbookApp:
        """The application."""
        return cast("BuildbookApp", self.frame.app)

    @property
    def row(self) -> Row:
        """The selected row; the verb ends here when there is none."""
        if self._row is None:
            self.frame.say("There is no row selected for that.")
            raise Left
        return self._row

    @property
    def shown(self) -> list[Row]:
        """The rows of the list as they stand: narrowed and sorted."""
        return self.frame.panel.list.shown

    async def read(self, ask: Callable[[Workshop], T]) -> T:
        """What an answer says, asked in a thread. The verb ends where it cannot be read."""
        from asyncio import to_thread

        try:
            return await to_thread(self.frame.door.read, ask)
        except BuildbookError as error:
            self.frame.warn(error)
            raise Left from error

    async def act(self, act: Callable[[Workshop], T], *, said: str | Callable[[T], str] = "") -> T:
        """Write by an action, in a thread, then say what was done and have the place ask again.

        The verb ends when the action is refused. When the file is locked or gone, the user may have it tried again:
        what was typed is not lost.
        """
        from asyncio import to_thread

        while True:
            try:
                done = await to_thread(self.frame.door.write, act)
                break
            except StoreFault as error:
                await self.confirm("Nothing was written yet. Try again?", [str(error)], yes="Try again")
            except BuildbookError as error:
                self.frame.warn(error)
                raise Left from error
        words = said(done) if callable(said) else said
        if words:
            self.frame.say(words)
        self.frame.renew()
        return done

    async def line(
        self,
        question: str,
        *,
        initial: str = "",
        check: Check | None = None,
        complete: Completions = (),
        need: bool = True,
    ) -> str:
        """A line typed by the user, who finds `initial` there.

        `check` gets the text as it is typed: it raises BadInput, whose sentences are shown beside the field, or returns
        how the text is understood ("4,700 ohms"), or nothing. `complete` lists what may be meant, as texts or as a
        function of what is typed. Nothing typed is taken only when `need` is off.
        """
        return await self._asked(AskLine(question, initial=initial, check=check, complete=complete, need=need))

    async def choose(self, question: str, options: Sequence[Option | str], *, at: str = "") -> str:
        """The key of one of the options, the cursor on that of `at`; narrowed by typing."""
        return await self._asked(Choose(question, options_of(options), at=at))

    async def confirm(self, question: str, reasons: Sequence[str], *, yes: str = "Do it all the same") -> None:
        """Go on only when the user says so, having read the reasons: for one-way steps and hold points."""
        options = [Option("no", "Leave it as it is"), Option("yes", yes)]
        if await self._asked(Choose(question, options, reasons=reasons)) != "yes":
            raise Left

    async def open(self, screen: Screen[T | None]) -> T:
        """Show a screen of one's own, and what it was left with. The verb ends when that is nothing."""
        return await self._asked(screen)

    async def _asked(self, screen: Screen[T | None]) -> T:
        found = await self.frame.app.push_screen(screen, wait_for_dismiss=True)
        if found is None:
            raise Left
        return found

    def say(self, text: str) -> None:
        """Say what was done, below the list."""
        self.frame.say(text)

    def warn(self, error: BuildbookError | str) -> None:
        """Show what went wrong until it is read."""
        self.frame.warn(error)

    def go_in(self, place: Place) -> None:
        """Open a place that stands within the one shown; esc leaves it."""
        self.frame.go_in(place)

    def select(self, key: str) -> None:
        """Select the row of that key, now or when it is there."""
        self.frame.panel.wish(key)

    def go(self, place: str, *, narrow: str | None = None, select: str = "") -> None:
        """To another place by its name, with its list narrowed, and a row selected by its key."""
        self.frame.go(place, narrow=narrow, select=select)
