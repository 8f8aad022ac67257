"""Writing and finding again single rows within an action."""

from __future__ import annotations

from typing import Any, TypeVar

from sqlmodel import select

from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, table_of
from buildbook.store.tables import Row

Kept = TypeVar("Kept", bound=Row)


def put(work: Work, row: Row) -> int:
    """Write a new row and return its number."""
    work.add(row)
    work.flush()
    return row.id or 0


def the(work: Work, model: type[Kept], number: int) -> Kept:
    """The row of that number, to be changed; Forbidden when another program has just taken it away."""
    row = work.get(model, number)
    if row is None:
        raise Forbidden("Nothing was written.", "Another program has just taken it away.", "Look again.")
    return row


def change(row: Row, **fields: Any) -> None:
    """Set the fields that are given; those that are None stay as they are."""
    for name, value in fields.items():
        if value is not None:
            setattr(row, name, value)


def remove(work: Work, row: Row) -> None:
    """Take a row away."""
    work.delete(row)
    work.flush()


def refuse_taken(work: Work, model: type[Row], code: str, what: str) -> None:
    """Raise BadInput when there is a row of that code already."""
    if work.exec(select(model).where(table_of(model).c.code == code)).first():
        raise taken(what, code)


def taken(what: str, code: str) -> BadInput:
    """The error for a code that another row has."""
    return BadInput(f"The {what} {code} was not made.", "There is one of that code already.", "Choose another code.")
