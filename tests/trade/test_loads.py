"""What loads draw, as the trade writes it."""

from __future__ import annotations

import pytest

from buildbook.errors import BadInput
from buildbook.trade.loads import read_draws

V12 = 12_000_000


@pytest.mark.parametrize(
    ("text", "volts_uv", "wanted"),
    [
        ("300 mA", V12, (1, 300_000, None, 10_000)),
        ("0.3", V12, (1, 300_000, None, 10_000)),
        ("2x300mA", V12, (2, 300_000, None, 10_000)),
        ("3 x 20 mA, on for 25 %", V12, (3, 20_000, None, 2500)),
        ("0.25 W", V12, (1, None, 250_000, 10_000)),
        ("", V12, (1, None, None, 10_000)),
        # Common practice, derived: 12 V less 2 V at 10 mA wants 1000 ohms.
        ("LED 2 V, 10 mA", V12, (1, 10_000, None, 10_000)),
        ("LED 2 V 1k", V12, (1, 10_000, None, 10_000)),
        # A maker's sheet: 12 V, 300 ohms, 40 mA (coil tolerance 10 %); derived: 360 ohms 33.3 mA, 0.25 W 20.8 mA.
        ("relay 300 ohm", V12, (1, 40_000, None, 10_000)),
        ("coil 360 ohm", V12, (1, 33_334, None, 10_000)),
        ("relay 0.25 W", V12, (1, 20_834, None, 10_000)),
        # Data sheets: 3 x ECC83 at 6.3 V take 0.9 A, and one at 12.6 V half.
        ("3 x heater ECC83", 6_300_000, (3, 300_000, None, 10_000)),
        ("heater ECC83", 12_600_000, (1, 150_000, None, 10_000)),
        ("heater EL84+EL84", 12_600_000, (1, 760_000, None, 10_000)),
        ("heater PX9", 6_300_000, (1, None, None, 10_000)),
    ],
)
def test_it_is_read_as_it_is_written(text: str, volts_uv: int, wanted: tuple[int, int | None, int | None, int]) -> None:
    assert read_draws(text, volts_uv)[:4] == wanted


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("-1 A", "below zero"),
        ("0 x 1 A", "cannot be"),
        ("1 A, 110 %", "more than 100 %"),
        ("LED 14 V, 10 mA", "does not go with"),
        ("LED 2 V", "half of it"),
        ("LED 2 V, 0 A", "above zero"),
        ("LED 2 V, -1k", "above zero"),
        ("relay -300 ohm", "above zero"),
        ("heater EL84+ECC83", "different currents"),
        ("heater GZ34", "does not suit"),
        ("some", "no amount"),
        ("2 V", "is not in A"),
    ],
)
def test_what_cannot_be_is_refused_with_its_reason(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_draws(text, V12)


def test_a_coil_on_a_supply_of_no_voltage_is_refused() -> None:
    with pytest.raises(BadInput, match="voltage of the supply is not known"):
        read_draws("relay 300 ohm", 0)
