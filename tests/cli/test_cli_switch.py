"""A transistor as a switch, asked on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable

from typer.testing import Result

Say = Callable[..., Result]


def test_it_gives_the_base_resistor_and_names_its_rule(say: Say) -> None:
    # Derived: 6 V, VBE 0.8 V, 30 mA: 1.6 kohm (E24) and a beta of 9.23, 1.5 kohm (E12) and 8.65.
    plain = say("checks", "switch", "30 mA", "6 V").stdout
    assert plain.startswith("1.6 kΩ into the base, from 6 V: 3.25 mA, a forced beta of 9.23 for 30 mA.")
    assert "1.5 kΩ: 3.47 mA, beta 8.65, 18 mW in it" in plain
    assert "Rule: forced beta of 10 at most" in plain
    assert "data sheet" in plain


def test_with_a_saturation_voltage_it_gives_the_loss(say: Say) -> None:
    # 2N2222A, data sheet: 0.3 V at 150 mA; derived 2 ohms, 45 mW.
    told = json.loads(say("checks", "switch", "150 mA", "12 V", "--sat", "0.3 V", "--json").stdout)
    assert (told["on_ohms"], told["lost_watts"]) == (2.0, 0.045)
    assert "looks like 2 Ω and loses 45 mW" in say("checks", "switch", "150m", "12", "--sat", "0.3").stdout


def test_another_beta_is_said_to_be_ones_own(say: Say) -> None:
    assert "a forced beta of 20 at most, as you said" in say("checks", "switch", "10mA", "5V", "--beta", "20").stdout


def test_a_drive_below_the_base_is_refused(say: Say) -> None:
    assert "does not reach above" in say("checks", "switch", "30 mA", "0.7 V", code=2).stderr
    assert "above zero" in say("checks", "switch", "0 A", "6 V", code=2).stderr
