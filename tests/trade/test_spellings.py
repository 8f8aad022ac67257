"""One value is met in many spellings, and each of them leads to the others."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.trade.spellings import spellings


@pytest.mark.parametrize(
    ("word", "other"),
    [
        ("4k7", "4.7 kΩ"),
        ("4.7k", "4k7"),
        ("4,7k", "4k7"),
        ("4.7kΩ", "4.7 k"),
        ("2u2", "2.2µF"),
        ("2.2uF", "2µ2"),
        ("22u", "22 µF"),
        ("22µF", "22u"),
        ("4R7", "4.7Ω"),
        ("47R", "47 ohm"),
        ("1M5", "1.5 Mohm"),
    ],
)
def test_a_value_in_another_spelling(word: str, other: str) -> None:
    # RKM code of IEC 60062 and the usual decimals.
    assert other in spellings(word)


@pytest.mark.parametrize(
    "word", ["choke", "R114", "1N4007", "EF91", "BC547B", "47", "6.3", "", "k", "4k7k", "12345k6789"]
)
def test_what_is_no_value_has_no_other_spelling(word: str) -> None:
    assert spellings(word) == []


def test_ohms_are_not_taken_for_volts() -> None:
    assert {"4.7", "4.7 V", "4.7V"}.isdisjoint(spellings("4R7"))


@given(st.integers(0, 999), st.integers(0, 99), st.sampled_from("pnumkMG"))
def test_both_ways_lead_to_each_other(whole: int, rest: int, sign: str) -> None:
    inside, behind = f"{whole}{sign}{rest}", f"{whole}.{rest}{sign}"
    assert inside in spellings(behind)
    assert behind in spellings(inside)
    assert inside not in spellings(inside)
