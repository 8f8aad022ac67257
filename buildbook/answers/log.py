"""Log: what happened, and what do I say about it?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.search import search as search
from buildbook.answers.standing import find_build
from buildbook.errors import BadInput
from buildbook.store.read import log as read
from buildbook.store.read.filming import open_questions
from buildbook.store.read.log import EpisodeRow as EpisodeRow
from buildbook.store.read.log import LogRow as LogRow
from buildbook.store.read.standing import BuildRow, builds

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

USUAL = 30


@dataclass(frozen=True, slots=True)
class Stream(Answer):
    """What was written down and done, newest first; `total` is how much there is in all."""

    SCHEMA: ClassVar[str] = "buildbook.log/1"
    rows: tuple[LogRow, ...]
    total: int
    open_episodes: tuple[EpisodeRow, ...]


def stream(shop: Workshop, build: str | None = None, *, most: int | None = USUAL) -> Stream:
    """The last `most` notes, snags, tries and actions, or all of them for None; of one build when it is named.

    Raises BadInput for an unknown build.
    """
    known = builds(shop.reads)
    own = find_build(known, build) if build else None
    number = own.id if own else 0
    rows = tuple(read.stream(shop.reads, -1 if most is None else most, number))
    total = read.count(shop.reads, number)
    still_open = tuple(one for one in read.episodes(shop.reads) if not one.closed_at and number in (0, one.build_id))
    asked = open_questions(shop.reads, number)
    return Stream(_stream_sentence(len(rows), total, still_open, asked), rows, total, still_open)


def _stream_sentence(shown: int, total: int, still_open: Sequence[EpisodeRow], asked: int) -> str:
    if not total:
        said = "Nothing has happened yet"
    elif shown < total:
        said = f"The last {shown} of {total} things done and written down"
    else:
        said = f"{count_of(total, 'thing')} done and written down"
    opened = [f"episode {one.number} of {one.build} ({one.title})" for one in still_open]
    if opened:
        said += f"; {join_words(opened)} {'is' if len(opened) == 1 else 'are'} open"
    if asked:
        said += f"; {count_of(asked, 'question')} from the audience {'is' if asked == 1 else 'are'} open"
    return said + "."


@dataclass(frozen=True, slots=True)
class Episode(Answer):
    """One stage of a build: its span (UTC, `closed_at` empty while open), what was done and written down in it."""

    SCHEMA: ClassVar[str] = "buildbook.episode/1"
    build: str
    number: int
    title: str
    opened_at: str
    closed_at: str
    recap: str
    rows: tuple[LogRow, ...]


def episode(shop: Workshop, number: int | None = None, build: str | None = None) -> Episode:
    """The episode of that number; without one, the open episode, or else the last.

    Raises BadInput when there is none, or when it is not clear which build is meant.
    """
    found = episode_meant(shop, number, build)
    rows = tuple(read.in_episode(shop.reads, found))
    counts = Counter(row.kind for row in rows)
    between = [count_of(counts[one], one, many) for one, many in (("snag", "snags"), ("try", "tries")) if counts[one]]
    said = join_words([count_of(counts["note"], "note"), *between, count_of(counts["action"], "action")])
    still = "" if found.closed_at else "open, "
    return Episode(
        sentence=f"Episode {found.number} of {found.build}, {found.title}: {still}{said}.",
        build=found.build,
        number=found.number,
        title=found.title,
        opened_at=found.opened_at,
        closed_at=found.closed_at,
        recap=found.recap,
        rows=rows,
    )


def episodes(shop: Workshop, build: str | None = None) -> tuple[EpisodeRow, ...]:
    """The episodes of a build, or of all, in order. Raises BadInput for an unknown build."""
    own = find_build(builds(shop.reads), build) if build else None
    return tuple(one for one in read.episodes(shop.reads) if own is None or one.build_id == own.id)


def episode_meant(shop: Workshop, number: int | None = None, build: str | None = None) -> EpisodeRow:
    """Which episode is meant; without a number the open one, or else the last. Raises BadInput as `episode` does."""
    return _find(read.episodes(shop.reads), number, find_build(builds(shop.reads), build))


def _find(known: Sequence[EpisodeRow], number: int | None, own: BuildRow | None) -> EpisodeRow:
    having = [one for one in known if own is None or one.build_id == own.id]
    if number is None:
        still_open = [one for one in having if not one.closed_at]
        found = (still_open or having)[-1:]
    else:
        found = [one for one in having if one.number == number]
    if len(found) == 1:
        return found[0]
    if found:
        codes = join_words([one.build for one in found])
        raise BadInput(f"Episode {number} is not clear.", f"{codes} have one each.", "Name the build with --build.")
    what = "episode" if number is None else f"episode {number}"
    there = ", ".join(f"{one.number} ({one.title})" for one in having)
    raise BadInput(
        f"There is no {what}{f' of {own.code}' if own else ''}.",
        f"There are {there}." if there else "None has been started.",
        "" if there else "Start one with `buildbook log episode start`.",
    )


def first_note(shop: Workshop) -> str:
    """The first thing that was ever written down here; empty when nothing was."""
    return read.first_note(shop.reads)
