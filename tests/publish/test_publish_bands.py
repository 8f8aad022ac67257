"""Colour bands: the colours of IEC 60062, drawn from the end where they begin."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.publish.bands import Bands, bands_on, draw_bands

COLOURS = ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"]


@pytest.mark.parametrize(
    ("value", "name", "colours", "whole"),
    [
        # IEC 60062: first digits, multiplier, tolerance.
        ("4k7 5%", "", "yellow violet red gold", True),
        ("4k7", "Resistor 1 %", "yellow violet black brown brown", True),
        ("2R2 5%", "", "red red gold gold", True),
        ("R22 10%", "", "red red silver silver", True),
        ("1M 1%", "", "brown black black yellow brown", True),
        ("680R", "wirewound", "blue grey brown", False),
        ("0R", "", "black", True),  # a link bears one black band (common practice)
        ("33k 2%", "Resistor 5 %", "orange orange black red red", True),  # the value's own tolerance counts
    ],
)
def test_bands_are_those_of_the_standard(value: str, name: str, colours: str, *, whole: bool) -> None:
    assert bands_on(value, name) == Bands(tuple(colours.split()), whole)


@pytest.mark.parametrize("value", ["", "LDR", "4k7 log", "100n", "#panic()"])
def test_what_is_no_clear_resistance_has_none(value: str) -> None:
    found = bands_on(value)
    assert found is None or (found.colours[0] in COLOURS and value == "4k7 log")


@given(st.integers(10, 99), st.integers(0, 5))
def test_two_digits_and_a_multiplier_can_be_read_back(digits: int, zeros: int) -> None:
    found = bands_on(f"{digits * 10**zeros}R 5%")
    assert found
    first, second, multiplier, tolerance = found.colours
    assert (COLOURS.index(first) * 10 + COLOURS.index(second)) * 10 ** COLOURS.index(multiplier) == digits * 10**zeros
    assert tolerance == "gold"


def test_as_many_bands_are_drawn_as_named_and_the_tolerance_stands_apart() -> None:
    for bands in (bands_on("4k7 5%"), bands_on("4k7 1%"), bands_on("0R")):
        assert bands
        drawn = re.findall(r'<rect x="(\d+)" y="2.4"', draw_bands(bands).content.decode())
        assert len(drawn) == len(bands.colours)
        assert drawn == sorted(drawn)
    gaps = [
        int(x) for x in re.findall(r'<rect x="(\d+)" y="2.4"', draw_bands(Bands(("red",) * 5, True)).content.decode())
    ]
    assert gaps[4] - gaps[3] > gaps[3] - gaps[2]


def test_a_tolerance_that_is_not_known_is_dashed_and_not_named() -> None:
    drawn = draw_bands(Bands(("blue", "grey", "brown"), False))
    assert b"stroke-dasharray" in drawn.content
    assert drawn.alt == "blue grey brown"
