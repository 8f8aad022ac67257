"""Reading component values: codes of IEC 60062, what people write, and what must be asked about."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.values import Ambiguous, NotAValue, Value, read, write


def understood(text: str, kind: str | None) -> Value:
    """The value, which has to be beyond doubt."""
    value = read(text, kind)
    assert isinstance(value, Value), value
    return value


def asked(text: str, kind: str | None) -> list[str]:
    """The readings of a text that is in doubt, in the house form."""
    found = read(text, kind)
    assert isinstance(found, Ambiguous), found
    assert found.text == text
    assert found.why.endswith(".")
    return [write(reading) for reading in found.readings]


RESISTORS = [
    # IEC 60062, resistance code
    ("R47", "0.47"), ("4R7", "4.7"), ("470R", "470"), ("4K7", "4700"), ("47K", "47000"), ("47K3", "47300"),
    ("470K", "470000"), ("4M7", "4.7e6"), ("2M2", "2.2e6"), ("1M0", "1e6"), ("100R", "100"), ("1K", "1000"),
    ("1K0", "1000"), ("4k7", "4700"), ("0R", "0"), ("M47", "470000"), ("1G", "1e9"),
    # The milliohm letter is in some use (IEC 60062); the ohm letter E and the zero-ohm marks are common practice.
    ("4L7", "0.0047"), ("4E7", "4.7"), ("100E", "100"), ("000", "0"), ("0", "0"),
    # Common practice: SI prefixes, words, numbers.
    ("4.7 kΩ", "4700"), ("4,7 kΩ", "4700"), ("4.7k\u2126", "4700"), ("4 700", "4700"), ("4700", "4700"), ("470", "470"),
    ("1MEG", "1e6"), ("2.2meg", "2.2e6"), ("1 Mohm", "1e6"), ("10 kilohms", "10000"), ("47 ohms", "47"), ("1MΩ", "1e6"),
    ("1M", "1e6"), ("4k7Ω", "4700"), ("4k7 ohm", "4700"), ("10mΩ", "0.01"), (".47", "0.47"), ("1,234,567", "1234567"),
    ("4.7e3", "4700"), ("1.00E+05", "100000"), ("499", "499"), ("４ｋ７", "4700"), ("1.234.567,5", "1234567.5"),
    ("22 000 000", "22e6"), ("4 700 000 Ω", "4.7e6"), ("4.990k", "4990"), ("100\u202f000 Ω", "100000"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "ohms"), RESISTORS)
def test_resistors(text: str, ohms: str) -> None:
    assert understood(text, "R") == Value("R", Decimal(ohms))


CAPACITORS = [
    # IEC 60062
    ("1p5", "1.5e-12"), ("5p6", "5.6e-12"), ("10p", "10e-12"), ("2n2", "2.2e-9"), ("4n7", "4.7e-9"), ("10n", "10e-9"),
    ("2u2", "2.2e-6"), ("1u0", "1.0e-6"), ("p68", "0.68e-12"), ("4p7", "4.7e-12"), ("n10", "100e-12"),
    ("100p", "100e-12"), ("u10", "100e-9"), ("100n", "100e-9"), ("4u7", "4.7e-6"), ("1F0", "1"),
    # IEC 60062, three digits
    ("101", "100e-12"), ("102", "1e-9"), ("103", "10e-9"), ("104", "100e-9"), ("105", "1e-6"), ("106", "10e-6"),
    ("221", "220e-12"), ("222", "2.2e-9"), ("223", "22e-9"), ("224", "220e-9"), ("473", "47e-9"), ("474", "470e-9"),
    ("682", "6.8e-9"), ("108", "0.1e-12"), ("109", "1e-12"), ("229", "2.2e-12"), ("479", "4.7e-12"),
    # The three micro signs, SI, words, old lists: common practice.
    ("4µ7", "4.7e-6"), ("4μ7", "4.7e-6"), ("22uF", "22e-6"), ("22 µF", "22e-6"), (".047uF", "47e-9"), ("8 mfd", "8e-6"),
    ("8MFD", "8e-6"), ("10mmfd", "10e-12"), ("47uuF", "47e-12"), ("47 µµF", "47e-12"), ("22P", "22e-12"),
    ("100NF", "100e-9"), ("100 n F", "100e-9"), ("1e-7", "100e-9"), ("1E-07F", "100e-9"), ("1F", "1"),
    ("0,1 µF", "100e-9"), ("10 microfarad", "10e-6"), ("100N", "100e-9"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "farads"), CAPACITORS)
def test_capacitors(text: str, farads: str) -> None:
    assert understood(text, "C") == Value("C", Decimal(farads))


@pytest.mark.parametrize(
    ("text", "henries"),
    # Common practice.
    [("10m", "0.01"), ("1m0", "0.001"), ("1m", "0.001"), ("4u7", "4.7e-6"), ("100 µH", "1e-4"), ("5H", "5"),
     ("10Hy", "10"), ("2 henries", "2"), ("47nH", "47e-9"), ("2H2", "2.2")],
)  # fmt: skip
def test_chokes(text: str, henries: str) -> None:
    assert understood(text, "L") == Value("L", Decimal(henries))


@pytest.mark.parametrize(
    ("text", "kind", "house"),
    [
        # IEC 60062, code and tolerance letter
        ("4K7J", "R", "4k7 5%"), ("10KF", "R", "10k 1%"), ("R22K", "R", "0R22 10%"), ("47KK", "R", "47k 10%"),
        ("104K", "C", "100n 10%"), ("473J", "C", "47n 5%"), ("47K", "C", "47p 10%"), ("104Z", "C", "100n -20/+80%"),
        ("100nS", "C", "100n -20/+50%"), ("10uT", "C", "10u -10/+50%"), ("2n2M", "C", "2n2 20%"),
        ("4k7G", "R", "4k7 2%"), ("4k7 J", "R", "4k7 5%"), ("104 J", "C", "100n 5%"), ("104k", "C", "100n 10%"),
        # IEC 60062, below 10 pF; F and G from memory
        ("4p7B", "C", "4p7 ±0.1pF"), ("4p7C", "C", "4p7 ±0.25pF"), ("p68D", "C", "0p68 ±0.5pF"),
        ("479C", "C", "4p7 ±0.25pF"), ("9p1F", "C", "9p1 ±1pF"), ("8p2G", "C", "8p2 ±2pF"),
        # From memory: Q, and B, C, D as percent, N
        ("10uQ", "C", "10u -10/+30%"), ("4k7B", "R", "4k7 0.1%"), ("4k7C", "R", "4k7 0.25%"), ("4k7D", "R", "4k7 0.5%"),
        ("10pD", "C", "10p 0.5%"), ("4k7N", "R", "4k7 30%"), ("4k7W", "R", "4k7 0.05%"),
    ],
)  # fmt: skip
def test_tolerance_letters(text: str, kind: str, house: str) -> None:
    found = read(text, kind)
    readings = found.readings if isinstance(found, Ambiguous) else (found,)
    assert house in [write(reading) for reading in readings if isinstance(reading, Value)]
    # A farad sign behind a letter code can be a tolerance of 1 %: that alone is asked about.
    assert isinstance(found, Value) is (text != "9p1F")


@pytest.mark.parametrize(
    ("text", "kind", "house"),
    [
        ("4k7 1% 0.6W", "R", "4k7 1% 0.6W"), ("22u 25V", "C", "22u 25V"), ("100n X7R 50V", "C", "100n X7R 50V"),
        ("10u/450V", "C", "10u 450V"), ("1k 1/4W", "R", "1k 0.25W"), ("1k 1/4 W", "R", "1k 0.25W"),
        ("1k/1/2W", "R", "1k 0.5W"), ("½W 10k", "R", "10k 0.5W"), ("4k7 ±5% 2W", "R", "4k7 5% 2W"),
        ("4k7 +/-5% 2 W", "R", "4k7 5% 2W"), ("100n 5% 630VDC", "C", "100n 5% 630V"), ("47n 1kV", "C", "47n 1000V"),
        ("22uF 25V 105C", "C", "22u 25V 105C"), ("10mH 200mA", "L", "10m 200mA"), ("10H 1.5A", "L", "10H 1.5A"),
        ("0.1uF 275VAC X2", "C", "100n 275V AC X2"), ("100u -20/+80 %", "C", "100u -20/+80%"),
        ("100u +80-20%", "C", "100u -20/+80%"), ("1u −20/+80%", "C", "1u -20/+80%"),
        ("4p7 ± 0.25 pF", "C", "4p7 ±0.25pF"), ("100uF 6V3", "C", "100u 6.3V"),
        ("100n, 50V, X7R", "C", "100n X7R 50V"), ("4k7,1%", "R", "4k7 1%"), ("100n C0G/NP0", "C", "100n C0G"),
        ("22u elko 25 V DC", "C", "22u electrolytic 25V"), ("silver mica 100p 1%", "C", "100p 1% silver mica"),
        ("wirewound 10R 5W", "R", "10R wirewound 5W"), ("47k carbon film 500mW", "R", "47k carbon film 0.5W"),
        ("ceramic X7R 100n", "C", "100n X7R ceramic"), ("10k 0805", "R", "10k 0805"), ("R5: 4k7", "R", "4k7 R5"),
        ("10u 16V (radial) D", "C", "10u 16V radial D"), ("300mH 5ohm", "L", "300m 5ohm"), ("10k X7R", "R", "10k X7R"),
        ("R5 4k7", "R", "4k7 R5"),
        ("4k7 Z", "R", "4k7 Z"), ("10k 0W", "R", "10k 0W"),
    ],
)  # fmt: skip
def test_tolerances_ratings_materials_and_the_rest(text: str, kind: str, house: str) -> None:
    value = understood(text, kind)
    assert write(value) == house  # common practice
    assert read(house, kind) == value


def test_every_part_of_a_value_is_kept_in_its_place() -> None:
    assert understood("0.1 µF film 10 % 275 VAC 1A X2 110C", "C") == Value(
        "C",
        Decimal("1e-7"),
        understood("1k 10%", "R").tolerance,
        volts=Decimal(275),
        amps=Decimal(1),
        material="film",
        rest="AC X2 110C",
    )


DOUBTS = [
    # Numbers whose comma or point may part thousands; numbers without a unit.
    ("4,700", "R", ["4R7", "4k7"]), ("4,700uF", "C", ["4u7", "4700u"]), ("1.000 µF", "C", ["1u", "1000u"]),
    ("4.700", "R", ["4R7", "4k7"]), ("100", "C", ["100p", "100u", "10p"]), ("47", "C", ["47p", "47u"]),
    ("220", "C", ["220p", "220u", "22p"]), ("1000", "C", ["1n", "1000u"]), ("0.1", "C", ["0p1", "100n"]),
    ("101", "L", ["101u", "101m", "100u"]), ("10 100k", "R", ["100k 10"]),
    # Digit codes on resistors.
    ("103", "R", ["103R", "10k"]), ("475", "R", ["475R", "4M7"]), ("106", "R", ["106R", "10M"]),
    ("4702", "R", ["4k702", "47k"]),
    ("103J", "R", ["103R 5%", "10k 5%"]),
    # Letters that are used for two things.
    ("1m", "R", ["0R001", "1M"]), ("m47", "R", ["0.00047R", "470k"]), ("1 mohm", "R", ["0R001", "1M"]),
    ("1m", "C", ["1000u", "1u"]), ("1M", "C", ["1u", "1000u"]), ("1mF", "C", ["1000u", "1u"]), ("1M", "L", ["1m"]),
    ("M1", "R", ["100k"]), ("K5", "R", ["500R"]), ("L47", "R", ["0.00047R"]), ("U10", "C", ["100n"]),
    ("1E3", "R", ["1R3", "1k"]), ("47F", "C", ["47F0", "47p 1%"]), ("4n7F", "C", ["4n7", "4n7 1%"]),
    ("47M", "C", ["47u", "47000u", "47p 20%"]), ("105C", "C", ["1u 0.25%"]), ("100K", "C", ["100p 10%", "10p 10%"]),
    # IEC 60062 and the lists that contradict it.
    ("4K7P", "R", ["4k7 0.02%", "4k7 -0/+100%"]), ("4K7L", "R", ["4k7 0.01%", "4k7 15%"]),
    ("104P", "C", ["104p", "100n 0.02%", "100n -0/+100%"]), ("104N", "C", ["104n", "100n 30%"]),
    # Lines that contradict themselves.
    ("22u 25V 50V", "C", ["22u 25V", "22u 50V"]), ("4k7J 1%", "R", ["4k7 5%", "4k7 1%"]),
    ("10k 47k", "R", ["10k", "47k"]),
    ("4k7,10k", "R", ["4k7", "10k"]),
    # Without a kind.
    ("47K", None, ["47k", "47p 10%"]), ("22u", None, ["22u", "22u"]),
    ("4700", None, ["4k7", "4n7", "4700u", "4m7", "4H7"]),
    ("1m", None, ["0R001", "1M", "1000u", "1u", "1m"]), ("6L6", None, ["0.0066R"]), ("6K7", None, ["6k7"]),
    ("104K", None, ["104k", "100n 10%"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "readings"), DOUBTS)
def test_what_can_be_taken_in_two_ways_is_asked_about(text: str, kind: str | None, readings: list[str]) -> None:
    assert asked(text, kind) == readings  # common practice


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1m", "It can mean 1 mΩ or 1 MΩ."),
        ("M1", "M1 may also be a ref des."),
        ("10k 47k", "It holds more than one value, 10k and 47k."),
        ("10 100k", "The number 10 in front may belong to the value."),
        ("4k7 25V 50V", "It states 25 and 50 volts."),
    ],
)
def test_a_doubt_has_a_reason(text: str, why: str) -> None:
    found = read(text, "R")
    assert isinstance(found, Ambiguous)
    assert found.why == why


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("4k7", "R"), ("4M7", "R"), ("1M", "R"), ("R47", "R"), ("470R", "R"), ("100E", "R"), ("10Ω", "R"), ("10p", "C"),
        ("22u 25V", "C"), ("100n X7R", "C"), ("100nF", "C"), ("10mH", "L"), ("10H 100mA", "L"), ("47u ferrite", "L"),
        ("10K 0.25W", "R"), ("6k8", "R"), ("473K 63V", "C"),
    ],
)  # fmt: skip
def test_the_text_may_tell_its_kind(text: str, kind: str) -> None:
    assert understood(text, None).kind == kind  # common practice


@pytest.mark.parametrize(
    ("text", "kind", "why"),
    [
        ("", "R", "It holds no value."), ("  ", None, "It holds no value."), ("see note", "R", "It holds no value."),
        ("BC547B", None, "It holds no value."), ("1N4007", None, "It holds no value."),
        ("1N60", "C", "It holds no value."),
        ("2n3055", "C", "It holds no value."), ("12AX7", None, "It holds no value."),
        ("6V6", None, "It holds no value."),
        ("EL34", None, "It holds no value."), ("0805", "R", "It holds no value."),
        ("10MHz", None, "It holds no value."),
        ("-4k7", "R", "It holds no value."), ("0p", "C", "It holds no value."), ("2x", "R", "It holds no value."),
        ("1.2.3k", "R", "It holds no value."), ("4k7.5", "R", "It holds no value."), ("25V", "C", "It holds no value."),
        ("4k7 ±5pF", "R", "It holds no value."), ("1e+99", "R", "It holds no value."),
        ("5%", "R", "It holds no value."),
        ("4k7", "C", "4k7 is read as resistance, and capacitance is wanted."),
        ("22 µF", "R", "22uF is read as capacitance, and resistance is wanted."),
        ("4k7\x00", "R", "It holds characters that cannot be seen."),
        ("4k7\x1b[31m", "R", "It holds characters that cannot be seen."),
        ("4k7\u202e", "R", "It holds characters that cannot be seen."),
        ("4k7\t1%", "R", "It holds characters that cannot be seen."),
        ("1k " * 60, "R", "It holds too many numbers."),
        ("4k7" + " " * 198, "R", "It is longer than 200 characters."),
    ],
)  # fmt: skip
def test_what_is_no_value(text: str, kind: str | None, why: str) -> None:
    found = read(text, kind)
    assert isinstance(found, NotAValue)
    assert found.why == why


def test_a_huge_text_is_turned_away_at_once_and_not_kept() -> None:
    found = read("4" * 1_000_000)
    assert isinstance(found, NotAValue)
    assert len(found.text) == 201


def test_many_contradictions_do_not_multiply_without_end() -> None:
    line = "4k7 " + " ".join(f"{n}V {n}W {n}A {n}%" for n in range(1, 10))
    assert len(asked(line, "R")) == 12


def test_another_kind_is_refused() -> None:
    with pytest.raises(BadInput, match="It is R, C or L"):
        read("4k7", "Q")


@example("1" + 24 * "0", None)
@example(25 * "1", None)
@given(st.text(max_size=210), st.sampled_from([None, "R", "C", "L"]))
@settings(deadline=None, max_examples=300)
def test_any_text_at_all_gets_an_answer(text: str, kind: str | None) -> None:
    found = read(text, kind)
    assert isinstance(found, (Value, NotAValue)) or found.readings


WORDS = """
4k7 4K7J R47 100n 22u 104K 103 470 4,700 4 700 ± 5 % 5% 1% 0.25pF -20/+80% -20 +80% + - 25V 6V3 V 275VAC DC AC 1/4W W
200mA A X2 105C X7R C0G/NP0 film carbon silver mica wirewound ohm ohms F H k M m J Z P , / ; ( 0805 1e-7 4E7 M1 6L6 x
"""


@given(st.lists(st.sampled_from(WORDS.split()), max_size=6), st.sampled_from([None, "R", "C", "L"]))
@settings(deadline=None, max_examples=400)
def test_whatever_is_understood_can_be_written_and_read_again(words: list[str], kind: str | None) -> None:
    found = read(" ".join(words), kind)
    for value in found.readings if isinstance(found, Ambiguous) else [found]:
        if isinstance(value, Value):
            assert read(write(value), value.kind) == value
            assert read(write(value, "si"), value.kind) == value
