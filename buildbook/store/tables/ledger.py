"""The stores ledger, and the sums that are kept with it."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Integer
from sqlmodel import Field, SQLModel

from buildbook.store.tables.base import DERIVED, STRICT, Row, at_least, whole, words


class Movement(Row, table=True):
    """One row of the stores ledger, never changed; a mistake is undone by a reversing movement.

    `bin_qty`, `kit_qty`, `fit_qty` and `lost_qty` are what it adds to (or takes from) the bin, the build's kit, the
    board and what the build lost; `value_micros` and `unpriced_qty` what it adds to the worth of the stock of the part.
    The numbers of parts, bins and lines are no foreign keys: a movement outlives a row that an undo takes away, and
    then nets to nothing.
    """

    __tablename__ = "movement"
    __table_args__ = (
        CheckConstraint(
            "kind IN ('received', 'counted', 'kitted', 'fitted', 'returned', 'scrapped', 'moved', 'reversed')",
            name="kind_known",
        ),
        CheckConstraint("bin_qty = 0 OR bin_id IS NOT NULL", name="bin_named"),
        CheckConstraint(
            "(kit_qty = 0 AND fit_qty = 0 AND lost_qty = 0) OR (build_id IS NOT NULL AND line_id IS NOT NULL)",
            name="line_named",
        ),
        STRICT,
    )
    at: str = words(...)
    kind: str = words(...)
    part_id: int = whole(..., index=True)
    bin_id: int | None = whole(None, nullable=True)
    build_id: int | None = whole(None, nullable=True, index=True)
    line_id: int | None = whole(None, nullable=True, index=True)
    purchase_line_id: int | None = whole(None, nullable=True)
    bin_qty: int = whole(0)
    kit_qty: int = whole(0)
    fit_qty: int = whole(0)
    lost_qty: int = whole(0)
    value_micros: int = whole(0)
    unpriced_qty: int = whole(0)
    reverses_id: int | None = whole(None, nullable=True)
    note: str = words()


class Balance(SQLModel, table=True):
    """What lies in a bin: the sum of its movements, kept in the same transaction."""

    __tablename__ = "balance"
    __table_args__ = (at_least("qty", 0), DERIVED)
    part_id: int = Field(sa_type=Integer, primary_key=True, foreign_key="part.id")
    bin_id: int = Field(sa_type=Integer, primary_key=True, foreign_key="bin.id")
    qty: int = whole(...)


class Worth(SQLModel, table=True):
    """What the stock of a part is worth: value of the priced pieces, and how many have no price."""

    __tablename__ = "worth"
    __table_args__ = (at_least("qty", 0), at_least("unpriced_qty", 0), at_least("value_micros", 0), DERIVED)
    part_id: int = Field(sa_type=Integer, primary_key=True, foreign_key="part.id")
    qty: int = whole(...)
    unpriced_qty: int = whole(...)
    value_micros: int = whole(...)


class Holding(SQLModel, table=True):
    """What a build holds for a line: kitted, fitted, lost, and what all that was worth when it left the bins."""

    __tablename__ = "holding"
    __table_args__ = (at_least("kitted", 0), at_least("fitted", 0), at_least("lost", 0), DERIVED)
    build_id: int = Field(sa_type=Integer, primary_key=True, foreign_key="build.id")
    line_id: int = Field(sa_type=Integer, primary_key=True, foreign_key="line.id")
    part_id: int = Field(sa_type=Integer, primary_key=True, foreign_key="part.id")
    kitted: int = whole(...)
    fitted: int = whole(...)
    lost: int = whole(...)
    value_micros: int = whole(...)
    unpriced_qty: int = whole(...)
