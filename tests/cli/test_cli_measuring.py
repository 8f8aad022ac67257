"""Test sheets, readings and snags on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from buildbook.actions import boards
from buildbook.actions.workshop import Workshop
from buildbook.cli import checks_sheets
from buildbook.cli.main import app

Say = Callable[..., Result]


def told(result: Result) -> Any:
    """An answer as JSON."""
    return json.loads(result.stdout)


@pytest.fixture
def sheet(say: Say, curlew: Workshop) -> Workshop:
    """Three points on the case."""
    say("checks", "point-new", "CASE", "PE", "max 0.1 ohm", "--name", "inlet to case", "--caution", "Unplugged.")
    say("checks", "point-new", "CASE", "INS", "min 1M", "--unit", "ohm", "--name", "insulation")
    say("checks", "point-new", "CURLEW/PANEL", "VK1", "1.6-2.2 V")
    return curlew


def test_a_sheet_says_what_is_to_be_read_and_how_it_stands(say: Say, sheet: Workshop) -> None:
    assert say("checks", "read", "PE", "0.12").stdout == "CURLEW/CASE/PE: 0.12 Ω, 0.02 Ω above 0.1 Ω.\n"
    assert say("checks", "read", "CASE/INS", ">200M").stdout == "CURLEW/CASE/INS: over 200 MΩ, within limits.\n"
    lines = say("checks", "sheet").stdout.splitlines()
    assert lines[0] == "2 of 3 points read, 1 out of limits."
    assert [line.split()[:2] for line in lines[3:]] == [
        ["out", "CURLEW/CASE/PE"],
        ["within", "CURLEW/CASE/INS"],
        ["to", "read"],
    ]
    assert say("checks", "sheet", "PANEL").stdout.splitlines()[0] == "0 of 1 point read."
    answer = told(say("checks", "sheet", "case", "--json"))
    assert (answer["schema"], answer["rows"][0]["off"]) == ("buildbook.sheet/1", 0.02)


def test_checks_says_how_it_all_stands(say: Say, sheet: Workshop) -> None:
    say("checks", "read", "PE", "0.12")
    say("log", "snag", "Earth reads high", "--about", "CASE/PE")
    lines = say("checks").stdout.splitlines()
    assert lines[0] == "1 question open; 1 snag open; 1 of 3 points read, 1 out of limits."
    assert "Test sheets" in lines
    snag = lines[lines.index("Open snags") + 2]
    assert snag.split() == ["CURLEW/1", "Earth", "reads", "high", "CURLEW/CASE", "0"]
    answer = told(say("checks", "--json"))
    assert answer["snags"][0]["reading"] == "PE: 0.12 Ω, 0.02 Ω above 0.1 Ω"


def test_a_reading_as_json_is_the_point_as_it_stands(say: Say, sheet: Workshop) -> None:
    answer = told(say("checks", "read", "VK1", "2,31 V", "--note", "warm", "--json"))
    row = answer["rows"][0]
    assert (row["state"], row["value"], row["text"], row["note"]) == ("out", 2.31, "2,31 V", "warm")


def test_what_cannot_be_read_is_told(say: Say, sheet: Workshop) -> None:
    assert "is not in V" in say("checks", "read", "VK1", "2 mA", code=2).stderr
    assert "Did you mean CURLEW/PANEL/VK1" in say("checks", "read", "VK2", "2", code=2).stderr
    assert "a unit that it makes" in say("checks", "read", "VK1", "2", "--number", "2", code=2).stderr
    assert "No value was given" in say("checks", "read", "VK1", code=2).stderr
    assert "No value was given" in say("checks", "read", code=2).stderr


def ask_at_terminal(monkeypatch: pytest.MonkeyPatch, db: str, words: list[str], typed: str) -> Result:
    """What is said to somebody at a terminal who types these lines."""
    monkeypatch.setattr(checks_sheets, "at_terminal", lambda: True)
    return CliRunner().invoke(app, words, env={"BUILDBOOK_DB": db}, input=typed)


def test_readings_are_asked_for_one_after_the_other(say: Say, sheet: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    typed = "0.05\nmuch\n>200M\n2.31\n"
    result = ask_at_terminal(monkeypatch, str(sheet.path), ["checks", "read"], typed)
    assert result.exit_code == 0, result.output
    assert "CURLEW/CASE/PE: 0.05 Ω, within limits." in result.stdout
    assert "Unplugged." in result.stdout
    assert "“much” is no amount" in result.stdout
    assert "CURLEW/PANEL/VK1: 2.31 V, 0.11 V above 2.2 V." in result.stdout
    assert told(say("checks", "sheet", "--json"))["sentence"] == "3 of 3 points read, 1 out of limits."
    assert "Nothing is to be read." in ask_at_terminal(monkeypatch, str(sheet.path), ["checks", "read"], "").stdout


def test_asking_begins_where_it_is_told_and_ends_with_a_full_stop(
    say: Say, sheet: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    say("checks", "read", "INS", "2M")
    ask_at_terminal(monkeypatch, str(sheet.path), ["checks", "read", "INS"], "3M\n\n")
    rows = told(say("checks", "sheet", "--json"))["rows"]
    assert [(row["code"], row["text"]) for row in rows] == [("PE", ""), ("INS", "3M"), ("VK1", "")]
    ask_at_terminal(monkeypatch, str(sheet.path), ["checks", "read"], ".\n")
    assert told(say("checks", "sheet", "--json"))["rows"] == rows


def test_points_are_changed_dropped_and_hold_steps(say: Say, sheet: Workshop) -> None:
    changed = say("checks", "point-change", "VK1", "--limits", "1.6-2.4 V", "--code", "VK2").stdout
    assert changed == "Changed: CURLEW/PANEL/VK2.\n"
    held = say("checks", "point-hold", "VK2", "Cut meter opening").stdout
    assert held == "Cut meter opening is held until CURLEW/PANEL/VK2 has been read and keeps its limits.\n"
    assert "VK2 not taken" in say("bench").stdout
    say("checks", "read", "VK2", "2.31")
    assert "VK2" not in say("bench").stdout
    assert "stays on record" in say("checks", "point-drop", "VK2", code=3).stderr
    say("checks", "point-free", "VK2", "Cut meter opening")
    assert say("checks", "point-drop", "INS").stdout == "Taken off the test sheet.\n"
    say("workshop", "undo")
    assert "INS" in say("checks", "sheet").stdout


def test_a_snag_from_the_first_sign_to_its_cause(say: Say, sheet: Workshop) -> None:
    assert say("log", "snag", "It hums", "--about", "CASE").stdout == "Snag CURLEW/1 is open.\n"
    assert say("log", "try", "1", "Earthed the lid", "--showed", "Silent").stdout == "Tried at snag CURLEW/1.\n"
    answer = told(say("log", "snag-close", "1", "--cause", "Lacquer under the screw", "--json"))
    assert (answer["schema"], answer["rows"][0]["state"]) == ("buildbook.snags/1", "closed")
    assert say("log", "snag-reopen", "1", "--reason", "Hums again").stdout == "Snag CURLEW/1 is open again.\n"
    lines = say("log", "snags").stdout.splitlines()
    assert lines[0] == "1 snag open."
    assert any("Earthed the lid" in line and "Silent" in line for line in lines)
    kinds = [row["kind"] for row in told(say("log", "--json"))["rows"]]
    assert kinds[:4] == ["try", "action", "try", "snag"]
    assert "--cause" in say("log", "snag-close", "1", code=2).stderr
    assert "no snag 5" in say("log", "try", "5", "x", code=2).stderr


def test_the_build_is_named_where_there_are_several(say: Say, sheet: Workshop) -> None:
    boards.new_project(sheet, "WREN")
    assert "--build" in say("log", "snag", "It hums", code=2).stderr
    say("log", "snag", "It hums", "--build", "WREN")
    assert say("log", "snags", "--build", "CURLEW").stdout == "No snag has been written down yet.\n"
    # A point that only one build has needs no build named.
    assert say("checks", "read", "VK1", "2").stdout == "CURLEW/PANEL/VK1: 2 V, within limits.\n"
