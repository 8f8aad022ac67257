"""Worst case and RSS: published figures, corners tried by hand, and a lot of parts drawn by chance."""

from __future__ import annotations

from itertools import product
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.formula import come_to, read_formula
from buildbook.reckon.tolerance import Band, Spread, work_out


def within(nominal: float, percent: float) -> Band:
    return Band(nominal, nominal * (1 - percent / 100), nominal * (1 + percent / 100))


def out(text: str, **bands: Band) -> Spread:
    return work_out(read_formula(text), bands)


def test_a_stack_of_five_tenths() -> None:
    # five parts of 0.1 each: worst case 0.5, RSS 0.224 (computed)
    bands = {name: Band(1, 0.9, 1.1) for name in "ABCDE"}
    found = work_out(read_formula("A+B+C+D+E"), bands)
    assert found.worst == pytest.approx((5, 4.5, 5.5))
    assert found.rss.high - 5 == pytest.approx(0.2236, abs=1e-4)
    assert found.remark == ""


@pytest.mark.parametrize(
    ("strays", "worst", "rss"),
    # Stacks of ten times 0.1 and of three different parts: from memory of a textbook, computed.
    [([0.1] * 10, 1.0, 0.316), ([0.2, 0.1, 0.15], 0.45, 0.269)],
)
def test_stacks(strays: list[float], worst: float, rss: float) -> None:
    bands = {f"P{at}": Band(10, 10 - stray, 10 + stray) for at, stray in enumerate(strays)}
    found = work_out(read_formula("+".join(bands)), bands)
    assert found.worst.high - found.nominal == pytest.approx(worst)
    assert found.rss.high - found.nominal == pytest.approx(rss, abs=1e-3)


def test_a_gap_is_the_bore_less_the_rest() -> None:
    # bore 40.00 +/-0.10, spacer 25.00 +/-0.05, ring 2.00 +/-0.03, shoulder 10.00 +/-0.05:
    # 3.00, worst case 2.77 to 3.23, RSS 2.874 to 3.126 (data printed in a textbook; computed)
    found = out(
        "BORE - SPACER - RING - SHOULDER",
        BORE=Band(40, 39.9, 40.1),
        SPACER=Band(25, 24.95, 25.05),
        RING=Band(2, 1.97, 2.03),
        SHOULDER=Band(10, 9.95, 10.05),
    )
    assert found.worst == pytest.approx((3, 2.77, 3.23), abs=1e-3)
    assert found.rss == pytest.approx((3, 2.874, 3.126), abs=1e-3)


def test_a_divider() -> None:
    # 10 k over 10 k of 1 % on 10 V: 4.95 to 5.05 V, RSS 0.0354 V (computed)
    found = out("V*R2/(R1+R2)", V=Band(10, 10, 10), R1=within(10e3, 1), R2=within(10e3, 1))
    assert found.worst == pytest.approx((5, 4.95, 5.05), abs=1e-4)
    assert found.rss == pytest.approx((5, 5 - 0.0354, 5 + 0.0354), abs=1e-4)
    assert found.remark == ""


def test_the_time_of_a_bleeder() -> None:
    # t = R C ln(V0 / V): 100 uF, 220 k, 350 V to 60 V: 38.8 s (computed)
    found = out("R*C*ln(V0/60)", R=within(220e3, 5), C=within(100e-6, 20), V0=within(350, 10))
    assert found.nominal == pytest.approx(38.8, abs=0.05)
    assert found.worst.high == pytest.approx(22 * 1.05 * 1.2 * log(385 / 60))
    assert found.worst.low == pytest.approx(22 * 0.95 * 0.8 * log(315 / 60))


def test_an_uneven_tolerance_strays_as_far_as_it_may_on_each_side() -> None:
    found = out("100 / C", C=Band(10, 8, 18))
    assert found.worst == pytest.approx((10, 100 / 18, 12.5))
    assert found.rss == pytest.approx((10, 2, 12))


