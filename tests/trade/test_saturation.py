"""A transistor as a switch, against published and derived figures."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.saturation import FORCED_BETA, base_with, lost_watts, on_ohms, saturate
from buildbook.trade.series import Series


def near(value: Decimal, wanted: float, percent: float) -> bool:
    return float(value) == pytest.approx(wanted, rel=percent / 100)


def test_hard_saturation_is_a_forced_beta_of_ten() -> None:
    """Data-sheet test condition, teaching texts."""
    assert FORCED_BETA == 10


@pytest.mark.parametrize(
    ("part", "volts", "load_ma", "base_ma", "ohms"),
    [
        # Data sheets; the resistance is derived, VCE(sat) over Ic.
        ("2N3904", "0.2", "10", "1", "20"),
        ("2N2222A", "0.3", "150", "15", "2"),
        ("BC547", "0.25", "10", "0.5", "25"),
    ],
)
def test_the_on_resistance_of_the_data_sheets(part: str, volts: str, load_ma: str, base_ma: str, ohms: str) -> None:
    assert on_ohms(Decimal(volts), Decimal(load_ma) / 1000) == Decimal(ohms), part
    assert Decimal(load_ma) / Decimal(base_ma) == (20 if part == "BC547" else 10)


def test_the_loss_of_a_2n2222a_at_150_ma() -> None:
    """Data sheet, 0.3 V at 150 mA; derived: 45 mW."""
    assert lost_watts(Decimal("0.3"), Decimal("0.15")) == Decimal("0.045")


def test_the_base_resistor_of_the_worked_example() -> None:
    """Derived: 6 V drive, VBE 0.8 V, 30 mA, beta 10: 3.0 mA and 1733 ohms, to 0.1 %."""
    found = saturate(Decimal("0.03"), Decimal(6))
    assert found.base_amps == Decimal("0.003")
    assert near(found.exact_ohms, 1733.3, 0.1)


@pytest.mark.parametrize(("series", "ohms", "base_ma", "beta"), [("E24", 1600, 3.25, 9.23), ("E12", 1500, 3.467, 8.65)])
def test_the_preferred_value_below_keeps_beta_to_ten(series: Series, ohms: int, base_ma: float, beta: float) -> None:
    """Derived, to 0.1 %."""
    chosen = saturate(Decimal("0.03"), Decimal(6), series=series).chosen
    assert chosen.ohms == ohms
    assert near(chosen.base_amps * 1000, base_ma, 0.1)
    assert near(chosen.beta, beta, 0.1)
    assert chosen.saturates()


def test_the_value_above_fails_the_rule() -> None:
    """Derived: 1.8 kohm gives 2.889 mA and a beta of 10.38."""
    found = base_with(Decimal(1800), Decimal("0.03"), Decimal(6))
    assert near(found.base_amps * 1000, 2.889, 0.1)
    assert near(found.beta, 10.38, 0.1)
    assert not found.saturates()


def test_the_loss_in_the_base_resistor() -> None:
    """Derived: 18.0 mW in 1.5 kohm, to 0.5 %."""
    assert near(base_with(Decimal(1500), Decimal("0.03"), Decimal(6)).watts * 1000, 18.0, 0.5)


@pytest.mark.parametrize(
    ("load", "drive", "base", "beta"),
    [("0", "6", "0.8", "10"), ("-1", "6", "0.8", "10"), ("0.03", "0.8", "0.8", "10"), ("0.03", "6", "0.8", "0")],
)
def test_what_cannot_be_is_refused(load: str, drive: str, base: str, beta: str) -> None:
    with pytest.raises(BadInput):
        saturate(Decimal(load), Decimal(drive), base_volts=Decimal(base), beta=Decimal(beta))


@settings(deadline=None, max_examples=60)
@given(
    st.decimals("0.0001", "5", places=4),
    st.decimals("1", "50", places=1),
    st.sampled_from(["E6", "E12", "E24", "E96"]),
)
def test_the_chosen_value_always_saturates(load: Decimal, drive: Decimal, series: Series) -> None:
    found = saturate(load, drive, series=series)
    assert found.chosen.ohms <= found.exact_ohms
    assert found.chosen.saturates()
