"""For the camera: marks as chapters, shots to film, captions of parts and values, questions from the audience."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.log import episode_meant
from buildbook.answers.standing import find_build
from buildbook.answers.told import told
from buildbook.errors import BadInput
from buildbook.store.read import filming as read
from buildbook.store.read.filming import AskedRow as AskedRow
from buildbook.store.read.filming import MarkRow as MarkRow
from buildbook.store.read.filming import ShotRow as ShotRow
from buildbook.store.read.standing import builds
from buildbook.trade.plain import clean, quote
from buildbook.trade.takes import caption_lines, chapters_of

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Marks(Answer):
    """The marks of an episode, take by take."""

    SCHEMA: ClassVar[str] = "buildbook.marks/1"
    build: str
    number: int
    rows: tuple[MarkRow, ...]


def marks(shop: Workshop, number: int | None = None, build: str | None = None) -> Marks:
    """The marks of an episode, the open one or else the last without a number."""
    here = episode_meant(shop, number, build)
    rows = tuple(read.marks(shop.reads, here.id))
    said = f"{count_of(len(rows), 'mark')} in {count_of(len({row.take for row in rows}), 'take')}"
    return Marks(
        f"Episode {here.number} of {here.build}: {said if rows else 'no marks'}.", here.build, here.number, rows
    )


def timed_takes(rows: Iterable[MarkRow]) -> list[str]:
    """The takes in which a mark has a time, by name: those that have chapters."""
    return sorted({row.take for row in rows if row.offset_s is not None})


class ChapterRow(NamedTuple):
    """A chapter: the line to be copied, and where it begins in seconds."""

    line: str
    offset_s: int
    title: str
    added: bool


@dataclass(frozen=True, slots=True)
class Chapters(Answer):
    """The chapters of one take, from 0:00 on, and in `told` what common practice would object to."""

    SCHEMA: ClassVar[str] = "buildbook.chapters/1"
    build: str
    number: int
    take: str
    rows: tuple[ChapterRow, ...]
    told: tuple[str, ...]


def chapters(
    shop: Workshop, number: int | None = None, build: str | None = None, *, take: str | None = None
) -> Chapters:
    """The chapters of a take of an episode; without a take its only one. BadInput when it is not clear which."""
    here = episode_meant(shop, number, build)
    found = read.marks(shop.reads, here.id)
    takes = timed_takes(found)
    wanted = clean(take) if take is not None else (takes[0] if len(takes) == 1 else "")
    if (take is None and len(takes) > 1) or (take is not None and wanted not in takes):
        there = ", ".join(quote(one) if one else "one without a name" for one in takes) or "none"
        raise BadInput("It is not clear which take is meant.", f"There are: {there}.", "Name one with --take.")
    rows, objections = chapters_of(
        [(row.offset_s, row.title) for row in found if row.take == wanted and row.offset_s is not None]
    )
    timeless = [row.title for row in found if row.take == wanted and row.offset_s is None]
    if timeless:
        objections = (
            *objections,
            f"{count_of(len(timeless), 'mark')} left out, for want of a time: {'; '.join(timeless)}.",
        )
    said = count_of(len(rows), "chapter") + (f" of take {wanted}" if wanted else "")
    lines = tuple(ChapterRow(one.line, *one) for one in rows)
    return Chapters(
        f"Episode {here.number} of {here.build}: {said}.", here.build, here.number, wanted, lines, objections
    )


def chapters_by_take(shop: Workshop, number: int | None = None, build: str | None = None) -> tuple[Chapters, ...]:
    """The chapters of every take of an episode that has some."""
    takes = timed_takes(marks(shop, number, build).rows)
    return tuple(chapters(shop, number, build, take=take) for take in takes)


@dataclass(frozen=True, slots=True)
class Shots(Answer):
    """What to film for an episode, in order."""

    SCHEMA: ClassVar[str] = "buildbook.shots/1"
    build: str
    number: int
    rows: tuple[ShotRow, ...]


def shots(shop: Workshop, number: int | None = None, build: str | None = None) -> Shots:
    """The shots of an episode, the open one or else the last without a number."""
    here = episode_meant(shop, number, build)
    rows = tuple(read.shots(shop.reads, here.id))
    left = sum(not row.done_at for row in rows)
    said = f"{count_of(len(rows), 'shot')}, {left or 'none'} still to film" if rows else "no shots on the list"
    return Shots(f"Episode {here.number} of {here.build}: {said}.", here.build, here.number, rows)


class CaptionRow(NamedTuple):
    """A caption of two lines of 42 characters at most; `kind` is "part" or "value"."""

    kind: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Captions(Answer):
    """What to set on the screen: the parts fitted in an episode, and the values measured in it."""

    SCHEMA: ClassVar[str] = "buildbook.captions/1"
    build: str
    number: int
    rows: tuple[CaptionRow, ...]


def captions(shop: Workshop, number: int | None = None, build: str | None = None) -> Captions:
    """Captions for an episode, the open one or else the last without a number."""
    facts = told(shop, number, build)
    rows = []
    for line in facts.fitted:
        what = " ".join(dict.fromkeys(word for word in (line.name or line.key, line.value) if word))
        text = f"{line.refs.replace(',', ', ')}: {what}" if line.refs else what
        rows.append(CaptionRow("part", caption_lines(text)))
    rows += [CaptionRow("value", caption_lines(f"{one.name}: {one.said}")) for one in facts.readings]
    parts = len(facts.fitted)
    said = f"{count_of(parts, 'part')} and {count_of(len(rows) - parts, 'value')} to caption"
    here = facts.episode
    return Captions(f"Episode {here.number} of {facts.build.code}: {said}.", facts.build.code, here.number, tuple(rows))


@dataclass(frozen=True, slots=True)
class Audience(Answer):
    """Questions from the audience, the open ones first."""

    SCHEMA: ClassVar[str] = "buildbook.audience/1"
    rows: tuple[AskedRow, ...]


def audience(shop: Workshop, build: str | None = None, *, episode: int | None = None) -> Audience:
    """The questions from the audience, of one build or one of its episodes when named. BadInput: no such build."""
    own = find_build(builds(shop.reads), build) if build else None
    found = read.asked(shop.reads, own.id if own else 0)
    rows = tuple(row for row in found if episode is None or row.episode == episode)
    still = sum(not row.answered_at for row in rows)
    said = f"{count_of(len(rows), 'question')} from the audience, {still or 'none'} open."
    return Audience(said[0].upper() + said[1:] if rows else "The audience has asked nothing yet.", rows)
