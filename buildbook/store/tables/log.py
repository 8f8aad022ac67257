"""What was said about a build: episodes and entries."""

from __future__ import annotations

from sqlalchemy import Text, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, later, link, whole, words


class Episode(Row, table=True):
    """A stage of a build as told to others: a span of time with a title; `words` are the builder's own."""

    __tablename__ = "episode"
    __table_args__ = (UniqueConstraint("build_id", "number"), STRICT)
    build_id: int = link("build", index=False)
    number: int = whole(...)
    title: str = words()
    opened_at: str = words(...)
    closed_at: str = words()
    recap: str = words()
    words: str = later(Text, "")


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


class Mark(Row, table=True):
    """A moment of an episode worth finding again: so many seconds into a take, or only when it was."""

    __tablename__ = "mark"
    __table_args__ = (at_least("offset_s", 0), STRICT)
    episode_id: int = link("episode")
    at: str = words(...)
    take: str = words()
    offset_s: int | None = whole(None, nullable=True)
    title: str = words(...)


class Shot(Row, table=True):
    """Something to film for an episode; ticked when it is."""

    __tablename__ = "shot"
    __table_args__ = (STRICT,)
    episode_id: int = link("episode")
    position: int = whole(0)
    text: str = words(...)
    done_at: str = words()


class AudienceQuestion(Row, table=True):
    """What somebody in the audience asked, open until it is answered."""

    __tablename__ = "audience_question"
    __table_args__ = (STRICT,)
    build_id: int = link("build")
    episode_id: int | None = link("episode", optional=True)
    at: str = words(...)
    asked_by: str = words()
    text: str = words(...)
    answer: str = words()
    answered_at: str = words()


class Attachment(Row, table=True):
    """A photo or file kept in the workshop's folder under the hash of its content, and what it is about."""

    __tablename__ = "attachment"
    __table_args__ = (at_least("size", 0), STRICT)
    at: str = words(...)
    sha256: str = words(...)
    name: str = words(...)
    media: str = words()
    caption: str = words()
    size: int = whole(0)
    build_id: int | None = link("build", optional=True)
    assembly_id: int | None = link("assembly", optional=True)
    step_id: int | None = link("step", optional=True)
    part_id: int | None = link("part", optional=True)
    episode_id: int | None = link("episode", optional=True)
    snag_id: int | None = link("snag", optional=True)
    reading_id: int | None = link("reading", optional=True)
    entry_id: int | None = link("entry", optional=True)


class AsBuilt(Row, table=True):
    """The record of a finished build as it was frozen, as JSON."""

    __tablename__ = "as_built"
    __table_args__ = (STRICT,)
    build_id: int = link("build", index=False, unique=True)
    at: str = words(...)
    sha256: str = words(...)
    record: str = words(...)
