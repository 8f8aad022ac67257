"""When somebody is at the bench: the hours that were set, else a usual week that is marked as assumed."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, NamedTuple
from zoneinfo import ZoneInfo

from buildbook.answers.form import Answer, count_of
from buildbook.answers.until import clock_time
from buildbook.reckon.calendar import DAY_MIN, Calendar, Session, read, sessions, write
from buildbook.store.read.bench_time import kept_hours
from buildbook.trade.moments import moment_of

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# What many builders have who work by day; common practice, and said wherever it is reckoned with.
USUAL = "tue 19:30-22:00, thu 19:30-22:00, sat 10:00-16:00"
LOOK_AHEAD_MIN = 28 * DAY_MIN
NEXT_SESSIONS = 6


class BenchTimes(NamedTuple):
    """The hours, and a sentence where they are only assumed."""

    calendar: Calendar
    assumed: str

    def date_of(self, minute: int) -> date:
        """The local day of a moment (minutes since 1970, UTC)."""
        return datetime.fromtimestamp(minute * 60, ZoneInfo(self.calendar.zone)).date()

    def minute_of(self, day: date, hour: int) -> int:
        """The moment of a full hour of a local day, in minutes since 1970, UTC."""
        return int(datetime(day.year, day.month, day.day, hour, tzinfo=ZoneInfo(self.calendar.zone)).timestamp()) // 60


def bench_times(shop: Workshop) -> BenchTimes:
    """The hours to reckon with. Raises BadInput where what is kept cannot be understood any more."""
    kept = kept_hours(shop.reads)
    if kept.hours:
        return BenchTimes(read(kept.hours, kept.zone or "UTC"), "")
    said = f'No bench hours are set: reckoned with {USUAL}; set them with `buildbook bench hours "..."`.'
    return BenchTimes(read(USUAL, kept.zone or zone_here()), said)


def zone_here() -> str:
    """The time zone of this machine by its name in the IANA database; UTC where it does not tell.

    >>> bool(ZoneInfo(zone_here()))
    True
    """
    named = os.environ.get("TZ", "").lstrip(":") or str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    try:
        return ZoneInfo(named or "UTC").key
    except (KeyError, ValueError, OSError):
        return "UTC"


class SessionRow(NamedTuple):
    """A time at the bench."""

    start: str
    end: str
    minutes: int


@dataclass(frozen=True, slots=True)
class BenchHours(Answer):
    """When somebody is at the bench: the week, the dates that are different, and the sessions to come."""

    SCHEMA: ClassVar[str] = "buildbook.bench-hours/1"
    hours: str
    exceptions: tuple[str, ...]
    zone: str
    assumed: bool
    rows: tuple[SessionRow, ...]


def bench_hours(shop: Workshop) -> BenchHours:
    """The hours, and the next sessions that come of them."""
    times = bench_times(shop)
    now = int(shop.clock().timestamp()) // 60
    week, *exceptions = write(times.calendar).split("\n")
    found = sessions(times.calendar, now, now + LOOK_AHEAD_MIN)[:NEXT_SESSIONS]
    said = times.assumed or f"At the bench {week}{_but(len(exceptions))} ({times.calendar.zone})."
    said += f" The next session: {session_said(found[0], now)}." if found else " There is no session in four weeks."
    rows = tuple(SessionRow(moment_of(start), moment_of(end), end - start) for start, end in found)
    return BenchHours(said, week, tuple(exceptions), times.calendar.zone, bool(times.assumed), rows)


def session_said(session: Session, now: int) -> str:
    """A session in local time as people say it: "tomorrow 19:30 to 22:00"."""
    end = clock_time(session.end, session.start)
    return f"{clock_time(session.start, now)} to {end}"


def _but(dates: int) -> str:
    return f", other than that on {count_of(dates, 'date')}" if dates else ""
