"""Moments ahead as people say them: the time of this day, tomorrow, a day of this week, else the date."""

from __future__ import annotations

from datetime import UTC, datetime

from buildbook.trade.moments import MONTHS

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def clock_time(minutes: int, now: int) -> str:
    """A moment in local time, as it is said at another; both in minutes since 1970 UTC.

    >>> clock_time(0, 0) == f"{local(0):%H:%M}"
    True
    """
    at, here = local(minutes), local(now)
    days = (at.date() - here.date()).days
    if days == 0:
        return f"{at:%H:%M}"
    if days == 1:
        return f"tomorrow {at:%H:%M}"
    if 1 < days < 7:
        return f"{DAYS[at.weekday()]} {at:%H:%M}"
    year = f" {at.year}" if at.year != here.year else ""
    return f"{at.day} {MONTHS[at.month - 1]}{year} {at:%H:%M}"


def local(minutes: int) -> datetime:
    """A moment in local time."""
    return datetime.fromtimestamp(minutes * 60, UTC).astimezone()


def day_said(day: str) -> str:
    """A day written as ISO 8601, as people say it; nothing stays nothing.

    >>> day_said("2026-12-04")
    '4 Dec'
    """
    return f"{int(day[8:])} {MONTHS[int(day[5:7]) - 1]}" if day else ""
