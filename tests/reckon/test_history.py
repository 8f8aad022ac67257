"""What a row of readings shows."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.history import margin, show
from buildbook.trade.limits import Limits


@settings(deadline=None, max_examples=60)
@given(st.lists(st.floats(-1000, 1000), min_size=1, max_size=12))
def test_mean_and_spread_are_those_of_another_program(values: list[float]) -> None:
    import numpy

    shown = show(values, Limits(low=-500, high=500))
    assert shown is not None
    assert shown.mean == pytest.approx(float(numpy.mean(values)), abs=1e-9)
    if len(values) > 1:
        assert shown.spread == pytest.approx(float(numpy.std(values, ddof=1)), abs=1e-6)
    else:
        assert shown.spread is None
    assert (shown.lowest, shown.highest, shown.many) == (min(values), max(values), len(values))
    assert shown.margin is not None
    assert (shown.margin < 0) == any(abs(value) > 500 for value in values)


def test_the_margin_is_a_share_of_the_window() -> None:
    assert margin(2.31, Limits(low=1.6, high=2.2)) == pytest.approx(-0.11 / 0.6, rel=1e-5)
    assert margin(1.7, Limits(low=1.6, high=2.2)) == pytest.approx(0.1 / 0.6, rel=1e-5)
    assert margin(2e6, Limits(low=1e6)) == 1
    assert margin(0.08, Limits(high=0.1)) == pytest.approx(0.2)
    assert margin(-3, Limits(high=0.0)) is None
    assert margin(1, Limits(1, 1, 1)) is None
    assert show([], Limits()) is None
