"""How many can be made today: the same as trying one more until it fails."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.cover import Want, cover
from buildbook.reckon.makeable import Missing, limiting_parts, most_units

PARTS = st.integers(0, 4)
RECIPES = st.lists(st.tuples(PARTS, st.integers(1, 4)), min_size=1, max_size=5)
DRAWERS = st.dictionaries(PARTS, st.integers(0, 25))
STAND_INS = st.dictionaries(PARTS, st.lists(PARTS, max_size=3, unique=True), max_size=4)


def wants_of(recipe: list[tuple[int, int]], units: int) -> list[Want]:
    return [Want(key, part, qty * units) for key, (part, qty) in enumerate(recipe)]


@given(RECIPES, DRAWERS, STAND_INS, st.integers(0, 40))
@settings(deadline=None, max_examples=150)
def test_as_many_as_by_trying_one_more_until_it_fails(
    recipe: list[tuple[int, int]], drawers: dict[int, int], stand_ins: dict[int, list[int]], limit: int
) -> None:
    made = 0
    while made < limit and not any(s.short for s in cover(wants_of(recipe, made + 1), drawers, stand_ins).shares):
        made += 1
    assert most_units(lambda units: wants_of(recipe, units), drawers, stand_ins, limit=limit) == made


@given(RECIPES, DRAWERS, STAND_INS)
@settings(deadline=None, max_examples=100)
def test_what_is_missing_is_just_enough_for_one_more(
    recipe: list[tuple[int, int]], drawers: dict[int, int], stand_ins: dict[int, list[int]]
) -> None:
    def wants_for(units: int) -> list[Want]:
        return wants_of(recipe, units)

    made = most_units(wants_for, drawers, stand_ins)
    missing = limiting_parts(wants_for, drawers, stand_ins, units=made)
    assert missing
    assert all(gap.qty > 0 for gap in missing)
    filled = dict(drawers)
    for gap in missing:
        filled[gap.part] = filled.get(gap.part, 0) + gap.qty
    assert most_units(wants_for, filled, stand_ins) >= made + 1


def test_a_stand_in_lets_one_more_be_made_and_the_gap_is_named() -> None:
    def wants_for(units: int) -> list[Want]:
        return [Want(1, 40, 2 * units), Want(2, 50, units)]

    assert most_units(wants_for, {40: 5, 41: 2, 50: 9}) == 2
    assert most_units(wants_for, {40: 5, 41: 2, 50: 9}, {40: [41]}) == 3
    assert limiting_parts(wants_for, {40: 5, 41: 2, 50: 3}, {40: [41]}, units=3) == (Missing(40, 1), Missing(50, 1))


def test_the_limit_is_the_answer_when_nothing_stops_it() -> None:
    assert most_units(lambda units: [], {}) == 1_000_000
    assert most_units(lambda units: [Want(1, 40, units)], {40: 10**9}, limit=37) == 37
    assert most_units(lambda units: [Want(1, 40, units)], {40: 10**9}, limit=0) == 0
    assert limiting_parts(lambda units: [Want(1, 40, units)], {40: 8}, units=7) == ()


@pytest.mark.parametrize("answer", [0, 5, 700_000])
def test_few_questions_are_asked_and_none_twice_or_far_above_the_answer(answer: int) -> None:
    asked = []

    def wants_for(units: int) -> list[Want]:
        asked.append(units)
        return [Want(1, 40, units)]

    assert most_units(wants_for, {40: answer}) == answer
    assert len(asked) == len(set(asked)) <= 40
    assert max(asked) <= max(1, 2 * answer)


def test_a_limit_below_nothing_is_refused() -> None:
    with pytest.raises(BadInput) as refused:
        most_units(lambda units: [], {}, limit=-1)
    assert str(refused.value) == "The units were not counted. The limit is -1. Give a limit of 0 or more."
