"""How an answer is printed: the sentence first, then its rows; a sober table on a terminal, plain text in a pipe.

Whatever came from outside is printed as plain text, never as markup, and cannot move the cursor or hide a letter.
"""

from __future__ import annotations

import json
import re
import sys
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Generic, TypeVar

import typer

from buildbook.answers import form
from buildbook.trade.plain import clean

if TYPE_CHECKING:
    from rich.console import Console

RowT = TypeVar("RowT")
GAP = 2
# No column that gives way gets narrower than this.
NARROWEST = 8
ANY_LENGTH = sys.maxsize
# Control characters of ISO 6429 but the line end, the bidirectional ones of Unicode UAX 9, and half characters.
_RISKY = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
TONES = {"good": "green", "warn": "yellow", "bad": "red", "quiet": "dim"}


@dataclass(frozen=True, slots=True)
class Column(Generic[RowT]):
    """One column: its heading and what of a row stands in it.

    `right` sets figures to the right; a column that may `shrink` gives way first on a narrow terminal. `tone` may
    support the words with a colour: good, warn, bad, quiet, or nothing.
    """

    heading: str
    value: Callable[[RowT], str]
    right: bool = False
    shrink: bool = False
    tone: Callable[[RowT], str] | None = None


def show(
    answer: form.Answer,
    columns: Sequence[Column[Any]] = (),
    *,
    rows: Iterable[Any] | None = None,
    as_json: bool = False,
) -> None:
    """Print an answer. Its rows are `rows`, or else its own field of that name."""
    if as_json:
        print_json(answer)
        return
    say(answer.sentence)
    if columns:
        table(columns, getattr(answer, "rows", ()) if rows is None else rows)


def print_json(answer: form.Answer) -> None:
    """Print an answer for another program, the sentence first."""
    text = json.dumps(form.as_json(answer), ensure_ascii=False, indent=2)
    typer.echo(_RISKY.sub(lambda found: f"\\u{ord(found[0]):04x}", text))


def say(text: str, *, apart: bool = False) -> None:
    """Print a sentence or several lines, folded to the width of a terminal; `apart` leaves a line before."""
    if apart:
        typer.echo()
    plain = harmless(text)
    if not on_terminal():
        typer.echo(plain)
        return
    from rich.text import Text

    console().print(Text(plain))


def harmless(text: str) -> str:
    """A text of several lines without anything that could move the cursor or hide a letter."""
    return _RISKY.sub("", text)


def table(columns: Sequence[Column[Any]], rows: Iterable[Any], *, heading: str = "") -> None:
    """Print rows below a blank line and, if given, a heading; nothing when there are no rows."""
    kept = list(rows)
    cells = [[_cell(column.value(row)) for column in columns] for row in kept]
    if not cells:
        return
    typer.echo(f"\n{_cell(heading)}" if heading else "")
    if not on_terminal():
        typer.echo("\n".join(aligned(columns, cells)))
        return
    _draw(columns, kept, cells)


def filled(columns: Sequence[Column[Any]], rows: Sequence[Any]) -> list[Column[Any]]:
    """The columns that say something in at least one row: the others only take room."""
    return [column for column in columns if any(column.value(row) for row in rows)]


def _cell(text: str) -> str:
    """Plain text on one line; blanks before it stay, for rows that stand below others."""
    return " " * (len(text) - len(text.lstrip(" "))) + clean(text, limit=ANY_LENGTH)


def on_terminal() -> bool:
    """Whether somebody is looking at a terminal."""
    return sys.stdout.isatty()


def local_time(at: str, *, day: bool = False) -> str:
    """A moment of the store (UTC, ISO 8601) in local time, to the minute or to the day; nothing stays nothing."""
    if not at:
        return ""
    return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d" if day else "%Y-%m-%d %H:%M")


# --- plain text ------------------------------------------------------------------------------------------------------


