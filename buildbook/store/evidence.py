"""What a proof of the workshop file says: a sentence with counts, and the rows that speak against it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from typing import NamedTuple


class Evidence(NamedTuple):
    """What a proof says when no fault is found, and the faults, found one by one."""

    sentence: str
    faults: Iterable[str]


def many(count: int, one: str, more: str = "") -> str:
    """A count with its noun.

    >>> many(1, "part"), many(1200, "part"), many(0, "entry", "entries")
    ('1 part', '1,200 parts', '0 entries')
    """
    return f"{count:,} {one if count == 1 else more or one + 's'}"


def count_of(db: sqlite3.Connection, statement: str) -> int:
    """The one number that a statement asks for."""
    return int(db.execute(statement).fetchone()[0])


def texts(db: sqlite3.Connection, *statements: str) -> Iterator[str]:
    """The faults that statements find; each row is one, in words."""
    return (str(row[0]) for statement in statements for row in db.execute(statement))
