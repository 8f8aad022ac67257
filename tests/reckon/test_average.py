"""The worth of a pile: nothing is lost, nothing is below zero, an empty pile is worth nothing."""

from __future__ import annotations

from operator import add

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.average import Change, Pile, issue, receive

MONEY = st.integers(0, 10**12)
# (+qty, value or None) comes in; (-share in 1/1000) takes a share of what lies there.
RECEIPT = st.tuples(st.integers(1, 10_000), st.none() | MONEY)
TAKING = st.tuples(st.integers(-1000, 0), st.none())


def carried_out(movements: list[tuple[int, int | None]]) -> list[tuple[Pile, Change]]:
    """Every pile after a row of movements, with the change that made it."""
    pile, history = Pile(), []
    for qty, value in movements:
        step = receive(pile, qty, value) if qty > 0 else issue(pile, pile.qty * -qty // 1000)
        pile = step[0]
        history.append(step)
    return history


@given(st.lists(RECEIPT | TAKING, max_size=30))
@settings(deadline=None, max_examples=200)
def test_changes_add_up_to_the_pile_and_never_fall_below_zero(
    movements: list[tuple[int, int | None]],
) -> None:
    so_far = Pile()
    for pile, change in carried_out(movements):
        so_far = Pile(*map(add, so_far, change))
        assert pile == so_far
        assert min(pile) >= 0
        assert pile.unpriced_qty <= pile.qty
        assert pile.value_micros == 0 or pile.qty > pile.unpriced_qty


@given(st.lists(RECEIPT | TAKING, max_size=20))
@settings(deadline=None, max_examples=100)
def test_taking_all_leaves_nothing_at_all(movements: list[tuple[int, int | None]]) -> None:
    history = carried_out(movements)
    pile = history[-1][0] if history else Pile()
    assert issue(pile, pile.qty)[0] == Pile(0, 0, 0)


@given(st.integers(1, 500), MONEY)
@settings(deadline=None, max_examples=100)
def test_piece_by_piece_gives_back_exactly_what_came_in(qty: int, value: int) -> None:
    pile, taken = Pile(qty, 0, value), []
    for _ in range(qty):
        pile, change = issue(pile, 1)
        taken.append(-change.value_micros)
    assert sum(taken) == value
    assert max(taken) - min(taken) <= 1


def test_the_average_moves_with_each_delivery() -> None:
    pile, _ = receive(Pile(), 10, 10_000_000)
    pile, _ = receive(pile, 10, 20_000_000)
    assert issue(pile, 4) == (Pile(16, 0, 24_000_000), Change(-4, 0, -6_000_000))


def test_pieces_without_a_price_join_at_the_average_when_there_is_one() -> None:
    assert receive(Pile(4, 0, 1_000_000), 2, None) == (Pile(6, 0, 1_500_000), Change(2, 0, 500_000))


def test_pieces_without_a_price_stay_unpriced_while_nothing_is_known() -> None:
    assert receive(Pile(3, 3, 0), 2, None) == (Pile(5, 5, 0), Change(2, 2, 0))


def test_a_gift_worth_nothing_is_a_price() -> None:
    assert receive(Pile(), 5, 0) == (Pile(5, 0, 0), Change(5, 0, 0))


def test_priced_pieces_go_first() -> None:
    assert issue(Pile(5, 2, 900_000), 4) == (Pile(1, 1, 0), Change(-4, -1, -900_000))


def test_no_more_can_be_taken_than_lies_there() -> None:
    with pytest.raises(Forbidden, match="4 are wanted and 3 lie there"):
        issue(Pile(3, 0, 0), 4)


@pytest.mark.parametrize(("qty", "value"), [(-1, 5), (1, -5), (0, 5)])
def test_an_impossible_receipt_is_refused(qty: int, value: int) -> None:
    with pytest.raises(BadInput, match="not booked"):
        receive(Pile(), qty, value)


def test_less_than_nothing_cannot_be_taken() -> None:
    with pytest.raises(BadInput, match="less than nothing"):
        issue(Pile(3, 0, 0), -1)
