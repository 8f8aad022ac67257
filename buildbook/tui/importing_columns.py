"""The columns of a list as understood: what each heading is read as, and how that is changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.tui.importing_list import Incoming, as_said_here
from buildbook.tui.rows import Cell, Column, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

EXAMPLES = 3
LONGEST_EXAMPLE = 40
COLUMNS = (
    Column("heading in the file", shrink=True, least=12),
    Column("read as"),
    Column("because", rank=1),
    Column("examples", shrink=True, least=16),
)
# What stands in a column that is read as each of our words.
MEANINGS = {
    "ref": "designators, such as R1-R4, C7",
    "qty": "how many, or how much",
    "fitted": "whether it is fitted: yes or no",
    "not fitted": "a mark where it is not fitted",
    "option": "the answer to a question that it belongs to",
    "loss": "an allowance for loss, in percent",
    "bin": "the bin or drawer where it lies",
    "price": "what one costs, or so many",
    "price per": "for how many the price is",
    "pack": "how many come in a pack",
    "minimum": "the least that can be ordered",
    "from": "the quantity from which the price counts",
    "lead days": "days from order to delivery",
    "valid until": "the last day of the offer",
    "currency": "the currency of the prices",
    "part": "the key of the part in this workshop",
    "number": "a part number, whosever it is",
    "maker": "who makes it",
    "maker number": "the number that its maker gives it",
    "supplier": "who sells it",
    "order code": "what a supplier calls it",
    "value": "its value, such as 4k7 or 100n 63V",
    "package": "its package, case or footprint",
    "kind": "what kind of part it is",
    "name": "what it is, in words",
    "unit": "in what it is counted: pcs, m, g",
    "note": "a note on it",
}


@dataclass(frozen=True, slots=True)
class Heading:
    """A column of the file: its heading, our word for it (empty when it is not read), why, and what stands in it."""

    text: str
    word: str
    because: str
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Understood:
    """How the columns are read; `mapping` is what a person has said of them, `trouble` why they cannot be read so."""

    purpose: str
    headings: tuple[Heading, ...]
    mapping: Mapping[str, str]
    rows: int
    trouble: str = ""

    @property
    def read(self) -> tuple[tuple[str, str], ...]:
        """Our word and the heading of each column that is read."""
        return tuple((one.word, one.text) for one in self.headings if one.word)

    @property
    def sentence(self) -> str:
        """What was understood, and what to do next."""
        from buildbook.answers.form import count_of

        if self.trouble:
            return self.trouble
        left = len(self.headings) - len(self.read)
        unread = f"{len(self.read)} understood, {left} not read" if left else "all understood"
        return f"{count_of(self.rows, 'row')}, {count_of(len(self.headings), 'column')}, {unread}."


def understand(shop: Workshop, incoming: Incoming) -> Understood:
    """Read the headings of a list, as said now, as remembered, or as the trade calls them.

    Raises BadInput when the file is no list; headings that cannot be told apart are no error, but told as `trouble`.
    """
    from buildbook.exchange.gathering import NAMING
    from buildbook.exchange.intake import take_in

    said, purpose = incoming.said, incoming.purpose
    try:
        listed = take_in(shop, incoming.path, purpose, said.columns, said.sheet)
    except BadInput as error:
        return not_understood(incoming, error)
    columns = listed.columns
    words = {place: word for word, place in columns.places.items()}
    words.update({place: f"price from {qty}" for qty, place in columns.breaks.items()})
    stated = "you said so" if said.columns else "as the last time"
    headings = [
        Heading(
            text,
            word := words.get(place, ""),
            (stated if word in listed.mapping else "its name") if word else "",
            examples([row.cells[place] for row in listed.rows]),
        )
        for place, text in enumerate(listed.headings)
        if text
    ]
    trouble = "" if set(NAMING) & set(columns.places) else "No column names the part: say which one does."
    return Understood(purpose, tuple(headings), listed.mapping, len(listed.rows), trouble)


def not_understood(incoming: Incoming, error: BadInput) -> Understood:
    """The headings as they stand in the file, with the first thing that keeps them from being read.

    Raises that BadInput itself when it is not the headings that are wrong with the file.
    """
    from buildbook.exchange.headings import knows, meaning, read_mapping
    from buildbook.exchange.intake import read_headed

    said, purpose = incoming.said, incoming.purpose
    mapping = read_mapping(said.columns, purpose) if said.columns else {}
    sheet = read_headed(incoming.path, said.sheet, knows(purpose, mapping))
    words = {theirs: ours for ours, theirs in mapping.items()}
    headings = []
    for text, cells in zip(sheet.headings, sheet.columns, strict=True):
        if text:
            word = words.get(text) or meaning(text, purpose) or ""
            headings.append(Heading(text, word, "not clear" if word else "", examples(cells)))
    return Understood(purpose, tuple(headings), mapping, len(sheet.numbers), as_said_here(str(error)))


def examples(cells: Sequence[str]) -> tuple[str, ...]:
    """The first few different texts of a column.

    >>> examples(["4k7", "", "4k7", "10k"])
    ('4k7', '10k')
    """
    found: dict[str, None] = {}
    for cell in cells:
        if cell:
            found[cell[:LONGEST_EXAMPLE]] = None
            if len(found) == EXAMPLES:
                break
    return tuple(found)


# --- on the screen ---------------------------------------------------------------------------------------------------


def columns_view(incoming: Incoming, now: Understood) -> View:
    """The columns as a list."""
    tones = {"not clear": "bad"}
    rows = [
        Row(
            f"{at}",
            (
                one.text,
                Cell(one.word, tones.get(one.because, "good")) if one.word else Cell("not read", "quiet"),
                Cell(one.because, tones.get(one.because, "quiet")),
                Cell(" / ".join(one.examples), "quiet"),
            ),
            about=one,
        )
        for at, one in enumerate(now.headings)
    ]
    unclear = next((row.key for row, one in zip(rows, now.headings, strict=True) if one.because == "not clear"), "")
    on = "Enter changes one." if now.trouble else "Enter changes one, space goes on to the rows."
    return View(f"{incoming.title}{'.' if now.trouble else ':'} {now.sentence} {on}", COLUMNS, rows, at=unclear)
