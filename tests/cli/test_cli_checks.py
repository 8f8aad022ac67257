"""The Checks on the command line."""

from __future__ import annotations

from collections.abc import Callable

from typer.testing import Result

from buildbook.actions import boards, checks
from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


def test_questions_stand_with_their_candidate_answers(say: Say, curlew: Workshop) -> None:
    lines = say("checks").stdout.splitlines()
    assert lines[0] == "1 question open."
    question = next(index for index, line in enumerate(lines) if "CURLEW/RECT" in line)
    assert lines[question].split() == ["open", "CURLEW/RECT", "Which", "rectifier?"]
    assert lines[question + 1].split() == ["VALVE", "Valve"]
    assert lines[question + 2].split() == ["SIL", "Silicon", "diodes"]
    assert "local codes decide" in lines[-1]


def test_a_question_is_asked_settled_shelved_and_reopened(say: Say, curlew: Workshop) -> None:
    asked = say("checks", "ask", "curlew/readout", "Digital readout?", "--option", "YES=Yes", "--option", "NO=No")
    assert asked.stdout == "CURLEW/READOUT is open, with 2 candidate answers.\n"
    assert say("checks", "settle", "RECT", "sil", "--reason", "Less heat").stdout == "Chosen for CURLEW: RECT:SIL.\n"
    assert say("checks", "shelve", "readout", "--reason", "The date").stdout == "Shelved: CURLEW/READOUT.\n"
    lines = say("checks").stdout.splitlines()
    assert lines[0] == "No questions open, 1 chosen, 1 shelved."
    assert any(line.split()[:2] == ["chosen", "SIL"] for line in lines)
    assert any("Less heat" in line for line in lines)
    assert say("checks", "reopen", "CURLEW/RECT", "--reason", "Valves came").stdout == "Open again: CURLEW/RECT.\n"


def test_a_choice_needs_a_reason(say: Say, curlew: Workshop) -> None:
    assert "--reason" in say("checks", "settle", "RECT", "SIL", code=2).stderr
    say("checks", "settle", "RECT", "SIL", "--reason", "  ", code=3)


def test_wrong_questions_are_told(say: Say, curlew: Workshop) -> None:
    assert "CURLEW/RECT" in say("checks", "shelve", "RACT", "--reason", "x", code=2).stderr
    assert "PROJECT/CODE" in say("checks", "ask", "X", "Why?", "--option", "A=a", "--option", "B=b", code=2).stderr
    twice = say("checks", "ask", "CURLEW/X", "Why?", "--option", "A=a", "--option", "A=b", code=2)
    assert "same code" in twice.stderr
    boards.new_project(curlew, "LINNET")
    checks.ask(curlew, "LINNET", "RECT", "Which rectifier?", {"A": "One", "B": "Other"})
    assert "LINNET/RECT" in say("checks", "shelve", "RECT", "--reason", "x", code=2).stderr


def test_only_the_questions_of_a_build(say: Say, curlew: Workshop) -> None:
    boards.new_project(curlew, "LINNET")
    checks.ask(curlew, "LINNET", "METER", "Which meter?", {"A": "One", "B": "Other"})
    told = say("checks", "--build", "LINNET").stdout
    assert "LINNET/METER" in told
    assert "CURLEW/RECT" not in told
