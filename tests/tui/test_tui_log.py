"""Log on the screen: one stream, notes, and episodes opened and closed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from buildbook.actions import log
from buildbook.actions.workshop import Workshop
from buildbook.answers.log import episode, stream

Run = Any
Sit = Any


def test_the_newest_comes_first_and_a_long_note_opens_in_full(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    log.note(
        another, "The gang capacitor rubs at one end.\nBent the last vane back; it turns freely now.", build="CURLEW"
    )

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6")
            assert seat.seen().splitlines()[5].split()[:1] != ["action"]
            assert "The gang capacitor rubs" in seat.seen().splitlines()[5]
            await seat.press("enter")
            assert "    Bent the last vane back; it turns freely now." in seat.seen()

    run(scene())


def test_a_note_in_the_log_is_about_the_build(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "n")
            assert "Note on CURLEW:" in seat.asked()
            await seat.type("first light")
            await seat.press("enter")
            assert "first light" in seat.seen()
            assert stream(another).rows[0].build == "CURLEW"

    run(scene())


def test_an_episode_is_opened_and_closed_with_its_recap(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "o")
            await seat.type("Metalwork")
            await seat.press("enter")
            assert "Episode 1 of CURLEW is open: Metalwork." in seat.seen()
            assert "is open" in seat.seen().splitlines()[2] + seat.seen().splitlines()[3]
            await seat.press("c", *"cut", "enter")
            assert "Episode 1 of CURLEW is closed." in seat.seen()

    run(scene())
    told = episode(another, 1, "CURLEW")
    assert told.recap == "cut"
    assert told.closed_at


def test_a_recap_may_be_left_empty(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    log.open_episode(another, "CURLEW", "Metalwork")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "c", "enter")
            assert "is closed" in seat.seen()

    run(scene())


def test_a_second_episode_is_refused_and_the_sentence_says_why(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    log.open_episode(another, "CURLEW", "Metalwork")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "o")
            await seat.type("Paint")
            await seat.press("enter")
            assert "is still open" in " ".join(seat.seen().split())
            await seat.press("escape")
            assert "is still open" not in " ".join(seat.seen().split())

    run(scene())


def test_another_build_is_another_stream(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    log.note(another, "About the supply", build="LINNET")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6")
            assert "About the supply" not in seat.seen()
            await seat.press("b")
            await seat.type("linnet")
            await seat.press("enter")
            assert "About the supply" in seat.seen()

    run(scene())
