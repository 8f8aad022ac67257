"""What the keys of Checks do with a row, by its kind: a question, a supply, contacts, a test point, a snag."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from buildbook.tui.desk import Desk
from buildbook.tui.rows import Line, Row

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

Deed: TypeAlias = Callable[[Desk], Awaitable[None]]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of row: the deed of each key, and what stands below.

    `about` is the name of the answer's row that it shows, by which it is known. `unfold` is for a row that does not
    bring its lines along; `why` gives the arithmetic behind it; `note_about` what a note on it is about.
    """

    about: str
    go_on: Deed
    put_off: Deed
    reopen: Deed
    change: Deed
    add: Deed
    unfold: Callable[[Workshop, Row], Sequence[Line]] = lambda _, row: row.fold or ()
    why: Callable[[Row], Sequence[Line]] = lambda row: row.fold or ()
    note_about: Callable[[Row], Mapping[str, str]] = lambda _: {}

    def shows(self, row: Row) -> bool:
        """Whether a row is of this kind."""
        return type(row.about).__name__ == self.about


def tell(text: str) -> Deed:
    """A deed that only says why there is nothing to do."""

    async def say(desk: Desk) -> None:
        desk.say(text)

    return say
