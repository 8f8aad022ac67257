"""Taking in any list: the sheet is read, its columns understood, its rows told apart, its faults collected.

Blank rows, section rows (one cell only) and totals are set aside. Nothing is written while a row is at fault: all
faults are collected, and the first is told in full.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.catalogue import remembered_headings, remembered_mapping
from buildbook.errors import BadInput
from buildbook.exchange.cells import Knows, Row, Sheet
from buildbook.exchange.headings import Columns, as_text, from_text, key_of, knows, read_mapping, resolve
from buildbook.exchange.sheets import read_sheet

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

_TOTAL = re.compile(
    r"(?:(?:grand|sub|over)[ -]?)?(?:totals?|sum|summe|gesamt)\b"
    r"(?: (?:of|all|parts|pcs|pieces|items|components|lines|rows|qty|quantity|number|cost|price)\b|[ :=.0-9])*",
    re.IGNORECASE,
)
# A row of totals fills few cells: the word, a count, a sum.
FEW = 3
# How a designator begins, or what somebody put in its place: R12, MB-C3, C?, R*.
_LIKE_REF = re.compile(r"(?:[a-z]{1,8}-)?[a-z]{1,6}[0-9]|[a-z]{1,3}[?*]$", re.IGNORECASE)


class Fault(NamedTuple):
    """What is wrong with a row, in the words of the person who has to mend it."""

    row: int
    column: str
    why: str

    def __str__(self) -> str:
        where = f"row {self.row}, {self.column}" if self.column else f"row {self.row}"
        return f"{where}: {self.why}"


class Aside(NamedTuple):
    """A row that is no entry: blank, section or total."""

    row: int
    what: str
    text: str


@dataclass(frozen=True, slots=True)
class Listed:
    """A list as it was understood. `rows` are the entries only: the row in the file, and its cells."""

    path: Path
    purpose: str
    columns: Columns
    headings: tuple[str, ...]
    mapping: Mapping[str, str]
    rows: tuple[Row, ...]
    asides: tuple[Aside, ...]

    def heading(self, word: str) -> str:
        """How the file itself calls the column of one of our words."""
        place = self.columns.places.get(word)
        return word if place is None else self.headings[place]

    @property
    def columns_read(self) -> tuple[tuple[str, str], ...]:
        """Which heading was read as what: our word and the heading, in the order of the file."""
        words = {place: word for word, place in self.columns.places.items()}
        words.update({place: f"price from {qty}" for qty, place in self.columns.breaks.items()})
        return tuple((words[place], self.headings[place]) for place in sorted(words))

    @property
    def headings_key(self) -> str:
        """The set of headings, as a mapping is remembered by."""
        return key_of(self.headings)

    @property
    def mapping_text(self) -> str:
        """What a person has said of the headings, as it is remembered."""
        return as_text(self.mapping)


def take_in(shop: Workshop, path: Path, purpose: str, columns: str | None = None, sheet: str | None = None) -> Listed:
    """Read a list: which column holds what (as said now, as remembered, as the trade calls it), and which rows count.

    Raises BadInput when it is no list, has no heading, or its columns are not clear.
    """
    said = read_mapping(columns, purpose) if columns else {}
    found = read_headed(path, sheet, knows(purpose, said or all_remembered(shop, purpose)))
    mapping = said or from_text(remembered_mapping(shop, purpose, key_of(found.headings)))
    resolved = resolve(found.headings, purpose, mapping, path.name)
    if "name" not in mapping:
        resolved = without_numbers(resolved, found)
    rows: list[Row] = []
    asides: list[Aside] = []
    for row in found.rows:
        aside = set_aside(row.cells, resolved)
        if aside is None:
            rows.append(row)
        else:
            asides.append(Aside(row.number, *aside))
    return Listed(path, purpose, resolved, found.headings, mapping, tuple(rows), tuple(asides))


def without_numbers(columns: Columns, sheet: Sheet) -> Columns:
    """The columns without one for names in which only running numbers stand, as under "Item"."""
    place = columns.places.get("name")
    if place is None or not all(cell.rstrip(".)").isdecimal() for cell in sheet.columns[place] if cell):
        return columns
    places = {word: there for word, there in columns.places.items() if word != "name"}
    return replace(columns, places=places, unknown=(*columns.unknown, sheet.headings[place]))


def read_headed(path: Path, sheet: str | None, known: Knows) -> Sheet:
    """Read a sheet; where no heading in it is known, its first row of words is taken for the headings.

    So that whoever cannot use it can name them. Any other fault of the file comes up again the second time.
    """
    try:
        return read_sheet(path, sheet=sheet, knows=known)
    except BadInput:
        return read_sheet(path, sheet=sheet)


def all_remembered(shop: Workshop, purpose: str) -> dict[str, str]:
    """Every heading that a person has ever named for such lists, so that the heading row is found again."""
    return {text: text for text in remembered_headings(shop, purpose)}


def set_aside(cells: Sequence[str], columns: Columns) -> tuple[str, str] | None:
    """What a row is when it is no entry: ("blank" | "section" | "total", its text); None when it is one.

    A section row has text in one cell only, and there nothing that begins like a designator under their heading.
    """
    filled = [place for place, cell in enumerate(cells) if cell]
    if not filled:
        return "blank", ""
    first = cells[filled[0]]
    total = _TOTAL.match(first)
    alone = len(first.split()) == 1 and filled[0] != columns.places.get("part")
    if total and total.end() == len(first) and (len(filled) <= FEW or alone):
        return "total", first
    if len(filled) == 1 and len(columns.places) > 1 and not (filled[0] == columns.places.get("ref") and is_ref(first)):
        return "section", first
    return None


def is_ref(text: str) -> bool:
    """Whether a text is, or was meant to be, reference designators.

    >>> is_ref("R1, R2"), is_ref("C?"), is_ref("Power supply"), is_ref("-- IC1 and around it --")
    (True, True, False, False)
    """
    return _LIKE_REF.match(text) is not None
