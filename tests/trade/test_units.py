"""Quantities and durations: read exactly or refused with the reason, and shown so that they read back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.units import (
    LARGEST_QTY,
    LONGEST_MIN,
    Unit,
    read_minutes,
    read_quantity,
    read_unit,
    show_minutes,
    show_quantity,
)


@given(st.integers(-LARGEST_QTY, LARGEST_QTY), st.sampled_from(Unit))
@settings(deadline=None, max_examples=300)
def test_a_quantity_that_is_shown_reads_back_unchanged(qty: int, unit: Unit) -> None:
    assert read_quantity(show_quantity(qty, unit), unit, signed=True) == qty


@given(st.integers(0, 10**9), st.sampled_from(" ,'\u00a0\u202f"))
@settings(deadline=None, max_examples=100)
def test_grouping_does_not_change_how_many_pieces_there_are(qty: int, mark: str) -> None:
    assert read_quantity(f"{qty:,}".replace(",", mark), Unit.PC) == qty


@given(st.text(max_size=20), st.sampled_from(Unit))
@settings(deadline=None, max_examples=300)
def test_any_text_is_a_whole_quantity_or_bad_input(text: str, unit: Unit) -> None:
    try:
        qty = read_quantity(text, unit)
    except BadInput as fault:
        assert fault.why.endswith(".")  # noqa: PT017
    else:
        assert 0 <= qty <= LARGEST_QTY


@pytest.mark.parametrize(
    ("text", "unit", "qty"),
    [
        ("12", Unit.PC, 12),
        ("12 pcs", Unit.PC, 12),
        ("3x", Unit.PC, 3),
        ("3 off", Unit.PC, 3),
        ("4 Stk.", Unit.PC, 4),
        ("1 000", Unit.PC, 1000),
        ("1,000", Unit.PC, 1000),
        ("1.234.567", Unit.PC, 1_234_567),
        ("12.0", Unit.PC, 12),
        ("0", Unit.PC, 0),
        ("1.5 m", Unit.MM, 1500),
        ("50 cm", Unit.MM, 500),
        ("0,5 m", Unit.MM, 500),
        ("1.234 m", Unit.MM, 1234),
        ("1.234,5 m", Unit.MM, 1_234_500),
        ("30", Unit.MM, 30),
        ("1000 µm", Unit.MM, 1),
        ("10 g", Unit.MG, 10_000),
        ("0.5 kg", Unit.MG, 500_000),
        ("250 ml", Unit.UL, 250_000),
        ("250 mL", Unit.UL, 250_000),
        ("1 l", Unit.UL, 1_000_000),
        ("33 cl", Unit.UL, 330_000),
        ("5 in", Unit.MM, 127),  # exactly 25.4 mm (international inch, 1959)
        ("2 ft", Unit.MM, 610),  # 609.6
        ("6 in", Unit.MM, 152),  # 152.4
        ('2.5"', Unit.MM, 64),  # 63.5, a half goes to the even millimetre
        ("7.5 in", Unit.MM, 190),  # 190.5, likewise
        ("1000000000000", Unit.PC, LARGEST_QTY),
    ],
)
def test_what_builders_write_is_read_exactly(text: str, unit: Unit, qty: int) -> None:
    assert read_quantity(text, unit) == qty


@pytest.mark.parametrize(
    ("text", "unit", "why"),
    [
        ("", Unit.PC, "No quantity is given."),
        ("  ", Unit.PC, "No quantity is given."),
        ("1.5", Unit.PC, "“1.5” is not a whole number of pieces."),
        ("0.5", Unit.MM, "“0.5” is not a whole number of mm, the smallest that is counted."),
        ("-3", Unit.PC, "“-3” is less than nothing."),
        ("1e9", Unit.PC, "“e9” in “1e9” is not a unit of quantity."),
        ("2 or 3", Unit.PC, "“or 3” in “2 or 3” is not a unit of quantity."),
        ("2-3", Unit.PC, "“-3” in “2-3” is not a unit of quantity."),
        ("a few", Unit.PC, "“a few” is not a number."),
        ("1 2", Unit.PC, "“1 2” is not one plain number."),
        ("1.000", Unit.PC, "“1.000” can be read as 1000 or as 1."),
        ("1,234,5 m", Unit.MM, "“1,234,5 m” is not one plain number."),
        ("1,234 m", Unit.MM, "“1,234 m” can be read as 1234 or as 1.234."),
        ("3 m", Unit.PC, "“3 m” goes by length, and this is counted by the piece."),
        ("3 g", Unit.UL, "“3 g” goes by mass, and this is counted by volume."),
        ("1000000000001", Unit.PC, "“1000000000001” is more than 10^12 pc, the most that can be counted."),
        ("9" * 5000, Unit.PC, f"“{'9' * 39}…” is not one plain number."),
        ("5 Mm", Unit.MM, "“Mm” in “5 Mm” is not a unit of quantity."),
        ("٣", Unit.PC, "“٣” is not a number."),
    ],
)
def test_what_is_not_clear_is_refused_with_the_reason(text: str, unit: Unit, why: str) -> None:
    with pytest.raises(BadInput) as fault:
        read_quantity(text, unit)
    assert fault.value.why == why


def test_less_than_nothing_is_taken_only_where_a_sign_makes_sense() -> None:
    assert read_quantity("-3", Unit.PC, signed=True) == -3
    assert read_quantity("\u22121.5 m", Unit.MM, signed=True) == -1500
    assert read_quantity("-0", Unit.PC) == 0


@pytest.mark.parametrize(
    ("qty", "unit", "text"),
    [
        (12, Unit.PC, "12"),
        (1500, Unit.MM, "1.5 m"),
        (250, Unit.MM, "250 mm"),
        (250_000, Unit.UL, "250 ml"),
        (40_000, Unit.MG, "40 g"),
        (1_250_000, Unit.MG, "1.25 kg"),
        (500, Unit.UL, "500 µl"),
        (-1500, Unit.MM, "-1.5 m"),
        (0, Unit.MG, "0 mg"),
    ],
)
def test_a_quantity_is_shown_in_the_unit_that_a_person_would_use(qty: int, unit: Unit, text: str) -> None:
    assert show_quantity(qty, unit) == text


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("pcs pc each ea off Stk piece Pieces PCS", Unit.PC),
        ("m metre meters mm MM cm ft inch", Unit.MM),
        ("g gram kg mg KG", Unit.MG),
        ("ml mL l litre µl", Unit.UL),
        ("volts reel Mm Mg ohm", None),
    ],
)
def test_words_for_units_lead_to_the_base_unit(words: str, unit: Unit | None) -> None:
    assert {read_unit(word) for word in words.split()} == {unit}


@given(st.integers(0, LONGEST_MIN))
@settings(deadline=None, max_examples=200)
def test_a_duration_that_is_shown_reads_back_unchanged(minutes: int) -> None:
    assert read_minutes(show_minutes(minutes)) == minutes


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("1h30", 90),
        ("1 h 30 min", 90),
        ("~40 min", 40),
        ("about 40", 40),
        ("90", 90),
        ("1:30", 90),
        ("2h", 120),
        ("2 hrs", 120),
        ("1.5 h", 90),
        ("1,5 h", 90),
        ("2 d", 2880),
        ("1 d 4 h", 1680),
        ("1 hour and 5 minutes", 65),
        ("1 week", 10_080),
        ("0.33 h", 20),
        ("0", 0),
    ],
)
def test_durations_as_builders_write_them(text: str, minutes: int) -> None:
    assert read_minutes(text) == minutes


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "No duration is given."),
        ("15-30 min", "“15-30 min” is not one duration."),
        ("-5", "“-5” is not one duration."),
        ("1:75", "“1:75” is not one duration."),
        ("30 s", "“30 s” is not one duration."),
        ("5 min 2 h", "“5 min 2 h” does not go from the larger to the smaller unit."),
        ("1 h 1 h", "“1 h 1 h” does not go from the larger to the smaller unit."),
        ("2 d 30", "“2 d 30” does not go from the larger to the smaller unit."),
        ("4000 d", "“4000 d” is longer than ten years."),
        ("soon", "“soon” is not one duration."),
        ("1" * 99, f"“{'1' * 39}…” is too long for a duration."),
    ],
)
def test_what_is_no_duration_is_refused_with_the_reason(text: str, why: str) -> None:
    with pytest.raises(BadInput) as fault:
        read_minutes(text)
    assert fault.value.why == why
