"""Heaters offered from the parts lists: never typed twice, and never offered where they do not go."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, lists, stores, supply
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop
from buildbook.answers.supply import supply as budget


@pytest.fixture
def audio(shop: Workshop) -> Workshop:
    """An audio board with two ECC83 and two EL84, a rectifier of 5 V, and windings of 6.3 and 12.6 V."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "AUDIO")
    for key in ("ECC83", "EL84", "GZ34"):
        stores.new_part(shop, key, kind="valve")
    stores.new_part(shop, "R-4K7", kind="resistor")
    lists.add_line(shop, "AUDIO", "ECC83", refs="V1 V2")
    lists.add_line(shop, "AUDIO", "EL84", refs="V3 V4")
    lists.add_line(shop, "AUDIO", "GZ34", refs="V5")
    lists.add_line(shop, "AUDIO", "R-4K7", refs="R1")
    for code, volts in (("H6", "6.3 V"), ("H12", "12.6 V")):
        supply.add_supply(shop, "CURLEW", NewSupply(code, "winding", volts=volts, limit="4 A"))
    return shop


def offered(shop: Workshop, code: str) -> list[tuple[str, str, int]]:
    """Name, draws and current of each that is offered."""
    row = next(row for row in budget(shop).rows if row.code == code)
    return [(one.name, one.draws, one.current_ua) for one in row.offered]


def test_heaters_that_go_with_the_voltage_are_offered_in_parallel_or_in_series(audio: Workshop) -> None:
    # Data sheets: ECC83 0.3 A at 6.3 V and 0.15 A at 12.6 V, EL84 0.76 A at 6.3 V only, so that two go in series.
    assert offered(audio, "H6") == [
        ("ECC83 heater", "2 x heater ECC83", 300_000),
        ("EL84 heater", "2 x heater EL84", 760_000),
    ]
    assert offered(audio, "H12") == [
        ("ECC83 heater", "2 x heater ECC83", 150_000),
        ("EL84 heater", "heater EL84+EL84", 760_000),
    ]


def test_one_that_is_written_down_is_not_offered_again(audio: Workshop) -> None:
    row = next(row for row in budget(audio).rows if row.code == "H6")
    first = row.offered[0]
    assert first.said == "ECC83 heater, V1, V2 of CURLEW/AUDIO: 2 x 0.3 A, by the table of heaters"
    supply.add_load(audio, "H6", NewLoad(first.name, draws=first.draws, assembly=first.assembly, option=first.option))
    assert [name for name, *_ in offered(audio, "H6")] == ["EL84 heater"]
    assert [name for name, *_ in offered(audio, "H12")] == ["EL84 heater"]
    assert next(row for row in budget(audio).rows if row.code == "H6").load_micro == 600_000


def test_valves_of_another_project_and_cores_are_left_alone(audio: Workshop) -> None:
    boards.new_project(audio, "WREN")
    supply.add_supply(audio, "WREN", NewSupply("BAT", "rail", volts="6.3 V"))
    supply.add_supply(audio, "CURLEW", NewSupply("T", "core", limit="60 VA"))
    assert offered(audio, "BAT") == offered(audio, "T") == []
