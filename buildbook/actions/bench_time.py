"""Bench time: the hours of the week at which somebody is at the bench, and the dates that are different."""

from __future__ import annotations

from collections.abc import Sequence

from buildbook.actions.rows import put, seek
from buildbook.errors import BadInput
from buildbook.reckon.calendar import Calendar, read, write
from buildbook.store.journal import Work, action
from buildbook.store.read.bench_time import HOURS, ZONE, kept_hours
from buildbook.store.tables import Setting
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, quote

USUAL_AGAIN = "usual"


def set_hours(shop: Workshop, week: str = "", *, zone: str = "", exceptions: Sequence[str] = ()) -> str:
    """Set the hours of the week, the zone, dates that are different, or some of these; return all as it is kept.

    What is not given stays as it was; a date said to be "usual" is like any other again. Raises BadInput for hours that
    cannot be: none in the whole week, a span that runs backwards or overlaps another, hour 25, a zone nobody knows.

    An exception is written "2026-12-24: none" or "2026-12-25: 10:00-12:00".
    """
    kept = kept_hours(shop.reads)
    week_lines = _lines(week) or _lines(kept.hours)[:1]
    if not week_lines:
        raise _not_taken("No hours of the week are given.", 'Give them, such as "tue 19:30-22:00, sat 10:00-16:00".')
    if len(week_lines) > 1 or week_lines[0][0].isdigit():
        raise _not_taken("The hours of the week are no list of dates.", "Give dates as exceptions.")
    place = clean(zone, what="zone") or kept.zone or "UTC"
    calendar = read("\n".join([*week_lines, *_dates(_lines(kept.hours)[1:], exceptions)]), place)
    if not any(calendar.weekly.values()):
        raise _not_taken("There are no hours in the whole week.", "Give at least one span of time.")
    text = write(calendar)
    with action(shop, f"Set bench hours: {_title(calendar)}") as work:
        _keep(work, HOURS, text)
        _keep(work, ZONE, calendar.zone)
    return text


def _lines(text: str) -> list[str]:
    return list(filter(None, (clean(line, limit=2000, what="bench time") for line in text.splitlines())))


def _dates(kept: Sequence[str], given: Sequence[str]) -> list[str]:
    """The dates kept and given, one line each; what is given later counts."""
    found: dict[str, str] = {}
    for line in (*kept, *given):
        day, colon, spans = clean(line, limit=2000, what="exception").partition(":")
        if not colon or not day[:1].isdigit():
            raise _not_taken(f"{quote(line)} is no date with its hours.", 'Write "2026-12-24: none".')
        if spans.strip().lower() == USUAL_AGAIN:
            found.pop(day.strip(), None)
        else:
            found[day.strip()] = f"{day.strip()}: {spans.strip()}"
    return list(found.values())


def _keep(work: Work, key: str, value: str) -> None:
    row = seek(work, Setting, key=key)
    if row is None:
        put(work, Setting(key=key, value=value))
    else:
        row.value = value


def _title(calendar: Calendar) -> str:
    week, *dates = write(calendar).split("\n")
    return f"{week} ({calendar.zone})" + (f", other on {len(dates)} dates" if dates else "")


def _not_taken(why: str, mend: str) -> BadInput:
    return BadInput("The bench time was not taken.", why, mend)
