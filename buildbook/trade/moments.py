"""Moments as they are written down, ISO 8601 in UTC, and as they are reckoned with: minutes since 1970, UTC."""

from __future__ import annotations

from datetime import UTC, datetime


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
