"""Proofs of the journal: it has no gap, and what it tells of every row leads to the row as it stands."""

from __future__ import annotations

import json
import sqlite3
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any

from buildbook.store.evidence import Evidence, count_of, many, texts

GAPS = """
    SELECT printf('%s: the last number given is %d, and %d stand there', s.name, s.seq, t.stand)
      FROM sqlite_sequence AS s
      JOIN (SELECT 'journal_entry' AS name, count(*) AS stand FROM journal_entry
            UNION ALL SELECT 'journal_change', count(*) FROM journal_change) AS t ON t.name = s.name
     WHERE s.seq <> t.stand
"""
EMPTY_ENTRIES = """
    SELECT 'entry ' || id || ' tells of no row' FROM journal_entry
     WHERE id NOT IN (SELECT entry_id FROM journal_change)
"""
TARGETS = """
    SELECT printf('entry %d (%s) has no action before it to act on', e.id, e.kind) FROM journal_entry AS e
     WHERE (e.kind = 'do') <> (e.target_id IS NULL)
        OR e.target_id IS NOT NULL
           AND NOT EXISTS (SELECT 1 FROM journal_entry AS t WHERE t.id = e.target_id AND t.kind = 'do' AND t.id < e.id)
"""
ALTERNATE = """
    SELECT printf('entry %d (%s) of entry %d is out of turn', id, kind, target_id)
      FROM (SELECT id, kind, target_id, row_number() OVER (PARTITION BY target_id ORDER BY id) AS turn
              FROM journal_entry WHERE target_id IS NOT NULL)
     WHERE kind <> iif(turn % 2 = 1, 'undo', 'redo')
"""
# The tables whose rows the journal tells of: all that number their rows, but the journal itself, and what SQLite keeps
# the index of words in.
JOURNALLED = """
    SELECT t.name FROM pragma_table_list AS t JOIN pragma_table_info(t.name) AS c
     WHERE t.schema = 'main' AND t.type = 'table' AND c.name = 'id'
       AND t.name NOT IN ('journal_entry', 'journal_change') ORDER BY t.name
"""
STRAY = """
    SELECT 'change ' || min(id) || ' tells of a table ' || tab || ' that is not there' FROM journal_change
     WHERE tab NOT IN (SELECT t.name FROM sqlite_master AS t WHERE t.type = 'table') GROUP BY tab
"""
# Index: journal_change_row, which ends in the number of the change.
TELLINGS = """
    SELECT id, first_id, rows, fields, before, after FROM journal_change WHERE tab = ? ORDER BY first_id, id
"""

Values = Sequence[Any]
Told = tuple[int, str, Values | None, Values | None]


def journal_is_in_order(db: sqlite3.Connection) -> Evidence:
    """Entries are numbered without gaps, and undo and redo take turns on actions that exist."""
    count = count_of(db, "SELECT count(*) FROM journal_entry")
    return Evidence(
        f"{many(count, 'entry', 'entries')} without a gap; undo and redo take turns.",
        texts(db, GAPS, EMPTY_ENTRIES, TARGETS, ALTERNATE),
    )


def journal_tells_every_row(db: sqlite3.Connection) -> Evidence:
    """Each change of a row begins where the one before it ended, and the last one ends with the row as it stands."""
    tables = [str(row[0]) for row in db.execute(JOURNALLED)]
    changes = count_of(db, "SELECT count(*) FROM journal_change")
    rows = sum(count_of(db, f"SELECT count(*) FROM {tab}") for tab in tables)
    return Evidence(
        f"{many(changes, 'change leads', 'changes lead')} to {many(rows, 'row')} as the tables hold them.",
        chain(texts(db, STRAY), *(_broken_chains(db, tab) for tab in tables)),
    )


def _broken_chains(db: sqlite3.Connection, tab: str) -> Iterator[str]:
    """Walk a table and its changes side by side, in the order of the rows' numbers."""
    names = [str(row[1]) for row in db.execute(f"PRAGMA table_info({tab})") if row[1] != "id"]
    fields = json.dumps(names, separators=(",", ":"))
    standing = db.execute(f"SELECT id, {', '.join(names)} FROM {tab} ORDER BY id")
    row = standing.fetchone()
    for number, story in _stories(db, tab):
        while row is not None and row[0] < number:
            yield f"row {row[0]} of {tab} was never journalled"
            row = standing.fetchone()
        now = None
        if row is not None and row[0] == number:
            now = list(row[1:])
            row = standing.fetchone()
        yield from _breaks(tab, number, story, (fields, now))
    while row is not None:
        yield f"row {row[0]} of {tab} was never journalled"
        row = standing.fetchone()


def _stories(db: sqlite3.Connection, tab: str) -> Iterator[tuple[int, list[Told]]]:
    """All that the journal tells of each row, row by row, reading every change once and holding a few at a time.

    Changes come in the order of their first row, so all is told of the rows before it; and the rows still held follow
    each other without a gap, so that the oldest is always the lowest.
    """
    held: OrderedDict[int, list[Told]] = OrderedDict()
    for change, first, rows, fields, before, after in db.execute(TELLINGS, (tab,)):
        while held and next(iter(held)) < first:
            yield held.popitem(last=False)
        was, became = ([None] * rows if not image else json.loads(image) for image in (before, after))
        if not len(was) == len(became) == rows:
            raise ValueError("the images do not fit the rows")
        for index in range(rows):
            held.setdefault(first + index, []).append((change, fields, was[index], became[index]))
    yield from held.items()


def _breaks(tab: str, number: int, story: list[Told], now: tuple[str, Values | None]) -> Iterator[str]:
    fields, state = "", None
    for change, named, before, after in sorted(story, key=lambda told: told[0]):
        if not _same(fields, state, named, before):
            yield f"row {number} of {tab}: change {change} does not begin where the one before it ended"
        fields, state = named, after
    if not _same(fields, state, *now):
        what = "is gone without a record" if now[1] is None else "is not as its last change left it"
        yield f"row {number} of {tab} {what}"


def _same(fields: str, one: Values | None, other_fields: str, other: Values | None) -> bool:
    """Whether two images agree, in the columns that both know: a migration may have added one in between."""
    if one is None or other is None or fields == other_fields:
        return one == other
    left = dict(zip(json.loads(fields), one, strict=True))
    right = dict(zip(json.loads(other_fields), other, strict=True))
    return all(left[name] == right[name] for name in left.keys() & right.keys())
