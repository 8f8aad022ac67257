"""The index of words: one row for each text that was ever written, kept by triggers on the tables."""

from __future__ import annotations

from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

# The tables, each with its number and the columns whose texts are found together. The program has its own copy of this
# list (store/words.py), and a test holds the two against each other: what a migration once did must not change.
SOURCES: tuple[tuple[int, str, tuple[str, ...]], ...] = (
    (1, "entry", ("text",)),
    (2, "snag", ("title", "cause")),
    (3, "snag_try", ("tried", "showed")),
    (4, "journal_entry", ("title",)),
    (5, "episode", ("title", "recap", "words")),
    (6, "mark", ("title", "take")),
    (7, "shot", ("text",)),
    (8, "audience_question", ("text", "answer", "asked_by")),
    (9, "attachment", ("caption", "name")),
    (10, "reading", ("text", "note")),
    (11, "step_run", ("signed", "signed_by", "early")),
    (12, "delivery", ("note",)),
    (13, "delivery_line", ("note", "reason")),
    (14, "purchase", ("ref", "note")),
    (15, "choice", ("code", "question", "reason")),
    (16, "choice_option", ("code", "name")),
    (17, "step", ("name", "work", "checks", "caution", "tools")),
    (18, "test_point", ("code", "name", "condition", "caution")),
    (19, "project", ("code", "name", "note")),
    (20, "assembly", ("code", "name", "note")),
    (21, "build", ("code", "note")),
    (22, "line", ("note",)),
    (23, "supplier", ("code", "name", "note")),
    (24, "offer", ("note",)),
    (25, "stand_in", ("reason",)),
    (26, "bin", ("name", "note")),
    (27, "part", ("key", "name", "value_text", "package", "maker", "maker_number", "note")),
)
OPTIONS = "tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3'"
# The number of a row in the index: that of its table, then its own. So the newest of each table come first backwards.
ROOM = 2**40
# Writing these is told by themselves, and not also by the action of writing them; so are a snag opened or taken away.
TOLD_ELSEWHERE = "'entry', 'snag_try', 'mark', 'shot', 'audience_question'"


def text_of(columns: tuple[str, ...], row: str) -> str:
    """The texts of a row, one on each line, in SQL."""
    joined = " || char(10) || ".join(f"{row}.{column}" for column in columns)
    return joined if len(columns) == 1 else f"trim({joined}, char(10))"


def upgrade() -> None:
    """Make the index, fill it, and have every change kept up in it."""
    op.execute(
        "CREATE VIRTUAL TABLE said USING fts5(what, tokenize = 'unicode61 remove_diacritics 2', prefix = '1 2 3')"
    )
    for number, tab, columns in SOURCES:
        was, now = text_of(columns, "OLD"), text_of(columns, "NEW")
        text = text_of(columns, tab)
        fill = f"SELECT {number * ROOM} + id, {text} FROM {tab} WHERE {text} <> ''"
        if tab == "journal_entry":
            fill += (
                " AND NOT EXISTS (SELECT 1 FROM journal_change AS c WHERE c.entry_id = journal_entry.id"
                f" AND (c.tab IN ({TOLD_ELSEWHERE}) OR c.tab = 'snag' AND (c.before = '' OR c.after = '')))"
            )
        op.execute(f"INSERT INTO said (rowid, what) {fill} ORDER BY id")
        put = f"INSERT INTO said (rowid, what) SELECT {number * ROOM} + NEW.id, {now} WHERE {now} <> '';"
        take = f"DELETE FROM said WHERE rowid = {number * ROOM} + OLD.id;"
        op.execute(f"CREATE TRIGGER {tab}_said_insert AFTER INSERT ON {tab} WHEN {now} <> '' BEGIN {put} END")
        if tab == "journal_entry":
            op.execute(
                "CREATE TRIGGER journal_change_said_insert AFTER INSERT ON journal_change"
                f" WHEN NEW.tab IN ({TOLD_ELSEWHERE}) OR NEW.tab = 'snag' AND (NEW.before = '' OR NEW.after = '')"
                f" BEGIN DELETE FROM said WHERE rowid = {number * ROOM} + NEW.entry_id; END"
            )
            continue
        named = ", ".join(columns)
        op.execute(
            f"CREATE TRIGGER {tab}_said_update AFTER UPDATE OF {named} ON {tab} WHEN {was} IS NOT {now}"
            f" BEGIN {take} {put} END"
        )
        op.execute(f"CREATE TRIGGER {tab}_said_delete AFTER DELETE ON {tab} WHEN {was} <> '' BEGIN {take} END")
    op.execute("INSERT INTO said (said) VALUES ('optimize')")


def downgrade() -> None:
    """Take the index away, and what kept it."""
    for _, tab, _ in SOURCES:
        for verb in ("insert", "update", "delete"):
            op.execute(f"DROP TRIGGER IF EXISTS {tab}_said_{verb}")
    op.execute("DROP TRIGGER journal_change_said_insert")
    op.execute("DROP TABLE said")
