"""The causes of a difference between planned and spent sum to it, to the last millionth."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.truth import Causes, Line, causes

QTYS, MONEY = st.integers(0, 10**6), st.integers(0, 10**12)


@settings(deadline=None, max_examples=200)
@given(QTYS, MONEY, QTYS, QTYS, QTYS, MONEY, st.integers(-(10**9), 10**9), MONEY)
def test_the_causes_sum_to_the_difference(
    planned: int, price: int, held: int, more: int, lost: int, spent: int, carried: int, to_come: int
) -> None:
    line = Line(planned, price if planned else 0, held + more, lost, spent, carried, to_come)
    assert sum(causes(line, held)) == line.now_micros - line.planned_micros


def test_price_and_quantity_variance() -> None:
    # Standard costing, common practice: 100 planned at 2.00, 110 taken at 2.10: 20.00 for quantity, 11.00 for price.
    line = Line(100, 200_000_000, 110, 0, 231_000_000, 0, 0)
    assert causes(line, 110) == Causes(price=11_000_000, quantity=20_000_000)


def test_what_was_lost_counts_at_what_it_cost_and_postage_apart() -> None:
    # Four planned at 1.00; five went out, one of them broken, for 6.00, of which 0.50 is postage.
    line = Line(4, 4_000_000, 4, 1, 6_000_000, 500_000, 0)
    assert causes(line, 4) == Causes(price=400_000, quantity=0, lost=1_100_000, postage=500_000)


def test_what_nobody_planned_is_all_quantity() -> None:
    assert causes(Line(0, 0, 2, 0, 3_000_000, 0, 1_000_000), 2) == Causes(quantity=4_000_000)


def test_quantities_below_nought_are_refused() -> None:
    with pytest.raises(BadInput, match="below nought"):
        causes(Line(1, 1, -1, 0, 0, 0, 0), 0)
