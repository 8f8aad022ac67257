"""The finish as a distribution: the same as one draw after the other, and honest about what drives it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.forecast import draw, forecast, gain, place_draws, without
from buildbook.reckon.pace import Delivery, Range, Ranges, pert_mean
from buildbook.reckon.sessions import Link, Task, list_schedule
from tests.bench.planning import many_steps, one_by_one, three_a_week, unsure

DAY_MIN = 1440
ALWAYS = [(0, 100_000)]
EVENINGS = [(DAY_MIN * day, DAY_MIN * day + 120) for day in range(100)]


@st.composite
def unsure_builds(draw: st.DrawFn) -> tuple[list[Task], list[Link], Ranges]:
    """Steps whose times, waits and parcels are not sure."""
    count = draw(st.integers(1, 12))
    three = st.lists(st.integers(0, 200), min_size=3, max_size=3).map(lambda few: Range(*sorted(few)))
    tasks = [
        Task(
            number,
            draw(st.integers(0, 90)),
            draw(st.sampled_from((0, 0, 40, 1500))),
            draw(st.sampled_from((None, 1, 2))),
            splittable=draw(st.booleans()),
            worker=draw(st.sampled_from((0, 0, 0, 1))),
        )
        for number in range(count)
    ]
    pairs = [(before, after) for after in range(count) for before in range(after)]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=count, unique=True)) if pairs else []
    links = [Link(*pair, draw(st.sampled_from(("FS", "SS"))), draw(st.sampled_from((0, 0, 60)))) for pair in chosen]
    hands = draw(st.dictionaries(st.integers(0, count - 1), three))
    waits = draw(st.dictionaries(st.integers(0, count - 1), three))
    when = st.lists(st.integers(0, 9000), min_size=3, max_size=3).map(lambda few: Range(*sorted(few)))
    held = draw(st.lists(st.tuples(when, st.integers(0, count - 1)), max_size=3, unique_by=lambda one: one[1]))
    return tasks, links, Ranges(hands, waits, [Delivery(at, one, (task,)) for at, (one, task) in enumerate(held)])


@given(unsure_builds(), st.integers(0, 9))
@settings(deadline=None, max_examples=80)
def test_all_draws_at_once_are_as_one_after_the_other(build: tuple[list[Task], list[Link], Ranges], seed: int) -> None:
    tasks, links, ranges = build
    order = list_schedule(tasks, links, EVENINGS).order
    drawn = draw(tasks, ranges, 7, seed)
    at_once = place_draws(tasks, links, EVENINGS, ranges, order, drawn)
    assert at_once.tolist() == one_by_one(tasks, links, EVENINGS, ranges, order, drawn)


def test_many_steps_at_once_are_as_one_after_the_other() -> None:
    with_parcels, links = many_steps(120)
    tasks = [replace(task, release=0) for task in with_parcels]
    ranges, sessions = unsure(with_parcels), three_a_week(200)
    order = list_schedule(tasks, links, sessions).order
    drawn = draw(tasks, ranges, 30, 1)
    at_once = place_draws(tasks, links, sessions, ranges, order, drawn)
    assert at_once.tolist() == one_by_one(tasks, links, sessions, ranges, order, drawn)


def test_what_is_sure_has_one_finish_that_of_the_schedule() -> None:
    tasks, links = many_steps(60)
    sure = forecast(tasks, links, three_a_week(100), Ranges(), draws=20)
    assert set(sure.percentiles) == {sure.likely}
    assert sure.likely <= list_schedule(tasks, links, three_a_week(100)).finish
    assert sure.drivers == ()


def test_draws_keep_to_their_range_and_have_the_mean_of_three_points() -> None:
    estimate = Range(500, 800, 1700)
    drawn = draw([Task(1, 1)], Ranges({1: estimate}), 20_000, 1).hands[0]
    assert drawn.min() >= 500
    assert drawn.max() <= 1700
    assert float(drawn.mean()) == pytest.approx(pert_mean(estimate), rel=0.01)
    # The variance of the beta distribution itself; the usual ((high - low) / 6) squared is near it, not the same.
    mean = pert_mean(estimate)
    assert float(drawn.var()) == pytest.approx((mean - 500) * (1700 - mean) / 7, rel=0.05)


def test_a_chain_of_steps_has_the_chances_of_the_sum() -> None:
    # Taylor, "Introduction to Management Science", ch. 8: critical 1-3-5-7, mean 24, P(at most 28) 0.963.
    points = {1: (5, 8, 17), 3: (3, 5, 7), 5: (4, 6, 8), 7: (3, 4, 5)}
    ranges = Ranges({number: Range(*(100 * time for time in times)) for number, times in points.items()})
    chain = [Link(1, 3), Link(3, 5), Link(5, 7)]
    told = forecast([Task(number, 1) for number in points], chain, ALWAYS, ranges, target=2800)
    assert told.chance == pytest.approx(0.963, abs=0.03)
    assert told.likely == pytest.approx(2400, rel=0.03)
    assert told.likely < told.safe < told.percentiles[100]
    assert told.percentiles[50] == told.likely
    assert told.percentiles[90] == told.safe


def test_the_same_draws_tell_the_same() -> None:
    tasks, links = many_steps(30)
    ranges = unsure(tasks)
    again = [forecast(tasks, links, three_a_week(100), ranges, draws=300) for _ in range(2)]
    assert again[0] == again[1]
    other = forecast(tasks, links, three_a_week(100), ranges, draws=300, seed=2)
    assert other.percentiles != again[0].percentiles


def test_what_holds_up_the_finish_is_named_first_and_what_does_not_is_not() -> None:
    tasks = [Task(1, 60), Task(2, 60, wait_min=5 * DAY_MIN), Task(3, 30)]
    late = Delivery(9, Range(2 * DAY_MIN, 10 * DAY_MIN, 40 * DAY_MIN), (3,))
    ranges = Ranges({1: Range(30, 60, 90)}, {2: Range(4 * DAY_MIN, 5 * DAY_MIN, 6 * DAY_MIN)}, [late])
    told = forecast(tasks, [Link(1, 3)], EVENINGS, ranges, draws=2000)
    assert (told.drivers[0].what, told.drivers[0].id) == ("delivery", 9)
    assert told.drivers[0].gain_min > 5 * DAY_MIN
    assert ("hands", 1) not in {(one.what, one.id) for one in told.drivers if one.gain_min > 60}


def test_a_late_parcel_does_not_hold_up_work_that_needs_none_of_it() -> None:
    tasks = [Task(1, 100), *(Task(number, 100) for number in range(2, 8))]
    late = Ranges(deliveries=[Delivery(1, Range(0, 0, 8 * DAY_MIN), (1,))])
    told = forecast(tasks, [], EVENINGS, late, draws=500)
    # Seven steps of 100 minutes are six evenings; a parcel of eight days only moves its own step behind.
    assert told.percentiles[100] <= 8 * DAY_MIN + 120


def test_a_sooner_delivery_and_a_shelved_step_gain_what_they_hold_up() -> None:
    tasks = [Task(1, 60), Task(2, 60, wait_min=3 * DAY_MIN), Task(3, 30)]
    links = [Link(1, 2), Link(2, 3)]
    late = Ranges(deliveries=[Delivery(5, Range(*[10 * DAY_MIN] * 3), (2,))])
    # The coat is on when the tenth evening is an hour old, and dry three days later: then comes the last half hour.
    # With the parcel here, it is on at the end of the first evening, and dry when the fourth is over.
    assert gain(tasks, links, EVENINGS, late, sooner={5: 0}).likely_min == 9 * DAY_MIN + 60
    # Without the coat only the two others are left, done on the first evening and not three days after the tenth.
    shelved = gain(tasks, links, EVENINGS, late, shelve=[2])
    assert shelved.safe_min == 13 * DAY_MIN
    assert gain(tasks, links, EVENINGS, late, shelve=[1, 2, 3]).likely_min == 13 * DAY_MIN + 90
    assert gain(tasks, links, EVENINGS, late) == (0, 0)


def test_what_was_before_a_shelved_step_stays_before_what_was_after_it() -> None:
    tasks = [Task(number, 5) for number in range(4)]
    links = [Link(0, 1, "SS", 4), Link(1, 2), Link(2, 3, "FS", 7)]
    left, left_links = without(tasks, links, [1, 2])
    assert [task.id for task in left] == [0, 3]
    assert left_links == (Link(0, 3, "SS", 4),)


def test_what_cannot_be_foretold_is_refused() -> None:
    with pytest.raises(BadInput, match="nothing to do"):
        forecast([], [], EVENINGS, Ranges())
    with pytest.raises(BadInput, match="Nothing is drawn"):
        forecast([Task(1, 5)], [], EVENINGS, Ranges(), draws=0)
    with pytest.raises(BadInput, match="not enough"):
        forecast([Task(1, 5)], [], [(0, 10)], Ranges({1: Range(5, 5, 50)}))
    with pytest.raises(BadInput, match="not enough"):
        forecast([Task(1, 5)], [], [], Ranges(), order=[1])
