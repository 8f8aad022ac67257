"""Marks as they are typed, chapters as descriptions have them, captions that are read at a glance."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.takes import (
    CAPTION_LINES,
    CAPTION_WIDTH,
    SHORTEST_S,
    MarkWritten,
    caption_lines,
    chapters_of,
    read_mark,
    show_offset,
)


@pytest.mark.parametrize(
    ("text", "offset", "title"),
    [
        ("12:40 first power", 760, "first power"),
        ("0:00 the heap", 0, "the heap"),
        ("1:02:03  the smoke", 3723, "the smoke"),
        ("75:10 late", 4510, "late"),
        ("first power", None, "first power"),
        ("4:1 ratio transformer", None, "4:1 ratio transformer"),
        ("12:405 is no time", None, "12:405 is no time"),
    ],
)
def test_a_mark_is_read_as_typed(text: str, offset: int | None, title: str) -> None:
    assert read_mark(text) == MarkWritten(offset, title)


@pytest.mark.parametrize(
    "text", ["", "   ", "12:40", "12:75 over", "1:75:00 over", "-0:10 too early", "−1:00 too early"]
)
def test_what_is_no_mark_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_mark(text)


@given(st.integers(0, 99 * 3600))
def test_a_moment_is_read_back(seconds: int) -> None:
    assert read_mark(f"{show_offset(seconds)} x") == (seconds, "x")


@given(st.lists(st.tuples(st.integers(0, 20_000), st.sampled_from(("a", "b", "c")))))
def test_chapters_begin_at_nothing_rise_and_are_told_when_short(marks: list[tuple[int, str]]) -> None:
    """Common practice of video platforms: 0:00 first, rising, each ten seconds long, three at least."""
    rows, told = chapters_of(marks)
    starts = [row.offset_s for row in rows]
    assert starts == sorted(starts)
    assert not rows or (starts[0] == 0 and re.match(r"0:00 \S", rows[0].line))
    assert len(rows) == len(marks) + any(row.added for row in rows)
    short = sum(after - one < SHORTEST_S for one, after in pairwise(starts))
    assert len([one for one in told if "at least 10 s" in one]) == short


def test_a_take_of_two_marks_is_told_to_have_few_chapters() -> None:
    rows, told = chapters_of([(0, "The heap"), (60, "The sum")])
    assert [row.line for row in rows] == ["0:00 The heap", "1:00 The sum"]
    assert told == ("By common practice chapters are shown from 3 on; there are 2.",)
    assert chapters_of([]) == ((), ())


@given(st.text(max_size=300))
def test_a_caption_is_two_short_lines(text: str) -> None:
    lines = caption_lines(text)
    assert len(lines) <= CAPTION_LINES
    assert all(len(line) <= CAPTION_WIDTH for line in lines)
