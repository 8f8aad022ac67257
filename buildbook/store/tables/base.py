"""The kinds of column and rule that all tables are made of."""

from __future__ import annotations

from typing import Any

from sqlalchemy import REAL, CheckConstraint, Integer, Text
from sqlmodel import Field, SQLModel

# STRICT tables know INTEGER, REAL, TEXT and BLOB only, hence the explicit column types below.
# Numbers are never used twice (AUTOINCREMENT): the ledger and the journal go on naming rows that an undo took away.
STRICT: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}
DERIVED: dict[str, Any] = {"sqlite_strict": True}


def words(default: Any = "", **more: Any) -> Any:
    """A text column."""
    return Field(default=default, sa_type=Text, **more)


def whole(default: Any = 0, **more: Any) -> Any:
    """A whole number: a quantity, an amount of money, minutes, or a yes (1) and no (0)."""
    return Field(default=default, sa_type=Integer, **more)


def later(kind: Any, default: int | str, **more: Any) -> Any:
    """A column that a later migration adds, with what it holds in the rows that were there before."""
    return Field(default=default, sa_type=kind, sa_column_kwargs={"server_default": str(default)}, **more)


def real(**more: Any) -> Any:
    """A measured or computed amount in SI units, or nothing."""
    return Field(default=None, sa_type=REAL, **more)


def link(target: str, *, optional: bool = False, index: bool = True, **more: Any) -> Any:
    """A reference to a row of another table."""
    default = None if optional else ...
    return Field(default=default, sa_type=Integer, foreign_key=f"{target}.id", nullable=optional, index=index, **more)


class Row(SQLModel):
    """Every journalled row has a number of its own, by which the journal knows it."""

    id: int | None = Field(default=None, sa_type=Integer, primary_key=True)


def at_least(column: str, least: int) -> CheckConstraint:
    """A rule that a column never falls below `least`."""
    return CheckConstraint(f"{column} >= {least}", name=f"{column}_at_least_{least}")


def yes_or_no(column: str) -> CheckConstraint:
    """A rule that a column is 0 or 1."""
    return CheckConstraint(f"{column} IN (0, 1)", name=f"{column}_yes_or_no")
