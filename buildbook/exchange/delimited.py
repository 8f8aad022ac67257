"""Reading CSV and its kin: which mark parts the cells, where the headings stand, then all rows through pandas."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from io import BytesIO, StringIO
from itertools import accumulate, islice
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from buildbook.exchange.cells import (
    HEADING_WITHIN,
    MOST_COLUMNS,
    MOST_ROWS,
    Knows,
    Sheet,
    filled,
    find_heading,
    rearm,
    settle,
    unread,
)
from buildbook.exchange.opening import decode
from buildbook.trade.plain import clean

if TYPE_CHECKING:
    import pandas as pd

DELIMITERS = ",;\t|"
_HEAD = 2**18
_BLOCK = 2**16
_LINE_END = re.compile("\r\n|\r|\n")
_PRINTABLE = bytes((0x0A, 0x0D, *range(0x20, 0x7F)))


class _Record(NamedTuple):
    """One record near the top of the file: its first line, its cells, and the place in the text just after it."""

    line: int
    cells: list[str]
    end: int


class _Heading(NamedTuple):
    """Where the headings were found, with which delimiter, and how wide the rows near the top are."""

    delimiter: str
    record: _Record
    line_after: int
    width: int


def read_delimited(path: Path, raw: bytes, knows: Knows | None) -> Sheet:
    """Read the bytes of a CSV file, parted by commas, semicolons, tabs or bars, into a Sheet.

    Every cell stays text ("NA", "007", "1E5"). Raises BadInput when no headings are found, a quotation mark is never
    closed, a row has more than 500 cells, or there are more than 200,000 rows.
    """
    text, encoding = decode(path, raw)
    heading = _find(path, text, knows)
    body = _after(raw, text, heading.record.end, encoding)
    survey = _survey(body, heading.delimiter)
    frame = _parsed(path, body, heading, most=MOST_ROWS + 1 if survey.lines > MOST_ROWS else None)
    columns = [frame[name].tolist() for name in frame.columns]
    numbers = _line_numbers(survey.lines, columns, heading.line_after)
    if not survey.plain or not isinstance(numbers, range):
        columns = [settle(column) for column in columns]
    elif b"'" in body:
        columns = [[rearm(cell) if cell[:1] == "'" else cell for cell in column] for column in columns]
    headings = settle(heading.record.cells)
    headings += [""] * (len(columns) - len(headings))
    table = filled(headings, numbers, columns)
    return Sheet(
        path=path,
        heading_row=heading.record.line,
        headings=table.headings,
        numbers=table.numbers,
        columns=table.columns,
        preamble=_preamble(text, heading),
        encoding=encoding,
        delimiter=heading.delimiter,
    )


class _Survey(NamedTuple):
    """What can be told from all bytes at once: how many lines there are, and whether all cells are plain already."""

    lines: int
    plain: bool


def _find(path: Path, text: str, knows: Knows | None) -> _Heading:
    """Try every delimiter on the first rows; take the one under which most headings are known, then most rows part."""
    best: tuple[tuple[int, int], _Heading] | None = None
    head = text[:_HEAD]
    for delimiter in (mark for mark in DELIMITERS if mark == "," or mark in head):
        records = _records(head, delimiter, cut=len(head) < len(text))
        rows = [record.cells for record in records]
        index, known = find_heading(rows, knows)
        if not known:
            continue
        widths = Counter(len(cells) for cells in rows if len(cells) > 1)
        score = (known, sum(widths.values()))
        if best is None or score > best[0]:
            after = records[index + 1].line if index + 1 < len(records) else 0
            width = max(map(len, rows[index:]))
            record = records[index]
            best = score, _Heading(delimiter, record, after or len(_LINE_END.findall(text, 0, record.end)) + 1, width)
    if best is None:
        raise unread(
            path,
            f"None of its first {HEADING_WITHIN} rows has a heading that is known.",
            "Put one row of headings, such as part and quantity, above the rows.",
        )
    return best[1]


def _records(head: str, delimiter: str, *, cut: bool) -> list[_Record]:
    lines = StringIO(head, newline="")
    reader = csv.reader(iter(lines.readline, ""), delimiter=delimiter, skipinitialspace=True)
    records: list[_Record] = []
    line = 1
    try:
        for cells in reader:
            records.append(_Record(line, cells, lines.tell()))
            line = reader.line_num + 1
            if len(records) == HEADING_WITHIN:
                return records
    except csv.Error:  # a cell longer than the module allows: what came before it must do
        return records
    return records[:-1] if cut else records  # the last one may be half a row


def _parsed(path: Path, body: bytes, heading: _Heading, *, most: int | None) -> pd.DataFrame:
    """Let pandas part the body into columns of text, widening the table when a later row has more cells."""
    import pandas as pd

    width = heading.width
    while width <= MOST_COLUMNS:
        try:
            frame = pd.read_csv(
                BytesIO(body),
                sep=heading.delimiter,
                header=None,
                names=range(width),
                index_col=False,
                dtype=object,
                na_filter=False,
                keep_default_na=False,
                skip_blank_lines=False,
                skipinitialspace=True,
                nrows=most,
                engine="c",
            )
        except pd.errors.EmptyDataError:
            return pd.DataFrame(columns=range(width), dtype=object)
        except pd.errors.ParserError as fault:
            width = _wider(path, body, heading, width, str(fault))
        else:
            if len(frame) > MOST_ROWS:
                raise unread(path, f"It has more than {MOST_ROWS:,} rows.", "Split it into smaller files.")
            return frame
    line = _line_at_fault(body, heading)
    raise unread(path, f"The row in line {line} has more than {MOST_COLUMNS} cells.", "Delete empty columns.")


def _wider(path: Path, body: bytes, heading: _Heading, width: int, fault: str) -> int:
    """Give a width that takes the row on which pandas stopped, or say what is wrong with the file."""
    if wide := re.search(r"Expected \d+ fields in line \d+, saw (\d+)", fault):
        return int(wide[1]) if int(wide[1]) > MOST_COLUMNS else min(MOST_COLUMNS, max(int(wide[1]), 2 * width))
    if "EOF inside string" in fault:
        line = _line_at_fault(body, heading)
        raise unread(path, f"A quotation mark in line {line} is never closed.", f"Close or remove it in line {line}.")
    raise unread(path, "It could not be parted into rows and cells.")


def _line_at_fault(body: bytes, heading: _Heading) -> int:
    """Find the line where the first row that is too wide starts, else the last row: a lone quotation mark begins it."""
    reader = csv.reader(StringIO(body.decode(), newline=""), delimiter=heading.delimiter, skipinitialspace=True)
    start = end = 0
    with suppress(csv.Error):  # the cell after the quotation mark is longer than the module allows
        for cells in reader:
            start, end = end, reader.line_num
            if len(cells) > MOST_COLUMNS:
                return heading.line_after + start
        return heading.line_after + start
    return heading.line_after + end


def _line_numbers(lines: int, columns: Sequence[Sequence[str]], first: int) -> Sequence[int]:
    """Give the line on which each record starts: one after the other, unless cells hold line ends."""
    count = len(columns[0])
    if count == lines:
        return range(first, first + count)
    spans = (1 + sum(len(_LINE_END.findall(cell)) for cell in cells) for cells in zip(*columns, strict=True))
    return list(accumulate(spans, initial=first))[:-1]


def _after(raw: bytes, text: str, end: int, encoding: str) -> bytes:
    """Give what stands after the headings as UTF-8, without coding it anew where it is UTF-8 already."""
    if encoding in ("utf-8", "utf-8-sig"):
        return raw[len(text[:end].encode(encoding)) :]
    return text[end:].encode()


def _survey(body: bytes, delimiter: str) -> _Survey:
    """Count the lines, and look for blanks and characters that cleaning would take away, without a look at any cell.

    A blank may stand between two words, never beside another one, a mark or an end. It goes block by block, for what
    stays in the processor's cache costs a third.
    """
    import numpy as np

    codes = np.frombuffer(body, np.uint8)
    after = codes[1:] if len(codes) > 1 else codes
    ordinary = _PRINTABLE + b"\t" if delimiter == "\t" else _PRINTABLE
    edges = np.zeros(256, np.bool_)
    edges[list(f' {delimiter}\r\n"'.encode())] = True
    ends, loose, rare = 0, body[-1:] == b" ", b""
    for start in range(0, len(body), _BLOCK):
        block = codes[start : start + _BLOCK]
        blanks, returns = (np.flatnonzero(block == code) + start for code in b" \r")
        loose = loose or bool(edges[after.take(blanks, mode="clip")].any() or (codes[blanks - 1] == 0x22).any())
        pairs = np.count_nonzero(after.take(returns, mode="clip") == 0x0A)
        ends += int(np.count_nonzero(block == 0x0A)) + len(returns) - int(pairs)
        rare += body[start : start + _BLOCK].translate(None, ordinary)
    # Without the bytes of printable ASCII only whole characters are left, for UTF-8 never mixes the two.
    strange = rare.decode()
    plain = not loose and unicodedata.is_normalized("NFC", strange)
    plain = plain and not any(unicodedata.combining(one) or clean(one) != one for one in set(strange))
    return _Survey(ends + (body[-1:] not in b"\r\n"), plain)


def _preamble(text: str, heading: _Heading) -> tuple[str, ...]:
    lines = islice(StringIO(text[: heading.record.end], newline=None), heading.record.line - 1)
    plain = (clean(line, limit=_HEAD).strip(f'{heading.delimiter}" ') for line in lines)
    return tuple(line for line in plain if line)
