"""Checks on the screen: questions settled, put off, opened again and asked; and what a value says."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import checks as actions
from buildbook.actions.workshop import Workshop
from buildbook.answers.checks import BEYOND, ChoiceRow, checks

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def question(shop: Workshop, code: str = "RECT") -> ChoiceRow:
    """A question of the Curlew as it stands."""
    return next(row for row in checks(shop).rows if row.code == code)


def chosen(shop: Workshop) -> list[str]:
    """The answer that is chosen, if one is."""
    return [one.code for one in question(shop).options if one.chosen]


def test_the_sentence_stands_first_and_what_is_not_kept_is_said_at_the_end(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5")
            assert checks(another, "CURLEW").sentence in seat.seen()
            assert BEYOND in flat(seat.seen())

    run(scene())


def test_a_choice_is_settled_in_three_keys_with_its_reason(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5")
            await seat.press("space", "enter")
            await seat.type("spares are at hand")
            await seat.press("enter")
            assert question(another).state == "chosen"
            assert chosen(another) == ["VALVE"]
            assert question(another).reason == "spares are at hand"
            assert "Chosen for CURLEW: RECT:VALVE." in seat.seen()

    run(scene())


def test_enter_on_an_answer_settles_for_that_one(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "enter", "down", "down", "down")
            assert "SIL" in seat.list.line.text
            await seat.press("enter")
            await seat.type("cooler")
            await seat.press("enter")
            assert chosen(another) == ["SIL"]
            assert "chosen because: cooler" in seat.seen()

    run(scene())


def test_a_reason_is_asked_for_until_one_is_given(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "space", "enter", "enter")
            assert "Nothing is typed yet." in seat.asked()
            await seat.press("escape")
            assert question(another).state == "open"

    run(scene())


def test_a_question_is_put_off_and_opened_again_and_both_can_be_taken_back(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "d")
            await seat.type("the case comes first")
            await seat.press("enter")
            assert (question(another).state, question(another).reason) == ("shelved", "the case comes first")
            assert "the case comes first" in seat.seen()
            await seat.press("o")
            await seat.type("a spare evening")
            await seat.press("enter")
            assert question(another).state == "open"
            await seat.press("u", "u")
            assert (question(another).state, question(another).reason) == ("open", "")

    run(scene())


def test_a_new_question_is_asked_with_its_answers(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "plus")
            for text in ("Which meter?", "ME TER"):
                await seat.type(text)
                await seat.press("enter")
            assert "cannot be the code" in flat(seat.asked())
            await seat.press("ctrl+u")
            for text in ("meter", "M52 round, 52 mm"):
                await seat.type(text)
                await seat.press("enter")
            await seat.press("enter")
            assert "Nothing is typed yet." in seat.asked()
            await seat.type("none no meter")
            await seat.press("enter", "enter")
            row = question(another, "METER")
            assert row.question == "Which meter?"
            assert [(one.code, one.name) for one in row.options] == [("M52", "round, 52 mm"), ("NONE", "no meter")]
            assert seat.row() == "CURLEW/METER"

    run(scene())


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("4k7 1%", ["a resistor of 4.7 kΩ 1 %", "yellow violet black brown brown", "4k75 (E96)"]),
        ("yellow violet red gold", ["The bands are 4.7 kΩ 5 %", "4K7"]),
        ("22u 25V", ["a capacitor of 22 µF"]),
    ],
)
def test_what_a_value_says_is_seen_while_it_is_typed_and_then_in_full(
    run: Run, sit: Sit, curlew: Path, typed: str, said: list[str]
) -> None:
    # IEC 60062: the colours and the letter code; IEC 60063: the series.
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "i")
            await seat.type(typed)
            assert said[0] in flat(seat.asked())
            await seat.press("enter")
            for text in said:
                assert text in flat(seat.asked())
            await seat.press("enter")
            assert "What value?" in seat.asked()
            await seat.press("escape")
            assert "question" in seat.seen()

    run(scene())


def test_what_is_no_value_is_said_beside_the_field(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "i")
            await seat.type("bolt")
            await seat.press("enter")
            assert "is no component value" in flat(seat.asked())

    run(scene())


def test_a_colour_begun_is_completed(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "i")
            await seat.type("yellow vio")
            await seat.press("tab")
            await seat.type(" red")
            assert "4.7 kΩ" in seat.asked()

    run(scene())


def test_state_and_question_stand_whole_at_80_columns(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    text = "Which tuning meter beside the eye?"
    actions.ask(another, "CURLEW", "METER", text, {"M52": "round", "NONE": "no meter"})

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5")
            line = next(line for line in seat.seen().splitlines() if "CURLEW/METER" in line)
            assert text in line
            assert "2 answers" in line

    run(scene())
