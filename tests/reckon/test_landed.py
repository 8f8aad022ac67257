"""Postage, tax and discount spread over the lines of an order, to the last millionth."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.landed import Extras, land, of_this_parcel, spread

exact = settings(deadline=None, max_examples=150)
worths = st.lists(st.integers(0, 10**12), min_size=1, max_size=12)


@exact
@given(st.integers(-(10**12), 10**12), worths)
def test_the_parts_sum_to_the_whole_and_none_is_a_millionth_off_its_due(amount: int, weights: list[int]) -> None:
    parts = spread(amount, weights)
    assert sum(parts) == amount
    whole = sum(weights)
    if whole:
        assert all(abs(part * whole - amount * weight) < whole for part, weight in zip(parts, weights, strict=True))


@exact
@given(worths, st.integers(0, 10_000))
def test_a_discount_never_makes_a_line_worth_less_than_nothing(goods: list[int], bp: int) -> None:
    discount = sum(goods) * bp // 10_000
    lines = land(goods, -discount)
    assert all(line.landed_micros >= 0 for line in lines)
    assert sum(line.landed_micros for line in lines) == sum(goods) - discount


@exact
@given(st.integers(-(10**9), 10**12), st.lists(st.integers(1, 10**10), min_size=1, max_size=8))
def test_all_parcels_carry_the_whole(extra: int, parcels: list[int]) -> None:
    left, to_come = extra, sum(parcels)
    for goods in parcels:
        carried = of_this_parcel(left, goods, to_come)
        assert abs(carried) <= abs(left)
        left, to_come = left - carried, to_come - goods
    assert left == 0


def test_postage_tax_and_discount_by_value() -> None:
    # Common practice (landed cost): goods of 60, 30 and 10; 6.90 postage, 19 % tax on the goods, 5 % off.
    extras = Extras(shipping_micros=6_900_000, tax_micros=18_050_000, discount_micros=5_000_000)
    assert extras.net_micros == 19_950_000
    lines = land([60_000_000, 30_000_000, 10_000_000], extras.net_micros)
    assert [line.share_micros for line in lines] == [11_970_000, 5_985_000, 1_995_000]
    assert [line.landed_micros for line in lines] == [71_970_000, 35_985_000, 11_995_000]


def test_postage_by_weight_goes_to_the_heavy_line() -> None:
    # Common practice (landed cost): a transformer of 900 g and a bag of 100 g share 8.00 of postage.
    lines = land([30_000_000, 70_000_000], 8_000_000, weights=[900, 100])
    assert [line.share_micros for line in lines] == [7_200_000, 800_000]


def test_a_third_of_a_millionth_goes_to_the_first_of_equals() -> None:
    assert spread(100, [5, 5, 5]) == (34, 33, 33)
    assert spread(7, [0, 0]) == (4, 3)
    assert spread(0, []) == ()


@pytest.mark.parametrize(
    ("goods", "extra", "weights", "why"),
    [
        ([], 1, None, "nothing to spread"),
        ([1, -1], 1, None, "below nought"),
        ([5, 5], -8, [9, 1], "More is taken off"),
        ([5, 5], 8, [9], "not one weight"),
    ],
)
def test_what_cannot_be_spread_is_refused(goods: list[int], extra: int, weights: list[int] | None, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        land(goods, extra, weights)
