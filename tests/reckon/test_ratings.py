"""Loads against ratings: too little and too tight are told apart, and what is not known is never zero."""

from __future__ import annotations

from math import nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.ratings import Place, Verdict, Weighed, heat, rated, volts_limit, weigh, worst
from buildbook.trade.bearing import AC, AMPS, DC, MICRO, REVERSE, WATTS
from buildbook.trade.derating import SEVERE, USUAL


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


def only(place: Place) -> Weighed:
    """What is weighed of a place that bears one thing."""
    (found,) = weigh(place)
    return found


def capacitor(stress: int, rating: int, share: float) -> Weighed:
    """A capacitor that bears and is made for so many volts."""
    return only(Place("capacitor", None, {DC: rating * MICRO}, {DC: stress * MICRO}, {"": share}))


def test_345_volts_on_450_volts() -> None:
    # A reliability centre's derating table: 80 % benign, 70 % severe; the share is computed.
    benign, severe = capacitor(345, 450, USUAL["electrolytic"].share), capacitor(345, 450, SEVERE["electrolytic"])
    assert benign.share == pytest.approx(0.767, rel=1e-3)
    assert (benign.verdict, severe.verdict) == (Verdict.FITS, Verdict.TIGHT)


def resistor(ohms: float, ratings: dict[str, int], stresses: dict[str, int]) -> tuple[Weighed, ...]:
    """A resistor, derated as usual."""
    return weigh(Place("resistor", ohms, ratings, stresses, {"": 1.0, WATTS: USUAL["resistor"].share}))


def test_a_bleeder_of_100_kilohms_across_450_volts() -> None:
    # Computed: 450 V squared over 100 kilohm is 2.025 W; common practice uses half of the watts.
    for watts, verdict in ((2, Verdict.LITTLE), (3, Verdict.TIGHT), (4.05, Verdict.FITS)):
        found = {one.what: one for one in resistor(100_000, {WATTS: int(watts * MICRO)}, {DC: 450 * MICRO})}
        assert (found[WATTS].load, found[WATTS].wants) == (2_025_000, 4_050_000)
        assert found[WATTS].verdict is verdict
        assert found[WATTS].by == (DC, 450 * MICRO)


def test_the_voltage_of_a_resistor_is_limited_by_its_watts_or_its_element() -> None:
    # MIL-R-10509, clause 3.6: the lesser of sqrt(P R) and the element's voltage.
    assert volts_limit(1e6, 0.5, None) == pytest.approx(707, rel=1e-3)
    assert volts_limit(1e6, 0.5, 350) == 350
    assert volts_limit(1e3, 0.5, 350) == pytest.approx(22.36, rel=1e-3)
    assert volts_limit(1e3, None, None) is None
    over = {one.what: one for one in resistor(1e6, {WATTS: 500_000, DC: 350 * MICRO}, {DC: 400 * MICRO})}
    assert (over[DC].verdict, over[DC].rating, over[DC].from_watts) == (Verdict.LITTLE, 350 * MICRO, False)
    assert over[WATTS].verdict is Verdict.FITS
    with pytest.raises(BadInput):
        volts_limit(0, 1, 1)


def test_the_volts_of_alternating_current_have_the_same_limit() -> None:
    found = resistor(1e6, {WATTS: MICRO, DC: 350 * MICRO}, {AC: 400 * MICRO})
    assert (found[0].what, found[0].verdict) == (AC, Verdict.LITTLE)


def test_of_several_ways_to_the_power_the_worst_counts() -> None:
    found = resistor(1000, {WATTS: MICRO}, {WATTS: 100_000, AMPS: 20_000, DC: 15 * MICRO})
    watts = next(one for one in found if one.what == WATTS)
    assert (watts.load, watts.by) == (400_000, (AMPS, 20_000))


def test_ac_and_dc_volts_are_kept_apart() -> None:
    place = Place("capacitor", None, {DC: 1600 * MICRO}, {AC: 220 * MICRO, DC: 100 * MICRO}, {"": 0.7})
    assert [(one.what, one.verdict) for one in weigh(place)] == [(AC, Verdict.UNKNOWN), (DC, Verdict.FITS)]
    assert worst(weigh(place)) is Verdict.UNKNOWN


def test_where_nothing_is_stated_nothing_is_known() -> None:
    place = Place("capacitor", None, {DC: MICRO}, {}, {"": 0.7})
    assert weigh(place) == ()
    assert worst(()) is Verdict.UNKNOWN


@pytest.mark.parametrize(("volts", "verdict"), [(666, Verdict.FITS), (667, Verdict.TIGHT), (1001, Verdict.LITTLE)])
def test_a_rectifier_is_made_for_one_and_a_half_times_its_reverse_volts(volts: int, verdict: Verdict) -> None:
    # Common practice.
    shares = {"": 1.0, REVERSE: USUAL["reverse"].share, AMPS: USUAL["diode"].share}
    assert only(Place("diode", None, {REVERSE: 1000 * MICRO}, {REVERSE: volts * MICRO}, shares)).verdict is verdict


@settings(deadline=None, max_examples=100)
@given(st.integers(1, 10**10), st.sampled_from([0.5, 0.6, 0.7, 0.75, 0.8, 1 / 1.5, 1.0]))
def test_what_is_wanted_is_the_least_that_fits(load: int, share: float) -> None:
    def verdict(rating: int) -> Verdict:
        return only(Place("capacitor", None, {DC: rating}, {DC: load}, {"": share})).verdict

    wants = only(Place("capacitor", None, {DC: load}, {DC: load}, {"": share})).wants
    assert wants is not None
    assert verdict(wants) is Verdict.FITS
    if wants > load + 1:
        assert verdict(wants - 2) is not Verdict.FITS


@settings(deadline=None, max_examples=60)
@given(st.integers(1, 10**9), st.integers(1, 10**9), st.integers(0, 10**9))
def test_a_larger_rating_is_never_worse(load: int, rating: int, more: int) -> None:
    order = [Verdict.LITTLE, Verdict.TIGHT, Verdict.FITS]

    def standing(size: int) -> int:
        return order.index(only(Place("capacitor", None, {DC: size}, {DC: load}, {"": 0.8})).verdict)

    assert standing(rating) <= standing(rating + more)
