"""Every write is one action: one transaction, with the image of each row before and after, so that it can be undone.

A session hook and the bulk insert below record the images; no action does it by hand. Undo, redo, the history of a row
and the draft of an episode all read what stands here.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy import Table, bindparam, delete, event, insert, select, text, update
from sqlalchemy import inspect as inspect_row
from sqlalchemy.exc import DatabaseError, IntegrityError
from sqlmodel import Session, SQLModel

from buildbook.errors import Forbidden
from buildbook.store.tables import JournalChange, JournalEntry, Row
from buildbook.store.workshop import Workshop, fault

# Images of this many rows at most stand in one record, so that one row's history does not cost a whole import.
BLOCK = 500

Image = list[list[Any]]


@dataclass(frozen=True, slots=True)
class Block:
    """Rows with consecutive numbers of one table: as they were and as they are; None where they did not exist."""

    tab: str
    first_id: int
    fields: list[str]
    before: Image | None
    after: Image | None

    @property
    def rows(self) -> int:
        """How many rows it tells of."""
        return len(self.before if self.before is not None else self.after or [])


class Work(Session):
    """The session of one action. Rows added, changed or deleted through it are journalled."""

    def __init__(self, shop: Workshop) -> None:
        super().__init__(shop.engine, expire_on_commit=False)
        self.shop = shop
        self.at = shop.now()
        self.blocks: list[Block] = []
        event.listen(self, "after_flush", _record)

    def insert_many(self, model: type[Row], rows: Sequence[dict[str, Any]]) -> range:
        """Insert rows at once, in one statement, and return their numbers; fields left out take their defaults."""
        self.flush()
        if not rows:
            return range(0)
        table = table_of(model)
        fields = [column.name for column in table.columns if column.name != "id"]
        defaults = {name: model.model_fields[name].default for name in fields}
        first = next_number(self, table)
        full = [{"id": first + index, **defaults, **row} for index, row in enumerate(rows)]
        self.execute(insert(table), full)
        for start in range(0, len(full), BLOCK):
            some = full[start : start + BLOCK]
            images = [[row[name] for name in fields] for row in some]
            self.blocks.append(Block(table.name, first + start, fields, None, images))
        return range(first, first + len(full))

    def change_many(self, model: type[Row], changes: Mapping[int, Mapping[str, Any] | None]) -> None:
        """Change rows by number, in a few statements; None takes a row away, and what is so already is left alone."""
        self.flush()
        table = table_of(model)
        fields = [column.name for column in table.columns if column.name != "id"]
        numbers = sorted(changes)
        for start in range(0, len(numbers), BLOCK):
            some = numbers[start : start + BLOCK]
            images = {row.id: list(row)[1:] for row in self.execute(select(table).where(table.c.id.in_(some)))}
            new = {number: _changed(fields, image, changes[number]) for number, image in images.items()}
            gone = [number for number, image in new.items() if image is None]
            other = [number for number, image in new.items() if image is not None and image != images[number]]
            if gone:
                self.execute(delete(table).where(table.c.id.in_(gone)))
            if other:
                rows = [dict(zip(fields, new[number] or (), strict=True)) for number in other]
                _update_rows(self, table, zip(other, rows, strict=True))
            for first, last in _runs(gone):
                before = [images[number] for number in range(first, last + 1)]
                self.blocks.append(Block(table.name, first, fields, before, None))
            for first, last in _runs(other):
                before = [images[number] for number in range(first, last + 1)]
                after = [new[number] or [] for number in range(first, last + 1)]
                self.blocks.append(Block(table.name, first, fields, before, after))


def _update_rows(work: Session, table: Table, rows: Iterable[tuple[int, dict[str, Any]]]) -> None:
    """Set all fields of rows, by number, in one statement run many times."""
    values = [{**row, "number": number} for number, row in rows]
    work.connection().execute(update(table).where(table.c.id == bindparam("number")), values)


def _changed(fields: Sequence[str], image: list[Any], change: Mapping[str, Any] | None) -> list[Any] | None:
    if change is None:
        return None
    return [change.get(name, value) for name, value in zip(fields, image, strict=True)]


def _runs(numbers: Iterable[int]) -> Iterator[tuple[int, int]]:
    """The first and last of each run of consecutive numbers."""
    run: list[int] = []
    for number in sorted(numbers):
        if run and number != run[-1] + 1:
            yield run[0], run[-1]
            run = []
        run.append(number)
    if run:
        yield run[0], run[-1]


def table_of(model: type[SQLModel]) -> Table:
    """The Core table of a model."""
    return cast(Table, model.__table__)  # type: ignore[attr-defined]


def next_number(work: Session, table: Table) -> int:
    """The number that the next row of the table gets; numbers are never used twice."""
    seen = work.execute(text("SELECT seq FROM sqlite_sequence WHERE name = :name"), {"name": table.name}).scalar()
    return int(seen or 0) + 1


def _record(session: Session, _context: Any) -> None:
    """After each flush: the images of what was added, changed and deleted."""
    work = cast(Work, session)
    for row in session.new:
        work.blocks.append(_block(row, before=False, after=True))
    # In the order of the statements: one that takes over a key that another gives up is taken back before it.
    for row in sorted(session.dirty, key=lambda row: int(row.id)):
        if session.is_modified(row):
            work.blocks.append(_block(row, before=True, after=True))
    for row in session.deleted:
        work.blocks.append(_block(row, before=True, after=False))


def _block(row: Any, *, before: bool, after: bool) -> Block:
    table = table_of(type(row))
    fields = [column.name for column in table.columns if column.name != "id"]
    now = [getattr(row, name) for name in fields]
    was = now
    if before:
        history = inspect_row(row).attrs
        changed = {name: history[name].history.deleted for name in fields}
        was = [changed[name][0] if changed[name] else value for name, value in zip(fields, now, strict=True)]
    return Block(table.name, row.id, fields, [was] if before else None, [now] if after else None)


@contextmanager
def action(shop: Workshop, title: str, *, build_id: int | None = None) -> Iterator[Work]:
    """One action: everything written inside is one transaction and one entry of the journal, or nothing is.

    An action that changes nothing leaves no entry. Raises Forbidden when a rule of the tables forbids it and StoreFault
    when the file cannot be written.
    """
    with _transaction(shop, JournalEntry(at="", title=title, build_id=build_id)) as work:
        yield work


@contextmanager
def _transaction(shop: Workshop, entry: JournalEntry) -> Iterator[Work]:
    try:
        with Work(shop) as work, work.begin():
            yield work
            work.flush()
            if work.blocks:
                _write(work, entry)
    except IntegrityError as error:
        raise Forbidden("Nothing was written.", f"A rule of the workshop forbids it: {error.orig}.") from error
    except DatabaseError as error:
        raise fault(shop.path, error.orig or error) from error


def _write(work: Work, entry: JournalEntry) -> None:
    values = {"at": work.at, "title": entry.title, "kind": entry.kind, "target_id": entry.target_id}
    result = work.execute(insert(table_of(JournalEntry)).values(**values, build_id=entry.build_id))
    entry_id = result.inserted_primary_key[0]  # type: ignore[attr-defined]
    records = [
        {
            "entry_id": entry_id,
            "tab": block.tab,
            "first_id": block.first_id,
            "rows": block.rows,
            "fields": _json(block.fields),
            "before": "" if block.before is None else _json(block.before),
            "after": "" if block.after is None else _json(block.after),
        }
        for block in work.blocks
    ]
    work.execute(insert(table_of(JournalChange)), records)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


# --- undo and redo ---------------------------------------------------------------------------------------------------

# An action is live while it has been undone as often as redone. Index: ix_journal_entry_target_id.
LAST_LIVE = """
    SELECT e.id, e.title FROM journal_entry AS e
     WHERE e.kind = 'do' AND (SELECT count(*) FROM journal_entry AS t WHERE t.target_id = e.id) % 2 = 0
     ORDER BY e.id DESC LIMIT 1
