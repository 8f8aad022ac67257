"""What every list from outside becomes: headings and numbered rows of plain text, free of formulas and hidden marks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import compress, repeat
from pathlib import Path
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

HEADING_WITHIN = 40
MOST_ROWS = 200_000
MOST_COLUMNS = 500

# A spreadsheet runs a cell that starts with one of these (OWASP, CSV Injection; NUL: OWASP ASVS 1.2.10).
DANGEROUS = "=+-@\t\r\n\0＝＋－＠"
_ARMED = re.compile(f"'*[{re.escape(DANGEROUS)}]")
_DISARMED = re.compile(f"'+[{re.escape(DANGEROUS)}]")

Knows = Callable[[str], bool]


class Row(NamedTuple):
    """One row of a list: the line of the file where it starts (the row of a workbook), and one text a heading."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A list that another program wrote, in neutral form: every cell plain text, a column for each heading.

    `heading_row` and `numbers`, one for each row, count lines of the file from 1. `preamble` holds the lines above the
    headings. `delimiter` and `encoding` are empty for a workbook, `sheet` is empty for a text file.
    """

    path: Path
    heading_row: int
    headings: tuple[str, ...]
    numbers: tuple[int, ...]
    columns: tuple[tuple[str, ...], ...]
    preamble: tuple[str, ...] = ()
    encoding: str = ""
    delimiter: str = ""
    sheet: str = ""

    @property
    def rows(self) -> tuple[Row, ...]:
        """Every row with its number, put together from the columns each time it is asked for."""
        cells = zip(*self.columns, strict=True)
        # What Row(number, cells) does, without its toll for each of many thousand rows.
        return tuple(map(tuple.__new__, repeat(Row), zip(self.numbers, cells, strict=True)))


def disarm(text: str) -> str:
    """Put an apostrophe before text that a spreadsheet would run as a formula (the OWASP rule); `rearm` takes it off.

    >>> disarm("=1+1"), disarm("'=1+1"), disarm("4k7")
    ("'=1+1", "''=1+1", '4k7')
    """
    return f"'{text}" if _ARMED.match(text) else text


def rearm(text: str) -> str:
    """Take off the one apostrophe that `disarm` has put there, and no other.

    >>> rearm("'=1+1"), rearm("'tis a note")
    ('=1+1', "'tis a note")
    """
    return text[1:] if _DISARMED.match(text) else text


def unread(path: Path, why: str, mend: str = "Save it again as CSV or XLSX, or give another file.") -> BadInput:
    """Say that a list was not read, and why."""
    return BadInput(f"The list {quote(path.name, limit=80)} was not read.", why, mend)


def settle(column: Iterable[str]) -> list[str]:
    """Clean cells and take the export's apostrophes off; each different text is looked at once.

    No cell is too long here: whoever takes it in knows how long a name or a note may be.
    """
    cells = list(column)
    plain = {text: rearm(clean(text, lines=True, limit=len(text))) for text in set(cells)}
    return [plain[text] for text in cells]


def find_heading(rows: Iterable[Sequence[str]], knows: Knows | None) -> tuple[int, int]:
    """Give the index of the row that looks most like headings, and how many of its headings are known.

    Without `knows`, every text that is not a number counts as known. The first of several equal rows is taken; none at
    all has a count of 0.
    """
    best, most = 0, 0
    for index, row in enumerate(rows):
        texts = {clean(text, limit=len(text)) for text in row} - {""}
        known = sum(map(knows or _is_wording, texts))
        if known > most:
            best, most = index, known
    return best, most


class Table(NamedTuple):
    """The part of a list that is filled: its headings, the number of each row, the columns."""

    headings: tuple[str, ...]
    numbers: tuple[int, ...]
    columns: tuple[tuple[str, ...], ...]


def filled(headings: Sequence[str], numbers: Iterable[int], columns: Sequence[Sequence[str]]) -> Table:
    """Drop rows without any text, and columns at the right that have neither heading nor text."""
    width = len(columns)
    while width and not headings[width - 1] and not any(columns[width - 1]):
        width -= 1
    columns = columns[:width]
    if width and "" in columns[0]:
        kept = [any(cells) for cells in zip(*columns, strict=True)]
        numbers, columns = compress(numbers, kept), [list(compress(column, kept)) for column in columns]
    return Table(tuple(headings[:width]), tuple(numbers), tuple(map(tuple, columns)))


def _is_wording(text: str) -> bool:
    return not re.fullmatch(r"[0-9.,\s%+\-]*", text)
