"""Switches and relays on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from typer.testing import Result

from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


@pytest.fixture
def switched(say: Say, curlew: Workshop) -> Workshop:
    """A switch of two poles with one function, and another that comes with an answer."""
    ways = ("2P6T", "--name", "tone switch", "--amps", "0.3 A", "--volts", "150 V")
    assert say("checks", "contacts-new", "CURLEW/TONE", *ways).stdout == "Written down: CURLEW/TONE.\n"
    given = ("--ways", "SP6T", "--amps", "2 mA", "--volts", "20 V", "--assembly", "PANEL", "--pole", "2")
    assert say("checks", "contacts-use", "TONE", "capacitors", *given).stdout == "capacitors rides on CURLEW/TONE.\n"
    say("checks", "contacts-use", "TONE", "lamps", "--ways", "DP3T", "--option", "RECT:VALVE")
    return curlew


def test_the_contacts_say_what_each_answer_would_bring(say: Say, switched: Workshop) -> None:
    lines = say("checks", "contacts").stdout.splitlines()
    assert lines[0].startswith("1 switch: 1 with poles to spare, TONE over with RECT:VALVE")
    assert any("with RECT:VALVE: DP6T: 1 of 2 poles taken, 1 to spare; 1 pole too few" in row for row in lines)
    assert not any("capacitors" in row for row in lines)
    full = say("checks", "contacts", "--full").stdout.splitlines()
    said = "fits capacitors SP6T on pole 2; 2 mA of 0.3 A; 20 V of 150 V"
    assert said in [" ".join(row.split()) for row in full]
    assert any(row.split() == ["free", "pole", "1"] for row in full)
    assert "Contacts" in say("checks").stdout


def test_the_contacts_as_json(say: Say, switched: Workshop) -> None:
    answer = json.loads(say("checks", "contacts", "--json").stdout)
    assert answer["schema"] == "buildbook.contacts/1"
    row = answer["rows"][0]
    assert (row["poles"], row["throws"], row["spare_poles"], row["limit_ua"]) == (2, 6, 1, 300_000)
    assert row["by_pole"][1] == {"pole": 2, "use": "capacitors", "throws": 6, "spare_throws": 0}
    assert json.loads(say("checks", "--json").stdout)["contacts"][0] == row


def test_they_are_changed_and_dropped(say: Say, switched: Workshop) -> None:
    assert say("checks", "contacts-change", "TONE", "--ways", "SPDT").stdout == "Changed: CURLEW/TONE.\n"
    assert "capacitors does not fit: too few throws" in say("checks", "contacts").stdout
    given = ("--ways", "SPDT", "--pole", "-", "--rename", "tone", "--amps", "0.4 A")
    assert say("checks", "contacts-use-change", "TONE", "capacitors", *given).stdout == "Changed: tone.\n"
    assert "tone: 0.4 A of 0.3 A: over the limit by 0.1 A" in say("checks", "contacts").stdout
    assert say("checks", "contacts-use-drop", "TONE", "tone").stdout == "Taken off.\n"
    assert say("checks", "contacts-drop", "TONE").stdout == "Taken away.\n"
    assert say("checks", "contacts").stdout == "No contacts yet.\n"
    say("workshop", "undo")
    assert "TONE" in say("checks", "contacts").stdout


def test_what_is_wrong_is_one_sentence(say: Say, switched: Workshop) -> None:
    assert "PROJECT/CODE" in say("checks", "contacts-new", "TONE", "SPST", code=2).stderr
    assert "4 poles 3 throws" in say("checks", "contacts-new", "CURLEW/X", "some", code=2).stderr
    assert "below zero" in say("checks", "contacts-use", "TONE", "x", "--amps=-1 A", code=2).stderr
