"""What the story of a build is made of in its record: snags with their tries, episodes, photos and files."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tried:
    """One try at a snag; None where its minutes were not kept."""

    at: str
    tried: str
    showed: str
    minutes: int | None
    joints: int


@dataclass(frozen=True, slots=True)
class Snagged:
    """A fault with its tries, its cause, and the parts it had to do with, in words."""

    number: int
    title: str
    state: str
    opened_at: str
    closed_at: str
    about: str
    reading: str
    cause: str
    minutes: int
    joints: int
    tries: tuple[Tried, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Happened:
    """Something written down or done in an episode."""

    at: str
    kind: str
    what: str
    about: str


@dataclass(frozen=True, slots=True)
class Told:
    """An episode with its recap and, where there are any, the builder's own words."""

    number: int
    title: str
    opened_at: str
    closed_at: str
    recap: str
    words: str
    rows: tuple[Happened, ...]


@dataclass(frozen=True, slots=True)
class Attached:
    """A photo or file by the hash of its content, and what it is about: `kind` in a word, `about` in words."""

    sha256: str
    name: str
    media: str
    caption: str
    at: str
    kind: str
    about: str
