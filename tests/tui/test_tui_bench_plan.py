"""Tonight and the finish on the screen: opened from the Bench, a step started there, plots, hours, a calendar file."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, checklists
from buildbook.actions.bench_time import set_hours
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench
from buildbook.answers.bench_time import bench_hours
from buildbook.answers.finish import DoneRow, Finish, finish
from buildbook.tui.laying import ASCII, UNICODE, Glyphs
from buildbook.tui.place import FRAME_KEYS
from buildbook.tui.plots import width_drawn
from buildbook.tui.plots_bench import finish_lines
from buildbook.tui.plots_screen import PlotScreen
from buildbook.tui.settings import Settings

Run = Any
Sit = Any


def flat(text: str) -> str:
    return " ".join(text.split())


def test_tonight_lists_the_session_and_esc_leaves_it(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("E")
            seen = flat(seat.seen())
            assert "2 steps, 35 min of" in seen
            assert "No bench hours are set: reckoned with tue 19:30-22:00" in seen
            assert [row.about.name for row in seat.list.shown] == ["Mask the earth patch", "Prime inside and out"]
            await seat.press("escape")
            assert "1 step ready" in flat(seat.seen())

    run(scene())


def test_space_starts_the_step_tonight(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("E", "space")
            assert bench(another, "CURLEW").rows[0].state == "in hand"
            assert "In hand: Mask the earth patch." in seat.seen()
            await seat.press("space")
            assert [row.about.name for row in seat.list.shown] == ["Prime inside and out"]
            await seat.press("u")
            assert len(seat.list.shown) == 2

    run(scene())


def test_a_row_tells_why_it_is_done_now(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("E", "end", "enter")
            seen = flat(seat.seen())
            assert "It must be begun in this session" in seen or "There is time for it now" in seen
            assert "It cannot be undone." in seen

    run(scene())


def test_the_time_at_hand_is_asked_for(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("E", "L")
            await seat.type("5min")
            await seat.press("enter")
            assert "1 step, 5 min of 5 min" in flat(seat.seen())
            await seat.press("L", "enter")
            assert "2 steps, 35 min of" in flat(seat.seen())

    run(scene())


def test_the_finish_says_its_dates_and_goes_to_a_step(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("D")
            seen = flat(seat.seen())
            assert "CURLEW is likely finished by" in seen
            assert "the target of 24 Dec 2026" in seen
            assert "chain" in seen
            await seat.press("end")
            key = seat.row()
            await seat.press("space")
            assert seat.frame.panel.place.NAME == "Bench"
            assert seat.row() == key

    run(scene())


def test_with_all_builds_a_build_is_asked_for(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    checklists.add_step(another, "LINNET", NewStep("Wire the switch", 30))

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("b", "down", "down", "enter", "D")
            assert "It is not clear which build is meant. Choose a build with b." in flat(seat.seen())

    run(scene())


def test_hours_are_set_on_the_screen(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("E", "B")
            await seat.press("ctrl+u")
            await seat.type("sun 10:00-12:00")
            await seat.press("enter")
            assert bench_hours(another).hours == "sun 10:00-12:00"
            assert "No bench hours" not in seat.seen()
            assert "2 steps, 35 min of 2 h" in flat(seat.seen())

    run(scene())


def test_a_calendar_file_is_written(run: Run, sit: Sit, curlew: Path, tmp_path: Path) -> None:
    target = tmp_path / "out.ics"

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("E", "W", "ctrl+u")
            await seat.type(str(target))
            await seat.press("enter")
            assert "entries written to" in flat(seat.seen())
            assert target.read_bytes().startswith(b"BEGIN:VCALENDAR")

    run(scene())


@pytest.mark.parametrize("ascii_only", [False, True])
def test_the_plots_open_and_close(run: Run, sit: Sit, curlew: Path, ascii_only: bool) -> None:
    async def scene() -> None:
        async with sit(curlew, settings=Settings(ascii=ascii_only)) as seat:
            await seat.press("equals_sign")
            assert isinstance(seat.app.screen, PlotScreen)
            seen = seat.asked()
            assert "chance of being finished by a date" in seen
            assert "hands-on hours, done and planned" in seen
            if ascii_only:
                assert seen.isascii()
            await seat.press("escape")
            assert not isinstance(seat.app.screen, PlotScreen)

    run(scene())


def test_no_key_of_theirs_is_one_of_the_frame_or_means_two_things() -> None:
    from buildbook.tui.bench import Bench
    from buildbook.tui.bench_plan import Finish as FinishPlace
    from buildbook.tui.bench_plan import Tonight

    for place in (Bench, Tonight, FinishPlace):
        keys = [verb.key for verb in place.verbs if verb.key]
        assert len(keys) == len(set(keys))
        assert not set(keys) & FRAME_KEYS


# --- plots -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def told(shop: Workshop) -> Finish:
    """The finish of a case with a wait, some of it done."""
    shop.clock = lambda: datetime(2026, 11, 23, 12, 0, tzinfo=UTC)
    boards.new_project(shop, "CURLEW", target_on="2026-12-24")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    set_hours(shop, "tue 19:30-22:00, sat 10:00-16:00", zone="UTC")
    steps = [NewStep("Mark out", 60), NewStep("Prime 抵抗", 30, wait_low_min=2880), NewStep("Flat", 200)]
    checklists.add_steps(shop, "CASE", steps)
    return replace(finish(shop), done=(DoneRow("2026-11-20T12:00:00Z", 90),))


@settings(deadline=None, max_examples=40)
@given(st.integers(2, 160), st.sampled_from([UNICODE, ASCII]), st.sampled_from(["", "2026-11-01", "2099-01-01"]))
def test_the_plots_are_never_wider_than_their_room(room: int, glyphs: Glyphs, target: str) -> None:
    rows = SAMPLE.rows
    lines = finish_lines(replace(SAMPLE, target_on=target, rows=rows), room, glyphs)
    if room >= 40:
        assert all(width_drawn(line) <= room for line in lines)
    if glyphs is ASCII:
        assert "".join(piece.text for line in lines for piece in line).replace("抵抗", "").isascii()


def sample() -> Finish:
    from buildbook.answers.finish import PlannedRow

    rows = (
        PlannedRow("CURLEW", 1, "CURLEW/CASE/1", "Mark out", "2026-11-24T19:30:00Z", "2026-11-24T20:30:00Z",
                   60, 0, "start", "", 0, True),
        PlannedRow("CURLEW", 2, "CURLEW/CASE/2", "Prime 抵抗", "2026-11-24T20:30:00Z", "2026-11-24T21:00:00Z",
                   30, 2880, "step", "CURLEW/CASE/1", 0, True),
    )  # fmt: skip
    curve = tuple(f"2026-11-{26 + share // 30:02}T{share % 24:02}:00:00Z" for share in range(101))
    return Finish(
        "CURLEW is likely finished.", "CURLEW", "2026-11-23T12:00:00Z", "", curve[50], curve[90], None, 2, 90, 1.0, 0,
        rows, (), (), (), (), (), tuple(sorted(curve)), (DoneRow("2026-11-20T12:00:00Z", 90),),
    )  # fmt: skip


SAMPLE = sample()


def test_work_and_waits_stand_on_one_axis(told: Finish) -> None:
    lines = ["".join(piece.text for piece in line) for line in finish_lines(told, 100, ASCII)]
    prime = next(line for line in lines if line.startswith("CASE/2"))
    flat_ = next(line for line in lines if line.startswith("CASE/3"))
    # The wait of the coat follows its work, and the flatting begins where the wait has ended.
    assert prime.rstrip().rstrip(".").endswith("#")
    assert len(prime.rstrip()) <= flat_.index("#") + 1
    assert any("done: 1.5 h" in line and "planned: 4.8 h" in line for line in lines)


def test_the_chances_go_from_none_to_all(told: Finish) -> None:
    lines = ["".join(piece.text for piece in line) for line in finish_lines(told, 90, UNICODE)]
    assert lines[1].startswith("100 %│")
    assert any(line.startswith(" 50 %│") for line in lines)
    assert lines[9].startswith("  0 %│")
    assert "safe" in "".join(lines)
