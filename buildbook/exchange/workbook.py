"""Reading an XLSX workbook: the first sheet with headings, every cell as the text that a person would type."""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
import zlib
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, cast

from buildbook.errors import BadInput
from buildbook.exchange.cells import (
    HEADING_WITHIN,
    MOST_COLUMNS,
    MOST_ROWS,
    Knows,
    Sheet,
    filled,
    find_heading,
    settle,
    unread,
)
from buildbook.trade.plain import quote

if TYPE_CHECKING:
    from openpyxl.worksheet._read_only import ReadOnlyWorksheet
    from openpyxl.worksheet.worksheet import Worksheet

# What openpyxl raises on workbooks that are cut, encrypted or made up.
_DAMAGE = (
    zipfile.BadZipFile, zlib.error, EOFError, KeyError, ValueError, TypeError, AttributeError, IndexError,
    SyntaxError, NotImplementedError, RuntimeError, OSError,
)  # fmt: skip


def read_workbook(path: Path, raw: bytes, sheet: str | None, knows: Knows | None) -> Sheet:
    """Read one sheet of a workbook: the one named, or the first visible one in which headings are found.

    Numbers come as digits without idle zeros (4700.0 is "4700"), dates by ISO 8601, formulas as the value kept with
    them, errors and the hidden part of merged cells as "". Raises BadInput for damage, for no such sheet, no headings,
    more than 500 columns, and more than 200,000 rows.
    """
    from openpyxl import load_workbook

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles and extensions that a list has no use for
            book = load_workbook(BytesIO(raw), read_only=True, data_only=True, keep_links=False)
            sheets = [one for one in book.worksheets if sheet is not None or one.sheet_state == "visible"]
            if sheet is not None and sheet not in book.sheetnames:
                raise unread(path, f"It has no sheet {quote(sheet)}.", f"It has {_names(book.sheetnames)}.")
            tables = ((one.title, _table(path, one)) for one in sheets if sheet in (None, one.title))
            found = next((made for title, rows in tables if (made := _sheet(path, title, rows, knows))), None)
    except BadInput:
        raise
    except _DAMAGE:
        raise unread(path, "It is a damaged workbook.", "Save it again as XLSX or CSV.") from None
    if found is None:
        raise unread(
            path,
            f"None of the first {HEADING_WITHIN} rows of a sheet has a heading that is known.",
            "Put one row of headings, such as part and quantity, above the rows.",
        )
    return found


def _table(path: Path, sheet: ReadOnlyWorksheet) -> list[tuple[int, list[str]]]:
    """Take the filled rows of a sheet, each with its number, cut behind its last filled cell."""
    sheet.reset_dimensions()  # the stated size may be absurd
    table = []
    for number, cells in enumerate(cast("Worksheet", sheet).iter_rows(), start=1):
        # A text may look like an error; only the type of the cell tells.
        row = _to_last(["" if cell.data_type == "e" else _shown(cell.value) for cell in cells])
        if len(row) > MOST_COLUMNS:
            raise unread(path, f"Row {number} has more than {MOST_COLUMNS} cells.", "Take the empty columns away.")
        if row:
            table.append((number, row))
        if len(table) > MOST_ROWS + HEADING_WITHIN:
            raise unread(path, f"It has more than {MOST_ROWS:,} rows.", "Split it into smaller files.")
    return table


def _to_last(cells: list[str]) -> list[str]:
    return cells[: next((place for place in range(len(cells), 0, -1) if cells[place - 1]), 0)]


def _shown(cell: object) -> str:
    match cell:
        case None:
            return ""
        case bool():
            return "TRUE" if cell else "FALSE"
        case float():
            # The shortest digits that mean the same number, without an exponent.
            return str(int(cell)) if cell.is_integer() else format(Decimal(repr(cell)), "f")
        case dt.datetime() if cell.time() == dt.time():
            return cell.date().isoformat()
        case dt.datetime():
            return cell.isoformat(sep=" ", timespec="seconds")
        case dt.date() | dt.time():
            return cell.isoformat()
    return str(cell)


def _sheet(path: Path, title: str, table: list[tuple[int, list[str]]], knows: Knows | None) -> Sheet | None:
    top = [cells for number, cells in table[:HEADING_WITHIN] if number <= HEADING_WITHIN]
    index, known = find_heading(top, knows)
    if not known:
        return None
    body = table[index + 1 :]
    if len(body) > MOST_ROWS:
        raise unread(path, f"It has more than {MOST_ROWS:,} rows.", "Split it into smaller files.")
    width = max(len(cells) for _, cells in table[index:])
    padded = [cells + [""] * (width - len(cells)) for _, cells in table[index:]]
    columns = [settle(column) for column in zip(*padded, strict=True)]
    headings, columns = [column[0] for column in columns], [column[1:] for column in columns]
    filled_part = filled(headings, [number for number, _ in body], columns)
    return Sheet(
        path=path,
        heading_row=table[index][0],
        headings=filled_part.headings,
        numbers=filled_part.numbers,
        columns=filled_part.columns,
        preamble=tuple(", ".join(filter(None, settle(cells))) for cells in top[:index]),
        sheet=title,
    )


def _names(names: list[str]) -> str:
    shown = ", ".join(quote(name) for name in names[:8])
    return f"{shown} and {len(names) - 8} more" if len(names) > 8 else shown
