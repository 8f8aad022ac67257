"""What parts are made for and what they bear in their places, and the capacitors that keep their charge."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, link, whole, words

BORNE = "what IN ('dc volts', 'ac volts', 'reverse volts', 'amps', 'watts')"


class PartRating(Row, table=True):
    """The most that a part is made for by its data sheet, in microvolts, microamps or microwatts.

    What its value already says ("22u 450V") needs no row.
    """

    __tablename__ = "part_rating"
    __table_args__ = (
        UniqueConstraint("part_id", "what"),
        CheckConstraint(BORNE, name="what_known"),
        at_least("micro", 1),
        STRICT,
    )
    part_id: int = link("part", index=False)
    what: str = words(...)
    micro: int = whole(...)
    note: str = words()


class Stress(Row, table=True):
    """What each part of a line has to bear where it stands, in the same units."""

    __tablename__ = "stress"
    __table_args__ = (
        UniqueConstraint("line_id", "what"),
        CheckConstraint(BORNE, name="what_known"),
        at_least("micro", 0),
        STRICT,
    )
    line_id: int = link("line", index=False)
    what: str = words(...)
    micro: int = whole(...)
    note: str = words()


class Bank(Row, table=True):
    """Capacitors of an assembly in parallel, charged to a voltage, and the resistors in series that discharge them.

    `capacitors` and `bleeder` are reference designators of its parts list; an empty bleeder means that there is none.
    `safe_uv` is the voltage, in microvolts, down to which the time is asked for.
    """

    __tablename__ = "bank"
    __table_args__ = (UniqueConstraint("assembly_id", "code"), at_least("volts_uv", 1), at_least("safe_uv", 1), STRICT)
    assembly_id: int = link("assembly", index=False)
    code: str = words(...)
    name: str = words()
    volts_uv: int = whole(...)
    capacitors: str = words(...)
    bleeder: str = words()
    safe_uv: int = whole(60_000_000)
    note: str = words()
