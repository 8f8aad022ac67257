"""Answers side by side on the screen: opened from a question, explained, settled; and all combinations."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import boards, checks
from buildbook.actions import supply as actions
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop
from buildbook.answers.checks import checks as all_checks

Run = Any
Sit = Any


@pytest.fixture
def fed(curlew: Path, another: Workshop) -> Path:
    """A heater winding that a valve would load too far, and a second question."""
    actions.add_supply(another, "CURLEW", NewSupply("HTR", "winding", "Heaters", "6.3 V", "2.5 A", "20 %"))
    actions.add_load(another, "HTR", NewLoad("valves", current="1.824 A"))
    actions.add_load(another, "HTR", NewLoad("EZ80", heater="EZ80", option="VALVE"))
    checks.ask(another, "CURLEW", "LAMP", "Which lamp?", {"LED": "a pair", "BULB": "a bulb"})
    return curlew


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def state_of(shop: Workshop, code: str) -> tuple[str, list[str]]:
    """The state of a question, and its chosen answer."""
    row = next(row for row in all_checks(shop).rows if row.code == code)
    return row.state, [one.code for one in row.options if one.chosen]


def test_w_lays_the_answers_side_by_side_and_enter_settles(run: Run, sit: Sit, fed: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(fed, size=(80, 24)) as seat:
            await seat.press("5", "w")
            seen = flat(seat.seen())
            assert "breaks a limit" in seen
            assert "HTR 97 %, too tight" in seen
            assert "HTR 73 %" in seen
            await seat.press("down", "y")
            assert "headroom" in seat.seen()
            await seat.press("escape", "escape")
            assert seat.row() == "CURLEW/RECT"
            await seat.press("w", "down", "enter")
            await seat.press(*"cold", "enter")
            assert state_of(another, "RECT")[0] == "chosen"

    run(scene())


def test_the_fold_of_a_question_names_it(run: Run, sit: Sit, fed: Path) -> None:
    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "enter")
            assert "lay the answers side by side" in seat.seen()

    run(scene())


def test_on_another_row_it_says_what_it_is_for(run: Run, sit: Sit, fed: Path) -> None:
    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "end", "w")
            assert "Only the answers to a question are laid side by side" in flat(seat.seen())

    run(scene())


def test_all_combinations(run: Run, sit: Sit, fed: Path) -> None:
    async def scene() -> None:
        async with sit(fed, size=(80, 24)) as seat:
            await seat.press("5", "W")
            seen = flat(seat.seen())
            assert "4 combinations of RECT and LAMP: 2 break a limit" in seen
            assert "HTR too tight" in seen
            assert "beaten by none" in seen
            await seat.press("enter")
            assert "beyond taking no answer" in flat(seat.seen())
            assert seat.row() != "CURLEW/RECT"
            await seat.press("enter", "escape")
            assert seat.row() == "CURLEW/RECT"

    run(scene())


def test_without_an_open_question_nothing_is_combined(run: Run, sit: Sit, fed: Path, another: Workshop) -> None:
    for code, answer in (("RECT", "VALVE"), ("LAMP", "LED")):
        checks.settle(another, "CURLEW", code, answer, "Enough.")
    boards.change_build(another, "CURLEW", priority=1)

    async def scene() -> None:
        async with sit(fed, size=(80, 24)) as seat:
            await seat.press("5", "W")
            assert "No question of CURLEW is open" in flat(seat.seen())

    run(scene())


def test_the_answers_are_drawn_beside_each_other(run: Run, sit: Sit, fed: Path) -> None:
    async def scene() -> None:
        async with sit(fed) as seat:
            await seat.press("5", "home", "w", "equals_sign")
            drawn = seat.asked()
            assert "to spend (less is better)" in drawn
            assert "VALVE" in drawn
            await seat.press("escape")
            assert "answer" in seat.seen()

    run(scene())
