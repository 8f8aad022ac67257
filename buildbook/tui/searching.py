"""Finding words anywhere in the workshop while they are typed, and going to where they stand."""

from __future__ import annotations

from asyncio import sleep
from typing import TYPE_CHECKING, ClassVar

from textual.message import Message
from textual.widgets import Input, Static

from buildbook.errors import BuildbookError
from buildbook.tui.asking import Choose, Typed, said
from buildbook.tui.desk import Desk
from buildbook.tui.door import Door
from buildbook.tui.folding import FoldingList
from buildbook.tui.rows import Cell, Column, Row
from buildbook.tui.words import day, moment

if TYPE_CHECKING:
    from buildbook.answers.search import Found, FoundRow

QUESTION = "Find what, anywhere?"
# So many of each kind are listed; who has more types another letter.
MOST = 40
COLUMNS = (
    Column(""),
    Column("", shrink=True, least=44),
    Column("", shrink=True, rank=2),
    Column("", rank=3),
    Column("", rank=1),
)


class Search(Choose):
    """What stands where, listed anew with each letter by a thread; what was typed last wins."""

    CSS = "Search { & FoldingList { max-height: 60vh; } }"
    find: ClassVar[str] = "search"

    class Searched(Message):
        """What a thread found, or could not find."""

        def __init__(self, ticket: int, found: Found | None, fault: str) -> None:
            super().__init__()
            self.ticket = ticket
            self.found = found
            self.fault = fault

    def __init__(self, door: Door) -> None:
        super().__init__(QUESTION, ())
        self.door = door
        self.found: Found | None = None
        self._asked = self._answered = 0

    def on_mount(self) -> None:
        """Say what may be typed; the rest is as in every choice."""
        self.query_one(Typed).placeholder = 'words, or "words that stand together"'

    def on_input_changed(self, event: Input.Changed) -> None:
        """Each letter asks anew, where a choice would narrow what it has."""
        event.prevent_default()
        event.stop()
        self._asked += 1
        ticket, text = self._asked, event.value
        if not text.strip():
            self._show(ticket, None, QUESTION)
            return

        def look() -> None:
            from buildbook.answers.search import search

            if ticket != self._asked:
                return  # More has been typed before this began.
            try:
                found = self.door.read(lambda shop: search(shop, text, most=MOST))
            except BuildbookError as error:
                self.post_message(self.Searched(ticket, None, str(error)))
            else:
                self.post_message(self.Searched(ticket, found, ""))

        self.run_worker(look, thread=True, exclusive=True, group=self.find, exit_on_error=False)

    def on_search_searched(self, message: Searched) -> None:
        """Show what was found, unless more has been typed since."""
        message.stop()
        if message.ticket == self._asked:
            self._show(message.ticket, message.found, message.found.sentence if message.found else message.fault)

    def _show(self, ticket: int, found: Found | None, sentence: str) -> None:
        self._answered = ticket
        self.found = found
        self.query_one("#question", Static).update(said(sentence))
        listed = self.query_one(FoldingList)
        listed.show(COLUMNS, [found_row(at, row) for at, row in enumerate(found.rows)] if found else ())
        listed.action_top()

    async def on_input_submitted(self, event: Input.Submitted) -> None:
        """To what is selected, once what was typed last has been looked for."""
        event.prevent_default()
        event.stop()
        while self._answered != self._asked:
            await sleep(0.005)
        row = self.query_one(FoldingList).selected
        if row:
            self.dismiss(row.key)


def found_row(at: int, row: FoundRow) -> Row:
    """What kind of text it is, what stands around the words, what it is about, its build and when."""
    cells = (
        Cell(row.kind, "quiet"),
        Cell(row.said, marks=row.marks),
        Cell("" if row.about in row.said else row.about, "quiet"),
        Cell(row.build, "quiet"),
        Cell(on_day(row.at), "quiet"),
    )
    return Row(str(at), cells)


def on_day(at: str) -> str:
    """A moment or a day of the store, as a day here.

    >>> on_day("2026-12-04"), on_day("")
    ('4 Dec 2026', '')
    """
    return moment(at).rpartition(" ")[0].strip() if "T" in at else day(at)


async def find_anywhere(desk: Desk) -> None:
    """Find words anywhere in the workshop, and go to where they stand."""
    search = Search(desk.frame.door)
    chosen = await desk.open(search)
    if search.found:
        go_to(desk, search.found.rows[int(chosen)])


def go_to(desk: Desk, row: FoundRow) -> None:
    """To the place of a text that was found, for the build that it belongs to."""
    place, narrow, select = way_to(row)
    homes = (row.build, row.key, row.about)
    if desk.build and place not in ("Stores", "Buying") and not any(at_home(home, desk.build) for home in homes):
        desk.frame.switch(row.build or None)
    desk.go(place, narrow=narrow, select=select)


def at_home(path: str, build: str) -> bool:
    """Whether a build, or the path of something in it, is of this build.

    >>> at_home("CURLEW/IF", "CURLEW"), at_home("CURLEW, Mask it", "CURLEW"), at_home("CURLEWS", "CURLEW")
    (True, True, False)
    """
    return path == build or path.startswith((f"{build}/", f"{build},"))


def way_to(row: FoundRow) -> tuple[str, str | None, str]:
    """The place that holds a text, what its list is narrowed by, and the row that is selected there."""
    kind, key = row.kind, row.key
    if kind in ("snag", "try"):
        return "Checks", "", f"snag {key}"
    if kind in ("choice", "option"):
        return "Checks", "", key
    if kind in ("reading", "test point"):
        return "Checks", key, key
    if kind in ("step", "signature"):
        return "Bench", key, ""
    if kind in ("project", "section", "line", "build"):
        return "Boards", key.rpartition("/")[2], ""
    if kind in ("order", "parcel", "line of a parcel"):
        return "Buying", "", f"order {key}"
    if kind in ("supplier", "offer"):
        return "Buying", key, ""
    if kind in ("part", "stand-in", "bin"):
        return "Stores", key, key
    return "Log", shortly(row.what if kind in ("note", "action") else key), ""


# A list is narrowed by so many letters of a text at most.
ENOUGH = 40


def shortly(text: str) -> str:
    """The first words of a text.

    >>> shortly("The wire came on a wooden reel, and that reel was too heavy for its peg")
    'The wire came on a wooden reel, and that'
    """
    line = " ".join(text.split())
    return line if len(line) <= ENOUGH else line[: ENOUGH + 1].rpartition(" ")[0] or line[:ENOUGH]
