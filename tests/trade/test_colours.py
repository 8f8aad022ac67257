"""Colour bands of resistors (IEC 60062) and letters of conductors (IEC 60757), both ways."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.colours import Banded, bands, conductor_code, conductor_colour, read_bands

# IEC 60062; the last row of each group is computed from the table.
PUBLISHED = [
    ("yellow violet red gold", "4700", "5"),
    ("red red orange gold", "22000", "5"),
    ("green blue gold gold", "5.6", "5"),
    ("brown black green gold", "1000000", "5"),
    ("brown black black gold", "10", "5"),
    ("brown black black gold brown", "10", "1"),
    ("red red blue brown brown", "2260", "1"),
    ("yellow violet black brown brown", "4700", "1"),
    ("brown black black red brown", "10000", "1"),
    ("orange white red silver green", "3.92", "0.5"),
    ("orange orange white black brown", "339", "1"),
]


@pytest.mark.parametrize(("colours", "ohms", "tolerance"), PUBLISHED)
def test_published_bands_both_ways(colours: str, ohms: str, tolerance: str) -> None:
    seen = tuple(colours.split())
    read = read_bands(seen)
    assert (read.ohms, read.tolerance) == (Decimal(ohms), Decimal(tolerance))  # IEC 60062
    assert bands(read.ohms, read.tolerance, count=len(seen)) == seen


@pytest.mark.parametrize(
    ("colour", "digit"),
    [
        ("brown", 1),
        ("red", 2),
        ("orange", 3),
        ("yellow", 4),
        ("green", 5),
        ("blue", 6),
        ("violet", 7),
        ("grey", 8),
        ("white", 9),
    ],
)
def test_digits_and_multipliers(colour: str, digit: int) -> None:
    # IEC 60062
    assert read_bands((colour, "black", "black", "gold")).ohms == digit * 10
    assert read_bands(("brown", "black", colour, "gold")).ohms == 10 * 10**digit


@pytest.mark.parametrize(("colour", "times"), [("black", "1"), ("gold", "0.1"), ("silver", "0.01"), ("pink", "0.001")])
def test_multipliers_of_one_and_less(colour: str, times: str) -> None:
    assert read_bands(("yellow", "violet", colour, "gold")).ohms == 47 * Decimal(times)  # IEC 60062


@pytest.mark.parametrize(
    ("colour", "percent"),
    # IEC 60062; orange and yellow as in the edition of 2016. Grey is left out: editions and lists disagree.
    [("brown", "1"), ("red", "2"), ("orange", "0.05"), ("yellow", "0.02"), ("green", "0.5"), ("blue", "0.25"),
     ("violet", "0.1"), ("gold", "5"), ("silver", "10")],
)  # fmt: skip
def test_tolerances(colour: str, percent: str) -> None:
    assert read_bands(("brown", "black", "red", colour)).tolerance == Decimal(percent)
    assert bands(1000, Decimal(percent))[-1] == colour


@pytest.mark.parametrize(
    ("colour", "ppm"),
    [("black", 250), ("brown", 100), ("red", 50), ("orange", 15), ("yellow", 25), ("green", 20), ("blue", 10),
     ("violet", 5), ("grey", 1)],
)  # fmt: skip
def test_the_sixth_band_is_the_tempco(colour: str, ppm: int) -> None:
    seen = ("brown", "black", "black", "red", "brown", colour)
    assert read_bands(seen).tempco == ppm  # IEC 60062
    assert bands(10000, 1, tempco=ppm) == seen


def test_no_fourth_band_is_twenty_percent() -> None:
    assert read_bands(["yellow", "violet", "red"]).tolerance == 20  # IEC 60062
    assert bands(4700, 20) == ("yellow", "violet", "red")


def test_as_few_bands_as_can_say_it() -> None:
    assert len(bands(4700, 5)) == 4
    assert len(bands(4990, 1)) == 5
    assert len(bands(4990, 1, tempco=50)) == 6


@given(
    st.integers(1, 9), st.integers(0, 99), st.integers(-3, 9),
    st.sampled_from(["1", "2", "0.5", "0.25", "0.1", "5", "10"]), st.sampled_from([None, 100, 50, 25, 15]),
    st.sampled_from([4, 5]),
)  # fmt: skip
@settings(deadline=None, max_examples=200)
def test_bands_are_read_as_they_were_given(
    first: int, others: int, power: int, percent: str, tempco: int | None, count: int
) -> None:
    number = first * 100 + others if count == 5 or tempco else first * 10 + others % 10
    ohms = Decimal(number).scaleb(power)
    read = read_bands(bands(ohms, Decimal(percent), tempco, 6 if tempco else count))
    assert (read.ohms, read.tolerance, read.tempco) == (ohms, Decimal(percent), tempco)


def test_a_link_has_one_black_band() -> None:
    assert read_bands(["black"]).ohms == 0  # common practice


def test_spelling_and_case_do_not_matter() -> None:
    assert read_bands([" Yellow", "PURPLE", "gray", "Gold"]) == read_bands(["yellow", "violet", "grey", "gold"])


def test_bands_that_only_make_sense_from_the_other_end() -> None:
    with pytest.raises(BadInput, match=r"Band 1 cannot be gold\. From the other end they are 4700 ohm 5 %\."):
        read_bands(["gold", "red", "violet", "yellow"])


def test_bands_that_make_sense_from_either_end() -> None:
    assert read_bands(["brown", "black", "black", "red", "brown"]).reversible is True
    assert read_bands(["yellow", "violet", "red", "gold"]).reversible is False


@pytest.mark.parametrize(
    ("colours", "why"),
    [
        ("brown black", "has 3 to 6 bands, not 2"),
        ("brown black red mauve", "Band 4 cannot be mauve"),
        ("brown gold red gold", "Band 2 cannot be gold"),
        ("brown black red black", "Band 4 cannot be black"),
        ("black brown red gold", "Band 1 cannot be black"),
        ("brown black black red brown gold", "Band 6 cannot be gold"),
    ],
)
def test_impossible_bands_name_the_culprit(colours: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        read_bands(colours.split())


@pytest.mark.parametrize(
    ("ohms", "tolerance", "tempco", "count", "what"),
    [
        ("0", "5", None, None, "No bands were found for 0 ohm"),
        ("4990", "1", None, 4, "No 4 bands say 4990 ohm"),
        ("4991", "1", None, None, "No 5 bands say 4991 ohm"),
        ("1e13", "5", None, None, "No 4 bands say"),
        ("4700", "3", None, None, "No 4 bands say 3 %"),
        ("4700", "5", None, 3, "No 3 bands say 5 %"),
        ("4700", "1", 7, None, "No band says 7 ppm/K"),
        ("4700", "1", 50, 5, "5 bands were not found"),
        ("4700", "1", None, 6, "6 bands were not found"),
        ("4700", "1", None, 7, "A resistor with 7 bands is not known"),
    ],
)
def test_what_no_bands_can_say(ohms: str, tolerance: str, tempco: int | None, count: int | None, what: str) -> None:
    with pytest.raises(BadInput, match=what):
        bands(Decimal(ohms), Decimal(tolerance), tempco, count)


def test_what_is_read_is_plain_figures() -> None:
    assert read_bands(["brown", "black", "green", "gold"]) == Banded(Decimal(1000000), Decimal(5))


CONDUCTORS = [
    ("BK", "black"), ("BN", "brown"), ("RD", "red"), ("OG", "orange"), ("YE", "yellow"), ("GN", "green"),
    ("BU", "blue"), ("VT", "violet"), ("GY", "grey"), ("WH", "white"), ("PK", "pink"), ("GD", "gold"),
    ("TQ", "turquoise"), ("SR", "silver"), ("GNYE", "green-and-yellow"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "name"), CONDUCTORS)
def test_conductor_letters_both_ways(code: str, name: str) -> None:
    assert conductor_colour(code) == (name,)  # IEC 60757 Table 1
    assert conductor_code(name) == code


def test_codes_of_two_colours_are_joined_in_table_order() -> None:
    assert conductor_colour("RDBU") == ("red", "blue")  # IEC 60757:2021 clause 5
    assert conductor_code("blue", "red") == "RDBU"
    with pytest.raises(BadInput, match="Write RDBU"):
        conductor_colour("BURD")


def test_green_with_yellow_is_only_the_protective_conductor() -> None:
    # IEC 60757, IEC 60445
    for colours in (("green", "yellow"), ("green-and-yellow", "blue")):
        with pytest.raises(BadInput, match="protective conductor alone"):
            conductor_code(*colours)
    with pytest.raises(BadInput, match="protective conductor alone"):
        conductor_colour("YEGN")


@pytest.mark.parametrize("code", ["", "XX", "R", "RDB", "red", "RD BU", "X" * 10_000])
def test_what_is_no_conductor_code(code: str) -> None:
    with pytest.raises(BadInput, match="is no colour code"):
        conductor_colour(code)


@pytest.mark.parametrize("colours", [(), ("mauve",), ("red", "")])
def test_what_has_no_conductor_code(colours: tuple[str, ...]) -> None:
    with pytest.raises(BadInput, match="There is no code for"):
        conductor_code(*colours)


@given(st.sets(st.sampled_from([name for _, name in CONDUCTORS[:-1]]), min_size=1, max_size=3))
@settings(deadline=None, max_examples=100)
def test_joined_codes_are_read_back(names: set[str]) -> None:
    if not names >= {"green", "yellow"}:
        assert set(conductor_colour(conductor_code(*names))) == names
