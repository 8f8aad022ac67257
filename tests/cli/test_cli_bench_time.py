"""What is planned, on the command line: hours, tonight, the finish date, the calendar."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from buildbook.actions import boards, checklists, checks
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]
WEEK = "tue 19:30-22:00, sat 10:00-16:00"


def test_hours_are_set_and_said(say: Say, curlew: Workshop) -> None:
    assert say("bench", "hours").stdout.startswith("No bench hours are set: reckoned with tue 19:30-22:00")
    said = say("bench", "hours", WEEK, "--zone", "Europe/Berlin", "--except", "2099-12-24: none").stdout
    assert said.startswith(f"At the bench {WEEK}, other than that on 1 date (Europe/Berlin). The next session: ")
    assert said.splitlines()[-1] == "2099-12-24: none"
    told = json.loads(say("bench", "hours", "--json").stdout)
    assert told["schema"] == "buildbook.bench-hours/1"
    assert (told["hours"], told["exceptions"], told["zone"]) == (WEEK, ["2099-12-24: none"], "Europe/Berlin")
    assert say("workshop", "undo").exit_code == 0
    assert "No bench hours are set" in say("bench", "hours").stdout


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["sat 10:00-25:00"], "no such time"),
        (["sat none"], "no hours"),
        (["sat 10:00-12:00", "--zone", "Nowhere"], "no time zone"),
        (["--except", "2026-12-24: none"], "No hours of the week"),
    ],
)
def test_hours_that_cannot_be_are_told_in_a_sentence(say: Say, curlew: Workshop, words: list[str], why: str) -> None:
    assert why in say("bench", "hours", *words, code=2).stderr


def test_tonight_names_the_steps_with_their_reasons(say: Say, curlew: Workshop) -> None:
    lines = say("bench", "tonight", "2h").stdout.splitlines()
    assert "4 steps, 1 h 35 min of 2 h" in lines[0]
    assert lines[2].split()[:4] == ["from", "step", "work", "takes"]
    prime = next(line for line in lines if "Prime inside and out" in line)
    assert "one-way; Air the room; no flames near solvents." in prime
    assert "No bench hours are set" in lines[-1]
    told = json.loads(say("bench", "tonight", "2h", "--json").stdout)
    assert told["schema"] == "buildbook.tonight/1"
    assert [row["name"] for row in told["rows"]][:2] != []
    assert told["gap"] is None


def test_what_must_wait_is_named_with_what_would_release_it(say: Say, curlew: Workshop) -> None:
    checklists.add_step(curlew, "CURLEW", NewStep("Wire the rectifier", 40, questions=("RECT",)))
    said = say("bench", "tonight", "20min").stdout
    assert "Not tonight:" in said
    assert "question CURLEW/RECT  Settle the question CURLEW/RECT." in said
    checks.settle(curlew, "CURLEW", "RECT", "SIL", "In the drawer.")
    assert "Not tonight:" not in say("bench", "tonight", "20min").stdout


def test_a_better_plan_says_how_good_it_is(say: Say, curlew: Workshop) -> None:
    assert "The plan behind it is the best there is." in say("bench", "tonight", "--improve", "1").stdout


def test_the_finish_date_has_its_chain_and_what_it_rests_on(say: Say, curlew: Workshop) -> None:
    lines = say("bench", "finish-date").stdout.splitlines()
    assert lines[0].startswith("CURLEW is likely finished by ")
    assert "for the target of 24 Dec 2026." in lines[0]
    assert "The chain that sets the finish:" in lines
    assert "No minutes were noted yet, so that each step is thought to take what was estimated." in lines
    told = json.loads(say("bench", "finish-date", "--json").stdout)
    assert told["schema"] == "buildbook.finish-date/1"
    assert len(told["curve"]) == 101
    assert len(told["rows"]) == told["steps_left"] == 4
    assert "Every step left:" in say("bench", "finish-date", "--all").stdout


def test_a_finish_date_needs_a_build_where_there_are_several(say: Say, curlew: Workshop) -> None:
    boards.new_build(curlew, "SECOND", "CURLEW/CURLEW")
    assert "CURLEW, SECOND" in say("bench", "finish-date", code=2).stderr
    assert say("bench", "finish-date", "--build", "second").stdout.startswith("SECOND is likely finished")


def test_the_calendar_is_written_whole_or_not_at_all(say: Say, curlew: Workshop, tmp_path: Path) -> None:
    target = tmp_path / "bench.ics"
    said = say("bench", "calendar", "--out", str(target)).stdout
    assert said.splitlines()[0].endswith("in the next 8 weeks.")
    assert f"entries written to {target}." in said
    text = target.read_bytes().decode()
    assert text.startswith("BEGIN:VCALENDAR\r\n")
    assert text.endswith("END:VCALENDAR\r\n")
    assert "Deburr the holes" in text
    assert say("bench", "calendar", "--out", str(tmp_path / "no" / "bench.ics"), code=2).stderr
    assert "session" in say("bench", "calendar", "--weeks", "1").stdout
    assert "1 to 520" in say("bench", "calendar", "--weeks", "0", code=2).stderr


def test_times_that_are_none_are_told(say: Say, curlew: Workshop) -> None:
    assert say("bench", "tonight", "soon", code=2).stderr
    assert "24 hours" in say("bench", "tonight", "30h", code=2).stderr
