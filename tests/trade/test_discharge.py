"""Discharge of capacitors against published and worked figures."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.discharge import (
    CHARGE_LIMIT_UC,
    MAINS_FILTER,
    MAINS_FILTER_TYPE_B_S,
    TIME_LIMITS,
    first_watts,
    joules,
    microcoulombs,
    ohms_for,
    seconds,
    share_left,
    stick_ohms,
    time_constant,
)

# Worked by t = R C ln(V0 / V), E = C V^2 / 2, P = V^2 / R: ohms, farads, from, to, seconds, joules, watts.
WORKED = (
    (100e3, 470e-6, 450, 60, 94.70, 47.59, 2.025),
    (220e3, 47e-6, 400, 50, 21.50, 3.760, 0.727),
    (47e3, 220e-6, 350, 60, 18.24, 13.48, 2.606),
    (1e3, 100e-6, 450, 60, 0.2015, 10.13, 202.5),
    (2.2e3, 470e-6, 450, 60, 2.083, 47.59, 92.05),
    (1e6, 0.47e-6, 325.3, 60, 0.7944, 0.0249, 0.106),
    (220e3, 100e-6, 350, 60, 38.8, 6.13, 0.557),
    (100e3, 47e-6, 325, 60, 7.94, 2.48, 1.056),
    (150e3, 220e-6, 400, 60, 62.6, 17.6, 1.067),
)
above_zero = st.floats(min_value=1e-9, max_value=1e6)


@pytest.mark.parametrize(("ohms", "farads", "volts", "safe", "time", "energy", "power"), WORKED)
def test_worked_figures(
    ohms: float, farads: float, volts: float, safe: float, time: float, energy: float, power: float
) -> None:
    assert seconds(ohms, farads, volts, safe) == pytest.approx(time, rel=1e-3)
    assert joules(farads, volts) == pytest.approx(energy, rel=2e-3)
    assert first_watts(ohms, volts) == pytest.approx(power, rel=4e-3)


def test_the_resistance_for_a_wanted_time() -> None:
    assert ohms_for(470e-6, 450, 30) == pytest.approx(31_680, rel=1e-3)
    wanted = ohms_for(100e-6, 350, 5)
    assert wanted == pytest.approx(28_350, rel=1e-3)
    assert first_watts(wanted, 350) == pytest.approx(4.321, rel=1e-3)


def test_what_is_low_already_takes_no_time_and_never_less() -> None:
    assert seconds(1e3, 1e-6, 60, 60) == 0
    assert seconds(1e3, 1e-6, 12, 60) == 0


def test_what_is_left_after_five_time_constants() -> None:
    assert share_left(5) == pytest.approx(0.00674, rel=1e-3)
    assert share_left(1) == pytest.approx(0.37, rel=1e-2)  # 37 % after one (IEC 60950-1 cl. 2.1.1.7)


def test_a_mains_filter_capacitor() -> None:
    assert (MAINS_FILTER.seconds, MAINS_FILTER_TYPE_B_S) == (1, 10)  # IEC 60950-1 cl. 2.1.1.7
    assert time_constant(1e6, 0.47e-6) == pytest.approx(0.47)
    assert time_constant(1e6, 0.47e-6) <= MAINS_FILTER.seconds < time_constant(1e6, 2.2e-6)


def test_the_charge() -> None:
    assert microcoulombs(0.1e-6, 450) == pytest.approx(45.0, rel=1e-3)
    assert CHARGE_LIMIT_UC == 45  # IEC 61010-1 cl. 6.3.1


def test_published_times() -> None:
    known = {(one.source, one.seconds, one.volts) for one in TIME_LIMITS}
    assert {("IEC 60204-1", 5, 60), ("IEC 60204-1", 1, 60), ("IEC 61010-1 cl. 6.10.3", 5, 60)} <= known


def test_a_stick_is_ten_kilohms_or_quick() -> None:
    assert stick_ohms(22e-6, 250) == 10_000  # common practice
    assert stick_ohms(470e-6, 450) == 4700
    assert stick_ohms(1, 50) == 10_000


@pytest.mark.parametrize("bad", [0.0, -1.0, math.inf, math.nan])
def test_what_is_no_amount_is_refused_in_one_sentence(bad: float) -> None:
    asked: tuple[tuple[Callable[..., float], tuple[float, ...]], ...] = (
        (seconds, (bad, 1e-6, 100)),
        (seconds, (1e3, bad, 100)),
        (seconds, (1e3, 1e-6, bad)),
        (seconds, (1e3, 1e-6, 100, bad)),
        (joules, (bad, 100)),
        (first_watts, (bad, 100)),
        (microcoulombs, (1e-6, bad)),
        (ohms_for, (1e-6, 100, bad)),
    )
    for ask, figures in asked:
        with pytest.raises(BadInput) as error:
            ask(*figures)
        assert str(error.value).count(".") == 1
    with pytest.raises(BadInput, match="above the voltage to reach"):
        ohms_for(1e-6, 60, 1)
    with pytest.raises(BadInput, match="zero or more"):
        share_left(-1)


@settings(max_examples=60, deadline=None)
@given(above_zero, above_zero, st.floats(min_value=61, max_value=5000), st.floats(min_value=0.01, max_value=1e4))
def test_the_resistance_for_a_time_takes_that_time(ohms: float, farads: float, volts: float, wanted: float) -> None:
    assert seconds(ohms_for(farads, volts, wanted), farads, volts) == pytest.approx(wanted)
    assert seconds(ohms, farads, volts) >= 0
    assert volts * share_left(seconds(ohms, farads, volts) / time_constant(ohms, farads)) == pytest.approx(60)
