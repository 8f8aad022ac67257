"""Writing component values: what is written is read again, in every style, whatever the value."""

from __future__ import annotations

from decimal import Decimal
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.marking import Tolerance, letter_tolerances, three_digit_code
from buildbook.trade.series import members
from buildbook.trade.values import Style, Value, read, write

STYLES = get_args(Style)
SIZES = st.decimals(min_value=Decimal("0.001"), max_value=Decimal(99999), places=3)
EVEN = st.builds(lambda size: Tolerance(size, size), SIZES)
UNEVEN = st.builds(Tolerance, SIZES, SIZES)
PICO = st.builds(lambda size: Tolerance(size, size, "pF"), SIZES)
REST = st.lists(
    st.sampled_from(["axial", "X2", "AC", "105C", "0805", "R5", "matched", "7", "V", "ohm", "pair"]), max_size=4
)
MATERIALS = {
    "R": ["", "carbon", "metal film", "wirewound"],
    "C": ["", "X7R", "C0G", "film", "silver mica"],
    "L": ["", "ferrite"],
}


@st.composite
def values(draw: st.DrawFn) -> Value:
    """Any value that a part can have: up to 24 digits, in 36 decades."""
    kind = draw(st.sampled_from("RCL"))
    digits = draw(st.integers(1, 999) | st.integers(1, 10**24 - 1))
    power = draw(st.integers(-18, 18)) - len(str(digits)) + 1
    rating = st.none() | SIZES
    return Value(
        kind,
        Decimal(0) if kind == "R" and draw(st.integers(0, 20)) == 20 else Decimal(f"{digits}E{power}"),
        draw(st.none() | EVEN | UNEVEN | PICO if kind == "C" else st.none() | EVEN | UNEVEN),
        draw(rating),
        draw(rating),
        draw(rating),
        draw(st.sampled_from(MATERIALS[kind])),
        " ".join(draw(REST)),
    )


@given(values(), st.sampled_from(["plain", "si"]))
@settings(deadline=None, max_examples=300)
def test_every_value_is_read_as_it_was_written(value: Value, style: Style) -> None:
    assert read(write(value, style), value.kind) == value


@given(values())
@settings(deadline=None, max_examples=150)
def test_a_letter_code_carries_kind_and_amount(value: Value) -> None:
    assert read(write(value, "rkm"), value.kind) == Value(value.kind, value.amount)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(("kind", "lowest"), [("R", -5), ("C", -14), ("L", -11)])
def test_every_member_of_e96_in_twelve_decades(kind: str, lowest: int, style: Style) -> None:
    for power in range(lowest, lowest + 12):
        for number in members("E96"):
            value = Value(kind, Decimal(number).scaleb(power))
            assert read(write(value, style), kind) == value


@pytest.mark.parametrize(
    ("amount", "kind", "forms"),
    # rkm: IEC 60062; the other two are our own and the SI.
    [
        ("4700", "R", "4k7|4K7|4.7 kΩ"), ("0.47", "R", "0R47|R47|0.47 Ω"), ("100", "R", "100R|100R|100 Ω"),
        ("1000", "R", "1k|1K0|1 kΩ"), ("470000", "R", "470k|470K|470 kΩ"), ("2200000", "R", "2M2|2M2|2.2 MΩ"),
        ("0", "R", "0R|0R|0 Ω"), ("0.01", "R", "0R01|R01|10 mΩ"), ("1e9", "R", "1G|1G0|1 GΩ"),
        ("100e-9", "C", "100n|100n|100 nF"), ("0.68e-12", "C", "0p68|p68|0.68 pF"),
        ("4.7e-3", "C", "4700u|4700u|4700 µF"),
        ("22e-6", "C", "22u|22u|22 µF"), ("47", "C", "47F0|47F0|47.0 F"), ("0.01", "L", "10m|10m|10 mH"),
        ("4.7e-6", "L", "4u7|4u7|4.7 µH"), ("10", "L", "10H|10H|10 H"), ("4702.3", "R", "4.7023k|4.7023K|4.7023 kΩ"),
    ],
)  # fmt: skip
def test_the_three_styles(amount: str, kind: str, forms: str) -> None:
    value = Value(kind, Decimal(amount))
    assert "|".join(write(value, style) for style in STYLES) == forms


