"""The index of words: one row for each text that was ever written, so that any of them is found as one types.

The table `said` is a full-text index (SQLite FTS5). Triggers on the tables keep it, so that every action and every undo
keeps it right without knowing of it; it is not journalled, because `workshop check` can prove it and make it anew.

Words are whole ("unicode61", accents and capitals put aside) and a beginning of one to three letters has an index of
its own. Parts of three letters ("trigram") would find the middle of a word too, but cannot find "HT", "C3" or "1k" at
all, find "cap" in "escape", and take half as much room again; what begins no word is looked for within the texts.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from itertools import chain, zip_longest
from typing import TYPE_CHECKING, NamedTuple

from buildbook.store.evidence import Evidence, count_of, many, texts

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# A row's number in the index is that of its table times this, and its own: so the newest of each come first backwards.
ROOM = 2**40
OPTIONS = "tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3'"
# Writing these is told by themselves, and not also by the action of writing them; so are a snag opened or taken away.
TOLD_ELSEWHERE = "'entry', 'snag_try', 'mark', 'shot', 'audience_question'"


class Source(NamedTuple):
    """A table, its number in the index, and the columns whose texts are found together."""

    number: int
    tab: str
    columns: tuple[str, ...]

    def text(self, row: str) -> str:
        """The texts of a row, one on each line, in SQL."""
        joined = " || char(10) || ".join(f"{row}.{column}" for column in self.columns)
        return joined if len(self.columns) == 1 else f"trim({joined}, char(10))"

    @property
    def first(self) -> int:
        """The number in the index that a row 0 of the table would have."""
        return self.number * ROOM

    @property
    def rows(self) -> str:
        """What of the table belongs into the index, in SQL: numbers and texts."""
        text = self.text(self.tab)
        told = f"SELECT {self.first} + id AS number, {text} AS what FROM {self.tab} WHERE {text} <> ''"
        return told if self.tab != "journal_entry" else told + NOT_TOLD_ELSEWHERE

    @property
    def triggers(self) -> Iterator[str]:
        """The triggers that keep the index; the journal only grows, and is told of by its changes."""
        was, now = self.text("OLD"), self.text("NEW")
        put = f"INSERT INTO said (rowid, what) SELECT {self.first} + NEW.id, {now} WHERE {now} <> '';"
        take = f"DELETE FROM said WHERE rowid = {self.first} + OLD.id;"
        yield f"CREATE TRIGGER {self.tab}_said_insert AFTER INSERT ON {self.tab} WHEN {now} <> '' BEGIN {put} END"
        if self.tab == "journal_entry":
            yield (
                "CREATE TRIGGER journal_change_said_insert AFTER INSERT ON journal_change"
                f" WHEN NEW.tab IN ({TOLD_ELSEWHERE}) OR NEW.tab = 'snag' AND (NEW.before = '' OR NEW.after = '')"
                f" BEGIN DELETE FROM said WHERE rowid = {self.first} + NEW.entry_id; END"
            )
            return
        named = ", ".join(self.columns)
        yield (
            f"CREATE TRIGGER {self.tab}_said_update AFTER UPDATE OF {named} ON {self.tab} WHEN {was} IS NOT {now}"
            f" BEGIN {take} {put} END"
        )
        yield f"CREATE TRIGGER {self.tab}_said_delete AFTER DELETE ON {self.tab} WHEN {was} <> '' BEGIN {take} END"


NOT_TOLD_ELSEWHERE = (
    " AND NOT EXISTS (SELECT 1 FROM journal_change AS c WHERE c.entry_id = journal_entry.id"
    f" AND (c.tab IN ({TOLD_ELSEWHERE}) OR c.tab = 'snag' AND (c.before = '' OR c.after = '')))"
)
# What happened comes first, what is there after it, as a search tells it.
SOURCES = (
    Source(1, "entry", ("text",)),
    Source(2, "snag", ("title", "cause")),
    Source(3, "snag_try", ("tried", "showed")),
    Source(4, "journal_entry", ("title",)),
    Source(5, "episode", ("title", "recap", "words")),
    Source(6, "mark", ("title", "take")),
    Source(7, "shot", ("text",)),
    Source(8, "audience_question", ("text", "answer", "asked_by")),
    Source(9, "attachment", ("caption", "name")),
    Source(10, "reading", ("text", "note")),
    Source(11, "step_run", ("signed", "signed_by", "early")),
    Source(12, "delivery", ("note",)),
    Source(13, "delivery_line", ("note", "reason")),
    Source(14, "purchase", ("ref", "note")),
    Source(15, "choice", ("code", "question", "reason")),
    Source(16, "choice_option", ("code", "name")),
    Source(17, "step", ("name", "work", "checks", "caution", "tools")),
    Source(18, "test_point", ("code", "name", "condition", "caution")),
    Source(19, "project", ("code", "name", "note")),
    Source(20, "assembly", ("code", "name", "note")),
    Source(21, "build", ("code", "note")),
    Source(22, "line", ("note",)),
    Source(23, "supplier", ("code", "name", "note")),
    Source(24, "offer", ("note",)),
    Source(25, "stand_in", ("reason",)),
    Source(26, "bin", ("name", "note")),
    Source(27, "part", ("key", "name", "value_text", "package", "maker", "maker_number", "note")),
)


def rebuild(shop: Workshop) -> int:
    """Make the index anew from the tables, and what keeps it; return how many texts are in it.

    Nothing else is touched, and nothing of it is journalled. Raises StoreFault where the file cannot be written.
    """
    from sqlalchemy.exc import DatabaseError

    from buildbook.store.workshop import fault

    try:
        with shop.engine.begin() as work:
            kept = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE '%\\_said\\_%' ESCAPE '\\'"
            for (name,) in work.exec_driver_sql(kept).fetchall():
                work.exec_driver_sql(f'DROP TRIGGER "{name}"')
            work.exec_driver_sql("DROP TABLE IF EXISTS said")
            work.exec_driver_sql(f"CREATE VIRTUAL TABLE said USING fts5(what, {OPTIONS})")
            for source in SOURCES:
                work.exec_driver_sql(f"INSERT INTO said (rowid, what) {source.rows} ORDER BY id")
                for trigger in source.triggers:
                    work.exec_driver_sql(trigger)
            work.exec_driver_sql("INSERT INTO said (said) VALUES ('optimize')")
            return int(work.exec_driver_sql("SELECT count(*) FROM said").scalar_one())
    except DatabaseError as error:
        raise fault(shop.path, error.orig or error) from error


# --- the proof -------------------------------------------------------------------------------------------------------


def words_tell_every_text(db: sqlite3.Connection) -> Evidence:
    """Every text stands in the index as it stands in its table, nothing else does, and each word leads to its texts."""
    count = count_of(db, "SELECT count(*) FROM said")
    faults = chain(
        *(texts(db, *_unlike(source)) for source in SOURCES),
        texts(db, STRANGE.format(first=ROOM, end=(len(SOURCES) + 1) * ROOM)),
        _misled(db),
    )
    return Evidence(
        f"{many(count, 'text')} in the index, each as it stands in its table; each word leads there.", faults
    )


def triggers_missing(db: sqlite3.Connection) -> Iterator[str]:
    """What should keep the index and is not there, or not as it should be."""
    kept = {row[0] for row in db.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger'")}
    for source in SOURCES:
        if not kept.issuperset(source.triggers):
            yield f"changes of table {source.tab} are not kept up in the index of words"


STRANGE = """
    SELECT 'row ' || rowid || ' of the index of words belongs to no table' FROM said
     WHERE rowid NOT BETWEEN {first} AND {end}
