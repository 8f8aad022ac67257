"""What a place of the screen is, and how one is written.

How to write a place:

1. A module `tui/boards.py` holds `class Boards(Place)` with `KEY`, `NAME`, `QUESTION` and `verbs`; `tui/places.py`
   lists it. Import answers and actions inside the functions, so that the first frame waits for nothing.
2. `ask(shop, build)` asks the place's answer and turns it into a `View`: the sentence as it is, columns, a row for each
   row of the answer. It runs in a thread, on a connection of its own; it may take its time and must not touch the
   screen. `build` is the code of the build chosen, or None for all.
3. A `Row` has a `key` that stays the same from one asking to the next (a number or code of the store), its cells
   (texts, or `Cell(text, tone=..., sort=...)`), and in `about` the answer's row, for the verbs. A tone supports a word.
4. Lines below a row: give them as `Row.fold` where they are at hand; else leave it None and write `unfold(shop, build,
   row)`, which runs in a thread when the row is opened. The verbs that go with a row are added below by themselves. A
   line may have an `about` (a bin, a step): a verb called there finds it in `desk.about`.
5. A verb is `Verb(key, word, help, run)`, declared once: footer, help, palette, mouse and the lines below a row come
   from it. `run` is `async def count(desk: Desk) -> None` and reads as a conversation::

       async def count(desk: Desk) -> None:
           part = desk.row.about
           bin = await desk.choose("Which bin?", [Option(name, name) for name in part.bins])
           many = await desk.line(f"What lies in {bin}?", initial="14", check=understood)
           await desk.act(lambda shop: stores.count(shop, part.key, bin, many), said=f"Counted {part.key} in {bin}.")

   Esc in any of the questions ends it there, and so does an error of the action, whose sentence is then shown until it
   is read. After an action the place asks again; the selection stays.
6. Space is the natural next thing with a row: a `Verb("space", ...)`. Do not use the keys of the frame (`FRAME_KEYS`).
   The same key means the same in every place: c count, m move, x scrap, p receive, k kit, f fit, t tick.
7. `why(shop, build, row)` gives the arithmetic behind the row, term by term, as lines; it opens below the row.
8. `note_about(row)` names what `n` is about there: `{"part": key}`, `{"assembly": code}`, `{"step": place}`.
9. Narrowing looks for the words typed in the cells and in `Row.hay`. For other forms of the same, such as a value, let
   `names(row)` and `other_names(text)` give the same name.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.tui.rows import Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.tui.desk import Desk
    from buildbook.tui.panel import Panel

# Keys that mean the same in every place; no place may take them for itself. Movement keys besides.
FRAME_KEYS = frozenset(("1", "2", "3", "4", "5", "6", "b", "/", "u", "r", "n", "?", ":", "y", "s", "S", "e", "q", "g"))
NAVIGATION = (
    ("up down", "a line up or down"),
    ("page up", "a page up; page down: a page down"),
    ("home end", "to the first or the last row"),
    ("enter", "fold the row open or close it; on a line that does something, do it"),
    ("right", "into what stands open beside the list; left: back"),
    ("esc", "leave the search; mark a message as read; back out of what was opened"),
)


@dataclass(frozen=True, slots=True)
class Verb:
    """One thing that can be done: its key, a word for the footer, a sentence for help and palette, and the doing.

    `on_row` says that it goes with the selected row, and is listed below it; `foot` that the footer names it.
    """

    key: str
    word: str
    help: str
    run: Callable[[Desk], Awaitable[None]]
    on_row: bool = True
    foot: bool = True


class Place:
    """One place of the workshop: a question, the answer as a list, and what can be done there."""

    KEY: ClassVar[str] = ""
    NAME: ClassVar[str] = ""
    QUESTION: ClassVar[str] = ""
    # False where enter on a row does the verb of the key enter, or else the natural next thing, instead of folding it
    # open.
    FOLDS: ClassVar[bool] = True
    verbs: ClassVar[tuple[Verb, ...]] = ()

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The place's answer as it stands now. Runs in a thread."""
        raise NotImplementedError

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The lines below a row that did not bring its own. Runs in a thread."""
        return row.fold or ()

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The arithmetic behind a row, term by term; nothing where there is none. Runs in a thread."""
        return ()

    def why_line(self, shop: Workshop, build: str | None, row: Row, about: object) -> Sequence[Line]:
        """What is behind the line below a row that tells of `about`; else what is behind the row."""
        return self.why(shop, build, row)

    def answered(self, panel: Panel) -> None:
        """What goes on once the answer stands on the screen, such as a search for a better one. Must not take time."""

    def names(self, row: Row) -> Sequence[str]:
        """Other names that a row bears, such as the size of its value. Runs in a thread."""
        return ()

    def other_names(self, text: str) -> Sequence[str]:
        """The names, as `names` gives them, of the rows that a text typed to narrow the list may mean."""
        return ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """What a note on a row is about, as `actions.log.note` takes it: build, assembly, step, part."""
        return {}

    def verb(self, key: str) -> Verb | None:
        """The verb of that key."""
        return next((verb for verb in self.verbs if verb.key == key), None)


def act_lines(verbs: Sequence[Verb]) -> list[Line]:
    """The verbs that go with a row, as lines below it that do something."""
    own = [verb for verb in verbs if verb.on_row]
    widest = max((len(verb.key) for verb in own), default=0)
    return [Line(f"{verb.key:<{widest}}  {verb.help}", "do", verb=verb.key) for verb in own]
