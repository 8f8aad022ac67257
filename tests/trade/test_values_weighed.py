"""Is this part at least as good as that one, and if not, in what does it fall short?"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.trade.marking import Tolerance
from buildbook.trade.values import Value, at_least, read, worse_because


def part(text: str, kind: str) -> Value:
    """A value that is beyond doubt."""
    value = read(text, kind)
    assert isinstance(value, Value), value
    return value


@pytest.mark.parametrize(
    ("kind", "have", "want"),
    [
        ("C", "22u 50V", "22u 25V"),
        ("C", "22u 25V", "22u 25V"),
        ("C", "22u 25V", "22u"),
        ("C", "100n X7R 50V", "0.1uF 50V"),
        ("C", "100n 50V", "100n X7R"),
        ("C", "22u 25V 105C", "22u 25V 85C"),
        ("C", "100n 275VAC X2", "100n 275VAC X2"),
        ("C", "4p7 1%", "4p7 ±0.25pF"),
        ("C", "100u -10/+50%", "100u -20/+80%"),
        ("R", "4k7 1% 0.6W", "4700 5% 1/4W"),
        ("R", "4K7F", "4k7 1%"),
        ("L", "10mH 1A", "10m 200mA"),
    ],
)
def test_as_good_or_better(kind: str, have: str, want: str) -> None:
    assert worse_because(part(have, kind), part(want, kind)) == ()
    assert at_least(part(have, kind), part(want, kind)) is True


@pytest.mark.parametrize(
    ("kind", "have", "want", "why"),
    [
        ("C", "22u 25V", "22u 50V", ("rated 25 V, 50 V wanted",)),
        ("C", "22u", "22u 50V", ("no rating in V stated, 50 V wanted",)),
        ("C", "22u 50V", "47u 50V", ("22 µF, 47 µF wanted",)),
        ("C", "100n X7R", "100n C0G", ("X7R, C0G wanted",)),
        ("C", "100n C0G", "100n X7R", ("C0G, X7R wanted",)),
        ("C", "22u 25V 85C", "22u 25V 105°C", ("rated 85 °C, 105 °C wanted",)),
        ("C", "100n 275V", "100n 275VAC X2", ("not marked AC, AC wanted", "not marked X2, X2 wanted")),
        ("C", "100n 275VAC X2", "100n 275VAC Y2", ("not marked Y2, Y2 wanted",)),
        ("C", "4p7 10%", "4p7 ±0.25pF", ("tolerance 10%, ±0.25pF wanted",)),
        ("C", "100u -20/+80%", "100u 20%", ("tolerance -20/+80%, 20% wanted",)),
        ("R", "4k7 5%", "4k7 1%", ("tolerance 5%, 1% wanted",)),
        ("R", "4k7", "4k7 1%", ("tolerance not stated, 1% wanted",)),
        ("R", "4k7 1% 0.25W", "4k7 1% 0.6W", ("rated 0.25 W, 0.6 W wanted",)),
        ("L", "10mH 200mA", "10mH 1A", ("rated 0.2 A, 1 A wanted",)),
        (
            "R",
            "1k 5% 0.25W",
            "2k2 1% 1W",
            ("1 kΩ, 2.2 kΩ wanted", "tolerance 5%, 1% wanted", "rated 0.25 W, 1 W wanted"),
        ),
    ],
)
def test_in_what_it_falls_short(kind: str, have: str, want: str, why: tuple[str, ...]) -> None:
    assert worse_because(part(have, kind), part(want, kind)) == why
    assert at_least(part(have, kind), part(want, kind)) is False


def test_another_kind_is_all_that_needs_saying() -> None:
    assert worse_because(part("22u 25V", "C"), part("22u 1A", "L")) == ("it is a capacitance, an inductance is wanted",)


SIZES = st.none() | st.sampled_from([Decimal(size) for size in (1, 5, 10, 25, 50)])
PARTS = st.builds(
    Value,
    st.just("C"),
    st.sampled_from([Decimal("1e-7"), Decimal("4.7e-12")]),
    st.none()
    | st.builds(
        Tolerance, st.sampled_from([Decimal(1), Decimal(5)]), st.just(Decimal(5)), st.sampled_from(["%", "pF"])
    ),
    SIZES,
    SIZES,
    SIZES,
    st.just("X7R"),
    st.sampled_from(["", "AC", "AC X2", "85C", "105C"]),
)


@given(PARTS, PARTS, PARTS)
@settings(deadline=None, max_examples=300)
def test_at_least_is_an_order(one: Value, two: Value, three: Value) -> None:
    assert at_least(one, one)
    if at_least(one, two) and at_least(two, three):
        assert at_least(one, three)


@given(PARTS, PARTS)
@settings(deadline=None, max_examples=200)
def test_there_is_a_reason_exactly_when_it_is_worse(one: Value, two: Value) -> None:
    assert at_least(one, two) is (worse_because(one, two) == ())
    if at_least(one, two) and two.volts is not None:
        assert one.volts is not None
        assert one.volts >= two.volts