"""


def _unlike(source: Source) -> tuple[str, str]:
    row = f"'row ' || (number - {source.first}) || ' of {source.tab}"
    return (
        f"""
        SELECT {row} is not in the index of words' || iif(said.rowid IS NULL, '', ' as it stands')
          FROM ({source.rows}) AS told LEFT JOIN said ON said.rowid = number WHERE said.what IS NOT told.what
        """,
        f"""
        SELECT {row} stands in the index of words and not there'
          FROM (SELECT rowid AS number FROM said WHERE rowid BETWEEN {source.first} AND {source.first + ROOM - 1})
         WHERE number NOT IN (SELECT number FROM ({source.rows}))
        """,
    )


def _misled(db: sqlite3.Connection) -> Iterator[str]:
    """Each word of a fresh index of the same texts, held against the index that is there; only the first that differs.

    The fresh one lies in the connection's own temporary place: the file is not written to, and is not locked.
    """
    read_only = db.execute("PRAGMA query_only").fetchone()[0]
    db.execute("PRAGMA query_only = OFF")
    try:
        db.execute(f"CREATE VIRTUAL TABLE temp.said_anew USING fts5(what, {OPTIONS})")
        db.execute("INSERT INTO temp.said_anew (rowid, what) SELECT rowid, what FROM main.said")
        db.execute("CREATE VIRTUAL TABLE temp.words_there USING fts5vocab(main, said, instance)")
        db.execute("CREATE VIRTUAL TABLE temp.words_anew USING fts5vocab(temp, said_anew, instance)")
        there = db.execute("SELECT term, doc, offset FROM temp.words_there")
        anew = db.execute("SELECT term, doc, offset FROM temp.words_anew")
        for one, other in zip_longest(there, anew):
            if one != other:
                word = min(found[0] for found in (one, other) if found)
                yield f"the word “{word}” does not lead to the texts in which it stands"
                break
        there.close()
        anew.close()
    finally:
        for name in ("words_anew", "words_there", "said_anew"):
            db.execute(f"DROP TABLE IF EXISTS temp.{name}")
        db.execute(f"PRAGMA query_only = {read_only}")
