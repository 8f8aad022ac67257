"""Loads against ratings: too little and too tight are told apart, and what is not known is never zero."""

from __future__ import annotations

from math import nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.ratings import Verdict, heat, rated
from buildbook.trade.derating import USUAL


@pytest.mark.parametrize(
    ("load", "verdict"),
    [(320, Verdict.FITS), (321, Verdict.TIGHT), (400, Verdict.TIGHT), (401, Verdict.LITTLE), (0, Verdict.FITS)],
)
def test_a_capacitor_of_400_volts_is_used_to_four_fifths(load: float, verdict: Verdict) -> None:
    assert rated(load, 400, USUAL["electrolytic"].share).verdict is verdict


def test_what_is_not_known_is_said_to_be_so() -> None:
    assert rated(None, 400, 0.8) == rated(300, None, 0.8) == (Verdict.UNKNOWN, None)
    assert heat(100) is None


@settings(deadline=None)
@given(st.floats(0.1, 1e6), st.floats(0, 1e3))
def test_voltage_and_current_give_the_same_heat(ohms: float, amps: float) -> None:
    assert heat(ohms, volts=amps * ohms) == pytest.approx(heat(ohms, amps=amps))


@pytest.mark.parametrize(
    ("load", "rating", "share"), [(-1, 1, 0.5), (1, 0, 0.5), (1, 1, 0), (1, 1, 1.5), (nan, 1, 0.5)]
)
def test_what_makes_no_sense_is_refused(load: float, rating: float, share: float) -> None:
    with pytest.raises(BadInput):
        rated(load, rating, share)


def test_no_usual_share_is_more_than_the_rating() -> None:
    assert all(0 < one.share <= 1 and one.unit in "VWA" for one in USUAL.values())
