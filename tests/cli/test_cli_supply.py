"""The supply budget on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from typer.testing import Result

from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


@pytest.fixture
def fed(say: Say, curlew: Workshop) -> Workshop:
    """A heater winding with two valves, one of which comes with an answer."""
    winding = ("HTR", "winding", "--volts", "6.3 V", "--limit", "2.5 A", "--keep-free", "20%")
    assert say("checks", "supply-new", f"CURLEW/{winding[0]}", *winding[1:]).stdout == "Written down: CURLEW/HTR.\n"
    said = say("checks", "supply-load", "HTR", "valves", "--current", "1.824 A", "--assembly", "PANEL").stdout
    assert said == "valves draws on CURLEW/HTR.\n"
    say("checks", "supply-load", "HTR", "EZ80", "--heater", "EZ80", "--option", "RECT:VALVE")
    return curlew


def test_the_budget_says_what_each_answer_would_bring(say: Say, fed: Workshop) -> None:
    lines = say("checks", "supply").stdout.splitlines()
    assert lines[0].startswith("1 supply: 1 within the limit, HTR too tight with RECT:VALVE")
    assert any("with RECT:VALVE: 2.42 of 2.5 A, 97 %, 0.5 A to keep free: too tight by 0.424 A" in row for row in lines)
    assert not any("EZ80" in row for row in lines)
    full = say("checks", "supply", "--full").stdout
    assert any(row.split() == ["left", "out", "RECT:VALVE", "EZ80", "0.6", "A"] for row in full.splitlines())
    assert "Supplies" in say("checks").stdout


def test_the_budget_as_json(say: Say, fed: Workshop) -> None:
    answer = json.loads(say("checks", "supply", "--json").stdout)
    assert answer["schema"] == "buildbook.supply/1"
    row = answer["rows"][0]
    assert (row["load_micro"], row["limit_micro"], row["unit"], row["percent"]) == (1_824_000, 2_500_000, "A", 73)
    assert json.loads(say("checks", "--json").stdout)["supplies"][0] == row


def test_supplies_are_changed_and_dropped(say: Say, fed: Workshop) -> None:
    assert say("checks", "supply-change", "HTR", "--limit", "1.8 A").stdout == "Changed: CURLEW/HTR.\n"
    assert "over the limit by 24 mA" in say("checks", "supply").stdout.replace("0.024 A", "24 mA")
    say("checks", "supply-unload", "HTR", "ez80")
    say("checks", "supply-drop", "HTR")
    assert say("checks", "supply").stdout == "No supply yet.\n"
    say("workshop", "undo")
    assert "HTR" in say("checks", "supply").stdout


def test_what_is_wrong_is_one_sentence(say: Say, fed: Workshop) -> None:
    assert "PROJECT/CODE" in say("checks", "supply-new", "HTR", "winding", code=2).stderr
    assert "below zero" in say("checks", "supply-load", "HTR", "x", "--current=-1 A", code=2).stderr
    assert "does not feed a winding" in say("checks", "supply-change", "HTR", "--fed-by", "HTR", code=2).stderr


def test_a_load_is_changed_as_the_trade_writes_it(say: Say, fed: Workshop) -> None:
    say("checks", "supply-load", "HTR", "lamps", "2 x 50 mA, 25 %")
    assert say("checks", "supply-reload", "HTR", "valves", "1.6 A").stdout == "Changed: valves on CURLEW/HTR.\n"
    plain = say("checks", "supply", "--full").stdout
    assert "1.62 of 2.5 A" in plain
    assert "2 x 50 mA, on for 25 %" in plain.replace("0.05 A", "50 mA")
    assert "below zero" in say("checks", "supply-reload", "HTR", "valves", "--", "-1 A", code=2).stderr
    assert "no load" in say("checks", "supply-reload", "HTR", "PX9", "1 A", code=2).stderr


def test_a_reversed_fuse_window_is_refused(say: Say, fed: Workshop) -> None:
    assert "the lower one first" in say("workshop", "settings", "fuse_window", "2 to 1.5", code=2).stderr
    assert "1.25 to 3" in say("workshop", "settings", "fuse_window", "1.25 to 3").stdout
