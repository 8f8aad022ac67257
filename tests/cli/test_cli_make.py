"""A wanted value met from the drawers, on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from typer.testing import Result

from buildbook.actions import stores
from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


@pytest.fixture
def drawer(shop: Workshop) -> Workshop:
    """Two values of resistors."""
    stores.new_bin(shop, "A1")
    for key, value, qty in (("R-10K", "10k 1% 0.6W", 2), ("R-1K", "1k", 1)):
        stores.new_part(shop, key, kind="resistor", value=value)
        stores.receive(shop, key, "A1", qty)
    return shop


def test_each_way_stands_with_its_pieces_below(say: Say, drawer: Workshop) -> None:
    lines = say("checks", "make", "5k", "--most", "2", "--watts", "1").stdout.splitlines()
    assert lines[0] == "5 kΩ is made by R-10K and R-10K in parallel (5 kΩ, exact), free."
    pair = next(at for at, line in enumerate(lines) if line.startswith("parallel"))
    assert lines[pair].split() == ["parallel", "5", "kΩ", "exact", "-1", "to", "+1", "%", "0.71", "%"]
    assert lines[pair + 1].split() == ["R-10K", "50", "%,", "0.5", "W", "100", "%", "free"]
    assert any("states no W" in line for line in lines)


def test_as_json_it_has_the_same_sentence(say: Say, drawer: Workshop) -> None:
    told = json.loads(say("checks", "make", "5k", "--json").stdout)
    assert told["schema"] == "buildbook.make/1"
    assert told["rows"][-1]["parts"][0]["key"] in ("R-10K", "R-1K")
    assert told["sentence"] == say("checks", "make", "5k").stdout.splitlines()[0]


def test_it_says_so_when_nothing_comes_near(say: Say, drawer: Workshop) -> None:
    said = say("checks", "make", "7R5", "--tolerance", "1%").stdout
    assert said.startswith("Nothing in the drawers makes 7.5 Ω within 1 %; the nearest is ")


@pytest.mark.parametrize("words", [["bolt"], ["5k", "--most", "4"], ["5k", "--volts", "much"], ["5k", "--build", "NO"]])
def test_bad_input_ends_with_2_and_a_sentence(say: Say, drawer: Workshop, words: list[str]) -> None:
    assert say("checks", "make", *words, code=2).stderr.count("\n") == 1


def test_capacitors_share_energy_and_a_high_voltage_is_warned_of(say: Say, shop: Workshop) -> None:
    stores.new_bin(shop, "A1")
    stores.new_part(shop, "C-1U", kind="capacitor", value="1u 400V")
    stores.receive(shop, "C-1U", "A1", 2)
    said = say("checks", "make", "2uF", "--volts", "250").stdout
    assert "energy" in said
    assert "power" not in said
    assert "local codes" in said
