"""How much of a rating is used: published shares, film resistors in hot air, what a workshop sets otherwise."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.derating import SETTINGS, SEVERE, USUAL, group_of, hot_share, read_share, shares, show_share


def test_published_shares() -> None:
    # A reliability centre's derating table: aluminium electrolytic 80 % benign, 70 % severe; ceramic, film and mica
    # 70 % and 60 %.
    assert (USUAL["electrolytic"].share, SEVERE["electrolytic"]) == (0.8, 0.7)
    assert (USUAL["capacitor"].share, SEVERE["capacitor"]) == (0.7, 0.6)
    # Common practice: resistors at half their watts, diodes and switches at 75 %, 1.5 x the reverse volts.
    assert [USUAL[name].share for name in ("resistor", "diode", "switch")] == [0.5, 0.75, 0.75]
    assert USUAL["reverse"].share * 1.5 == pytest.approx(1)


@pytest.mark.parametrize(
    ("celsius", "percent"), [(70, 100), (100, 64.7), (110, 52.9), (125, 35.3), (155, 0), (20, 100)]
)
def test_a_film_resistor_in_hot_air(celsius: float, percent: float) -> None:
    # 70 and 155 degrees are typical of metal film (from memory); the line between them is computed.
    assert 100 * hot_share(celsius) == pytest.approx(percent, rel=1e-3, abs=1e-9)


@settings(deadline=None, max_examples=50)
@given(st.floats(-60, 300), st.floats(-60, 300))
def test_the_hotter_the_less(one: float, other: float) -> None:
    assert 0 <= hot_share(max(one, other)) <= hot_share(min(one, other)) <= 1


def test_a_line_that_rises_is_refused() -> None:
    with pytest.raises(BadInput):
        hot_share(100, full_to=155, none_from=70)


@settings(deadline=None, max_examples=50)
@given(st.integers(1, 10_000))
def test_a_share_is_kept_as_it_is_read(hundredths: int) -> None:
    kept = read_share(f"{hundredths / 100:.2f} %")
    assert read_share(kept) == kept
    assert shares({"derating_diode": kept})["diode"] == pytest.approx(hundredths / 10_000)
    assert show_share(shares({"derating_diode": kept})["diode"]) == kept


@pytest.mark.parametrize("text", ["0", "-5 %", "101 %", "a lot", ""])
def test_no_share_is_more_than_all_or_nothing(text: str) -> None:
    with pytest.raises(BadInput):
        read_share(text)


def test_what_is_not_set_is_as_usual() -> None:
    assert shares({"derating_other": "90 %", "currency": "EUR"}) == {
        **{name: usual.share for name, usual in USUAL.items()},
        "other": 0.9,
    }
    assert set(SETTINGS) == {f"derating_{name}" for name in USUAL}


@pytest.mark.parametrize(
    ("kind", "electrolytic", "for_mains", "group"),
    [
        ("capacitor", True, False, "electrolytic"),
        ("capacitor", False, True, "mains_capacitor"),
        ("capacitor", False, False, "capacitor"),
        ("resistor", False, False, "resistor"),
        ("relay", False, False, "switch"),
        ("reverse", False, False, "reverse"),
        ("valve", False, False, "other"),
    ],
)
def test_each_kind_has_its_group(kind: str, electrolytic: bool, for_mains: bool, group: str) -> None:
    assert group_of(kind, electrolytic=electrolytic, for_mains=for_mains) == group
