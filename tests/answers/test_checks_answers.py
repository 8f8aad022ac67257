"""What the Checks answer: the questions of the design, their candidate answers and the reasons."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, checks, lists, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.checks import checks as answer_of
from buildbook.answers.checks import find_question
from buildbook.errors import BadInput


@pytest.fixture
def asked(shop: Workshop) -> Workshop:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_project(shop, "LINNET", "Linnet bench supply")
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "Valve", "SIL": "Silicon"})
    checks.ask(shop, "CURLEW", "READOUT", "Digital readout?", {"YES": "Yes", "NO": "No"})
    checks.ask(shop, "LINNET", "METER", "Which meter?", {"COIL": "Moving coil", "LED": "Digits"})
    return shop


def test_open_questions_come_first(asked: Workshop) -> None:
    checks.settle(asked, "CURLEW", "RECT", "SIL", "A valve would load the winding to 97 %")
    checks.shelve(asked, "LINNET", "METER", "The meter is not here yet")
    answer = answer_of(asked)
    assert answer.sentence == "1 question open, 1 chosen, 1 shelved."
    assert [(row.code, row.state) for row in answer.rows] == [
        ("READOUT", "open"),
        ("RECT", "chosen"),
        ("METER", "shelved"),
    ]
    assert answer.rows[1].reason == "A valve would load the winding to 97 %"
    assert [(one.code, one.chosen) for one in answer.rows[1].options] == [("VALVE", False), ("SIL", True)]
    assert not any(one.chosen for one in answer.rows[2].options)
    assert "local codes decide" in answer.beyond


def test_an_answer_says_what_it_brings_along(asked: Workshop) -> None:
    stores.new_part(asked, "EZ80", kind="valve")
    lists.add_line(asked, "CURLEW/CURLEW", "EZ80", refs="V1", option="RECT:VALVE")
    valve = answer_of(asked).rows[0].options[0]
    assert (valve.code, valve.lines, valve.assemblies) == ("VALVE", 1, 0)


def test_only_the_questions_of_one_build(asked: Workshop) -> None:
    assert [row.code for row in answer_of(asked, "LINNET").rows] == ["METER"]
    with pytest.raises(BadInput, match="WREN"):
        answer_of(asked, "WREN")


def test_nothing_asked(shop: Workshop) -> None:
    assert answer_of(shop).sentence == "No question has been asked yet."


def test_a_question_is_found_by_its_code_or_its_full_name(asked: Workshop) -> None:
    assert find_question(asked, "rect") == ("CURLEW", "RECT")
    assert find_question(asked, "linnet/meter") == ("LINNET", "METER")
    checks.ask(asked, "LINNET", "RECT", "Which rectifier?", {"A": "One", "B": "Other"})
    with pytest.raises(BadInput, match="CURLEW/RECT and LINNET/RECT"):
        find_question(asked, "RECT")
    assert find_question(asked, "LINNET/RECT") == ("LINNET", "RECT")
    with pytest.raises(BadInput, match="LINNET/METER"):
        find_question(asked, "FUSE")


def test_a_question_where_none_was_asked(shop: Workshop) -> None:
    with pytest.raises(BadInput, match="checks ask"):
        find_question(shop, "RECT")
