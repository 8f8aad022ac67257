"""Writing lists for other programs, CSV by RFC 4180 and XLSX: no cell can run as a formula, no half file is left."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import IO, TextIO

from buildbook.errors import BadInput, StoreFault
from buildbook.exchange.cells import DANGEROUS, disarm, rearm
from buildbook.trade.plain import clean, quote

Cell = str | int | Decimal | None

# Besides what RFC 4180 asks for, every mark that a reader might take for a delimiter is put in quotes.
_QUOTED = frozenset(',";|\t\r\n')
_LONGEST_CELL = 32_767  # characters, what a cell of a common spreadsheet can hold
_SHEET_NAME_AT_MOST = 31
_SHEET_NAME_WITHOUT = frozenset("[]:*?/\\'")
_MEASURED_ROWS = 200


def write_csv(
    target: Path | TextIO, headings: Sequence[str], rows: Iterable[Sequence[Cell]], *, bom: bool = False
) -> None:
    """Write a list as CSV by RFC 4180, in UTF-8, to a file or to an open text stream.

    Text is cleaned as by `plain.clean` with its line ends kept, and disarmed: read back it is the same. Numbers are
    written as they are and None as nothing. `bom` puts the byte-order mark first that some spreadsheets need. Raises
    BadInput for a row that is not as wide as the headings and for a place where nothing can be written, StoreFault when
    the disk fails; the file that was there before is then untouched.

    >>> import sys
    >>> write_csv(sys.stdout, ["part", "qty"], [["Knob, black", 3], ["=1+1", -5]])  # doctest: +NORMALIZE_WHITESPACE
    part,qty
    "Knob, black",3
    "'=1+1",-5
    """
    records = _records(headings, rows)
    if not isinstance(target, Path):
        target.write("\ufeff" * bom)
        target.writelines(records)
        return

    def fill(file: IO[bytes]) -> None:
        file.write(b"\xef\xbb\xbf" * bom)
        file.writelines(record.encode() for record in records)

    put_in_place(target, fill)


def write_xlsx(path: Path, sheet: str, headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> None:
    """Write a list as a workbook with one sheet: headings bold and held in view, columns as wide as their texts.

    Text is cleaned as by `plain.clean` with its line ends kept (what XML 1.0 forbids goes with that), and stored as
    text, never as a formula. Raises BadInput and StoreFault as `write_csv` does, and BadInput for a sheet name that is
    empty, longer than 31 characters, or holds one of []:*?/\\'.
    """
    if not 0 < len(sheet) <= _SHEET_NAME_AT_MOST or _SHEET_NAME_WITHOUT & set(sheet) or clean(sheet) != sheet:
        raise BadInput(
            "The workbook was not written.",
            f"{quote(sheet)} cannot be the name of a sheet.",
            "Give up to 31 characters without []:*?/\\'.",
        )
    table = [[_cleaned(cell) for cell in record] for record in _even(headings, rows)]
    put_in_place(path, lambda file: _fill_book(file, sheet, table))


def _records(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[str]:
    for cells in _even(headings, rows):
        # A lone empty cell is quoted, or its record would be an empty line.
        yield ",".join(map(_field, cells)) + "\r\n" if len(cells) > 1 else (_field(cells[0]) or '""') + "\r\n"


def _even(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[Sequence[Cell]]:
    if not headings:
        raise BadInput("The list was not written.", "It has no headings.", "Give one heading for each column.")
    yield headings
    for number, row in enumerate(rows, start=1):
        if len(row) != len(headings):
            raise BadInput(
                "The list was not written.",
                f"Row {number} has {len(row)} cells and there are {len(headings)} headings.",
                "Give one cell for each heading.",
            )
        yield row


def _field(cell: Cell) -> str:
    text = _cleaned(cell)
    if isinstance(text, str):
        safe = disarm(text)
        return safe if safe is text and _QUOTED.isdisjoint(safe) else '"' + safe.replace('"', '""') + '"'
    return "" if text is None else format(text, "f" if isinstance(text, Decimal) else "d")


def _cleaned(cell: Cell) -> Cell:
    return clean(cell, lines=True, limit=_LONGEST_CELL, what="cell") if isinstance(cell, str) else cell


def _fill_book(file: IO[bytes], name: str, table: list[list[Cell]]) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    sheet = book.create_sheet(name)
    sheet.freeze_panes = "A2"
    for place, width in enumerate(_widths(table), start=1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    bold = Font(bold=True)
    for number, record in enumerate(table):
        cells: list[object] = []
        for content in record:
            if not isinstance(content, str):
                cells.append(content)
                continue
            # An own apostrophe that looks like the mark of an export gets another one, so that reading keeps it.
            cell = WriteOnlyCell(sheet, f"'{content}" if rearm(content) is not content else content)
            cell.data_type = "s"
            cell.quotePrefix = content[:1] in DANGEROUS  # it stays text when a person edits it
            if number == 0:
                cell.font = bold
            cells.append(cell if content else None)
        sheet.append(cells)
    whole = BytesIO()  # a workbook that fails half-way through a file leaves noise behind it
    book.save(whole)
    file.write(whole.getbuffer())


def _widths(table: list[list[Cell]]) -> list[int]:
    measured = zip(*table[:_MEASURED_ROWS], strict=True)
    longest = (max(len(line) for cell in column for line in f"{cell or ''}\n".split("\n")) for column in measured)
    return [min(60, max(6, length + 2)) for length in longest]


def put_bytes(path: Path, content: bytes) -> None:
    """Put the content into a file, whole or not at all; raises as `put_in_place` does."""

    def fill(file: IO[bytes]) -> None:
        file.write(content)

    put_in_place(path, fill)


def put_in_place(path: Path, fill: Callable[[IO[bytes]], None]) -> None:
    """Write beside the file and move the whole over it in one stroke; a device or pipe is written to directly."""
    what = f"{quote(path.name, limit=80)} was not written."
    try:
        place = path.resolve()
        if place.exists() and not place.is_file() and not place.is_dir():
            with place.open("wb") as file:
                fill(file)
        else:
            _swap(place, fill)
    except FileNotFoundError:
        raise BadInput(what, f"There is no folder {quote(str(path.parent), limit=120)}.", "Make it first.") from None
    except (IsADirectoryError, NotADirectoryError):
        raise BadInput(what, f"{quote(str(path), limit=120)} is a folder or lies in a file.", "Give a file.") from None
    except PermissionError:
        raise BadInput(what, "You are not allowed to write there.", "Choose another folder.") from None
    except OSError as fault:
        why = f"The system says: {fault.strerror or fault}."
        raise StoreFault(what, why, "Make room or choose another disk; nothing was changed.") from None


def _swap(place: Path, fill: Callable[[IO[bytes]], None]) -> None:
    if place.is_dir():
        raise IsADirectoryError(place)
    descriptor, name = tempfile.mkstemp(dir=place.parent, prefix=f".{place.name[:40]}.", suffix=".part")
    beside = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as file:
            fill(file)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(stat.S_IMODE(place.stat().st_mode) if place.exists() else 0o666 & ~_umask())
        beside.replace(place)
    except BaseException:
        with suppress(OSError):
            beside.unlink()
        raise


def _umask() -> int:
    # The system tells the mask only by setting it.
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