"""
# The last undo that still stands, unless something else has been done since.
LAST_UNDONE = """
    SELECT e.id, e.title FROM journal_entry AS u JOIN journal_entry AS e ON e.id = u.target_id
     WHERE u.kind = 'undo' AND u.id > (SELECT max(id) FROM journal_entry WHERE kind = 'do')
       AND NOT EXISTS (SELECT 1 FROM journal_entry AS r WHERE r.target_id = u.target_id AND r.id > u.id)
     ORDER BY u.id DESC LIMIT 1
"""
CHANGES = """
    SELECT tab, first_id, fields, before, after FROM journal_change
     WHERE entry_id = (SELECT max(id) FROM journal_entry WHERE id = :id OR target_id = :id)
     ORDER BY id DESC
"""


def undo(shop: Workshop) -> str:
    """Take back the last action; return its title. Itself an action, so that redo can take it back in turn.

    Movements of the ledger are not removed but reversed. Raises Forbidden when there is nothing to take back, or when a
    row has been changed since by other means.
    """
    return _toggle(shop, "undo")


def redo(shop: Workshop) -> str:
    """Do again what was undone last, as long as nothing else has been done since."""
    return _toggle(shop, "redo")


def _toggle(shop: Workshop, kind: str) -> str:
    entry = JournalEntry(at="", title="", kind=kind)
    with _transaction(shop, entry) as work:
        last = work.execute(text(LAST_LIVE if kind == "undo" else LAST_UNDONE)).first()
        if last is None:
            raise Forbidden(f"There is nothing to {kind}.")
        entry.title = f"{kind.capitalize()}: {last.title}"
        entry.target_id = last.id
        for row in work.execute(text(CHANGES), {"id": last.id}).all():
            _invert(work, _read_block(row))
    return str(last.title)


def _read_block(row: Any) -> Block:
    before, after = (json.loads(image) if image else None for image in (row.before, row.after))
    return Block(row.tab, row.first_id, json.loads(row.fields), before, after)


def _invert(work: Work, block: Block) -> None:
    """Put the rows of a block back as they were, after making sure that they are as the block left them."""
    if block.tab == "movement":
        from buildbook.store.ledger import reverse

        reverse(work, range(block.first_id, block.first_id + block.rows))
        return
    table = SQLModel.metadata.tables[block.tab]
    if rows_now(work, table, block) != block.after:
        raise Forbidden(
            "Nothing was taken back.",
            f"A row of {block.tab} has been changed since by other means.",
            "Change it by hand.",
        )
    numbers = range(block.first_id, block.first_id + block.rows)
    if block.before is None:
        work.execute(delete(table).where(table.c.id.in_(numbers)))
    else:
        rows = [dict(zip(block.fields, image, strict=True)) for image in block.before]
        if block.after is None:
            work.execute(insert(table), [{"id": number, **row} for number, row in zip(numbers, rows, strict=True)])
        else:
            _update_rows(work, table, zip(numbers, rows, strict=True))
    work.blocks.append(Block(block.tab, block.first_id, block.fields, block.after, block.before))


def rows_now(work: Session, table: Table, block: Block) -> Image | None:
    """The rows that a block tells of, as they stand at this moment; None when none is there."""
    columns = [table.c[name] for name in block.fields]
    numbers = range(block.first_id, block.first_id + block.rows)
    found = work.execute(select(*columns).where(table.c.id.in_(numbers)).order_by(table.c.id)).all()
    return [list(row) for row in found] or None
