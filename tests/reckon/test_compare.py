"""Candidates side by side: differences, limits, and who is beaten."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.compare import Candidate, Criterion, compare, unbeaten_rows

MONEY, ROOM = Criterion("money"), Criterion("headroom", less_is_better=False)
CRITERIA = (MONEY, Criterion("hours"), ROOM)
figure = st.one_of(st.none(), st.integers(0, 3))
candidates = st.lists(
    st.tuples(figure, figure, figure, st.lists(st.sampled_from(["HTR too tight", "T1 over"]), max_size=2)),
    min_size=1,
    max_size=7,
).map(
    lambda rows: [
        Candidate(f"A{at}", {"money": money, "hours": hours, "headroom": room}, tuple(breaks))
        for at, (money, hours, room, breaks) in enumerate(rows)
    ]
)


def test_less_money_and_more_headroom_beat() -> None:
    dear = Candidate("dear", {"money": 9, "headroom": 1})
    cheap = Candidate("cheap", {"money": 2, "headroom": 1})
    roomy = Candidate("roomy", {"money": 5, "headroom": 4})
    found = {one.key: one for one in compare([dear, cheap, roomy], (MONEY, ROOM), "dear")}
    assert found["dear"].beaten_by == ("cheap", "roomy")
    assert found["cheap"].unbeaten
    assert found["roomy"].unbeaten
    assert found["cheap"].differences == {"money": -7, "headroom": 0}


def test_what_breaks_a_limit_is_struck_out_and_beats_nothing() -> None:
    valve = Candidate("valve", {"money": 0}, ("HTR too tight",))
    diodes = Candidate("diodes", {"money": 1})
    found = compare([valve, diodes], (MONEY,), "valve")
    assert [(one.unbeaten, one.beaten_by, one.breaks) for one in found] == [
        (False, (), ("HTR too tight",)),
        (True, (), ()),
    ]


def test_what_is_not_known_neither_beats_nor_is_beaten() -> None:
    known, unknown = Candidate("known", {"money": 1}), Candidate("unknown", {"money": None})
    found = compare([known, unknown], (MONEY,), "known")
    assert all(one.unbeaten for one in found)
    assert found[1].differences == {"money": None}


def test_a_respect_of_which_nobody_knows_anything_is_left_aside() -> None:
    pair = [Candidate("a", {"money": 1, "hours": None}), Candidate("b", {"money": 2, "hours": None})]
    assert compare(pair, CRITERIA[:2], "a")[1].beaten_by == ("a",)


def test_it_is_compared_with_one_that_there_is() -> None:
    with pytest.raises(BadInput, match="There is no candidate x"):
        compare([Candidate("a", {})], CRITERIA, "x")


def is_beaten(one: Candidate, other: Candidate, some: list[Candidate]) -> bool:
    """Whether the other is as good in all that is known of anybody, and better in something: more of it is worse."""
    names = [name for name in one.figures if any(each.figures[name] is not None for each in some)]
    pairs = [(one.figures[name], other.figures[name], -1 if name == "headroom" else 1) for name in names]
    if any(mine is None or theirs is None for mine, theirs, _ in pairs):
        return False
    mine = [sign * (first or 0) for first, _, sign in pairs]
    theirs = [sign * (second or 0) for _, second, sign in pairs]
    return all(a >= b for a, b in zip(mine, theirs, strict=True)) and mine != theirs


@given(candidates)
@settings(deadline=None, max_examples=200)
def test_no_unbeaten_one_is_beaten_and_every_struck_one_has_a_reason(some: list[Candidate]) -> None:
    by_key = {one.key: one for one in some}
    for one in compare(some, CRITERIA, some[0].key):
        rivals = [other for other in some if not other.breaks and is_beaten(by_key[one.key], other, some)]
        if one.unbeaten:
            assert rivals == []
        elif not one.breaks:
            assert [other.key for other in rivals] == list(one.beaten_by) != []
        else:
            assert one.breaks == by_key[one.key].breaks


@given(st.lists(st.tuples(st.integers(-3, 3), st.integers(-3, 3), st.integers(0, 2**62)), max_size=40))
@settings(deadline=None, max_examples=200)
def test_the_rows_that_are_kept_are_those_that_no_other_beats(rows: list[tuple[int, int, int]]) -> None:
    kept = unbeaten_rows(np.array(rows, np.int64).reshape(-1, 3))
    for row, mark in zip(rows, kept.tolist(), strict=True):
        beaten = any(
            all(mine <= theirs for mine, theirs in zip(other, row, strict=True)) and other != row for other in rows
        )
        assert mark != beaten
