r"""Calendars for other programs, by RFC 5545: entries with alarms, in UTC, lines folded at 75 octets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import NamedTuple

from buildbook import __version__
from buildbook.answers.agenda import DELIVERY, SESSION, AgendaRow
from buildbook.exchange.writing import put_bytes
from buildbook.trade.plain import clean

# RFC 5545, 3.1: a line has 75 octets at most, its end not counted; what is folded goes on after a blank.
LONGEST_LINE = 75
LONGEST_TEXT = 100_000
# RFC 7986 recommends a UID that nobody else makes; the same entry keeps its own.
HOME = "buildbook"
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})


class Entry(NamedTuple):
    """One entry: moments, or days for what lasts whole days, of which the last is not part of it.

    `busy` says that it takes the time of whoever reads it. An `alarm` is told at its end.
    """

    uid: str
    start: datetime | date
    end: datetime | date
    summary: str
    description: str = ""
    alarm: bool = False
    busy: bool = True


def write_calendar(path: Path, rows: Iterable[AgendaRow], stamp: datetime) -> int:
    """Write the entries of an agenda into a file, and return how many there are.

    Raises BadInput for a place where nothing can be written, StoreFault when the disk fails; the file that was there
    before is then untouched.
    """
    entries = [entry_of(row) for row in rows]
    text = calendar_text(entries, stamp).encode()

    put_bytes(path, text)
    return len(entries)


def entry_of(row: AgendaRow) -> Entry:
    """An entry of the calendar, from a row of the agenda."""
    start: datetime | date
    end: datetime | date
    if row.kind == DELIVERY:
        start, end = date.fromisoformat(row.start), date.fromisoformat(row.end)
    else:
        start, end = datetime.fromisoformat(row.start), datetime.fromisoformat(row.end)
    lines = "\n".join(row.lines)
    return Entry(row.uid, start, end, row.summary, lines, alarm=row.alarm, busy=row.kind == SESSION)


def calendar_text(entries: Iterable[Entry], stamp: datetime) -> str:
    """The calendar as text with line ends by RFC 5545; `stamp` is the moment at which it was made.

    >>> from datetime import UTC, datetime
    >>> text = calendar_text([], datetime(2026, 11, 28, tzinfo=UTC))
    >>> text.split()[:2]
    ['BEGIN:VCALENDAR', 'VERSION:2.0']
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:-//Buildbook//Buildbook {__version__}//EN"]
    lines += ["CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    for entry in entries:
        lines += _entry_lines(entry, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{piece}\r\n" for line in lines for piece in folded(line))


def folded(line: str) -> Iterator[str]:
    """A line in pieces of 75 octets of UTF-8 at most, no letter broken in two; all but the first begin with a blank.

    >>> [len(piece) for piece in folded("x" * 160)]
    [75, 75, 12]
    """
    piece, octets = "", 0
    for sign in line:
        size = len(sign.encode())
        if octets + size > LONGEST_LINE:
            yield piece
            piece, octets = " ", 1
        piece += sign
        octets += size
    yield piece


def escaped(text: str) -> str:
    r"""A text as a property may hold it (RFC 5545, 3.3.11): plain; backslash, semicolon, comma, line ends are escaped.

    >>> escaped("Mask; prime, then\nwait")
    'Mask\\; prime\\, then\\nwait'
    """
    return clean(text, lines=True, limit=LONGEST_TEXT).translate(_ESCAPED)


def _entry_lines(entry: Entry, stamp: datetime) -> Sequence[str]:
    lines = [
        "BEGIN:VEVENT",
        f"UID:{escaped(entry.uid)}@{HOME}",
        f"DTSTAMP:{_moment(stamp)}",
        _when("DTSTART", entry.start),
        _when("DTEND", entry.end),
        f"SUMMARY:{escaped(entry.summary)}",
    ]
    lines += [f"DESCRIPTION:{escaped(entry.description)}"] if entry.description else []
    lines.append(f"TRANSP:{'OPAQUE' if entry.busy else 'TRANSPARENT'}")
    if entry.alarm:
        lines += ["BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{escaped(entry.summary)}"]
        lines += ["TRIGGER;RELATED=END:PT0S", "END:VALARM"]
    return [*lines, "END:VEVENT"]


def _when(name: str, at: datetime | date) -> str:
    return f"{name}:{_moment(at)}" if isinstance(at, datetime) else f"{name};VALUE=DATE:{at:%Y%m%d}"


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