def test_the_house_form_and_the_spelled_form_carry_everything() -> None:
    value = Value(
        "C", Decimal("1e-7"), Tolerance(Decimal(20), Decimal(80)), Decimal(275), None, Decimal("0.2"), "film", "AC X2"
    )
    assert write(value) == "100n -20/+80% film 275V 200mA AC X2"
    assert write(value, "si") == "100 nF -20/+80 % film 275 V 200 mA AC X2"


def test_si_is_a_float_in_the_base_unit() -> None:
    assert Value("C", Decimal("100e-9")).si == pytest.approx(1e-7, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "amount"),
    [
        ("Q", "1"),
        ("R", "-1"),
        ("C", "0"),
        ("L", "0"),
        ("R", "NaN"),
        ("R", "Infinity"),
        ("R", "1e19"),
        ("R", "1." + "1" * 24),
    ],
)
def test_what_no_part_can_have_is_refused(kind: str, amount: str) -> None:
    with pytest.raises(BadInput):
        Value(kind, Decimal(amount))


def test_impossible_ratings_and_tolerances_are_refused() -> None:
    for wrong in (Decimal(0), Decimal(-5), Decimal("NaN")):
        with pytest.raises(BadInput, match="rating"):
            Value("C", Decimal(1), volts=wrong)
    with pytest.raises(BadInput, match="tolerance"):
        Tolerance(Decimal(-1), Decimal(1))
    with pytest.raises(BadInput, match="tolerance"):
        Tolerance(Decimal(1), Decimal(1), "mm")
    with pytest.raises(BadInput, match="Only a capacitor"):
        Value("R", Decimal(1), Tolerance(Decimal(1), Decimal(1), "pF"))


@pytest.mark.parametrize(
    ("letter", "kind", "amount", "meaning"),
    [
        # IEC 60062
        *((letter, "R", "4700", size) for letter, size in
          {"F": "1%", "G": "2%", "J": "5%", "K": "10%", "M": "20%", "N": "30%"}.items()),
        *((letter, "C", "1e-9", size) for letter, size in {"Z": "-20/+80%", "S": "-20/+50%", "T": "-10/+50%"}.items()),
        *((letter, "C", "4.7e-12", size) for letter, size in {"B": "±0.1pF", "C": "±0.25pF", "D": "±0.5pF"}.items()),
        # From memory
        *((letter, "R", "4700", size) for letter, size in
          {"B": "0.1%", "C": "0.25%", "D": "0.5%", "E": "0.005%", "W": "0.05%"}.items()),
        ("Q", "C", "1e-9", "-10/+30%"), ("F", "C", "4.7e-12", "±1pF"), ("G", "C", "4.7e-12", "±2pF"),
        # The border: 10 pF is not below 10 pF.
        ("C", "C", "10e-12", "0.25%"), ("J", "C", "4.7e-12", "5%"),
    ],
)  # fmt: skip
def test_tolerance_letters_one_by_one(letter: str, kind: str, amount: str, meaning: str) -> None:
    assert [str(each) for each in letter_tolerances(letter, kind, Decimal(amount))] == [meaning]


def test_disputed_letters_have_two_meanings_and_strange_ones_none() -> None:
    # Some makers use P for -0/+100 % and L for 15 %, against IEC 60062.
    assert [str(each) for each in letter_tolerances("P", "C", Decimal(1))] == ["0.02%", "-0/+100%"]
    assert [str(each) for each in letter_tolerances("L", "R", Decimal(1))] == ["0.01%", "15%"]
    assert letter_tolerances("Z", "R", Decimal(1)) == letter_tolerances("X", "C", Decimal(1)) == ()


@pytest.mark.parametrize(("code", "picofarads"), [("100", 10), ("101", 100), ("220", 22), ("106", 10_000_000)])
def test_three_digit_codes(code: str, picofarads: int) -> None:
    assert three_digit_code(code) == picofarads  # IEC 60062


@pytest.mark.parametrize("code", ["", "47", "047", "4700", "1O4", "١٠٤"])
def test_what_is_no_three_digit_code(code: str) -> None:
    with pytest.raises(BadInput, match="no three-digit code"):
        three_digit_code(code)
