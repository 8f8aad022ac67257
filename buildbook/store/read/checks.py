"""The rows behind Checks: the questions of the design and their candidate answers."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class ChoiceRow(NamedTuple):
    """A question of a project: open, chosen or shelved, with the reason."""

    id: int
    project: str
    code: str
    question: str
    state: str
    reason: str


CHOICES = """
    SELECT c.id, p.code, c.code, c.question, c.state, c.reason
      FROM choice AS c JOIN project AS p ON p.id = c.project_id
     ORDER BY c.state <> 'open', c.state, p.code, c.id
"""


def choices(reads: sqlite3.Connection) -> list[ChoiceRow]:
    """Every question, the open ones first."""
    return [ChoiceRow._make(row) for row in reads.execute(CHOICES)]


class OptionRow(NamedTuple):
    """A candidate answer, and how many lines, assemblies and steps it brings."""

    choice: int
    code: str
    name: str
    chosen: int
    lines: int
    assemblies: int
    steps: int


# Indexes: ix_line_option_id, ix_contains_option_id, ix_step_option_id.
OPTIONS = """
    SELECT o.choice_id, o.code, o.name, o.chosen,
           (SELECT count(*) FROM line WHERE option_id = o.id), (SELECT count(*) FROM contains WHERE option_id = o.id),
           (SELECT count(*) FROM step WHERE option_id = o.id)
      FROM choice_option AS o ORDER BY o.choice_id, o.id
"""


def options(reads: sqlite3.Connection) -> dict[int, list[OptionRow]]:
    """The candidate answers of each question."""
    found: dict[int, list[OptionRow]] = {}
    for row in map(OptionRow._make, reads.execute(OPTIONS)):
        found.setdefault(row.choice, []).append(row)
    return found
