"""Bench on the screen: the next step at a key, what holds a step and what releases it, cautions, and taking back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import checklists
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench
from buildbook.answers.log import stream
from buildbook.tui.bench_rows import short_time

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def states(shop: Workshop) -> dict[str, str]:
    """The state of each step of the Curlew."""
    return {row.name: row.state for row in bench(shop, "CURLEW").rows}


def test_the_next_ready_step_is_started_and_finished_at_one_key_each(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("space")
            assert states(another)["Mask the earth patch"] == "in hand"
            assert "In hand: Mask the earth patch." in seat.seen()
            await seat.press("space")
            assert states(another) == {"Mask the earth patch": "done", "Prime inside and out": "ready"}

    run(scene())


def test_the_sentence_stands_first(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            assert bench(another, "CURLEW").sentence in flat(seat.seen())

    run(scene())


def test_steps_behind_us_stand_last_and_open_again(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    actions.tick(another, "CURLEW", "Mask the earth patch", minutes=95)

    async def scene() -> None:
        async with sit(curlew) as seat:
            assert [row.about.state for row in seat.list.shown] == ["ready", "done"]
            assert "1h35" in seat.seen()
            await seat.press("end", "o")
            assert states(another)["Mask the earth patch"] == "ready"
            await seat.press("u")
            assert states(another)["Mask the earth patch"] == "done"

    run(scene())


def test_a_held_step_says_what_holds_it_and_what_releases_it_at_one_key(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            assert "by 1: Mask" in seat.seen()
            await seat.press("end")
            await seat.press("y")
            assert "held by Mask the earth patch. CASE/1 is ready: finish it." in flat(seat.seen())

    run(scene())


def test_enter_on_what_holds_a_step_goes_there(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("end", "enter", "down", "enter")
            assert seat.list.selected.about.name == "Mask the earth patch"

    run(scene())


def test_a_step_held_from_another_checklist_names_where(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    checklists.add_step(another, "CURLEW/IF", NewStep("Fit the IF board", 20))
    number = checklists.add_step(another, "CURLEW/CASE", NewStep("Close the case", 5))
    checklists.change_step(another, number, after=[After("CURLEW/IF/1")])

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("end", "y")
            assert "held by Fit the IF board. IF/1 is ready" in flat(seat.seen())

    run(scene())


def test_a_held_step_is_begun_only_after_its_reasons_were_read(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("end", "space")
            asked = flat(seat.asked())
            assert "to come before it: Mask the earth patch." in asked
            assert "It cannot be undone." in asked
            await seat.press("enter")
            assert states(another)["Prime inside and out"] == "held"
            await seat.press("space", "down", "enter")
            assert states(another)["Prime inside and out"] == "in hand"

    run(scene())


def test_a_one_way_step_and_its_caution_are_told_plainly_when_it_begins(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    actions.tick(another, "CURLEW", "Mask the earth patch")
    checklists.change_step(another, "CASE/2", caution="Solvent: open the window, no flame.", hold_point=True)

    async def scene() -> None:
        async with sit(curlew) as seat:
            assert "one-way" in seat.seen()
            await seat.press("space")
            seen = flat(seat.seen())
            assert "It cannot be undone." in seen
            assert "hold point" in seen
            assert "Solvent: open the window, no flame." in seen
            await seat.press("down")
            assert "Solvent: open the window" in flat(seat.seen())
            await seat.press("escape", "up", "enter")
            assert "Caution: Solvent: open the window, no flame." in flat(seat.seen())

    run(scene())


def test_t_finishes_with_the_time_it_took(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("t")
            assert "5 min" in seat.asked()
            await seat.press("ctrl+u")
            await seat.type("1h3x")
            assert "not one duration" in flat(seat.asked())
            await seat.press("backspace")
            assert "that is 1 h 3 min" in seat.asked()
            await seat.press("enter")
            row = bench(another, "CURLEW").rows[0]
            assert (row.state, row.minutes) == ("done", 63)

    run(scene())


def test_a_step_is_left_out_of_the_build(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("d")
            assert states(another)["Mask the earth patch"] == "dropped"

    run(scene())


def test_a_note_on_the_step_is_two_keys(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("n")
            await seat.type("tape is new")
            await seat.press("enter")
            row = stream(another, "CURLEW").rows[0]
            assert row.what == "tape is new"
            assert "Mask the earth patch" in row.about

    run(scene())


def test_a_step_is_added_to_a_checklist(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("plus", "enter")
            await seat.type("Fit the feet")
            await seat.press("enter")
            await seat.type("15")
            await seat.press("enter")
            row = bench(another, "CURLEW").rows[-1]
            assert (row.name, row.likely_min, row.assembly) == ("Fit the feet", 15, "CURLEW/CASE")

    run(scene())


def test_every_state_and_time_stands_whole_at_80_columns(run: Run, sit: Sit, at_demo: Path) -> None:
    async def scene() -> None:
        async with sit(at_demo) as seat:
            lines = seat.seen().splitlines()
            row = next(line for line in lines if "Punch the grommet" in line)
            assert "ready" in row
            assert "~20 min" in row
            assert "one-way" in row
            await seat.press("end")
            for _ in range(12):
                await seat.press("up")
            assert " by 4: " in seat.seen()

    run(scene())


@pytest.mark.parametrize(
    ("minutes", "said"), [(5, "5 min"), (60, "1 h"), (65, "1h05"), (150, "2h30"), (1500, "1 d 1 h")]
)
def test_times_are_short(minutes: int, said: str) -> None:
    assert short_time(minutes) == said
