"""Reading a list that another program wrote, CSV or XLSX, whatever its marks, encoding and place of headings."""

from __future__ import annotations

from pathlib import Path

from buildbook.exchange.cells import Knows, Row, Sheet
from buildbook.exchange.delimited import read_delimited
from buildbook.exchange.opening import is_workbook, take_bytes
from buildbook.exchange.workbook import read_workbook

__all__ = ["Knows", "Row", "Sheet", "read_sheet"]


def read_sheet(path: Path, *, sheet: str | None = None, knows: Knows | None = None) -> Sheet:
    """Read a CSV file or one sheet of an XLSX workbook into a Sheet of plain text.

    `knows` says of a text whether it is a heading: the headings are the first of the top 40 rows with the most of
    them. Without it they are the first row with the most texts that are not numbers. Each cell is cleaned as by
    `plain.clean` with its line ends kept, and loses the apostrophe of `disarm`; rows without any text are left out.
    Raises BadInput, which names the file, and the row where it is known, when it is no list or cannot be read.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder, "mixer.csv")
    ...     _ = path.write_text("Curlew, mixer board\\nref;value\\nR1;4k7\\n")
    ...     found = read_sheet(path, knows={"ref", "value"}.__contains__)
    >>> found.heading_row, found.headings, found.rows, found.preamble
    (2, ('ref', 'value'), (Row(number=3, cells=('R1', '4k7')),), ('Curlew, mixer board',))
    """
    raw = take_bytes(path)
    if is_workbook(path, raw):
        return read_workbook(path, raw, sheet, knows)
    return read_delimited(path, raw, knows)
