"""What standards ask of a reading, and the spacing of conductors, against their published figures."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.cautions import CONFIRMS, confirmed, in_one_line
from buildbook.trade.limits import read_limits
from buildbook.trade.standards import CONDUCTORS, DISTANCES, STANDARDS, spacing_mm, standard_named
from buildbook.trade.workorder import WORKS

# IPC-2221 Table 6-1, from memory: volts, then B1 B2 B3 B4 A5 A6 A7 in mm.
BANDS = (
    (0, 15, (0.05, 0.1, 0.1, 0.05, 0.13, 0.13, 0.13)),
    (16, 30, (0.05, 0.1, 0.1, 0.05, 0.13, 0.25, 0.13)),
    (31, 50, (0.1, 0.6, 0.6, 0.13, 0.13, 0.4, 0.13)),
    (51, 100, (0.1, 0.6, 1.5, 0.13, 0.13, 0.5, 0.13)),
    (101, 150, (0.2, 0.6, 3.2, 0.4, 0.4, 0.8, 0.4)),
    (151, 170, (0.2, 1.25, 3.2, 0.4, 0.4, 0.8, 0.4)),
    (171, 250, (0.2, 1.25, 6.4, 0.4, 0.4, 0.8, 0.4)),
    (251, 300, (0.2, 1.25, 12.5, 0.4, 0.4, 0.8, 0.8)),
    (301, 500, (0.25, 2.5, 12.5, 0.8, 0.8, 1.5, 0.8)),
)


@pytest.mark.parametrize(("low", "high", "row"), BANDS)
def test_spacing_at_both_edges_of_each_band(low: float, high: float, row: tuple[float, ...]) -> None:
    assert tuple(spacing_mm(low, one) for one in CONDUCTORS) == row
    assert tuple(spacing_mm(high, one) for one in CONDUCTORS) == row


def test_spacing_above_500_volts_and_between_bands() -> None:
    assert [spacing_mm(700, one) for one in ("B1", "B2", "B4", "A6")] == [0.75, 3.5, 1.41, 2.11]
    assert spacing_mm(600) == 3.0
    assert spacing_mm(100.5, "B3") == spacing_mm(101, "B3") != spacing_mm(100, "B3")


@settings(max_examples=80, deadline=None)
@given(st.floats(0, 5000), st.floats(0, 5000), st.sampled_from(sorted(CONDUCTORS)))
def test_more_volts_never_ask_for_less(one: float, other: float, conductor: str) -> None:
    assert spacing_mm(min(one, other), conductor) <= spacing_mm(max(one, other), conductor)


@pytest.mark.parametrize(("volts", "conductor"), [(-1, "B2"), (float("nan"), "B2"), (5, "B9")])
def test_what_no_spacing_is_known_for(volts: float, conductor: str) -> None:
    with pytest.raises(BadInput):
        spacing_mm(volts, conductor)


@pytest.mark.parametrize(
    ("name", "limits", "source"),
    [
        ("protective earth", "max 0.1 ohm", "IEC 60950-1 cl. 2.6.3.3"),
        ("insulation", "min 1 Mohm", "common practice"),
        ("touch voltage DC", "max 60 V", "IEC 60950-1 cl. 2.1.1.7"),
        ("touch voltage peak", "max 42.4 V", "IEC 60335-1 cl. 8.1.4"),
        ("extra-low voltage DC", "max 120 V", "IEC 61140:2016"),
        ("extra-low voltage AC", "max 50 V", "IEC 61140:2016"),
        ("discharge within reach", "max 5 s", "IEC 60204-1"),
        ("discharge of a plug", "max 1 s", "IEC 60204-1"),
    ],
)
def test_published_limits(name: str, limits: str, source: str) -> None:
    found = standard_named(name.upper())
    assert found.limits == limits
    assert source in found.source


def test_every_standard_can_be_read_as_limits() -> None:
    for one in STANDARDS.values():
        assert read_limits(one.limits, {"ohm": "Ω"}.get(one.unit, one.unit)).given


def test_distances_of_mains() -> None:
    # IEC 60664-1, from memory.
    assert [(one.basic_um, one.reinforced_um) for one in DISTANCES] == [(2500, 5000), (1500, 3000)]
    assert all("from memory" in one.source for one in DISTANCES)


def test_an_unknown_standard_is_refused_with_those_there_are() -> None:
    with pytest.raises(BadInput, match="protective earth"):
        standard_named("earthing")


def test_what_a_signature_confirms() -> None:
    assert confirmed("", "Safety checks", "Read and sign the safety checks") == CONFIRMS["safety checks"]
    earth = " ".join(confirmed("", "safety checks", "Protective earth: inlet pin to every panel"))
    assert "continuity" in earth
    assert "Insulation" not in earth
    assert confirmed("", "safety checks", "Look at it") == ()
    assert confirmed(" one \n\n two", "safety checks") == ("one", "two")
    assert confirmed("", "letter") == ()
    assert set(CONFIRMS) <= set(WORKS)
    every = " ".join(in_one_line(lines) for lines in CONFIRMS.values())
    for said in ("locked off", "measured below 60 V", "one hand", "Protective-earth", "Fuse", "Insulation", "limiter"):
        assert said in every
    assert "safe" not in every
