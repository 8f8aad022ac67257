"""Writing and finding again single rows within an action."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from typing import Any, TypeAlias, TypeVar

from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, table_of
from buildbook.store.read import kitting
from buildbook.store.tables import (
    ContactUse,
    Row,
    SnagPart,
    StepLine,
    StepNeed,
    StepPoint,
    StepQuestion,
    StepWaived,
    Stress,
    SupplyLoad,
)

Kept = TypeVar("Kept", bound=Row)
Ties: TypeAlias = tuple[tuple[type[Row], str], ...]


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


def seek(work: Work, model: type[Kept], **fields: str | int) -> Kept | None:
    """The row in which these fields have these values, the first if there are several; None when there is none."""
    alike = " AND ".join(f"{name} = ?" for name in fields)
    statement = f"SELECT id FROM {table_of(model).name} WHERE {alike} ORDER BY id LIMIT 1"
    number = work.run(statement, tuple(fields.values())).scalar()
    return None if number is None else work.get(model, number)


def path_of(work: Work, assembly: int) -> str:
    """The full name of an assembly, as it is written so far."""
    return str(work.run(f"{kitting.PATHS} WHERE a.id = ?", (assembly,)).one()[1])


def change(row: Row, **fields: Any) -> None:
    """Set the fields that are given; those that are None stay as they are."""
    for name, value in fields.items():
        if value is not None:
            setattr(row, name, value)


def remove(work: Work, row: Row) -> None:
    """Take a row away."""
    work.delete(row)
    work.flush()


def numbers_of(work: Work, model: type[Row], column: str, numbers: Iterable[int]) -> list[int]:
    """The numbers of the rows in which a column has one of these values."""
    statement = f"SELECT id FROM {table_of(model).name} WHERE {column} IN (SELECT value FROM json_each(?)) ORDER BY id"
    return [row[0] for row in work.run(statement, (json.dumps(list(numbers)),))]


# The rows that bind something to a step, a line, a question, a test point, a supply or contacts, and go with it.
OF_STEPS: Ties = (
    (StepNeed, "step_id"),
    (StepNeed, "needs_id"),
    (StepLine, "step_id"),
    (StepQuestion, "step_id"),
    (StepPoint, "step_id"),
    (StepWaived, "step_id"),
    (StepWaived, "before_id"),
)
OF_LINES: Ties = ((StepLine, "line_id"), (Stress, "line_id"), (SnagPart, "line_id"))
OF_QUESTIONS: Ties = ((StepQuestion, "choice_id"),)
OF_POINTS: Ties = ((StepPoint, "point_id"),)
OF_SUPPLIES: Ties = ((SupplyLoad, "supply_id"),)
OF_CONTACTS: Ties = ((ContactUse, "contacts_id"),)


def cut_loose(work: Work, ties: Ties, numbers: Collection[int]) -> None:
    """Take away what binds other rows to those of these numbers, which are about to go."""
    for model, column in ties:
        take_away(work, model, numbers_of(work, model, column, numbers))


def take_away(work: Work, model: type[Row], numbers: Iterable[int]) -> None:
    """Take away the rows of these numbers."""
    work.change_many(model, dict.fromkeys(numbers))


def refuse_taken(work: Work, model: type[Row], code: str, what: str) -> None:
    """Raise BadInput when there is a row of that code already."""
    if seek(work, model, code=code):
        raise taken(what, code)


def taken(what: str, code: str) -> BadInput:
    """The error for a code that another row has."""
    return BadInput(f"The {what} {code} was not made.", "There is one of that code already.", "Choose another code.")
