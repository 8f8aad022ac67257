"""The rows against which foreign lists are matched: parts with all their names, and headings read before."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class KnownRow(NamedTuple):
    """A part with what a list may say of it."""

    id: int
    key: str
    kind: str
    name: str
    value: str
    package: str
    maker_number: str
    unit: str


def known_parts(reads: sqlite3.Connection) -> list[KnownRow]:
    """Every part."""
    statement = "SELECT id, key, kind, name, value_text, package, maker_number, unit FROM part ORDER BY id"
    return list(map(KnownRow._make, reads.execute(statement)))


def aliases(reads: sqlite3.Connection) -> list[tuple[int, str]]:
    """Other names under which parts have been met: (part, folded name)."""
    return reads.execute("SELECT part_id, alias FROM part_alias").fetchall()


def order_codes(reads: sqlite3.Connection) -> list[tuple[int, str]]:
    """Order codes of all offers: (part, code)."""
    return reads.execute("SELECT part_id, order_code FROM offer WHERE order_code <> ''").fetchall()


def mappings(reads: sqlite3.Connection, purpose: str) -> dict[str, str]:
    """Mappings of headings that people have given for such lists: set of headings to mapping."""
    return dict(reads.execute("SELECT headings, mapping FROM column_map WHERE purpose = ?", (purpose,)))


def options(reads: sqlite3.Connection, project: str) -> dict[str, int]:
    """The candidate answers of a project, by QUESTION:ANSWER."""
    statement = """
        SELECT c.code || ':' || o.code, o.id
          FROM choice AS c JOIN choice_option AS o ON o.choice_id = c.id JOIN project AS p ON p.id = c.project_id
         WHERE p.code = ?
    """
    return dict(reads.execute(statement, (project,)))
