"""Moments as they are written down, ISO 8601 in UTC, and as they are reckoned with: minutes since 1970, UTC."""

from __future__ import annotations

from datetime import UTC, datetime

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# A step in hand for longer than this was left lying, so its clock says nothing about the time it took.
LONGEST_SITTING_MIN = 12 * 60


def minutes_of(text: str) -> int | None:
    """The minutes of a moment as it is written down; None for none.

    >>> minutes_of("1970-01-02T00:30:59Z"), minutes_of("")
    (1470, None)
    """
    return int(datetime.fromisoformat(text).timestamp()) // 60 if text else None


def moment_of(minutes: int | None) -> str:
    """A moment as it is written down, from its minutes; empty for none.

    >>> moment_of(1470)
    '1970-01-02T00:30:00Z'
    """
    if minutes is None:
        return ""
    return datetime.fromtimestamp(minutes * 60, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def told_by_clock(ran_min: int) -> int:
    """The minutes that a running clock tells; none when it was left running, or set back.

    >>> told_by_clock(40), told_by_clock(LONGEST_SITTING_MIN + 1), told_by_clock(-3)
    (40, 0, 0)
    """
    return ran_min if 0 < ran_min <= LONGEST_SITTING_MIN else 0
