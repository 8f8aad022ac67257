"""How the book says days and counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.answers.form import count_of, join_words
from buildbook.trade.moments import MONTHS

if TYPE_CHECKING:
    from buildbook.answers.record_rows import Worked

STATES = ("done", "in hand", "waiting", "ready", "held", "dropped")


def day_said(at: str) -> str:
    """The day of a moment or a day of ISO 8601; nothing for nothing, and what is no day as it stands.

    >>> day_said("2026-11-14T18:00:00Z"), day_said("")
    ('14 Nov 2026', '')
    """
    year, _, rest = at[:10].partition("-")
    month, _, day = rest.partition("-")
    if not (month.isdecimal() and day.isdecimal() and 1 <= int(month) <= len(MONTHS)):
        return at
    return f"{int(day)} {MONTHS[int(month) - 1]} {year}"


def steps_said(work: Sequence[Worked]) -> str:
    """How many steps stand how.

    >>> steps_said(())
    'no steps'
    """
    counts = {state: sum(row.state == state for row in work) for state in STATES}
    said = [f"{number} {state}" for state, number in counts.items() if number]
    return f"{count_of(len(work), 'step')}{f': {join_words(said)}' if said else ''}"
