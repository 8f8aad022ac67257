"""Bench time: hours as written, the sessions that come of them, and the same laid end to end."""

from __future__ import annotations

from datetime import UTC, date, datetime
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.calendar import (
    DAY_MIN,
    BenchTime,
    Calendar,
    Span,
    enough_sessions,
    joined,
    over_pieces,
    read,
    sessions,
    write,
)


def at(*when: int) -> int:
    return int(datetime(*when, tzinfo=UTC).timestamp()) // 60  # type: ignore[arg-type, misc]


def night(hours: str, day: tuple[int, int, int]) -> list[tuple[int, int]]:
    """The sessions of one local day in Berlin with these hours."""
    text = f"{date(*day).isoformat()}: {hours}"
    found = sessions(read(text, "Europe/Berlin"), at(*day) - DAY_MIN, at(*day) + 2 * DAY_MIN)
    return [(start, end) for start, end in found]


@st.composite
def spans(draw: st.DrawFn) -> tuple[Span, ...]:
    marks = sorted(draw(st.sets(st.integers(0, DAY_MIN), max_size=6)))
    return tuple(Span(since, until) for since, until in zip(marks[::2], marks[1::2], strict=False))


@st.composite
def calendars(draw: st.DrawFn) -> Calendar:
    weekly = draw(st.dictionaries(st.integers(0, 6), spans().filter(bool), min_size=1))
    exceptions = draw(st.dictionaries(st.dates(date(2026, 1, 1), date(2028, 1, 1)), spans(), max_size=3))
    zone = draw(st.sampled_from(("UTC", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata")))
    return Calendar(weekly, exceptions, zone)


@st.composite
def open_hours(draw: st.DrawFn) -> list[tuple[int, int]]:
    marks = sorted(draw(st.sets(st.integers(0, 3000), min_size=2, max_size=12)))
    return list(zip(marks[::2], marks[1::2], strict=False))


def test_a_week_gives_its_sessions_in_local_time() -> None:
    bench = read("tue 19:30-22:00, sat 10:00-16:00", "Europe/Berlin")
    found = sessions(bench, at(2027, 1, 4), at(2027, 1, 11))
    assert found == ((at(2027, 1, 5, 18, 30), at(2027, 1, 5, 21)), (at(2027, 1, 9, 9), at(2027, 1, 9, 15)))


def test_a_date_that_is_different_takes_the_place_of_its_weekday() -> None:
    bench = read("sat 10:00-16:00\n2027-01-02: none\n2027-01-03: 09:00-12:00, 13:00-14:00")
    found = sessions(bench, at(2027, 1, 1), at(2027, 1, 9))
    assert found == ((at(2027, 1, 3, 9), at(2027, 1, 3, 12)), (at(2027, 1, 3, 13), at(2027, 1, 3, 14)))


def test_a_session_that_has_begun_is_cut_at_now() -> None:
    bench = read("sat 10:00-16:00")
    assert sessions(bench, at(2027, 1, 2, 11), at(2027, 1, 2, 12)) == ((at(2027, 1, 2, 11), at(2027, 1, 2, 12)),)


def test_sessions_that_touch_over_midnight_are_one() -> None:
    bench = read("fri 22:00-24:00, sat 00:00-01:30")
    assert sessions(bench, at(2027, 1, 1), at(2027, 1, 4)) == ((at(2027, 1, 1, 22), at(2027, 1, 2, 1, 30)),)


@pytest.mark.parametrize(
    ("hours", "day", "minutes"),
    [
        ("01:00-04:00", (2027, 3, 28), 120),  # summer time begins: 02:00 to 03:00 does not exist
        ("01:00-04:00", (2027, 10, 31), 240),  # summer time ends: 02:00 to 03:00 comes twice
        ("02:15-02:45", (2027, 3, 28), 30),  # shifted to 03:15
        ("02:15-02:45", (2027, 10, 31), 30),  # taken the first time
    ],
)
def test_a_session_over_the_change_of_the_clocks_has_its_true_length(
    hours: str, day: tuple[int, int, int], minutes: int
) -> None:
    ((start, end),) = night(hours, day)
    assert end - start == minutes


def test_a_local_time_that_does_not_exist_is_shifted_by_the_change() -> None:
    assert night("02:15-02:45", (2027, 3, 28)) == [(at(2027, 3, 28, 1, 15), at(2027, 3, 28, 1, 45))]


def test_a_local_time_that_comes_twice_is_taken_the_first_time() -> None:
    assert night("02:15-02:45", (2027, 10, 31)) == [(at(2027, 10, 31, 0, 15), at(2027, 10, 31, 0, 45))]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no hours at all"),
        ("2027-01-02: none", "no hours at all"),
        ("tue 22:00-19:30", "runs backwards"),
        ("tue 19:30-19:30", "runs backwards"),
        ("tue 19:00-21:00, tue 20:00-22:00", "overlaps"),
        ("tue 19:00-25:00", "no such time"),
        ("tue 19:60-20:00", "no such time"),
        ("tue 19:00-24:30", "leaves the day"),
        ("someday 19:00-20:00", "not understood"),
        ("19:00-20:00", "not understood"),
        ("tue evening", "not understood"),
        ("2027-02-30: 10:00-11:00", "not understood"),
    ],
)
def test_impossible_bench_time_is_refused_in_one_sentence(text: str, said: str) -> None:
    with pytest.raises(BadInput) as refused:
        read(text)
    assert said in refused.value.why
    assert refused.value.why.count(". ") == 0


def test_an_unknown_zone_or_weekday_is_refused() -> None:
    with pytest.raises(BadInput, match="no time zone 'Mars/Olympus'"):
        read("tue 10:00-11:00", "Mars/Olympus")
    with pytest.raises(BadInput, match="no weekday 7"):
        Calendar({7: (Span(0, 60),)})


def test_a_date_beyond_all_calendars_is_refused() -> None:
    with pytest.raises(BadInput, match="years 1900 to 9000"):
        sessions(read("tue 10:00-11:00"), 0, 10**12)


def test_enough_sessions_go_on_until_the_work_fits_behind_the_last_parcel() -> None:
    bench = read("sat 10:00-11:00")
    found = enough_sessions(bench, 0, 600, at(1970, 3, 1))
    assert sum(end - start for start, end in found if start >= at(1970, 3, 1)) >= 600
    with pytest.raises(BadInput, match="only dates"):
        enough_sessions(read("2027-01-02: 10:00-11:00"), at(2027, 1, 1), 61, at(2027, 1, 1))


@given(calendars())
@settings(deadline=None, max_examples=60)
def test_what_is_written_reads_as_the_same(calendar: Calendar) -> None:
    again = read(write(calendar), calendar.zone)
    assert (dict(again.weekly), dict(again.exceptions)) == (dict(calendar.weekly), dict(calendar.exceptions))


@given(calendars(), st.integers(at(2026, 1, 1), at(2027, 12, 1)), st.integers(0, 40 * DAY_MIN))
@settings(deadline=None, max_examples=60)
def test_sessions_are_in_order_apart_and_inside_what_was_asked(calendar: Calendar, since: int, span: int) -> None:
    found = sessions(calendar, since, since + span)
    assert all(since <= start < end <= since + span for start, end in found)
    assert all(soon.end < late.start for soon, late in pairwise(found))
    middle = since + span // 2
    assert joined((*sessions(calendar, since, middle), *sessions(calendar, middle, since + span))) == found


@given(open_hours())
@settings(deadline=None, max_examples=60)
def test_bench_minutes_and_instants_tell_the_same(hours: list[tuple[int, int]]) -> None:
    bench = BenchTime(hours)
    there = [instant for start, end in bench.sessions for instant in range(start, end)]
    assert [bench.start(minute) for minute in range(bench.total)] == there
    assert [bench.end(minute + 1) for minute in range(bench.total)] == [instant + 1 for instant in there]
    assert [bench.before(instant) for instant in there] == list(range(bench.total))


@given(open_hours(), st.integers(0, 2000), st.booleans())
@settings(deadline=None, max_examples=60)
def test_a_wait_in_straight_pieces_is_over_when_the_clock_says(
    hours: list[tuple[int, int]], wait: int, after_end: bool
) -> None:
    bench = BenchTime(hours)
    low, high = (1, bench.total) if after_end else (0, bench.total - 1)
    told = {
        minute: piece.by + (0 if piece.flat else minute)
        for piece in over_pieces(bench, low, high, wait, after_end=after_end)
        for minute in range(piece.since, piece.until + 1)
    }
    from_ = bench.end if after_end else bench.start
    assert told == {minute: bench.before(from_(minute) + wait) for minute in range(low, high + 1)}
