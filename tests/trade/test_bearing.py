"""What is borne and what parts are made for, as people write it; AC and DC volts are never taken for each other."""

from __future__ import annotations

import importlib
import importlib.util

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.bearing import AC, AMPS, BORNE, DC, REVERSE, WATTS, made_for, read_bearing, read_what, show_bearing


@pytest.mark.parametrize(
    ("text", "what", "micro"),
    [
        ("300V", DC, 300_000_000),
        ("300 V DC", DC, 300_000_000),
        ("300VDC", DC, 300_000_000),
        ("275VAC", AC, 275_000_000),
        ("230 V AC", AC, 230_000_000),
        ("230 V~", AC, 230_000_000),
        ("6.3 Vrms", AC, 6_300_000),
        ("6.3 V rms", AC, 6_300_000),
        ("566V reverse", REVERSE, 566_000_000),
        ("PIV 1kV", REVERSE, 1_000_000_000),
        ("0.2A", AMPS, 200_000),
        ("200 mA", AMPS, 200_000),
        ("0,3 W", WATTS, 300_000),
        ("1W", WATTS, 1_000_000),
        ("0 V", DC, 0),
    ],
)
def test_as_the_trade_writes_it(text: str, what: str, micro: int) -> None:
    assert read_bearing(text) == (what, micro)


def test_volts_of_a_diode_are_reverse_volts_unless_said() -> None:
    assert read_bearing("1000V", "diode") == (REVERSE, 1_000_000_000)
    assert read_bearing("0.7 V DC", "diode").what == DC


@pytest.mark.parametrize(
    "text", ["", "300", "-1 V", "2 MV", "0.1 uV", "5 ohm", "1A AC", "5 V AC DC", "hot", "1 V 2 A", "12 Vpp"]
)
def test_what_is_none_of_it_is_refused(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_bearing(text)
    assert refused.value.mend


@settings(deadline=None, max_examples=100)
@given(st.sampled_from(sorted(BORNE)), st.integers(0, 10**12))
def test_what_is_shown_is_read_back(what: str, micro: int) -> None:
    assert read_bearing(show_bearing(what, micro)) == (what, micro)


@pytest.mark.parametrize(
    ("kind", "value", "ratings"),
    [
        ("capacitor", "22u 450V", {DC: 450_000_000}),
        ("capacitor", "100n 275VAC X2", {AC: 275_000_000}),
        ("capacitor", "2n2 250V Y2", {AC: 250_000_000}),
        ("capacitor", "1u 250V AC", {AC: 250_000_000}),
        ("resistor", "470k 1W 3.5kV", {DC: 3_500_000_000, WATTS: 1_000_000}),
        ("resistor", "4k7", {}),
        ("inductor", "10H 80mA", {AMPS: 80_000}),
        ("diode", "1N4007", {}),
        ("valve", "6L6 25W", {}),
        ("capacitor", "", {}),
    ],
)
def test_what_a_value_says_is_its_rating(kind: str, value: str, ratings: dict[str, int]) -> None:
    assert made_for(kind, value).ratings == ratings


def test_a_value_that_is_not_clear_says_nothing() -> None:
    found = made_for("resistor", "1m 1W")
    assert (found.ratings, found.ohms) == ({}, None)
    assert found.doubt == "its value is not clear"
    assert made_for("resistor", "0R").ohms is None


def test_how_a_capacitor_is_made_comes_from_its_value_or_its_name() -> None:
    assert made_for("capacitor", "22u 450V", "Capacitor, electrolytic 105 C").electrolytic
    assert made_for("capacitor", "22u 450V elko").electrolytic
    assert not made_for("capacitor", "22u 35V", "Tantalum electrolytic").electrolytic
    assert made_for("capacitor", "47n 275VAC X2").for_mains
    assert not made_for("capacitor", "10n 100V X7R").for_mains


def test_a_sort_is_known_by_its_name() -> None:
    assert read_what("AC volts") == AC
    with pytest.raises(BadInput, match="nothing that a part bears"):
        read_what("ohms")


@pytest.mark.skipif(importlib.util.find_spec("pint") is None, reason="the general library of units is not installed")
@settings(deadline=None, max_examples=50)
@given(st.integers(1, 999), st.sampled_from(["mV", "V", "kV", "uA", "mA", "A", "mW", "W"]))
def test_amounts_agree_with_a_general_library_of_units(number: int, unit: str) -> None:
    units = importlib.import_module("pint").UnitRegistry()
    expected = units.Quantity(number, unit).to(unit[-1]).magnitude * 1e6
    assert read_bearing(f"{number} {unit}").micro == pytest.approx(expected)
