"""Days as one types them at the bench: the date itself, or how long from now."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import date, datetime, timedelta

from buildbook.errors import BadInput
from buildbook.trade.moments import MONTHS

MINUTES_OF_DAY = 24 * 60
_DOTTED = re.compile(r"(?P<day>[0-9]{1,2})\.\s?(?P<month>[0-9]{1,2})\.\s?(?P<year>[0-9]{4})?")
_WORDED = re.compile(r"(?P<day>[0-9]{1,2})\.?\s+(?P<month>[A-Za-z]{3,9})\.?(?:\s+(?P<year>[0-9]{4}))?")
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def today() -> date:
    """This day, as the calendar on the wall has it."""
    return datetime.now().astimezone().date()


def read_day(text: str, *, now: date | None = None) -> str:
    """A day as ISO 8601 writes it, from 2026-12-04, 4.12.2026, 4 Dec, or a time from now such as 10 d or 2 weeks.

    Without a year it is the next such day that comes. Raises BadInput for what is no day.

    >>> read_day("4 Dec", now=date(2026, 11, 28)), read_day("2 weeks", now=date(2026, 11, 28))
    ('2026-12-04', '2026-12-12')
    """
    plain, here = text.strip(), now or today()
    with suppress(ValueError):
        return date.fromisoformat(plain).isoformat()
    found = _DOTTED.fullmatch(plain) or _WORDED.fullmatch(plain)
    with suppress(ValueError):  # the 31st of June, or no such month
        if found:
            on = date(int(found["year"] or here.year), month_of(found["month"]), int(found["day"]))
            return (on if found["year"] or on >= here else on.replace(year=on.year + 1)).isoformat()
    if not _DOTTED.fullmatch(plain):
        with suppress(BadInput, OverflowError):
            return (here + timedelta(days=read_days(plain))).isoformat()
    raise BadInput(f"{plain[:40]} is no day.", "", "Write 2026-12-04, 4 Dec, or how long from now, such as 10 d.")


def month_of(text: str) -> int:
    """The number of a month, given as such or by its name. Raises ValueError when there is none."""
    return int(text) if text.isdecimal() else MONTHS.index(text[:3].capitalize()) + 1


def read_days(text: str) -> int:
    """A number of whole days: 14, 14 d, 2 weeks. Raises BadInput for what is none.

    >>> read_days("2 weeks"), read_days("14")
    (14, 14)
    """
    from buildbook.trade.units import read_minutes

    plain = text.strip()
    if plain.isdecimal() and len(plain) <= 4:
        return int(plain)
    days, rest = divmod(read_minutes(plain), MINUTES_OF_DAY)
    if rest or not days:
        raise BadInput(f"{plain[:40]} is no number of whole days.", "", "Write 10 d or 2 weeks.")
    return days


def day_understood(text: str) -> str:
    """How a day is understood: "Friday, 4 Dec 2026"."""
    on = date.fromisoformat(read_day(text))
    return f"{WEEKDAYS[on.weekday()]}, {on.day} {MONTHS[on.month - 1]} {on.year}"
