"""Design questions from asking to settling."""

from __future__ import annotations

import pytest

from buildbook.actions import checks
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden


def question(shop: Workshop) -> tuple[str, str, list[str]]:
    state, reason = shop.reads.execute("SELECT state, reason FROM choice").fetchone()
    chosen = shop.reads.execute("SELECT code FROM choice_option WHERE chosen = 1").fetchall()
    return state, reason, [code for (code,) in chosen]


def test_a_question_is_asked_settled_otherwise_reopened_and_shelved(curlew: Workshop) -> None:
    assert question(curlew) == ("open", "", [])
    assert checks.settle(curlew, "curlew", "rect", "valve", "It looks the part.") == "RECT:VALVE"
    assert question(curlew) == ("chosen", "It looks the part.", ["VALVE"])
    checks.settle(curlew, "CURLEW", "RECT", "SILICON", "The winding stays at 61 %.")
    assert question(curlew) == ("chosen", "The winding stays at 61 %.", ["SILICON"])
    checks.reopen(curlew, "CURLEW", "RECT", "A bigger transformer came.")
    assert question(curlew) == ("open", "A bigger transformer came.", [])
    checks.settle(curlew, "CURLEW", "RECT", "VALVE", "Now it fits.")
    checks.shelve(curlew, "CURLEW", "RECT", "Next year.")
    assert question(curlew) == ("shelved", "Next year.", [])


def test_without_a_reason_nothing_is_decided(curlew: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"A choice needs a reason."):
        checks.settle(curlew, "CURLEW", "RECT", "VALVE", " ")
    with pytest.raises(Forbidden, match=r"Putting a question off needs a reason."):
        checks.shelve(curlew, "CURLEW", "RECT", "")
    with pytest.raises(Forbidden, match=r"Opening a question again needs a reason."):
        checks.reopen(curlew, "CURLEW", "RECT", "\x1b[0m")
    assert question(curlew) == ("open", "", [])


def test_what_was_not_asked_is_not_settled(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no question RECTO. Did you mean RECT\?"):
        checks.settle(curlew, "CURLEW", "RECTO", "VALVE", "So.")
    with pytest.raises(BadInput, match=r"There is no option RECT:VALVES. Did you mean RECT:VALVE\?"):
        checks.settle(curlew, "CURLEW", "RECT", "VALVES", "So.")
    with pytest.raises(BadInput, match=r"There is no question DIAL."):
        checks.shelve(curlew, "CURLEW", "DIAL", "So.")


def test_a_question_has_a_code_of_its_own_and_two_answers(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"RECT was not asked. There is a question of that code."):
        checks.ask(curlew, "CURLEW", "rect", "Again?", {"A": "", "B": ""})
    for answers in ({"A": ""}, {"A": "", "a": ""}):
        with pytest.raises(BadInput, match=r"DIAL was not asked."):
            checks.ask(curlew, "CURLEW", "DIAL", "Which?", answers)
