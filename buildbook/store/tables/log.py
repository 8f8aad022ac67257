"""What was said about a build: episodes and entries."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, link, whole, words


class Episode(Row, table=True):
    """A stage of a build as told to others: a span of time with a title."""

    __tablename__ = "episode"
    __table_args__ = (UniqueConstraint("build_id", "number"), STRICT)
    build_id: int = link("build", index=False)
    number: int = whole(...)
    title: str = words()
    opened_at: str = words(...)
    closed_at: str = words()
    recap: str = words()


class Entry(Row, table=True):
    """Something somebody wrote down, attached to a build, an assembly, a step or a part."""

    __tablename__ = "entry"
    __table_args__ = (STRICT,)
    at: str = words(..., index=True)
    text: str = words(...)
    build_id: int | None = link("build", optional=True)
    assembly_id: int | None = link("assembly", optional=True, index=False)
    step_id: int | None = link("step", optional=True, index=False)
    part_id: int | None = link("part", optional=True, index=False)
    episode_id: int | None = link("episode", optional=True)
