"""What is kept for the workshop as a whole: its settings, and how headings met before are read."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, words


class Setting(Row, table=True):
    """One setting of the workshop: its currency, the hourly rate of labour."""

    __tablename__ = "setting"
    __table_args__ = (STRICT,)
    key: str = words(..., unique=True)
    value: str = words()


class ColumnMap(Row, table=True):
    """How a set of headings met before is to be read, so that nobody says it twice."""

    __tablename__ = "column_map"
    __table_args__ = (UniqueConstraint("purpose", "headings"), STRICT)
    purpose: str = words(...)
    headings: str = words(...)
    mapping: str = words(...)
