"""When somebody is at the bench: weekly hours, days that are different, and the sessions that come of them.

Hours are local time, because a builder says "Tuesdays at half past seven"; sessions are instants (whole minutes since
1970-01-01 00:00 UTC), because a coat dries by the true clock, over a change to summer time as on any other night.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import accumulate
from types import MappingProxyType
from typing import NamedTuple, TypeAlias
from zoneinfo import ZoneInfo

from buildbook.errors import BadInput

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_MIN = 24 * 60

_EARLIEST, _LATEST = ((date(year, 1, 1) - date(1970, 1, 1)).days * DAY_MIN for year in (1900, 9000))

_SPAN = re.compile(r"(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})")
_NONE = "none"


class Span(NamedTuple):
    """Local minutes after midnight, 0 to 1440, from the first up to the last."""

    since: int
    until: int


class Session(NamedTuple):
    """A time at the bench: minutes since the epoch (UTC), from the first up to the last."""

    start: int
    end: int


Spans: TypeAlias = tuple[Span, ...]
_NO_EXCEPTIONS: Mapping[date, Spans] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Calendar:
    """The hours of each weekday (0 is Monday), the dates that are different (empty: not at all), and the zone.

    Raises BadInput where there are no hours at all, a span runs backwards, leaves the day or overlaps another, or
    nobody knows the zone.
    """

    weekly: Mapping[int, Spans]
    exceptions: Mapping[date, Spans] = field(default_factory=lambda: _NO_EXCEPTIONS)
    zone: str = "UTC"

    def __post_init__(self) -> None:
        for weekday, spans in self.weekly.items():
            _refuse_impossible(_weekday(weekday), spans)
        for day, spans in self.exceptions.items():
            _refuse_impossible(day.isoformat(), spans)
        if not any(self.weekly.values()) and not any(self.exceptions.values()):
            raise BadInput(
                "The bench time was not taken.", "It has no hours at all.", "Give at least one span of time."
            )
        _zone(self.zone)


def read(text: str, zone: str = "UTC") -> Calendar:
    """Read bench time as a builder writes it: the week in the first lines, then a line for each date that is different.

    Spans are divided by commas; a span without a day belongs to the day before it. 24:00 is the end of the day.

    >>> bench = read("tue 19:30-22:00, sat 10:00-12:00, 13:00-16:00\\n2027-01-02: none")
    >>> bench.weekly[1], len(bench.weekly[5]), bench.exceptions
    ((Span(since=1170, until=1320),), 2, {datetime.date(2027, 1, 2): ()})
    """
    weekly: dict[int, list[Span]] = {}
    exceptions: dict[date, Spans] = {}
    for line in filter(None, map(str.strip, text.splitlines())):
        if line[0].isdigit():
            day, _, spans = line.partition(":")
            exceptions[_date(day, line)] = _spans(spans, line)
        else:
            _read_week(line, weekly)
    ordered = {day: tuple(sorted(weekly[day])) for day in sorted(weekly)}
    return Calendar(ordered, dict(sorted(exceptions.items())), zone)


def write(calendar: Calendar) -> str:
    """Write bench time as `read` reads it.

    >>> write(read("sat 10:00-16:00, tue 19:30-22:00"))
    'tue 19:30-22:00, sat 10:00-16:00'
    """
    week = [f"{DAYS[day]} {_said(span)}" for day in range(len(DAYS)) for span in calendar.weekly.get(day, ())]
    lines = [", ".join(week)] if week else []
    for day, spans in sorted(calendar.exceptions.items()):
        lines.append(f"{day.isoformat()}: {', '.join(map(_said, spans)) or _NONE}")
    return "\n".join(lines)


def sessions(calendar: Calendar, since: int, until: int) -> tuple[Session, ...]:
    """List the sessions between two instants, in minutes since the epoch, cut off where these fall into one.

    Sessions that touch are one. A session over the change of the clocks has its true length; a local time that the
    change leaves out is shifted by it, and one that comes twice is taken the first time.

    >>> sessions(read("fri 20:00-24:00, sat 00:00-01:00", "Europe/Berlin"), 0, 7 * 24 * 60)
    (Session(start=2580, end=2880),)
    """
    zone = _zone(calendar.zone)
    # A day more at each side: no zone is further than that from UTC.
    day = _day_of(since) - timedelta(days=1)
    last = _day_of(until) + timedelta(days=1)
    found: list[Session] = []
    while day <= last:
        for span in calendar.exceptions.get(day, calendar.weekly.get(day.weekday(), ())):
            start = max(since, _instant(day, span.since, zone))
            end = min(until, _instant(day, span.until, zone))
            if start < end:
                found.append(Session(start, end))
        day += timedelta(days=1)
    return joined(found)


def enough_sessions(calendar: Calendar, since: int, least_min: int, until: int) -> tuple[Session, ...]:
    """List the sessions from `since` to `until`, and further until at least `least_min` minutes lie after `until`.

    Raises BadInput where the calendar has not that much to come (only dates, no week).
    """
    step = max(28 * DAY_MIN, until - since)
    weekly = any(calendar.weekly.values())
    last = max(since, until)
    while True:
        last += step
        found = sessions(calendar, since, last)
        if sum(max(0, end - max(start, until)) for start, end in found) >= least_min:
            return found
        if not weekly and last > _instant(max(calendar.exceptions), DAY_MIN, _zone(calendar.zone)):
            raise BadInput(
                "The bench time ends too early.", "No week is given, only dates.", "Give the hours of a week."
            )
        step *= 2


def joined(found: Iterable[tuple[int, int]]) -> tuple[Session, ...]:
    """Put sessions in order, and those that touch or overlap together.

    >>> joined([(50, 60), (10, 20), (20, 30)])
    (Session(start=10, end=30), Session(start=50, end=60))
    """
    whole: list[Session] = []
    for start, end in sorted(found):
        if whole and start <= whole[-1].end:
            whole[-1] = Session(whole[-1].start, max(end, whole[-1].end))
        else:
            whole.append(Session(start, end))
    return tuple(whole)


class BenchTime:
    """Sessions laid end to end: minute 0 is the first minute of the first, and nothing happens between them.

    A minute at which two sessions meet is the end of the one for what ends there, and the start of the other for what
    starts there.
    """

    def __init__(self, sessions: Iterable[tuple[int, int]]) -> None:
        self.sessions: Sequence[Session] = joined(session for session in sessions if session[0] < session[1])
        self.starts = [session.start for session in self.sessions]
        self.lengths = [session.end - session.start for session in self.sessions]
        self.offsets = [0, *accumulate(self.lengths)]
        self.total = self.offsets[-1]

    def before(self, instant: int) -> int:
        """Count the bench minutes before an instant: also the first of them at which work may start from then on."""
        at = bisect_right(self.starts, instant) - 1
        return 0 if at < 0 else self.offsets[at] + min(instant - self.starts[at], self.lengths[at])

    def start(self, minute: int) -> int:
        """Tell the instant at which work starts that starts at this bench minute."""
        at = self.session_from(minute)
        return self.starts[at] + minute - self.offsets[at]

    def end(self, minute: int) -> int:
        """Tell the instant at which work ends that ends at this bench minute."""
        at = max(bisect_left(self.offsets, minute) - 1, 0)
        return self.starts[at] + minute - self.offsets[at]

    def session_from(self, minute: int) -> int:
        """Tell in which session work starts that starts at this bench minute, counted from 0."""
        return min(bisect_right(self.offsets, minute), len(self.starts)) - 1

    def over(self, minute: int, wait_min: int) -> int:
        """Tell the first bench minute at which a wait is over that began with the end of work at this one."""
        return self.before(self.end(minute) + wait_min) if wait_min else minute

    def in_one(self, minute: int, work_min: int) -> int:
        """Tell the first bench minute, from this one, at which work may start and end in the same session."""
        at = self.session_from(minute)
        if minute + work_min <= self.offsets[at + 1]:
            return minute
        for later in range(at + 1, len(self.lengths)):
            if work_min <= self.lengths[later]:
                return self.offsets[later]
        return self.total


class Straight(NamedTuple):
    """Where a function of bench minutes is straight: from `since` up to `until` it is x + `by`, or `by` where flat."""

    since: int
    until: int
    by: int
    flat: bool


def over_pieces(bench: BenchTime, since: int, until: int, wait: int, *, after_end: bool) -> list[Straight]:
    """Cut the bench minute at which a wait is over into straight pieces, by that of the end (or start) before it."""
    pieces: list[Straight] = []
    minute = since
    while minute <= until:
        instant = (bench.end(minute) if after_end else bench.start(minute)) + wait
        session = bench.session_from(minute)
        if after_end and minute == bench.offsets[session] and session:
            session -= 1
        last = min(until, bench.offsets[session + 1] - (not after_end))
        at = bench.session_from(bench.before(instant)) if bench.before(instant) < bench.total else len(bench.starts)
        if at < len(bench.starts) and instant >= bench.starts[at]:
            stretch, piece = bench.sessions[at].end - instant, (bench.before(instant) - minute, False)
        else:
            stretch = bench.starts[at] - instant if at < len(bench.starts) else last - minute
            piece = (bench.before(instant), True)
        last = min(last, minute + stretch)
        if pieces and (pieces[-1].by, pieces[-1].flat) == piece:
            pieces[-1] = pieces[-1]._replace(until=last)
        else:
            pieces.append(Straight(minute, last, *piece))
        minute = last + 1
    return pieces


def too_little() -> BadInput:
    """Say that the sessions are not enough for the steps."""
    return BadInput("The steps were not planned.", "The bench time is not enough for them.", "Give more bench time.")


def _instant(day: date, minute: int, zone: ZoneInfo) -> int:
    """The true instant of a local time; `fold=0` shifts what does not exist and takes the first of what comes twice."""
    local = datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(minutes=minute)
    return int(local.timestamp()) // 60


def _day_of(instant: int) -> date:
    if not _EARLIEST <= instant <= _LATEST:
        raise BadInput("The bench time does not reach so far.", "It is reckoned for the years 1900 to 9000 only.")
    return date(1970, 1, 1) + timedelta(minutes=instant)


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as unknown:
        raise BadInput(
            "The bench time was not taken.", f"There is no time zone {name!r}.", 'Name one, like "Europe/Berlin".'
        ) from unknown


def _refuse_impossible(day: str, spans: Sequence[Span]) -> None:
    reached = 0
    for since, until in sorted(spans):
        if not 0 <= since < until <= DAY_MIN:
            raise _not_taken(f"On {day}, {_said(Span(since, until))} runs backwards or leaves the day.")
        if since < reached:
            raise _not_taken(f"On {day}, {_said(Span(since, until))} overlaps the span before it.")
        reached = until


def _read_week(line: str, weekly: dict[int, list[Span]]) -> None:
    day = -1
    for item in line.split(","):
        name, _, hours = item.strip().partition(" ")
        if name[:3].lower() in DAYS and name.isalpha():
            day = DAYS.index(name[:3].lower())
        else:
            hours = item
        if day < 0:
            raise _not_read(line)
        weekly.setdefault(day, []).extend(_spans(hours, line))


def _spans(text: str, line: str) -> Spans:
    if text.strip().lower() == _NONE:
        return ()
    spans = []
    for item in text.split(","):
        if not (match := _SPAN.fullmatch(item.strip())):
            raise _not_read(line)
        hour, minute, last_hour, last_minute = map(int, match.groups())
        if max(hour, last_hour) > 24 or max(minute, last_minute) > 59:
            raise _not_taken(f"There is no such time as in {item.strip()!r}.")
        spans.append(Span(hour * 60 + minute, last_hour * 60 + last_minute))
    return tuple(spans)


def _date(text: str, line: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError as wrong:
        raise _not_read(line) from wrong


def _said(span: Span) -> str:
    return "-".join(f"{minute // 60:02}:{minute % 60:02}" for minute in span)


def _weekday(day: int) -> str:
    if not 0 <= day < len(DAYS):
        raise _not_taken(f"There is no weekday {day}.")
    return DAYS[day]


def _not_taken(why: str) -> BadInput:
    return BadInput("The bench time was not taken.", why, "Give spans like 19:30-22:00, one after the other.")


def _not_read(line: str) -> BadInput:
    return BadInput(
        "The bench time was not read.",
        f"{line[:60]!r} is not understood.",
        'Write "tue 19:30-22:00, sat 10:00-16:00", and dates as "2027-01-02: none".',
    )
