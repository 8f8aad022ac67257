"""What is measured and what went wrong: test points with limits, readings, snags and what was tried."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Integer, Text, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, later, link, real, whole, words


class TestPoint(Row, table=True):
    """A point of an assembly's test sheet: what to measure, and the limits, in SI units, that it should keep.

    `formula` gives nominal and limits from part values and supplies, by the `spread` "worst" or "rss"; `standard` names
    where published limits come from.
    """

    __test__ = False  # no test of ours, whatever a collector of tests thinks
    __tablename__ = "test_point"
    __table_args__ = (
        UniqueConstraint("assembly_id", "code"),
        CheckConstraint("low IS NULL OR high IS NULL OR low <= high", name="limits_in_order"),
        STRICT,
    )
    assembly_id: int = link("assembly", index=False)
    position: int = whole(0)
    code: str = words(...)
    name: str = words()
    unit: str = words("V")
    nominal: float | None = real(nullable=True)
    low: float | None = real(nullable=True)
    high: float | None = real(nullable=True)
    condition: str = words()
    caution: str = words()
    formula: str = later(Text, "")
    spread: str = later(Text, "")
    standard: str = later(Text, "")


class Reading(Row, table=True):
    """A value measured at a point, of one unit of a build; `text` is what was typed, `value` the same in SI units."""

    __tablename__ = "reading"
    __table_args__ = (at_least("unit_number", 1), STRICT)
    build_id: int = link("build")
    point_id: int = link("test_point")
    unit_number: int = whole(1)
    at: str = words(...)
    text: str = words(...)
    value: float = real(nullable=False)
    note: str = words()


class Snag(Row, table=True):
    """A fault of a build, open until its cause is known and it is cured."""

    __tablename__ = "snag"
    __table_args__ = (
        UniqueConstraint("build_id", "number"),
        CheckConstraint("state IN ('open', 'closed')", name="state_known"),
        at_least("number", 1),
        STRICT,
    )
    build_id: int = link("build", index=False)
    number: int = whole(...)
    title: str = words(...)
    state: str = words("open")
    opened_at: str = words(...)
    closed_at: str = words()
    cause: str = words()
    assembly_id: int | None = link("assembly", optional=True)
    step_id: int | None = link("step", optional=True)
    reading_id: int | None = link("reading", optional=True)


class SnagTry(Row, table=True):
    """One attempt at a snag, and what it showed; the minutes it took, the joints that were made anew."""

    __tablename__ = "snag_try"
    __table_args__ = (STRICT,)
    snag_id: int = link("snag")
    at: str = words(...)
    tried: str = words(...)
    showed: str = words()
    minutes: int | None = whole(None, nullable=True)
    joints: int = later(Integer, 0)


class SnagPart(Row, table=True):
    """A line of the parts list that a snag had to do with; `refs` says which of its places."""

    __tablename__ = "snag_part"
    __table_args__ = (UniqueConstraint("snag_id", "line_id"), STRICT)
    snag_id: int = link("snag", index=False)
    line_id: int = link("line")
    refs: str = words()
    note: str = words()
