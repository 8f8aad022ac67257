"""Parts against their ratings on the screen: what is out, each board, why; and what is stated with a key."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import boards, lists, ratings, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.ratings import RatingLine
from buildbook.answers.ratings import ratings as weighed

Run = Any
Sit = Any


@pytest.fixture
def board(curlew: Path, another: Workshop) -> Path:
    """A board with a capacitor of 450 V that fits and a resistor of 1 W that is too tight."""
    boards.new_assembly(another, "CURLEW", "HT", "HT board")
    stores.new_part(another, "C-33U", kind="capacitor", value="33u 450V", name="Capacitor, electrolytic")
    stores.new_part(another, "R-4K7-1W", kind="resistor", value="4k7 1W")
    lists.add_line(another, "HT", "C-33U", refs="C1")
    lists.add_line(another, "HT", "R-4K7-1W", refs="R1")
    ratings.state_bears(another, "HT/C1", ["300V"])
    ratings.state_bears(another, "HT/R1", ["12mA"])
    return curlew


def line(shop: Workshop, refs: str) -> RatingLine:
    """The line of these designators on the board."""
    return next(row for row in weighed(shop, assembly="HT", everything=True).rows if row.refs == refs)


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def test_what_is_out_has_a_row_and_the_board_counts_the_rest(run: Run, sit: Sit, board: Path) -> None:
    async def scene() -> None:
        async with sit(board, size=(120, 40)) as seat:
            await seat.press("5", "down")
            assert seat.row().startswith("rating ")
            assert "too tight" in seat.seen()
            await seat.press("y")
            assert "(12 mA)² x 4.7 kΩ = 0.677 W" in flat(seat.seen())
            await seat.press("y", "down")
            assert seat.row() == "ratings CURLEW/HT"
            await seat.press("enter")
            assert "300 V DC of 450 V DC, 67 %: fits" in flat(seat.seen())

    run(scene())


def test_what_a_line_bears_and_its_part_is_made_for_is_typed(
    run: Run, sit: Sit, board: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(board, size=(120, 40)) as seat:
            await seat.press("5", "down", "space")
            await seat.press("end", *["backspace"] * 8)
            await seat.type("15 mA")
            await seat.press("enter")
            assert line(another, "R1").state == "too little"
            await seat.press("v")
            await seat.press("end", *["backspace"] * 5)
            await seat.type("5W")
            await seat.press("enter")
            assert line(another, "R1").state == "fits"
            await seat.press("u", "u")
            assert line(another, "R1").bears == ("12 mA",)

    run(scene())


def test_a_line_is_stated_from_its_board_and_taken_back(run: Run, sit: Sit, board: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(board, size=(120, 40)) as seat:
            await seat.press("5", "down", "down", "space")
            await seat.type("C1")
            await seat.press("enter", "end", *["backspace"] * 10)
            await seat.type("400V")
            await seat.press("enter")
            assert line(another, "C1").state == "too tight"
            seat.frame.panel.wish(f"rating {line(another, 'C1').line}")
            await seat.rest()
            await seat.press("d")
            assert line(another, "C1").state == "not stated"

    run(scene())
