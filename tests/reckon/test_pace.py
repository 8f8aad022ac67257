"""How long things take: three-point estimates by the books, and a pace that few notes do not throw about."""

from __future__ import annotations

from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.pace import (
    PRIOR_STEPS,
    Noted,
    Range,
    Ranges,
    at_pace,
    chance_by,
    pace,
    pert_mean,
    pert_variance,
)

# Taylor, "Introduction to Management Science", ch. 8: activities 1 to 7.
TAYLOR = [(5, 8, 17), (7, 10, 13), (3, 5, 7), (1, 3, 5), (4, 6, 8), (3, 3, 3), (3, 4, 5)]
# Heizer and Render, "Operations Management", Milwaukee Paper: the critical activities A, C, E, G, H (from memory).
MILWAUKEE = [(1, 2, 3), (1, 2, 3), (1, 4, 7), (3, 4, 11), (1, 2, 3)]


def test_mean_and_variance_of_three_points() -> None:
    ranges = [Range(*one) for one in TAYLOR]
    assert [pert_mean(one) for one in ranges] == [9, 10, 5, 3, 6, 3, 4]
    assert [pert_variance(one) for one in ranges] == pytest.approx([4, 1, 0.4444, 0.4444, 0.4444, 0, 0.1111], abs=1e-4)


def test_chances_of_a_date() -> None:
    critical = [Range(*TAYLOR[number - 1]) for number in (1, 3, 5, 7)]
    mean, variance = sum(map(pert_mean, critical)), sum(map(pert_variance, critical))
    assert mean == 24
    assert variance == pytest.approx(5.0)
    assert chance_by(mean, variance, 28) == pytest.approx(0.9632, abs=1e-3)  # Taylor
    assert chance_by(26, 2.03**2, 25) == pytest.approx(0.3111, abs=1e-3)  # Taylor
    assert chance_by(26, 2.03**2, 30) == pytest.approx(0.9756, abs=1e-3)  # Taylor
    paper = [Range(*one) for one in MILWAUKEE]
    assert sum(map(pert_mean, paper)) == 15
    assert sum(map(pert_variance, paper)) == pytest.approx(3.1111, abs=1e-4)
    assert chance_by(15, sum(map(pert_variance, paper)), 16) == pytest.approx(0.7146, abs=1e-3)


def test_what_is_certain_is_certain() -> None:
    assert (chance_by(10, 0, 10), chance_by(10, 0, 9)) == (1, 0)


def test_a_low_above_a_high_is_refused() -> None:
    with pytest.raises(BadInput, match="Step 3 has 5, 4, 9"):
        Ranges({3: Range(5, 4, 9)})


def test_without_notes_the_pace_is_one() -> None:
    assert (pace([]).ratio, pace([]).counted, pace([]).of("solder")) == (1, 0, 1)


def test_few_notes_say_little_and_many_say_what_they_say() -> None:
    assert pace([Noted(60, 30)]).ratio == pytest.approx(2 ** (1 / (1 + PRIOR_STEPS)))
    assert pace([Noted(60, 30)] * 1000).ratio == pytest.approx(2, rel=0.01)


def test_a_clock_that_did_not_run_tells_nothing() -> None:
    noted = [Noted(45, 30)] * 3
    assert pace([*noted, Noted(0, 30), Noted(30, 0), Noted(-5, 30)]) == pace(noted)


def test_a_clock_left_running_counts_as_eightfold() -> None:
    assert pace([Noted(100_000, 10)]).ratio == pytest.approx(exp(log(8) / (1 + PRIOR_STEPS)))


def test_a_kind_noted_often_has_a_pace_of_its_own_shrunk_towards_that_of_all() -> None:
    learned = pace([*[Noted(60, 30, "paint")] * 6, *[Noted(30, 30, "solder")] * 6, Noted(90, 30, "etch")])
    assert set(learned.by_kind) == {"paint", "solder"}
    assert learned.of("solder") < learned.ratio < learned.of("paint") < 2
    assert learned.of("etch") == learned.ratio


def test_minutes_at_a_pace_are_whole_and_never_vanish() -> None:
    assert [at_pace(minutes, 1.5) for minutes in (0, 1, 30)] == [0, 2, 45]
    assert at_pace(1, 0.1) == 1


@given(st.lists(st.tuples(st.integers(-5, 500), st.integers(0, 500)), max_size=30))
@settings(deadline=None, max_examples=60)
def test_the_pace_lies_between_one_and_the_furthest_noted(pairs: list[tuple[int, int]]) -> None:
    learned = pace([Noted(*pair) for pair in pairs])
    ratios = [max(1 / 8, min(8, noted / estimated)) for noted, estimated in pairs if noted > 0 and estimated > 0]
    assert min([1, *ratios]) - 1e-9 <= learned.ratio <= max([1, *ratios]) + 1e-9
    assert learned.counted == len(ratios)
