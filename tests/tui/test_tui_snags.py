"""Snags on the screen: what a try cost in the same line, parts touched, others like it, a board that is not done."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from buildbook.actions import boards, snags
from buildbook.actions.workshop import Workshop
from buildbook.answers.snags import one_snag

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def test_a_try_and_its_cost_take_one_line(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    snags.open_snag(another, "CURLEW", "It hums")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "T")
            await seat.type("Earthed the screen; silent; 1h10; 2 joints")
            assert "it showed: silent; it took 1 h 10 min, 2 joints" in flat(seat.asked())
            await seat.press("enter")
            row = one_snag(another, "CURLEW/1").rows[0]
            assert [(one.tried, one.showed, one.minutes, one.joints) for one in row.tries] == [
                ("Earthed the screen", "silent", 70, 2)
            ]
            await seat.press("u")
            assert one_snag(another, "CURLEW/1").rows[0].tries == ()

    run(scene())


def test_parts_touched_are_named_by_designator(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    snags.open_snag(another, "CURLEW", "It hums", assembly="IF")

    async def scene() -> None:
        async with sit(curlew, size=(110, 40)) as seat:
            await seat.press("5", "down", "v")
            await seat.type("R2, C1")
            await seat.press("enter")
            parts = one_snag(another, "CURLEW/1").rows[0].parts
            assert [(part.refs, part.key) for part in parts] == [("R2", "R-4K7"), ("C1", "C-100N")]
            await seat.press("enter")
            assert "touched: R2 of CURLEW/IF, R-4K7" in seat.seen()
            await seat.press("v")
            await seat.type("-C1")
            await seat.press("enter")
            assert [part.refs for part in one_snag(another, "CURLEW/1").rows[0].parts] == ["R2"]
            await seat.press("v")
            await seat.type("R99")
            await seat.press("enter")
            assert "There is no R99 there" in flat(seat.seen())

    run(scene())


def test_one_that_was_seen_before_says_so_in_the_fold(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    snags.open_snag(another, "LINNET", "It sang")
    snags.close_snag(another, "LINNET/1", "Loose laminations in the transformer")
    snags.open_snag(another, "CURLEW", "It hums")
    snags.close_snag(another, "CURLEW/1", "The transformer again: laminations")
    snags.reopen(another, "CURLEW/1", "Still there")
    snags.close_snag(another, "CURLEW/1", "Laminations of the transformer")

    async def scene() -> None:
        async with sit(curlew, size=(110, 40)) as seat:
            await seat.press("5", "down", "enter")
            assert seat.row() == "snag CURLEW/1"
            assert "seen before: LINNET snag 1, It sang; same words in the cause" in flat(seat.seen())

    run(scene())


def test_a_section_with_an_open_snag_shows_it(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    boards.new_assembly(another, "CURLEW", "LID")
    snags.open_snag(another, "CURLEW", "It is bent", assembly="LID")

    async def scene() -> None:
        async with sit(curlew, size=(110, 30)) as seat:
            await seat.press("2")
            line = next(line for line in seat.seen().splitlines() if "LID" in line)
            assert "no parts, 1 snag open" in line

    run(scene())
