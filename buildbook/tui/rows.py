"""What a list on the screen is made of: columns, rows of cells, and the lines that stand below a row folded open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

# What a colour may support. The word beside it says it all the same.
TONES = ("good", "warn", "bad", "quiet", "head", "do")


class Cell(NamedTuple):
    """One cell: its text, a tone of TONES that supports the words, and what to sort it by if not its text.

    `bands` are the colours of a resistor (IEC 60062), drawn before the text. `span` lets a cell take the room of so
    many columns, such as a sentence among figures. `marks` are places in the text (from, to) that stand out.
    """

    text: str
    tone: str = ""
    sort: float | str | None = None
    bands: tuple[str, ...] = ()
    span: int = 1
    marks: tuple[tuple[int, int], ...] = ()


class Column(NamedTuple):
    """A column: `right` for figures, `shrink` if it gives way first, down to `least` cells.

    `rank` says when it is left out for want of room: 0 never, else the highest first.
    """

    heading: str
    right: bool = False
    shrink: bool = False
    rank: int = 0
    least: int = 8


class Line(NamedTuple):
    """A line below a row: something said or, with the key of a `verb`, something that enter does.

    `about` is what a verb called on this line may want to know: the bin that the line tells of, say.
    """

    text: str
    tone: str = ""
    verb: str = ""
    about: object = None


class Row(NamedTuple):
    """A row, known again by `key`. `fold` holds the lines below it; None has the place asked when it is opened.

    `about` is the answer's own row, for verbs; `hay` holds more words by which the row is found.
    """

    key: str
    cells: tuple[Cell | str, ...]
    tone: str = ""
    fold: tuple[Line, ...] | None = None
    about: object = None
    hay: str = ""


class View(NamedTuple):
    """What a place shows: the sentence that answers its question, the list, and a remark below the last row.

    `at` is the key of the row that is selected when the place is opened, or another build is shown.
    """

    sentence: str
    columns: tuple[Column, ...] = ()
    rows: Sequence[Row] = ()
    remark: str = ""
    at: str = ""


def text_of(cell: Cell | str) -> str:
    """The text of a cell."""
    return cell if isinstance(cell, str) else cell.text


def heading(text: str) -> Line:
    """A heading among the lines below a row."""
    return Line(text, "head")


def table_lines(headings: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> list[Line]:
    """A small table as lines, the headings first, columns of the numbers in `right` set right; nothing without rows.

    A column with nothing in it is left out.

    >>> for line in table_lines(["bin", "holds", "came"], [["A1", "10", ""], ["A2", "2", ""]], right=[1]):
    ...     print(line.text)
    bin  holds
    A1      10
    A2       2
    """
    from buildbook.tui.laying import plain, set_to, width_of

    filled = [at for at in range(len(headings)) if any(row[at] for row in rows)]
    cells = [[plain(row[at]) for at in filled] for row in (headings, *rows)] if rows else []
    widths = [max(map(width_of, column)) for column in zip(*cells, strict=True)]
    said = [
        "  ".join(set_to(text, wide, right=at in right) for at, text, wide in zip(filled, row, widths, strict=True))
        for row in cells
    ]
    return [Line(text.rstrip(), "" if number else "head") for number, text in enumerate(said)]