def aligned(columns: Sequence[Column[Any]], cells: Sequence[Sequence[str]]) -> list[str]:
    """Headings and rows as lines of equal columns, nothing cut, no tabs, no trailing blanks."""
    lines = [[column.heading for column in columns], *cells]
    widths = natural_widths(lines)
    return [_line(columns, line, widths) for line in lines]


def _line(columns: Sequence[Column[Any]], line: Sequence[str], widths: Sequence[int]) -> str:
    parts = []
    for column, text, wide in zip(columns, line, widths, strict=True):
        fill = " " * (wide - width_of(text))
        parts.append(fill + text if column.right else text + fill)
    return (" " * GAP).join(parts).rstrip()


def natural_widths(lines: Iterable[Sequence[str]]) -> list[int]:
    """How wide each column is when nothing is cut."""
    return [max(map(width_of, column)) for column in zip(*lines, strict=True)]


def width_of(text: str) -> int:
    """How many cells of a terminal a text takes (Unicode UAX 11).

    >>> width_of("4k7 Ω"), width_of("抵抗"), width_of("e\u0301")
    (5, 4, 1)
    """
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(sign) else 1 + (unicodedata.east_asian_width(sign) in "WF") for sign in text)


def fitted(widths: Sequence[int], shrinks: Sequence[bool], room: int) -> list[int]:
    """Column widths that fit into `room` cells, gaps included: those that shrink give way first, the widest most.

    >>> fitted([4, 30, 60], [False, True, True], 54)
    [4, 23, 23]
    >>> fitted([10, 10], [False, False], 80)
    [10, 10]
    """
    fit = list(widths)
    excess = sum(fit) + GAP * (len(fit) - 1) - room
    for giving, least in ((True, NARROWEST), (False, NARROWEST), (True, 1), (False, 1)):
        indexes = [index for index, shrink in enumerate(shrinks) if shrink is giving]
        while excess > 0 and any(fit[index] > least for index in indexes):
            widest = max(indexes, key=lambda index: fit[index])
            fit[widest] -= 1
            excess -= 1
    return fit


# --- on a terminal ---------------------------------------------------------------------------------------------------


def console(*, errors: bool = False) -> Console:
    """A console that takes every text as it is; NO_COLOR and dumb terminals are respected."""
    from rich.console import Console

    return Console(stderr=errors, markup=False, highlight=False, emoji=False)


def _draw(columns: Sequence[Column[Any]], rows: Sequence[Any], cells: Sequence[Sequence[str]]) -> None:
    from rich.table import Table
    from rich.text import Text

    screen = console()
    widths = natural_widths([[column.heading for column in columns], *cells])
    widths = fitted(widths, [column.shrink for column in columns], screen.width)
    drawn = Table(box=None, pad_edge=False, padding=(0, GAP, 0, 0), header_style="bold")
    for column, wide in zip(columns, widths, strict=True):
        drawn.add_column(
            Text(column.heading),
            width=wide,
            no_wrap=True,
            overflow="ellipsis",
            justify="right" if column.right else "left",
        )
    for row, line in zip(rows, cells, strict=True):
        drawn.add_row(*(_toned(column, row, text) for column, text in zip(columns, line, strict=True)))
    screen.print(drawn)


def _toned(column: Column[Any], row: Any, text: str) -> Any:
    from rich.text import Text

    return Text(text, style=TONES.get(column.tone(row), "") if column.tone else "")


@contextmanager
def progress(title: str) -> Iterator[Callable[[int, int], None]]:
    """Show how far a long piece of work is, on a terminal's stderr; give a function to call with (done, of).

    >>> with progress("Reading the list") as tick:
    ...     tick(1, 3)
    """
    if not sys.stderr.isatty():
        yield lambda done, of: None
        return
    from rich.progress import Progress

    with Progress(console=console(errors=True), transient=True) as bar:
        task = bar.add_task(clean(title, limit=ANY_LENGTH), total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)
