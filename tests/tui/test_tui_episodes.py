"""Episodes in the Log of the screen: their draft, own words, marks, and shots ticked off."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import filming, log
from buildbook.actions.workshop import Workshop
from buildbook.answers import filming as answers
from buildbook.answers.draft import draft

Run = Any
Sit = Any


@pytest.fixture
def stage(another: Workshop) -> Workshop:
    """The Curlew with an episode open."""
    log.open_episode(another, "CURLEW", "The heap")
    return another


def test_an_episode_stands_first_and_opens_on_its_draft(run: Run, sit: Sit, curlew: Path, stage: Workshop) -> None:
    log.note(stage, "Sorted the drawers", build="CURLEW")
    filming.write_words(stage, "It begins with a sum.", build="CURLEW")
    filming.mark(stage, "2:00 the first joint", build="CURLEW")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6")
            assert "Episode 1: The heap" in seat.seen().splitlines()[5]
            await seat.press("enter")
            seen = seat.seen()
            assert "It begins with a sum." in seen
            assert "draft: What was noted" in seen

    run(scene())


def test_own_words_are_edited_and_a_moment_marked(run: Run, sit: Sit, curlew: Path, stage: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "v")
            await seat.type("Sums first")
            await seat.press("enter")
            assert "Own words for episode 1 of CURLEW are put down." in seat.seen()
            await seat.press("M")
            await seat.type("2:00 the first joint")
            await seat.press("enter")
            assert "Marked at 2:00." in seat.seen()

    run(scene())
    assert draft(stage, 1, "CURLEW").words == "Sums first"
    assert [row.offset_s for row in answers.marks(stage, 1, "CURLEW").rows] == [120]


def test_a_shot_is_ticked_with_space_and_nothing_else_is(run: Run, sit: Sit, curlew: Path, stage: Workshop) -> None:
    filming.add_shot(stage, "The dividers", build="CURLEW")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "space")
            assert "go to one of its shots" in seat.seen()
            await seat.press("enter")
            for _ in range(60):
                await seat.press("down", "space")
                if "Filmed: The dividers." in seat.seen():
                    break

    run(scene())
    assert answers.shots(stage, 1, "CURLEW").rows[0].done_at


def test_an_episode_is_published_from_the_screen(
    run: Run, sit: Sit, curlew: Path, stage: Workshop, tmp_path: Path
) -> None:
    filming.write_words(stage, "It begins with a sum.", build="CURLEW")
    out = tmp_path / "one.md"

    async def scene() -> None:
        async with sit(curlew, size=(120, 40)) as seat:
            await seat.press("6", "w", "enter", "ctrl+u")
            await seat.type(str(out))
            await seat.press("enter")
            assert "Episode 1 of CURLEW is told in" in seat.seen()

    run(scene())
    assert "It begins with a sum." in out.read_text(encoding="utf-8")


def test_shots_and_questions_are_written_and_answered(run: Run, sit: Sit, curlew: Path, stage: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(120, 40)) as seat:
            await seat.press("6", "+", "enter")
            await seat.type("The dividers")
            await seat.press("enter", "+", "down", "enter")
            await seat.type("Why valves?")
            await seat.press("enter")
            await seat.type("Maud")
            await seat.press("enter")
            await seat.press("a", "enter")
            await seat.type("They glow.")
            await seat.press("enter")

    run(scene())
    assert [row.text for row in answers.shots(stage, 1, "CURLEW").rows] == ["The dividers"]
    assert [(row.text, row.asked_by, row.answer) for row in answers.audience(stage).rows] == [
        ("Why valves?", "Maud", "They glow.")
    ]
