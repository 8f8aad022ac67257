"""What was done, with the image of each row before and after."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index, Integer
from sqlmodel import Field, SQLModel

from buildbook.store.tables.base import STRICT, at_least, link, whole, words


class JournalEntry(SQLModel, table=True):
    """One action: what was done, when, and whether it was an action, an undo or a redo of `target_id`."""

    __tablename__ = "journal_entry"
    __table_args__ = (CheckConstraint("kind IN ('do', 'undo', 'redo')", name="kind_known"), STRICT)
    id: int | None = Field(default=None, sa_type=Integer, primary_key=True)
    at: str = words(..., index=True)
    title: str = words(...)
    kind: str = words("do")
    target_id: int | None = link("journal_entry", optional=True)
    build_id: int | None = whole(None, nullable=True)


class JournalChange(SQLModel, table=True):
    """The image, before and after, of `rows` rows of a table with consecutive numbers from `first_id`.

    An image is a JSON list of rows, each a list of values in the order of `fields`; empty text means that the rows were
    not there.
    """

    __tablename__ = "journal_change"
    __table_args__ = (at_least("rows", 1), Index("journal_change_row", "tab", "first_id"), STRICT)
    id: int | None = Field(default=None, sa_type=Integer, primary_key=True)
    entry_id: int = link("journal_entry")
    tab: str = words(...)
    first_id: int = whole(...)
    rows: int = whole(1)
    fields: str = words(...)
    before: str = words("")
    after: str = words("")