FORMULAS = ["A*B/(A+C)", "par(A,B)+C", "A*ln(B+1)/C", "sqrt(A*B)-C", "A*exp(-B/C)", "max(A,B)-min(B,C)", "A^2/B"]


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(FORMULAS), st.lists(st.floats(1, 100), min_size=3, max_size=3), st.floats(0, 20))
def test_nothing_inside_is_beyond_the_worst_case(text: str, sizes: list[float], percent: float) -> None:
    formula = read_formula(text)
    bands = {name: within(size, percent) for name, size in zip("ABC", sizes, strict=True)}
    found = work_out(formula, bands)
    slack = 1e-9 * max(1, abs(found.nominal), abs(found.worst.high), abs(found.worst.low))
    levels = [0, 0.31, 0.5, 0.77, 1]
    tried = [
        come_to(
            formula,
            {name: b.low + share * (b.high - b.low) for (name, b), share in zip(bands.items(), one, strict=True)},
        )
        for one in product(levels, repeat=3)
    ]
    if not found.remark:
        assert found.worst.low - slack <= min(tried)
        assert max(tried) <= found.worst.high + slack
    corners = [
        come_to(formula, dict(zip("ABC", one, strict=True)))
        for one in product(*((b.low, b.high) for b in bands.values()))
    ]
    assert found.worst.low == pytest.approx(min(*corners, found.nominal), abs=slack)
    assert found.worst.high == pytest.approx(max(*corners, found.nominal), abs=slack)


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        ("(A - 10)^2", "not go one way only with A"),
        ("1 / (A - B)", "divide by nothing"),
        ("abs(A - 10) + B", "not go one way only with A"),
        ("A / B", ""),
    ],
)
def test_where_the_corners_are_not_all_of_it_that_is_said(text: str, remark: str) -> None:
    found = out(text, A=Band(10, 9, 11), B=Band(10, 9.5, 10.5)) if text != "1 / (A - B)" else None
    found = found or out(text, A=Band(10, 9, 11), B=Band(8, 7, 9.5))
    assert remark in found.remark if remark else found.remark == ""


def test_what_is_meant_is_never_outside_the_worst_case() -> None:
    found = out("(A - 10)^2 - 1", A=Band(10, 9, 11))
    assert found.worst == pytest.approx((-1, -1, 0))


def test_many_sizes_go_to_the_end_to_which_their_slope_points() -> None:
    bands = {f"R{at}": within(100 * at, 1) for at in range(1, 15)}
    found = work_out(read_formula("+".join(bands)), bands)
    assert found.worst == pytest.approx((10500, 10395, 10605))
    assert found.remark.startswith("14 sizes stray")


def test_rss_is_what_a_lot_of_parts_show() -> None:
    import numpy

    formula = read_formula("HT*R2/(R1+R2)")
    bands = {"HT": within(250, 2), "R1": within(47e3, 1), "R2": within(4.7e3, 1)}
    found = work_out(formula, bands)
    chance, many = numpy.random.default_rng(7), 40_000
    drawn = {name: chance.normal(b.nominal, (b.high - b.low) / 2, many) for name, b in bands.items()}
    sizes = drawn["HT"] * drawn["R2"] / (drawn["R1"] + drawn["R2"])
    # The standard deviation of a sample is itself unsure by about its size over the root of twice their number.
    stray = found.rss.high - found.nominal
    assert abs(float(sizes.std()) - stray) < 4 * stray / (2 * many) ** 0.5 + 0.002 * stray
    assert float(sizes.mean()) == pytest.approx(found.nominal, abs=4 * stray / many**0.5 + 0.001 * stray)


def test_a_name_without_a_size_and_a_corner_without_a_result_are_refused() -> None:
    with pytest.raises(BadInput, match="R9 is not known"):
        out("R9")
    with pytest.raises(BadInput, match="cannot take that"):
        out("sqrt(A)", A=Band(1, -1, 2))
