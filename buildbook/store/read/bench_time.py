"""The bench time as it is kept: two settings of the workshop."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

HOURS, ZONE = "bench_hours", "bench_zone"


class KeptHours(NamedTuple):
    """The hours as `reckon.calendar` reads them, and the time zone; both are empty where none were set."""

    hours: str
    zone: str


def kept_hours(reads: sqlite3.Connection) -> KeptHours:
    """What was set. Index: the unique one of setting."""
    found = dict(reads.execute("SELECT key, value FROM setting WHERE key IN (?, ?)", (HOURS, ZONE)))
    return KeptHours(found.get(HOURS, ""), found.get(ZONE, ""))
