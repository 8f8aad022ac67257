"""What is bought and kept: parts, their other names and stand-ins, and the bins where they lie."""

from __future__ import annotations

from sqlalchemy import REAL, CheckConstraint, Index, Integer, UniqueConstraint, text
from sqlmodel import Field

from buildbook.store.tables.base import STRICT, Row, later, link, whole, words


class Part(Row, table=True):
    """Something bought or kept; `area_um2` is the room it takes on a board, in square micrometres, if known.

    `keep_qty` is how many are to lie in the drawers whatever is built.
    """

    __tablename__ = "part"
    __table_args__ = (
        CheckConstraint("unit IN ('pc', 'mm', 'mg', 'ul')", name="unit_known"),
        Index("part_key_folded", text("lower(key)"), unique=True),
        STRICT,
    )
    key: str = words(...)
    kind: str = words("other", index=True)
    name: str = words()
    value_text: str = words()
    value_si: float | None = Field(default=None, sa_type=REAL, index=True)
    package: str = words()
    maker: str = words()
    maker_number: str = words(index=True)
    unit: str = words("pc")
    note: str = words()
    area_um2: int | None = whole(None, nullable=True)
    keep_qty: int = later(Integer, 0)


class PartAlias(Row, table=True):
    """Another name under which a part has been met, folded for comparing."""

    __tablename__ = "part_alias"
    __table_args__ = (STRICT,)
    part_id: int = link("part")
    alias: str = words(..., unique=True)


class StandIn(Row, table=True):
    """A part approved in the place of another, in one direction, with the reason."""

    __tablename__ = "stand_in"
    __table_args__ = (
        UniqueConstraint("part_id", "alt_id"),
        CheckConstraint("part_id <> alt_id", name="not_its_own"),
        STRICT,
    )
    part_id: int = link("part", index=False)
    alt_id: int = link("part")
    rank: int = whole(1)
    reason: str = words()


class Bin(Row, table=True):
    """Where parts lie: a drawer, a box, a reel."""

    __tablename__ = "bin"
    __table_args__ = (STRICT,)
    name: str = words(..., unique=True)
    note: str = words()
