"""Fuses, rectifiers and heaters against what is published."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade import fuses, heaters, rectifiers

V = 1_000_000
MA = 1000

# Rule of thumb: the smallest rating from 1.5 times the primary current on, up to twice (common practice; IEC 60127).
WORKED = [
    (30, 230, (200, 250), 200),
    (50, 230, (400,), 400),
    (100, 230, (800,), 800),
    (160, 230, (1250,), 1250),
    (300, 230, (2000, 2500), 2000),
    (500, 230, (4000,), 4000),
    (100, 115, (1600,), 1600),
    (200, 120, (2500, 3150), 2500),
]


@pytest.mark.parametrize(("va", "volts", "window", "pick"), WORKED)
def test_the_worked_fuses(va: int, volts: int, window: tuple[int, ...], pick: int) -> None:
    found = fuses.propose(va * V, volts * V)
    assert found.ratings_ua == tuple(one * MA for one in window)
    assert found.pick_ua == pick * MA


def test_ratings_follow_the_renard_series_of_ten() -> None:
    """R10 of ISO 3: tenth roots of ten, 1.3 % off at most."""
    assert len(fuses.RATINGS_UA) == 26
    for step, rating in enumerate(fuses.RATINGS_UA, -15):
        assert rating / V == pytest.approx(10 ** (step / 10), rel=0.013)


@settings(deadline=None, max_examples=60)
@given(va=st.integers(1, 3000 * V), volts=st.integers(24 * V, 400 * V))
def test_a_proposal_is_the_smallest_that_is_enough(va: int, volts: int) -> None:
    found = fuses.propose(va, volts)
    for rating in fuses.RATINGS_UA:
        enough = rating * volts * 2 >= va * V * 3
        assert enough == (found.pick_ua is not None and rating >= found.pick_ua)
    assert set(found.ratings_ua) <= set(fuses.RATINGS_UA)


@pytest.mark.parametrize(("va", "volts", "low"), [(0, 230, 150), (5, 0, 150), (5, 230, 250), (5, 230, 0)])
def test_no_fuse_for_nonsense(va: int, volts: int, low: int) -> None:
    with pytest.raises(BadInput, match="No fuse was proposed"):
        fuses.propose(va * V, volts * V, low_pct=low)


# Maker A: Hammond, rectifier design guide; maker B: ATC-Frost, transformer notes.
@pytest.mark.parametrize(
    ("maker", "circuit", "factor"),
    [
        ("A", "half wave, capacitor", 3.571),
        ("A", "centre tap, capacitor", 1.0),
        ("A", "bridge, capacitor", 1.613),
        ("A", "centre tap, choke", 0.649),
        ("A", "bridge, choke", 1.064),
        ("A", "half wave, resistive", 1.563),
        ("A", "centre tap, resistive", 0.787),
        ("A", "bridge, resistive", 1.111),
        ("B", "half wave, capacitor", 2.6),
        ("B", "half wave, resistive", 1.6),
        ("B", "centre tap, capacitor", 1.2),
        ("B", "centre tap, resistive", 0.8),
        ("B", "bridge, capacitor", 1.8),
        ("B", "bridge, resistive", 1.1),
        ("B", "dual, capacitor", 1.8),
    ],
)
def test_the_factors_that_two_makers_print(maker: str, circuit: str, factor: float) -> None:
    assert rectifiers.factor_ppm(circuit, maker) / V == pytest.approx(factor, abs=0.0005)


def test_a_factor_that_nobody_prints_is_refused() -> None:
    with pytest.raises(BadInput, match="no factor for “bridge, choke”"):
        rectifiers.factor_ppm("bridge, choke", "B")
    with pytest.raises(BadInput, match="no table “C”"):
        rectifiers.factor_ppm("bridge, choke", "C")


def test_three_double_triodes_and_their_like() -> None:
    """Data sheets: three ECC83 draw 0.9 A; with two EL84 and an EZ81 it is 3.42 A."""

    def at(types: str, volts: int = 6_300_000) -> int:
        return heaters.draws(types, volts) or 0

    assert 3 * at("ECC83") == 900 * MA
    assert 3 * at("ECC83") + 2 * at("EL84") + at("EZ81") == 3420 * MA
    assert 2 * at("EL34") + 2 * at("6SN7GT") == 4200 * MA
    # 1.89 W in both ways
    assert at("ECC83") * 6_300_000 == at("ECC83", 12_600_000) * 12_600_000 == 1_890_000 * V


def test_a_string_adds_volts_and_wants_one_current() -> None:
    assert heaters.draws("EF86 + EF86", 12_600_000) == 200 * MA
    with pytest.raises(BadInput, match="different currents"):
        heaters.draws("EF86+EL84", 12_600_000)
    with pytest.raises(BadInput, match="does not suit"):
        heaters.draws("EF86+EF86", 6_300_000)
    with pytest.raises(BadInput, match="does not suit"):
        heaters.draws("GZ34", 6_300_000)


def test_what_the_table_does_not_know_is_not_nought() -> None:
    assert heaters.draws("XYZ1", 6_300_000) is None
    assert heaters.draws("EF86+XYZ1", 12_600_000) is None
