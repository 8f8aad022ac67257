"""Every write is one action: one transaction, with the image of each row before and after, so that it can be undone.

A session hook and the bulk insert below record the images; no action does it by hand. Undo, redo, the history of a row
and the draft of an episode all read what stands here.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, NamedTuple, cast

from sqlalchemy import Connection, CursorResult, Table, delete, event, insert, select, text
from sqlalchemy import inspect as inspect_row
from sqlalchemy.exc import DatabaseError, IntegrityError
from sqlmodel import Session, SQLModel

from buildbook.errors import Forbidden
from buildbook.store.tables import Row
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

    @cached_property
    def _driver(self) -> Connection:
        return self.connection()

    def run(self, statement: str, values: Any = ()) -> CursorResult[*tuple[Any, ...]]:
        """Run a statement just as it stands, with its values: by place, by name, or a list of such to run it often.

        Several times as fast as a statement that is built anew each time.
        """
        return self._driver.exec_driver_sql(statement, values)

    def insert_many(self, model: type[Row], rows: Sequence[Mapping[str, Any]]) -> range:
        """Insert rows at once, in one statement, and return their numbers; fields left out take their defaults."""
        self.flush()
        if not rows:
            return range(0)
        shape = _shape(model)
        first = next_number(self, shape.tab)
        # A default keeps its place when a row brings another value, so all images have the order of the fields.
        images = [[*{**shape.defaults, **row}.values()] for row in rows]
        self.run(shape.insert, [(number, *image) for number, image in enumerate(images, first)])
        for start in range(0, len(images), BLOCK):
            some = images[start : start + BLOCK]
            self.blocks.append(Block(shape.tab, first + start, shape.fields, None, some))
        return range(first, first + len(images))

    def change_many(self, model: type[Row], changes: Mapping[int, Mapping[str, Any] | None]) -> None:
        """Change rows by number, in a few statements; None takes a row away, and what is so already is left alone."""
        self.flush()
        shape = _shape(model)
        named = {name for change in changes.values() if change is not None for name in change}
        to_set = [(place, name) for place, name in enumerate(shape.fields) if name in named]
        numbers = sorted(changes)
        for start in range(0, len(numbers), BLOCK):
            some = numbers[start : start + BLOCK]
            images = {row[0]: list(row[1:]) for row in self.run(shape.read, (json.dumps(some),))}
            new = {number: _changed(shape.fields, image, changes[number]) for number, image in images.items()}
            gone = [number for number, image in new.items() if image is None]
            other = {number: image for number, image in new.items() if image is not None and image != images[number]}
            if gone:
                self.run(shape.delete, (json.dumps(gone),))
            if other:
                values = [([image[place] for place, _ in to_set], number) for number, image in other.items()]
                _update_rows(self, shape.tab, [name for _, name in to_set], values)
            for first, last in _runs(gone):
                before = [images[number] for number in range(first, last + 1)]
                self.blocks.append(Block(shape.tab, first, shape.fields, before, None))
            for first, last in _runs(other):
                before = [images[number] for number in range(first, last + 1)]
                after = [other[number] for number in range(first, last + 1)]
                self.blocks.append(Block(shape.tab, first, shape.fields, before, after))


def _update_rows(work: Work, tab: str, fields: Sequence[str], rows: Iterable[tuple[Sequence[Any], int]]) -> None:
    """Set fields of rows, by number, in one statement run many times."""
    to_set = ", ".join(f'"{name}" = ?' for name in fields)
    work.run(f'UPDATE "{tab}" SET {to_set} WHERE id = ?', [(*image, number) for image, number in rows])


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


class _Shape(NamedTuple):
    """A table as many rows of it are written: its fields but for the number, their defaults, and the statements."""

    tab: str
    fields: list[str]
    defaults: dict[str, Any]
    insert: str
    read: str
    delete: str


@cache
def _shape(model: type[SQLModel]) -> _Shape:
    table = table_of(model)
    fields = [column.name for column in table.columns if column.name != "id"]
    defaults = {name: model.model_fields[name].default for name in fields}
    names = ", ".join(f'"{name}"' for name in ("id", *fields))
    places = ", ".join("?" for _ in ("id", *fields))
    these = f'"{table.name}" WHERE id IN (SELECT value FROM json_each(?))'
    return _Shape(
        table.name,
        fields,
        defaults,
        insert=f'INSERT INTO "{table.name}" ({names}) VALUES ({places})',
        read=f"SELECT {names} FROM {these} ORDER BY id",
        delete=f"DELETE FROM {these}",
    )


def next_number(work: Work, tab: str) -> int:
    """The number that the next row of the table gets; numbers are never used twice."""
    seen = work.run("SELECT seq FROM sqlite_sequence WHERE name = ?", (tab,)).scalar()
    return int(seen or 0) + 1


@event.listens_for(Work, "after_flush")
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
    with _transaction(shop, _Heading(title, build_id=build_id)) as work:
        yield work


@dataclass(slots=True)
class _Heading:
    """What an entry of the journal says of the whole action."""

    title: str = ""
    kind: str = "do"
    target_id: int | None = None
    build_id: int | None = None


@contextmanager
def _transaction(shop: Workshop, entry: _Heading) -> Iterator[Work]:
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


WRITE_ENTRY = "INSERT INTO journal_entry (at, title, kind, target_id, build_id) VALUES (?, ?, ?, ?, ?)"
WRITE_CHANGE = """
    INSERT INTO journal_change (entry_id, tab, first_id, rows, fields, before, after) VALUES (?, ?, ?, ?, ?, ?, ?)
"""


def _write(work: Work, entry: _Heading) -> None:
    result = work.run(WRITE_ENTRY, (work.at, entry.title, entry.kind, entry.target_id, entry.build_id))
    records = [
        (
            result.lastrowid,
            block.tab,
            block.first_id,
            block.rows,
            _json(block.fields),
            "" if block.before is None else _json(block.before),
            "" if block.after is None else _json(block.after),
        )
        for block in work.blocks
    ]
    work.run(WRITE_CHANGE, records)


_json = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode


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
    entry = _Heading(kind=kind)
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
        if block.after is None:
            rows = [dict(zip(block.fields, image, strict=True)) for image in block.before]
            work.execute(insert(table), [{"id": number, **row} for number, row in zip(numbers, rows, strict=True)])
        else:
            _update_rows(work, block.tab, block.fields, zip(block.before, numbers, strict=True))
    work.blocks.append(Block(block.tab, block.first_id, block.fields, block.after, block.before))


def rows_now(work: Session, table: Table, block: Block) -> Image | None:
    """The rows that a block tells of, as they stand at this moment; None when none is there."""
    columns = [table.c[name] for name in block.fields]
    numbers = range(block.first_id, block.first_id + block.rows)
    found = work.execute(select(*columns).where(table.c.id.in_(numbers)).order_by(table.c.id)).all()
    return [list(row) for row in found] or None
