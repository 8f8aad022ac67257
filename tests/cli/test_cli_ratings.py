"""Parts against their ratings on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from typer.testing import Result

from buildbook.actions import boards, lists, stores
from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


@pytest.fixture
def board(curlew: Workshop) -> Workshop:
    """A board with a capacitor of 450 V and a resistor of 1 W."""
    boards.new_assembly(curlew, "CURLEW", "HT", "HT board")
    stores.new_part(curlew, "C-33U", kind="capacitor", value="33u 450V", name="Capacitor, electrolytic")
    stores.new_part(curlew, "R-4K7", kind="resistor", value="4k7 1W")
    lists.add_line(curlew, "HT", "C-33U", refs="C1")
    lists.add_line(curlew, "HT", "R-4K7", refs="R1")
    return curlew


def test_what_is_out_comes_first_and_the_rest_is_counted(say: Say, board: Workshop) -> None:
    assert say("checks", "ratings").stdout.startswith("Of 2 lines, none says what its parts bear.")
    assert say("checks", "bears", "HT/C1", "300V").stdout == "CURLEW/HT/C1 bears 300 V DC.\n"
    assert say("checks", "bears", "HT/R1", "12mA", "--note", "HT2").stdout == "CURLEW/HT/R1 bears 12 mA.\n"
    told = say("checks", "ratings").stdout
    assert told.splitlines()[0] == "Parts against their ratings: 1 too tight, 1 fit."
    assert "CURLEW/HT R1" in told
    assert "CURLEW/HT C1" not in told
    assert "1 too tight, 1 fit" in told.splitlines()[4]
    assert "local codes and licensed practice decide" in told
    full = say("checks", "ratings", "HT", "--all").stdout
    assert "300 V DC of 450 V DC, 67 %: fits" in full
    assert "HT2" in full
    assert "Parts against their ratings" in say("checks").stdout


def test_the_ratings_as_json(say: Say, board: Workshop) -> None:
    say("checks", "bears", "HT/C1", "400V")
    answer = json.loads(say("checks", "ratings", "--json").stdout)
    assert answer["schema"] == "buildbook.ratings/1"
    (row,) = answer["rows"]
    assert (row["state"], row["percent"], row["bears"], row["made_for"]) == (
        "too tight",
        89,
        ["400 V DC"],
        ["450 V DC"],
    )
    assert row["weighed"][0]["wants_micro"] == 500_000_000
    assert json.loads(say("checks", "--json").stdout)["ratings"] == [row]


def test_it_is_taken_back(say: Say, board: Workshop) -> None:
    say("checks", "bears", "HT/C1", "300V", "5V AC")
    assert say("checks", "rated", "C-33U", "350V").stdout == "C-33U is made for 350 V DC.\n"
    assert "86 %" in say("checks", "ratings").stdout
    assert say("checks", "rated-drop", "C-33U").stdout == "Taken back: what C-33U is made for.\n"
    assert "not known" in say("checks", "ratings").stdout
    assert say("checks", "bears-drop", "HT/C1", "ac volts").stdout == "Taken back: what CURLEW/HT/C1 bears.\n"
    assert "1 fit" in say("checks", "ratings").stdout
    say("workshop", "undo")
    assert "not known" in say("checks", "ratings").stdout


def test_a_setting_changes_the_verdict(say: Say, board: Workshop) -> None:
    say("checks", "bears", "HT/C1", "345V")
    assert "1 fit" in say("checks", "ratings").stdout
    say("workshop", "settings", "derating_electrolytic", "70%")
    assert "1 too tight" in say("checks", "ratings").stdout


def test_what_is_wrong_is_one_sentence(say: Say, board: Workshop) -> None:
    assert "volts, amps or watts" in say("checks", "bears", "HT/C1", "300", code=2).stderr
    assert "There is no line" in say("checks", "bears", "HT/C7", "300V", code=2).stderr
    assert "There is no part" in say("checks", "rated", "C-34U", "300V", code=2).stderr
    assert "Nothing was taken back" in say("checks", "rated-drop", "C-33U", code=2).stderr
    assert "There is no assembly" in say("checks", "ratings", "HX9", code=2).stderr
