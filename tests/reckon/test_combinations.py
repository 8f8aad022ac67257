"""Figures and supplies over all combinations: the same as each combination by itself."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.combinations import contacts_over, shape_of, spread, standings_over
from buildbook.reckon.contacts import Contacts, Use
from buildbook.reckon.contacts import standings as contact_standings
from buildbook.reckon.supply import Load, Supply, standings

# Answers 1 to 6 are of two questions weighed, 7 and 8 of one that is held as it is.
AXES = [[1, 2, 3], [4, 5, 6]]
OPTIONS = st.sampled_from([0, 0, *range(1, 9)])


@st.composite
def loads(draw: st.DrawFn) -> Load:
    """Something that draws current or power, or nobody knows what; perhaps with an answer."""
    how = draw(st.sampled_from(["current", "power", "unknown"]))
    return Load(
        "load",
        draw(st.integers(1, 3)),
        current_ua=draw(st.integers(0, 10**6)) if how == "current" else None,
        power_uw=draw(st.integers(0, 10**7)) if how == "power" else None,
        duty_bp=draw(st.sampled_from([10_000, 3_333])),
        option=draw(OPTIONS),
    )


@st.composite
def supplies(draw: st.DrawFn) -> list[Supply]:
    """A tree: each supply is fed by one before it, or by nothing."""
    found: list[Supply] = []
    for number in range(1, draw(st.integers(1, 5)) + 1):
        kind = draw(st.sampled_from(["fuse", "core", "winding", "rail"]))
        found.append(
            Supply(
                number,
                kind,
                draw(st.integers(0, number - 1)),
                draw(st.sampled_from([0, 6_300_000, 230_000_000])),
                draw(st.one_of(st.none(), st.integers(1, 4_000_000))),
                draw(st.sampled_from([0, 2_000, 3_333])),
                draw(st.sampled_from(["straight", "rectifier", "linear", "switching"]))
                if kind == "rail"
                else "straight",
                draw(st.sampled_from([None, 1_800_000, 870_000])),
                draw(st.integers(1, 2)),
                tuple(draw(st.lists(loads(), max_size=4))),
            )
        )
    return found


@given(supplies())
@settings(deadline=None, max_examples=150)
def test_every_combination_stands_as_it_would_by_itself(tree: list[Supply]) -> None:
    over = {one.id: one for one in standings_over(tree, AXES, {7})}
    for first, second in product(range(3), range(3)):
        for one in standings(tree, {AXES[0][first], AXES[1][second], 7}):
            grid = over[one.id]
            load, unknown, broken, tight = (
                np.broadcast_to(cell, (3, 3))[first, second]
                for cell in (grid.load, grid.unknown, grid.over, grid.tight)
            )
            assert (load, unknown) == (one.load, one.unknown)
            assert (bool(broken), bool(tight)) == (one.state == "over", one.state == "tight")


def test_a_supply_that_no_answer_touches_has_one_figure() -> None:
    tree = [Supply(1, "winding", 0, 6_300_000, 10, loads=(Load("valve", current_ua=4),)), Supply(2, "rail", 0, 1, 9)]
    assert [one.load.shape for one in standings_over(tree, AXES)] == [(1, 1), (1, 1)]


@given(st.lists(st.integers(-9, 9), min_size=3, max_size=3), st.lists(st.integers(-9, 9), min_size=9, max_size=9))
@settings(deadline=None, max_examples=50)
def test_sums_over_all_combinations_are_those_of_each(alone: list[int], both: list[int]) -> None:
    tables = {(1,): np.array(alone), (0, 1): np.array(both).reshape(3, 3), (): np.array(7)}
    whole = spread(AXES, tables)
    for first, second in product(range(3), range(3)):
        assert whole[first, second] == alone[second] + both[3 * first + second] + 7


def test_axes_that_are_not_touched_have_length_one() -> None:
    assert shape_of(AXES, ()) == (1, 1)


@st.composite
def switches(draw: st.DrawFn) -> Contacts:
    """A switch with functions, some of which come with an answer."""
    uses = tuple(
        Use(
            number,
            draw(st.integers(1, 2)),
            draw(st.integers(1, 3)),
            draw(st.one_of(st.none(), st.integers(1, 4))),
            draw(OPTIONS),
            draw(st.one_of(st.none(), st.integers(0, 200_000))),
        )
        for number in range(1, draw(st.integers(0, 4)) + 1)
    )
    limit = draw(st.one_of(st.none(), st.just(100_000)))
    return Contacts(1, draw(st.integers(1, 4)), draw(st.integers(1, 3)), limit, option=draw(OPTIONS), uses=uses)


@settings(deadline=None, max_examples=80)
@given(switches(), st.sets(st.sampled_from([7, 8]), max_size=1))
def test_a_switch_stands_over_the_grid_as_with_each_combination_by_itself(switch: Contacts, held: set[int]) -> None:
    grid = contacts_over(switch, AXES, held)
    shape = tuple(map(len, AXES))
    for at, taken in zip(np.ndindex(*shape), product(*AXES), strict=True):
        (alone,) = contact_standings([switch], {*taken, *held})
        over, tight = (bool(np.broadcast_to(one, shape)[at]) for one in (grid.over, grid.tight))
        assert (over, tight) == (alone.state == "over", alone.state == "tight")
        wanted = int(np.broadcast_to(grid.load, shape)[at])
        assert (wanted > switch.poles) == bool(alone.short_poles)


def test_questions_that_bring_a_switch_nothing_take_no_room_on_its_grid() -> None:
    assert contacts_over(Contacts(1, 2, 2, uses=(Use(1, option=5),)), AXES).load.shape == (1, 3)
