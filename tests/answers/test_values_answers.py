"""What a component value says: codes, series, nearest values, bands."""

from __future__ import annotations

import pytest

from buildbook.answers.values import value_read
from buildbook.errors import BadInput


def test_a_value_is_told_in_every_form_of_the_trade() -> None:
    answer = value_read("4k7 1% 0.6W")
    (row,) = answer.readings
    assert answer.sentence == "4k7 1% 0.6W is a resistor of 4.7 kΩ 1 % 0.6 W, of the E3 series."
    assert (row.house, row.letter_code) == ("4k7 1% 0.6W", "4K7")
    # IEC 60062: five bands for 1 %.
    assert row.bands == ("yellow", "violet", "black", "brown", "brown")
    # IEC 60063.
    assert dict(row.nearest) == {"E6": "4k7", "E12": "4k7", "E24": "4k7", "E96": "4k75"}


def test_bands_are_read_and_a_readable_code_of_no_series_is_said_to_be_so() -> None:
    # IEC 60062 digits; 339 is in no series of IEC 60063, nearest in E96 is 340.
    answer = value_read("orange orange white black brown")
    assert answer.sentence.startswith("The bands are 339 Ω 1 %, of no preferred series")
    assert dict(answer.readings[0].nearest)["E96"] == "340R"


def test_bands_that_make_sense_from_both_ends_are_said_to_do_so() -> None:
    assert "other end" in value_read("brown black black red brown").sentence


def test_an_unclear_text_is_told_with_all_its_readings() -> None:
    answer = value_read("100", "C")
    assert [row.si for row in answer.readings] == ["100 pF", "100 µF", "10 pF"]
    assert answer.sentence.startswith("100 is not clear")


def test_a_link_has_one_black_band_and_no_series() -> None:
    (row,) = value_read("0R").readings
    assert (row.bands, row.series, row.nearest) == (("black",), "", ())


@pytest.mark.parametrize("text", ["", "BC547B", "x" * 1_000_000, "red blue", "4k7\x00"])
def test_what_is_no_value_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        value_read(text)
    assert refused.value.why
    assert len(str(refused.value)) < 400
