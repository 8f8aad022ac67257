"""Limits and measured amounts as the trade writes them."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.amounts import UNITS, exact, keep, powers_of, read_amount, read_unit, show_amount, unit_in
from buildbook.trade.limits import (
    Limits,
    Measured,
    off_by,
    read_limits,
    read_measured,
    say_measured,
    within,
    write_limits,
)

units = st.sampled_from(sorted(UNITS))
# Amounts of a bench: up to six figures, from picos to megas; of both signs.
sizes = st.builds(
    lambda digits, places: keep(Decimal(digits).scaleb(places)),
    st.integers(-999_999, 999_999),
    st.integers(-12, 3),
)


@st.composite
def limits_of(draw: st.DrawFn) -> Limits:
    """Any limits that stand in order."""
    low, nominal, high = sorted(draw(st.lists(sizes, min_size=3, max_size=3)))
    keeps = draw(st.lists(st.booleans(), min_size=3, max_size=3))
    return Limits(*(one if kept else None for one, kept in zip((nominal, low, high), keeps, strict=True)))


# --- amounts ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "size"),
    [
        # SI brochure: prefixes; a blank between number and unit may be left out.
        ("2.31 V", "V", 2.31),
        ("2.31", "V", 2.31),
        ("250mV", "V", 0.25),
        ("1.5 kV", "V", 1500),
        ("-12.1 V", "V", -12.1),
        ("\u221212.1 V", "V", -12.1),
        ("2,31", "V", 2.31),
        (".5", "V", 0.5),
        ("230 VAC", "V", 230),
        ("150 uA", "A", 0.00015),
        ("150 µA", "A", 0.00015),
        ("150u", "A", 0.00015),
        ("455 kHz", "Hz", 455_000),
        ("1.2 MHz", "Hz", 1_200_000),
        ("60 s", "s", 60),
        ("6 mm", "m", 0.006),
        ("23.5 °C", "°C", 23.5),
        ("12 dB", "dB", 12),
        ("80 %", "%", 80),
        # IEC 60062: the letter in place of the decimal point.
        ("4k7", "Ω", 4700),
        ("0R1", "Ω", 0.1),
        ("R47", "Ω", 0.47),
        ("4k7 ohm", "Ω", 4700),
        ("0,94 MΩ", "Ω", 940_000),
        ("0.94 Mohm", "Ω", 940_000),
        ("50 mΩ", "Ω", 0.05),
        ("3n3", "F", 3.3e-9),
        # Common practice.
        ("2V31", "V", 2.31),
    ],
)
def test_an_amount_is_read(text: str, unit: str, size: float) -> None:
    assert read_amount(text, unit) == size


@pytest.mark.parametrize(
    ("text", "unit", "why"),
    [
        ("", "V", "No amount is given"),
        ("hot", "V", "no amount"),
        ("2.31 A", "V", "is not in V"),
        ("1,234", "V", "1234 or 1.234"),
        ("50m", "Ω", "milli or mega"),
        ("1.2.3", "V", "one plain number"),
        ("1234567.1234567", "V", "figures"),
        ("9999999 GΩ", "Ω", "too large"),
        ("5 k°C", "°C", "is not in"),
        ("k", "Ω", "no amount"),
    ],
)
def test_what_is_no_amount_or_could_be_two_is_not_guessed_at(text: str, unit: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        read_amount(text, unit)


@given(sizes, units)
@settings(max_examples=300, deadline=None)
def test_an_amount_that_is_written_is_read_back_unchanged(size: float, unit: str) -> None:
    assert read_amount(show_amount(size, unit), unit) == size


@given(sizes, sizes, units)
@settings(max_examples=200, deadline=None)
def test_written_like_another_it_is_still_the_same(size: float, other: float, unit: str) -> None:
    assert read_amount(show_amount(size, unit, like=other), unit) == size


@given(st.text(max_size=30), units)
@settings(max_examples=300, deadline=None)
def test_any_text_is_an_amount_or_bad_input(text: str, unit: str) -> None:
    for read in (read_amount, read_limits):
        with suppress(BadInput):
            read(text, unit)


@pytest.mark.parametrize(
    ("text", "unit"), [("ohm", "Ω"), ("kohm", "Ω"), ("volts", "V"), ("uA", "A"), ("kHz", "Hz"), ("mm", "m"), ("m", "m")]
)
def test_a_unit_is_known_by_its_words(text: str, unit: str) -> None:
    assert read_unit(text) == unit


def test_no_unit_is_made_up() -> None:
    with pytest.raises(BadInput, match="no unit"):
        read_unit("furlong")
    # A prefix alone, or the mark of a tolerance, says nothing of the unit.
    assert [unit_in(text) for text in ("min 1M", "4k7 5%", "5", "900m", "")] == [""] * 5
    assert powers_of("Q", "V") == ()


# --- limits ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "limits"),
    [
        ("", "V", Limits()),
        ("250 V", "V", Limits(250)),
        ("1.6-2.2 V", "V", Limits(None, 1.6, 2.2)),
        ("1,6 – 2,2 V", "V", Limits(None, 1.6, 2.2)),
        ("13 to 15 V", "V", Limits(None, 13, 15)),
        ("between 13 and 15 V", "V", Limits(None, 13, 15)),
        ("150-250 uA", "A", Limits(None, 0.00015, 0.00025)),
        ("900 mV to 1.1 V", "V", Limits(None, 0.9, 1.1)),
        ("-12.6 to -11.4 V", "V", Limits(None, -12.6, -11.4)),
        ("-12.6 - -11.4 V", "V", Limits(None, -12.6, -11.4)),
        ("4k7 5%", "Ω", Limits(4700, 4465, 4935)),
        ("250 V ±10 %", "V", Limits(250, 225, 275)),
        ("250 V +-10%", "V", Limits(250, 225, 275)),
        ("-12 V 5%", "V", Limits(-12, -12.6, -11.4)),
        ("250 V -5/+10 %", "V", Limits(250, 237.5, 275)),
        ("15 V ±20 mV", "V", Limits(15, 14.98, 15.02)),
        ("15 ±0.2 V", "V", Limits(15, 14.8, 15.2)),
        ("max 0.1 ohm", "Ω", Limits(None, None, 0.1)),
        ("0.1 ohm max.", "Ω", Limits(None, None, 0.1)),
        ("at most 0.1 Ω", "Ω", Limits(None, None, 0.1)),
        ("≤ 0.1 Ω", "Ω", Limits(None, None, 0.1)),
        ("min 1M", "Ω", Limits(None, 1e6, None)),
        ("at least 1 Mohm", "Ω", Limits(None, 1e6, None)),
        (">= 1 MΩ", "Ω", Limits(None, 1e6, None)),
        ("15 V; 14.9 to 15.2 V", "V", Limits(15, 14.9, 15.2)),
        ("80-90 %", "%", Limits(None, 80, 90)),
    ],
)
def test_limits_are_read_as_the_trade_writes_them(text: str, unit: str, limits: Limits) -> None:
    assert read_limits(text, unit) == limits


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("2.2-1.6 V", "from the lower to the higher"),
        ("20 V; 14 to 15 V", "from the lower to the higher"),
        ("15 V; 15 V", "twice"),
        ("5%", "no amount|is not in"),
        ("max", "no amount"),
        ("1.6-2.2 A", "is not in V"),
        ("15 V ±-1 V", "less than nothing"),
    ],
)
def test_limits_that_say_nothing_clear_are_refused(text: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        read_limits(text, "V")


@given(limits_of(), units)
@settings(max_examples=300, deadline=None)
def test_limits_that_are_written_are_read_back_unchanged(limits: Limits, unit: str) -> None:
    assert read_limits(write_limits(limits, unit), unit) == limits


@given(st.integers(-99_999, 99_999), st.integers(0, 500))
@settings(max_examples=200, deadline=None)
def test_a_tolerance_is_worked_out_exactly(middle: int, permille: int) -> None:
    share = Decimal(permille) / 1000
    limits = read_limits(f"{middle} V ±{permille / 10} %", "V")
    aside = abs(Decimal(middle)) * share
    assert limits == Limits(float(middle), float(middle - aside), float(middle + aside))


# --- readings --------------------------------------------------------------------------------------------------------


@given(sizes, limits_of())
@settings(max_examples=300, deadline=None)
def test_a_reading_is_within_its_limits_if_and_only_if_none_is_passed(value: float, limits: Limits) -> None:
    above = limits.high is not None and exact(value) > exact(limits.high)
    below = limits.low is not None and exact(value) < exact(limits.low)
    assert within(value, limits) is (not above and not below)
    off = off_by(value, limits)
    assert (off > 0, off < 0) == (above, below)
    said = say_measured(value, limits, "V")
    assert ("within" in said) is (within(value, limits) and limits.given)
    assert (" above " in said, " below " in said) == (above, below)


@given(sizes, limits_of())
@settings(max_examples=300, deadline=None)
def test_less_what_it_is_off_by_a_reading_stands_on_the_limit(value: float, limits: Limits) -> None:
    if within(value, limits):
        return
    off = exact(off_by(value, limits))
    edge = limits.high if off > 0 else limits.low
    assert edge is not None
    assert abs(exact(value) - off - exact(edge)) <= Decimal("1e-15") * max(abs(exact(value)), abs(exact(edge)))


@given(limits_of())
@settings(max_examples=100, deadline=None)
def test_a_limit_itself_is_within(limits: Limits) -> None:
    for edge in (limits.low, limits.high):
        assert edge is None or within(edge, limits)


@pytest.mark.parametrize(
    ("value", "limits", "unit", "said"),
    [
        (2.31, "1.6-2.2 V", "V", "2.31 V, 0.11 V above 2.2 V"),
        (1.5, "1.6-2.2 V", "V", "1.5 V, 0.1 V below 1.6 V"),
        (2.2, "1.6-2.2 V", "V", "2.2 V, within limits"),
        (0.12, "max 0.1 ohm", "Ω", "0.12 Ω, 0.02 Ω above 0.1 Ω"),
        (0.04, "max 0.1 ohm", "Ω", "0.04 Ω, within limits"),
        (8e5, "min 1M", "Ω", "0.8 MΩ, 0.2 MΩ below 1 MΩ"),
        (0.18, "max 20 mV", "V", "180 mV, 160 mV above 20 mV"),
        (251, "250 V", "V", "251 V"),
    ],
)
def test_how_a_reading_stands_is_said_in_words(value: float, limits: str, unit: str, said: str) -> None:
    assert say_measured(value, read_limits(limits, unit), unit) == said


def test_beyond_the_scale_is_taken_where_it_decides() -> None:
    least, most = Limits(low=1e6), Limits(high=0.1)
    assert read_measured(">200M", "Ω", least) == Measured(2e8, ">")
    assert read_measured("over 200 MΩ", "Ω", least) == Measured(2e8, ">")
    assert read_measured("< 0.05", "Ω", most) == Measured(0.05, "<")
    assert read_measured(">1 ohm", "Ω", most) == Measured(1.0, ">")
    for text, limits in ((">0.5M", least), ("<0.2", most), (">0.05", most), (">0.1", most), (">1.8", Limits(1, 1, 2))):
        with pytest.raises(BadInput, match="does not say whether"):
            read_measured(text, "Ω", limits)


@given(sizes, sizes, limits_of(), st.sampled_from("<>"))
@settings(max_examples=300, deadline=None)
def test_what_is_taken_beyond_a_size_holds_for_every_reading_there(
    size: float, real: float, limits: Limits, sign: str
) -> None:
    assume(real > size if sign == ">" else real < size)
    try:
        taken = read_measured(f"{sign} {show_amount(size, 'V')}", "V", limits)
    except BadInput:
        return
    assert within(taken.value, limits) is within(real, limits)
