"""Moments within a take: how they are typed and said, what chapters ask of them, and captions of two short lines."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

# Common practice of video platforms: the first chapter at nothing, three at least, each so long at least.
FEWEST, SHORTEST_S = 3, 10
# Common practice of subtitling: what is read at a glance.
CAPTION_WIDTH, CAPTION_LINES = 42, 2
LONGEST_S = 100 * 3600
_BEFORE = re.compile(r"[-\u2212]\s?\d+:\d\d(?=\s|$).*")
_WRITTEN = re.compile(r"(?:(\d{1,2}):)?(\d{1,3}):(\d{2})(?=\s|$)\s*(.*)")


class MarkWritten(NamedTuple):
    """A mark as it was typed: so many seconds into the take, None where that was left out, and what is there."""

    offset_s: int | None
    title: str


def read_mark(text: str) -> MarkWritten:
    """A mark as a builder types it: "12:40 first power", "1:02:03 the smoke", or only what there is to see.

    >>> read_mark("12:40 first power"), read_mark("first power")
    (MarkWritten(offset_s=760, title='first power'), MarkWritten(offset_s=None, title='first power'))
    """
    plain = clean(text)
    if _BEFORE.fullmatch(plain):
        raise BadInput(f"{quote(plain)} was not marked.", "A take begins at 0:00.", "Give a time from there on.")
    found = _WRITTEN.fullmatch(plain)
    title = found[4] if found else plain
    if not title:
        raise BadInput("Nothing was marked.", "It is not said what is there.", "Say it after the time: 12:40 text.")
    if not found:
        return MarkWritten(None, title)
    hours, minutes, seconds = int(found[1] or 0), int(found[2]), int(found[3])
    if seconds > 59 or (found[1] and minutes > 59):
        raise BadInput(f"{quote(plain)} was not marked.", "Its time is none.", "Write it as 12:40 or 1:12:40.")
    return MarkWritten(3600 * hours + 60 * minutes + seconds, title)


def show_offset(seconds: int) -> str:
    """A moment within a take.

    >>> show_offset(0), show_offset(760), show_offset(3723)
    ('0:00', '12:40', '1:02:03')
    """
    minutes, left = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"


class Chapter(NamedTuple):
    """Where a chapter begins, in seconds into the take, and what it is called; `added` where nobody marked it."""

    offset_s: int
    title: str
    added: bool = False

    @property
    def line(self) -> str:
        """The line of a chapter as descriptions have it."""
        return f"{show_offset(self.offset_s)} {self.title}"


def chapters_of(marks: Sequence[tuple[int, str]]) -> tuple[tuple[Chapter, ...], tuple[str, ...]]:
    """Chapters from the marks of a take, in order of time from 0:00 on, and what common practice would object to.

    >>> chapters_of([(760, "First power")])[0][0].line
    '0:00 Start'
    """
    if not marks:
        return (), ()
    rows = [Chapter(offset, title) for offset, title in sorted(marks, key=lambda mark: mark[0])]
    told: list[str] = []
    if rows[0].offset_s:
        rows.insert(0, Chapter(0, "Start", added=True))
        told.append("A first chapter, 0:00 Start, was added: chapters begin at 0:00.")
    short = [
        (one, after.offset_s - one.offset_s)
        for one, after in pairwise(rows)
        if after.offset_s - one.offset_s < SHORTEST_S
    ]
    told += [
        f"{one.line} lasts {seconds} s: a chapter is at least {SHORTEST_S} s long by common practice."
        for one, seconds in short
    ]
    if len(rows) < FEWEST:
        told.append(f"By common practice chapters are shown from {FEWEST} on; there are {len(rows)}.")
    return tuple(rows), tuple(told)


def caption_lines(text: str) -> tuple[str, ...]:
    """A caption in two lines of 42 characters at most; what is longer ends with an ellipsis.

    >>> caption_lines("C3, C4: smoothing capacitor 22u 450V, electrolytic")
    ('C3, C4: smoothing capacitor 22u 450V,', 'electrolytic')
    """
    from textwrap import wrap

    return tuple(wrap(clean(text), CAPTION_WIDTH, max_lines=CAPTION_LINES, placeholder=" …"))
