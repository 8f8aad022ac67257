"""Taking in any list: the sheet is read, its columns understood, its rows told apart, its faults collected.

Blank rows, section rows (one cell only) and totals are set aside. Nothing is written while a row is at fault: all
faults are collected, and the first is told in full.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.catalogue import remembered_headings, remembered_mapping
from buildbook.errors import BadInput
from buildbook.exchange.headings import Columns, as_text, fold, from_text, key_of, knows, read_mapping, resolve
from buildbook.exchange.sheets import read_sheet
from buildbook.trade.plain import clean
from buildbook.trade.refdes import read_refs

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

TOTALS = ("total", "totals", "subtotal", "sub total", "sum", "grand total")
# A row of totals fills few cells: the word, a count, a sum.
FEW = 3
CELL_AT_MOST = 1000


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
    rows: tuple[tuple[int, Sequence[str]], ...]
    asides: tuple[Aside, ...]

    def heading(self, word: str) -> str:
        """How the file itself calls the column of one of our words."""
        place = self.columns.places.get(word)
        return word if place is None else self.headings[place]

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
    found = read_sheet(path, sheet=sheet, knows=knows(purpose, said or all_remembered(shop, purpose)))
    mapping = said or from_text(remembered_mapping(shop, purpose, key_of(found.headings)))
    resolved = resolve(found.headings, purpose, mapping, path.name)
    rows: list[tuple[int, Sequence[str]]] = []
    asides: list[Aside] = []
    for row in found.rows:
        aside = set_aside(row.cells, resolved)
        if aside is None:
            rows.append((row.number, row.cells))
        else:
            asides.append(Aside(row.number, *aside))
    return Listed(path, purpose, resolved, found.headings, mapping, tuple(rows), tuple(asides))


def all_remembered(shop: Workshop, purpose: str) -> dict[str, str]:
    """Every heading that a person has ever named for such lists, so that the heading row is found again."""
    return {text: text for text in remembered_headings(shop, purpose)}


def set_aside(cells: Sequence[str], columns: Columns) -> tuple[str, str] | None:
    """What a row is when it is no entry: ("blank" | "section" | "total", its text); None when it is one.

    A section row has text in one cell only, and no designators in theirs.
    """
    filled = [place for place, cell in enumerate(cells) if cell and not cell.isspace()]
    if not filled:
        return "blank", ""
    first = cells[filled[0]].strip()
    if fold(first) in TOTALS or (len(filled) <= FEW and fold(first).split(" ")[0] in TOTALS):
        return "total", clean(first, limit=CELL_AT_MOST)
    if len(filled) == 1 and len(columns.places) > 1 and not (filled[0] == columns.places.get("ref") and is_ref(first)):
        return "section", clean(first, limit=CELL_AT_MOST)
    return None


def is_ref(text: str) -> bool:
    """Whether a text is reference designators."""
    try:
        return bool(read_refs(text))
    except BadInput:
        return False
