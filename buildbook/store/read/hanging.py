"""What hangs on the choices: the assemblies that stand where they do only because an option is chosen."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class HangingRow(NamedTuple):
    """An assembly inside another; on which choice that hangs, 0 for none."""

    parent: int
    child: int
    choice: int


# Indexes: contained_once, primary key of choice_option.
HANGING = """
    SELECT c.parent_id, c.child_id, coalesce(o.choice_id, 0)
      FROM contains AS c LEFT JOIN choice_option AS o ON o.id = c.option_id
     WHERE c.option_id IS NULL OR o.chosen = 1
"""


def hanging(reads: sqlite3.Connection) -> list[HangingRow]:
    """Which assembly holds which as the choices stand, and on which choice that hangs."""
    return [HangingRow._make(row) for row in reads.execute(HANGING)]


# Index: ix_step_option_id.
STEPS = """
    SELECT o.choice_id, s.id FROM step AS s JOIN choice_option AS o ON o.id = s.option_id
     WHERE o.chosen = 1 ORDER BY o.choice_id, s.id
"""


def steps_of_choices(reads: sqlite3.Connection) -> list[tuple[int, int]]:
    """The steps that come with a chosen answer: (choice, step)."""
    return reads.execute(STEPS).fetchall()


CHOICES = """
    SELECT c.id, p.code || '/' || c.code FROM choice AS c JOIN project AS p ON p.id = c.project_id
     WHERE c.state <> 'shelved'
"""


def choices(reads: sqlite3.Connection) -> dict[int, str]:
    """The choices that are not put off, as PROJECT/CHOICE, by number."""
    return dict(reads.execute(CHOICES))
