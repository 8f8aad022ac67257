"""Questions go out as a sheet and come back with answers; what was answered once is not asked again."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, stores
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput
from buildbook.exchange.boards import Prepared, apply, prepare
from buildbook.exchange.gathering import Asked
from buildbook.exchange.questions import Question, read_answers, write_questions
from buildbook.trade.plain import clean


@pytest.fixture
def curlew(shop: Workshop, tmp_path: Path) -> Workshop:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    stores.new_part(shop, "R-4K7", kind="resistor", value="4k7 1% 0.6W", package="0207")
    (tmp_path / "if.csv").write_text("Ref,Value,Package\nR1,4k7 1W,0207\nR2,4k7 1W,0207\nU1,TL072,DIL8\nTP1,Pad,\n")
    return shop


def plan_of(shop: Workshop, tmp_path: Path, **answers: str) -> Prepared:
    named = {"resistor": "4k7 1W | 0207 | resistor", "amp": "TL072 | DIL8", "pad": "Pad"}
    return prepare(shop, tmp_path / "if.csv", "CURLEW", Asked(answers={named[k]: v for k, v in answers.items()}))


def fill_in(path: Path, **answers: str) -> None:
    """Fill in the column `answer` as a person does, by the description."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["answer"] = answers.get(row["asked"].split(" ")[0], row["answer"])
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, rows[0])
        out.writeheader()
        out.writerows(rows)


def test_written_filled_in_and_read(curlew: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    write_questions(path, plan_of(curlew, tmp_path).plan.questions, {})
    with path.open(encoding="utf-8", newline="") as file:
        assert list(csv.reader(file)) == [
            ["asked", "rows", "candidates", "answer"],
            ["4k7 1W | 0207 | resistor", "2, 3", "R-4K7 (rated 0.6 W, 1 W wanted)", ""],
            ["TL072 | DIL8", "4", "none known", ""],
            ["Pad", "5", "none known", ""],
        ]
    fill_in(path, **{"4k7": "r-4k7", "TL072": "NEW", "Pad": "Skip"})
    prepared = prepare(curlew, tmp_path / "if.csv", "CURLEW", Asked(answers=read_answers(path)))
    assert [row.what for row in prepared.plan.rows] == [
        *("R-4K7 as answered", "R-4K7 as answered", "new part TL072", "skip")
    ]
    assert apply(curlew, prepared) == (
        "Took if.csv into CURLEW: 2 lines added, 0 gone, 0 changed, 0 the same, 1 new part, 1 row skipped."
    )


def test_what_was_answered_is_not_asked_again(curlew: Workshop, tmp_path: Path) -> None:
    apply(curlew, plan_of(curlew, tmp_path, resistor="R-4K7", amp="new", pad="new"))
    again = plan_of(curlew, tmp_path)
    assert (again.plan.questions, len(again.difference.same)) == ((), 3)
    # In the list of another board as well, and with another key of its own in front.
    boards.new_assembly(curlew, "CURLEW", "AUDIO", "Audio board")
    other = tmp_path / "audio.csv"
    other.write_text("Package;Value;Designator\n0207;4k7 1W;R17\n")
    assert prepare(curlew, other, "CURLEW/AUDIO").plan.rows[0].what == "R-4K7 by another name"


def test_a_description_with_a_foreign_number_is_remembered_too(curlew: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "if.csv"
    path.write_text("Ref,Part No,Value\nR1,X-99,4k7 1W\n")
    (question,) = prepare(curlew, path, "CURLEW").plan.questions
    apply(curlew, prepare(curlew, path, "CURLEW", Asked(answers={question.asked: "R-4K7"})))
    assert prepare(curlew, path, "CURLEW").plan.questions == ()


def test_an_answer_for_one_kind_is_none_for_another(curlew: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "if.csv"
    path.write_text("Ref,Value\nR1,100\n")
    apply(curlew, prepare(curlew, path, "CURLEW", Asked(answers={"100 | resistor": "R-4K7"})))
    path.write_text("Ref,Value\nR1,100\nC1,100\n")
    assert [question.asked for question in prepare(curlew, path, "CURLEW").plan.questions] == ["100 | capacitor"]


def test_answers_given_stay_when_more_is_asked(curlew: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    answers = {"TL072 | DIL8": "new"}
    prepared = prepare(curlew, tmp_path / "if.csv", "CURLEW", Asked(answers=answers))
    write_questions(path, prepared.plan.questions, answers)
    assert read_answers(path) == answers
    assert "Pad" in path.read_text()


def test_a_wrong_key_is_told_in_one_breath(curlew: Workshop, tmp_path: Path) -> None:
    with pytest.raises(BadInput) as refused:
        plan_of(curlew, tmp_path, resistor="R-47K")
    assert str(refused.value) == (
        "The answers were not taken. There is no part “R-47K”, the answer to “4k7 1W | 0207 | resistor” of row 2."
        " Answer with the key of a part, or new, or skip."
    )


def test_two_answers_to_one_question_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "answers.csv"
    path.write_text("asked,answer\n4k7,R-1\n10k,\n4k7,R-2\n")
    with pytest.raises(BadInput, match=r"Row 4 answers “4k7” otherwise than an earlier row."):
        read_answers(path)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(asked=st.text(min_size=1, max_size=40).map(clean).filter(bool), answer=st.text(min_size=1).map(clean))
def test_any_question_comes_back_as_it_was(tmp_path: Path, asked: str, answer: str) -> None:
    path = tmp_path / "hostile.csv"
    write_questions(path, [Question(asked, (2,), (), "")], {f"{asked}!": answer})
    assert read_answers(path) == ({f"{asked}!": answer} if answer else {})
