"""Terms of suppliers: read as the trade writes them, written back the same, refused with one sentence."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.rates import converted
from buildbook.trade.terms import (
    Shipping,
    read_discount,
    read_percent,
    read_rate,
    read_shipping,
    show_discount,
    show_shipping,
)

MONEY = st.integers(1, 10**6).map(lambda cents: cents * 10_000)


@given(MONEY, st.dictionaries(MONEY, MONEY, max_size=4), st.none() | MONEY)
def test_shipping_is_read_as_it_is_written(flat: int, steps: dict[int, int], beyond: int | None) -> None:
    free = None if beyond is None else max([0, *steps]) + beyond
    shipping = Shipping(flat, tuple(sorted(steps.items())), free)
    assert read_shipping(show_shipping(shipping, "EUR"), "EUR") == shipping


@given(st.dictionaries(MONEY, st.integers(0, 10_000), max_size=5))
def test_a_discount_is_read_as_it_is_written(steps: dict[int, int]) -> None:
    rising = tuple(zip(sorted(steps), sorted(steps.values()), strict=True))
    assert read_discount(show_discount(rising, "EUR"), "EUR") == rising


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("4.90, 3.90", "from which value"),
        ("4.90, free from 50, 3 from 80", "free before"),
        ("4.90, 3 from 80, 2 from 80", "named twice"),
        ("4.90, free from 50, free from 60", "two values"),
        ("-4.90", "less than nothing"),
        ("four", "not one amount"),
    ],
)
def test_shipping_that_makes_no_sense_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        read_shipping(text, "EUR")


@pytest.mark.parametrize("text", ["5 % from 100, 3 % from 200", "101 % from 5", "5 % from 9, 6 % from 9", "x from 3"])
def test_a_discount_that_makes_no_sense_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_discount(text, "EUR")


@pytest.mark.parametrize("text", ["0", "-1", "1e3", "", "1,2,3", "10000000", "0.00000000001", "nan"])
def test_a_rate_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_rate(text)


@given(st.integers(0, 10**15), st.integers(1, 10**10))
def test_what_is_converted_is_off_by_half_a_millionth_at_most(micros: int, digits: int) -> None:
    rate = read_rate(f"{digits // 10**5}.{digits % 10**5:05}")
    assert abs(converted(micros, rate) - micros * Fraction(digits, 10**5)) <= Fraction(1, 2)


def test_percentages_are_exact() -> None:
    assert [read_percent(text) for text in ("19 %", "5,5", "0", "100%")] == [1900, 550, 0, 10_000]
