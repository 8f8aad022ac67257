"""Faults that come again: the same point, the same part of a board, the same cause; and nothing else."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.recurring import SAME_CAUSE, SAME_PART, SAME_POINT, Fault, Habit, alike, habits, pairs_alike


def test_the_same_part_on_another_board_is_another_thing() -> None:
    one = Fault(1, parts=frozenset({(3, 40)}))
    assert alike(one, Fault(2, parts=frozenset({(3, 40), (3, 41)}))) == (SAME_PART,)
    assert alike(one, Fault(2, parts=frozenset({(4, 40)}))) == ()


def test_two_faults_without_a_point_are_not_at_the_same_one() -> None:
    assert alike(Fault(1), Fault(2)) == ()


def test_causes_share_two_telling_words_and_half_of_the_shorter() -> None:
    cause = "Flux left under the terminals leaked"
    assert alike(Fault(1, cause=cause), Fault(2, cause="FLUX had leaked across R6")) == (SAME_CAUSE,)
    assert alike(Fault(1, cause=cause), Fault(2, cause="flux")) == ()
    long = "Flux leaked because somebody spilled coffee, sugar, milk"
    assert alike(Fault(1, cause=long), Fault(2, cause="Flux leaked while Tuesday evening brought thunder")) == ()


def test_a_chain_of_likes_is_one_habit_and_the_same_group_is_told_once() -> None:
    faults = [
        Fault(1, point=7, cause="Dry joint under the socket"),
        Fault(2, point=7, cause="Dry joint below a socket"),
        Fault(3, parts=frozenset({(1, 1)})),
        Fault(4, parts=frozenset({(1, 1), (1, 2)})),
        Fault(5, parts=frozenset({(1, 2)})),
        Fault(6),
    ]
    assert habits(faults) == [Habit((SAME_PART,), (3, 4, 5)), Habit((SAME_POINT, SAME_CAUSE), (1, 2))]


FAULTS = st.lists(
    st.tuples(
        st.integers(0, 3),
        st.frozensets(st.tuples(st.integers(1, 2), st.integers(1, 3)), max_size=2),
        st.sampled_from(["", "dry joint", "joint was dry, cracked", "cracked joint socket", "flux leaked"]),
    ),
    max_size=12,
)


@settings(deadline=None, max_examples=80)
@given(FAULTS)
def test_pairs_are_those_of_a_look_at_every_two(drawn: list[tuple[int, frozenset[tuple[int, int]], str]]) -> None:
    faults = [Fault(at, *one) for at, one in enumerate(drawn, 1)]
    plain = [
        (one.id, other.id, how)
        for at, one in enumerate(faults)
        for other in faults[at + 1 :]
        if (how := alike(one, other))
    ]
    assert pairs_alike(faults) == plain
    told = {pair for habit in habits(faults) for pair in zip(habit.faults, habit.faults[1:], strict=False)}
    assert bool(told) == bool(plain)
    assert {one for pair in plain for one in pair[:2]} == {one for habit in habits(faults) for one in habit.faults}
