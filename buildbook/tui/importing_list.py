"""A list on its way in: which file, what was said of it so far, and the plan that comes of that; nothing is written."""

from __future__ import annotations

import re
from asyncio import sleep
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from buildbook.errors import BadInput
from buildbook.tui.desk import Desk, Left
from buildbook.tui.place import Place

if TYPE_CHECKING:
    from collections.abc import Mapping

    from buildbook.actions.workshop import Workshop
    from buildbook.exchange.gathering import Asked, Plan
    from buildbook.tui.importing_columns import Understood

PARTS, STOCK, PRICES = "parts list", "stock list", "price list"
# What marks a row of each kind of list, and what its second column holds.
MARKS = {PARTS: ("ref", "qty"), STOCK: ("bin", "qty"), PRICES: ("supplier", "order code")}
# What is said for the command line, and how it is done here.
TRUST, SUPPLIER = "--trust", "--supplier"
HERE = (
    (re.compile(r"\(--trust [^)]*\)"), "(enter says which of them holds)"),
    (re.compile(r"\(--supplier [^)]*\)"), "(enter names one for the whole list)"),
    (re.compile(r"\s*Say which (?:it is|does) with --columns .*"), " Enter on a column says what it means."),
)


def as_said_here(text: str) -> str:
    """A sentence of the reading, with the keys of the screen where it names options of the command line.

    >>> as_said_here("It names no supplier (--supplier names one for the whole list).")
    'It names no supplier (enter names one for the whole list).'
    """
    for option, here in HERE:
        text = option.sub(here, text)
    return text


@dataclass(frozen=True, slots=True)
class Said:
    """What the person has said of the list.

    `columns` is a mapping as typed on the command line, or None for what is remembered; `answers` settles descriptions;
    `new_parts` makes parts of what nothing known comes near; `trust` says what holds, "refs" or "qty".
    """

    columns: str | None = None
    sheet: str | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    new_parts: bool = False
    trust: str = ""
    supplier: str = ""

    def answering(self, asked: str, answer: str) -> Said:
        """The same, with one more description settled."""
        return replace(self, answers={**self.answers, asked: answer})

    @property
    def asked(self) -> Asked:
        """The same as the reading wants it."""
        from buildbook.exchange.gathering import Asked

        return Asked(self.columns, self.sheet, self.answers, self.new_parts, self.trust)


class Found(NamedTuple):
    """What was made of the list when that was said of it: a plan, or else a sentence why there is none."""

    said: Said
    plan: Plan | None
    trouble: str


@dataclass(slots=True)
class Incoming:
    """One list on its way in; `into` is the section of a parts list.

    `columns` and `found` are what was understood last; `written` tells that the list has been taken in.
    """

    path: Path
    purpose: str
    into: str = ""
    said: Said = field(default_factory=Said)
    columns: Understood | None = None
    found: Found | None = None
    written: bool = False

    @property
    def title(self) -> str:
        """What it is and where it goes."""
        where = {PARTS: f"parts list of {self.into}", PRICES: f"price list{self._seller()}"}
        return f"{self.path.name} as the {where.get(self.purpose, self.purpose)}"

    def _seller(self) -> str:
        return f" of {self.said.supplier}" if self.said.supplier else ""

    def prepare(self, shop: Workshop) -> Any:
        """Understand the list as told so far. Raises BadInput when that cannot be done."""
        from buildbook.exchange import boards, buying, stores

        asked = self.said.asked
        if self.purpose == PARTS:
            return boards.prepare(shop, self.path, self.into, asked)
        if self.purpose == STOCK:
            return stores.prepare(shop, self.path, asked)
        return buying.prepare_offers(shop, self.path, self.said.supplier, asked)

    def find(self, shop: Workshop) -> Found:
        """The plan as of now, which is kept unless something else has been said meanwhile."""
        said = self.said
        try:
            found = Found(said, self.prepare(shop).plan, "")
        except BadInput as error:
            found = Found(said, None, as_said_here(str(error)))
        if said is self.said:
            self.found = found
        return found

    async def settled(self) -> Found:
        """What was found for all that has been said so far; waits for it."""
        while self.found is None or self.found.said is not self.said:
            await sleep(0.02)
        return self.found

    def take_in(self, shop: Workshop, shown: Plan) -> str:
        """Write the list, as one action, and say what was done; only if it still means what was shown.

        Raises BadInput, and nothing is written, when the file or the workshop has changed since, or a row is open.
        """
        from buildbook.exchange import boards, buying, stores

        prepared = self.prepare(shop)
        if prepared.plan != shown:
            raise BadInput(
                "Nothing was written.",
                f"{self.path.name} or the workshop has changed since these rows were worked out.",
                "Look at them again.",
            )
        if self.purpose == PARTS:
            done = boards.apply(shop, prepared)
        elif self.purpose == STOCK:
            done = stores.apply(shop, prepared)
        else:
            done = buying.apply_offers(shop, prepared)
        self.written = True
        return done


class ListPlace(Place):
    """A place that stands within another while a list is on its way in."""

    NAME: ClassVar[str] = "Import"
    FOLDS: ClassVar[bool] = False

    def __init__(self, incoming: Incoming) -> None:
        self.incoming = incoming


def incoming_of(desk: Desk) -> Incoming:
    """The list that is on its way in; the verb ends here when it was left in the same moment."""
    place = desk.frame.panel.place
    if not isinstance(place, ListPlace):
        raise Left
    return place.incoming


def work_out_again(desk: Desk) -> None:
    """Have the columns or the rows worked out again, with what has been said since."""
    desk.frame.panel.renew(desk.frame.asked)
