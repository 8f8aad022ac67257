"""The workshop as if questions were answered otherwise: every answer reads on, and nothing is written.

SQLite looks for a table among the temporary ones first. So a connection of its own, with copies of the questions and of
their candidate answers in temporary tables of the same names, shows the whole design as those copies say.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

COPIES = """
    CREATE TEMP TABLE choice (id INTEGER PRIMARY KEY, project_id, code, question, state, reason);
    INSERT INTO temp.choice SELECT id, project_id, code, question, state, reason FROM main.choice;
    CREATE TEMP TABLE choice_option (id INTEGER PRIMARY KEY, choice_id, code, name, chosen);
    INSERT INTO temp.choice_option SELECT id, choice_id, code, name, chosen FROM main.choice_option;
"""


class AsIf:
    """A workshop whose questions may be answered for a moment; `shop` is asked like any other, and never written."""

    def __init__(self, shop: Workshop) -> None:
        self.shop = shop

    def answer(self, chosen: Mapping[int, int]) -> None:
        """Take these answers, question to answer, 0 for none of its answers; the other questions stay as they are."""
        reads = self.shop.reads
        reads.execute("PRAGMA query_only = OFF")
        for choice, option in chosen.items():
            reads.execute("UPDATE temp.choice_option SET chosen = (id = ?) WHERE choice_id = ?", (option, choice))
            state = "chosen" if option else "open"
            reads.execute("UPDATE temp.choice SET state = ? WHERE id = ?", (state, choice))
        reads.execute("PRAGMA query_only = ON")


@contextmanager
def as_if(shop: Workshop) -> Iterator[AsIf]:
    """A workshop to ask "what if?" of, as this one stands at the moment."""
    from buildbook.store.workshop import Workshop as Opened

    other = Opened(shop.path, clock=shop.clock, busy_ms=shop.busy_ms)
    try:
        reads: sqlite3.Connection = other.reads
        reads.execute("PRAGMA query_only = OFF")
        reads.execute("PRAGMA temp_store = MEMORY")
        reads.executescript(COPIES)
        reads.execute("PRAGMA query_only = ON")
        yield AsIf(other)
    finally:
        other.close()
