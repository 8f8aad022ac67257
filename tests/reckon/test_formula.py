"""What a formula comes to, and what is no formula: nothing of a text is ever run."""

from __future__ import annotations

from math import exp, inf, isfinite, log, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.formula import FUNCTIONS, LONGEST, come_to, read_formula, slopes

KNOWN = {"R1": 10e3, "R2": 4.7e3, "C1": 47e-6, "HT": 250.0, "I": 0.018}


def comes(text: str) -> float:
    return come_to(read_formula(text), KNOWN)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("4k7 + 1", 4701),
        ("100n", 100e-9),
        ("2.2M/1k", 2200),
        ("4R7", 4.7),
        (".5*2e3", 1000),
        ("5m", 0.005),
        ("1 + 2 * 3", 7),
        ("(1 + 2) * 3", 9),
        ("8 - 4 - 2", 2),
        ("8 / 4 / 2", 1),
        ("2 ^ 3 ^ 2", 512),
        ("-2 ^ 2", -4),
        ("2 ^ -1", 0.5),
        ("--3", 3),
        ("3 - -3", 6),
        ("max(1, 2, 3) - min(4, 5)", -1),
        ("abs(-3)", 3),
        ("HT * r2 / (R1 + R2)", 250 * 4.7 / 14.7),
        # two 20 k in parallel are 10 k; 10 k and 4k7 are 3,197 ohm (computed)
        ("par(20k, 20k)", 10e3),
        ("par(10k, 4k7)", 47e6 / 14.7e3),
        ("par(10k, 0)", 0),
        # t = R C ln(V0 / V): 47 uF, 100 k, 325 V to 60 V are 7.94 s (computed)
        ("100k * 47u * ln(325 / 60)", 100e3 * 47e-6 * log(325 / 60)),
        ("exp(1) * sqrt(16)", 4 * exp(1)),
    ],
)
def test_arithmetic_is_done_as_the_trade_writes_it(text: str, expected: float) -> None:
    assert comes(text) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "Nothing is given"),
        ("R1 +", "It ends where a number or a name is expected"),
        ("R1 R2", "“R2” at character 4 is not expected there"),
        ("(R1 + R2", "The parenthesis at character 1 is not closed"),
        ("R1)", "The parenthesis at character 3 closes nothing"),
        ("2,5 * R1", "“,” at character 2 is not expected there"),
        ("4k7ohm", "“ohm” at character 4 is not expected there"),
        ("1.2k7", "two points"),
        ("1.2.3", "“1” at character 1 is no arithmetic|“.” at character"),
        ("sqrt(1, 2)", "sqrt at character 1 takes 1 and was given 2"),
        ("eval(R1)", "There is no function “eval” at character 1"),
        ("__import__('os')", "“_” at character 1 is no arithmetic"),
        ("R1.real", "“.” at character 3 is no arithmetic"),
        ("[1]", "no arithmetic"),
        ("lambda: 1", "no arithmetic"),
        ("R1 if R2 else 0", "not expected there"),
        ("(" * 40 + "1" + ")" * 40, "nested deeper than 30"),
        ("2" + "^2" * 40, "nested deeper than 30"),
        ("1" * (LONGEST + 1), "401 characters long"),
    ],
)
def test_what_is_no_arithmetic_is_refused_with_the_place(text: str, why: str) -> None:
    with pytest.raises(BadInput, match="The formula was not understood") as caught:
        read_formula(text)
    import re

    assert re.search(why, caught.value.why)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1 / (R1 - R1)", "divides by zero at character 3"),
        ("R9", "R9 is not known"),
        ("ln(0 - 1)", "ln at character 1 cannot take that"),
        ("sqrt(-1)", "sqrt at character 1 cannot take that"),
        ("(0-8) ^ 0.5", "less than nothing is asked for at character 7"),
        ("10 ^ 400", "beyond all bounds at character 4"),
        ("exp(1000)", "beyond all bounds at character 1"),
        ("0 ^ -1", "divides by zero at character 3"),
        ("1e300 * 1e300", "finite"),
        ("1e999", "finite"),
    ],
)
def test_what_comes_to_nothing_finite_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        comes(text)


PIECES = st.sampled_from(
    [*"()+-*/^,", *FUNCTIONS, "R1", "R2", "HT", "0", "1", "4k7", "1e300", "100n", " ", "__class__", "'", "import os"]
)


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=60) | st.lists(PIECES, max_size=30).map("".join))
def test_no_text_does_anything_but_come_to_a_number_or_be_refused(text: str) -> None:
    try:
        formula = read_formula(text)
        found = [come_to(formula, KNOWN), *slopes(formula, KNOWN, formula.names)]
    except BadInput:
        return
    assert all(map(isfinite, found))


@settings(deadline=None, max_examples=100)
@given(st.lists(st.sampled_from([0.0, -1.0, 1e-300, 1e300, inf, nan, 2.5]), min_size=2, max_size=2))
def test_odd_sizes_are_refused_too(sizes: list[float]) -> None:
    values = {"A": sizes[0], "B": sizes[1]}
    for text in ("A/B", "A^B", "par(A,B)", "sqrt(A)*ln(B)", "exp(A)-B", "min(A,B)", "abs(A)"):
        try:
            assert isfinite(come_to(read_formula(text), values))
            slopes(read_formula(text), values, ["A", "B"])
        except BadInput:
            pass


TREES = st.recursive(
    st.sampled_from(["A", "B", "C", "2", "0.7"]),
    lambda inner: (
        st.tuples(inner, st.sampled_from("+-*/"), inner).map(lambda one: f"({one[0]}{one[1]}{one[2]})")
        | st.tuples(st.sampled_from(["sqrt", "ln", "exp", "abs"]), inner).map(lambda one: f"{one[0]}({one[1]})")
        | st.tuples(st.sampled_from(["par", "min", "max"]), inner, inner).map(
            lambda one: f"{one[0]}({one[1]},{one[2]})"
        )
        | inner.map(lambda one: f"({one})^2")
    ),
    max_leaves=8,
)


@settings(deadline=None, max_examples=150)
@given(TREES)
def test_slopes_are_those_of_small_differences(text: str) -> None:
    formula, at = read_formula(text), {"A": 1.3, "B": 2.1, "C": 0.6}
    for name in formula.names:
        step = 1e-6
        try:
            here, by = come_to(formula, at), slopes(formula, at, [name])[0]
            up, down = (come_to(formula, at | {name: at[name] + sign * step}) for sign in (1, -1))
            near, far = (up - here) / step, (here - down) / step
        except BadInput:
            continue
        if (
            abs(near - far) < 1e-3 * max(1, abs(near)) and max(abs(here), abs(by)) < 1e6
        ):  # where it does not bend or leap
            assert by == pytest.approx((up - down) / (2 * step), rel=2e-3, abs=2e-3)
