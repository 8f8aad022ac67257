"""The rows behind the workshop as a whole: its settings, how much is in it, and the codes that somebody may type."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

# Above every letter, so that a code and this ends the range of what begins with that code.
LAST_SIGN = chr(0x10FFFF)


def settings(reads: sqlite3.Connection) -> dict[str, str]:
    """Every setting that has been set."""
    return dict(reads.execute("SELECT key, value FROM setting ORDER BY key"))


class Counts(NamedTuple):
    """How much there is."""

    projects: int
    builds: int
    parts: int
    bins: int
    notes: int
    open_questions: int


COUNTS = """
    SELECT (SELECT count(*) FROM project), (SELECT count(*) FROM build), (SELECT count(*) FROM part),
           (SELECT count(*) FROM bin), (SELECT count(*) FROM entry),
           (SELECT count(*) FROM choice WHERE state = 'open')
"""


def counts(reads: sqlite3.Connection) -> Counts:
    """How many projects, builds, parts, bins, notes and open questions there are."""
    return Counts(*reads.execute(COUNTS).fetchone())


LAST_ACTION = "SELECT at, title FROM journal_entry ORDER BY id DESC LIMIT 1"


def last_action(reads: sqlite3.Connection) -> tuple[str, str]:
    """When something was last done, and what; empty when nothing ever was."""
    found = reads.execute(LAST_ACTION).fetchone()
    return (str(found[0]), str(found[1])) if found else ("", "")


# Index: part_key_folded for parts; the others are few.
CODES = {
    "build": """
        SELECT b.code, p.name FROM build AS b JOIN project AS p ON p.id = b.project_id
         WHERE lower(b.code) >= :first AND lower(b.code) < :last ORDER BY b.priority, b.id
    """,
    "assembly": """
        SELECT p.code || '/' || a.code AS path, a.name FROM assembly AS a JOIN project AS p ON p.id = a.project_id
         WHERE lower(path) >= :first AND lower(path) < :last
        UNION ALL
        SELECT a.code, a.name FROM assembly AS a WHERE lower(a.code) >= :first AND lower(a.code) < :last
         ORDER BY 1 LIMIT :most
    """,
    "choice": """
        SELECT p.code || '/' || c.code AS path, c.question FROM choice AS c JOIN project AS p ON p.id = c.project_id
         WHERE lower(path) >= :first AND lower(path) < :last
        UNION ALL
        SELECT c.code, c.question FROM choice AS c WHERE lower(c.code) >= :first AND lower(c.code) < :last
         ORDER BY 1 LIMIT :most
    """,
    "part": """
        SELECT key, name FROM part WHERE lower(key) >= :first AND lower(key) < :last ORDER BY lower(key) LIMIT :most
    """,
}


def codes(reads: sqlite3.Connection, kind: str, begun: str, most: int) -> list[tuple[str, str]]:
    """Codes of that kind that begin so, small and capital letters alike, each with its name."""
    first = begun.lower()
    values = {"first": first, "last": first + LAST_SIGN, "most": most}
    return [(str(code), str(name)) for code, name in reads.execute(CODES[kind], values)]
