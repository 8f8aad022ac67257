"""The alarm: a wait that is over is told once, wherever one is, and the Bench knows it at once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import checklists
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import Waiting
from buildbook.tui.alarm import Alarm
from buildbook.tui.settings import Settings, read_settings

Run = Any
Sit = Any


def test_each_wait_rings_once_when_it_is_over() -> None:
    start = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    minute = int(start.timestamp()) // 60
    alarm = Alarm()
    alarm.set([Waiting("CURLEW", 1, "Prime", "dry", minute + 5), Waiting("CURLEW", 2, "Glue", "", minute + 9)])
    assert alarm.rings(start) == []
    assert alarm.rings(start + timedelta(minutes=5)) == ["Prime: it is dry."]
    assert alarm.rings(start + timedelta(minutes=6)) == []
    assert alarm.rings(start + timedelta(minutes=60)) == ["Glue: it may go on."]


@pytest.mark.parametrize("bell", [True, False])
def test_a_wait_that_ends_is_told_in_another_place(
    run: Run, sit: Sit, curlew: Path, another: Workshop, monkeypatch: pytest.MonkeyPatch, bell: bool
) -> None:
    checklists.change_step(another, "CASE/1", wait_low_min=1, wait_high_min=1, wait_kind="dry")
    # It was finished almost a minute ago, by the clock of whoever finished it.
    another.clock = lambda: datetime.now(UTC) - timedelta(seconds=61)
    actions.tick(another, "CURLEW", "CASE/1")
    row = another.reads.execute("SELECT finished_at FROM step_run").fetchone()[0]
    over = datetime.fromisoformat(row).replace(second=0) + timedelta(minutes=1)
    moments = [over - timedelta(seconds=30)]
    rung: list[str] = []

    async def scene() -> None:
        async with sit(curlew, settings=Settings(bell=bell)) as seat:
            monkeypatch.setattr(seat.app, "bell", lambda: rung.append("ding"))
            await seat.press("3")
            seat.frame.alarm.set([Waiting("CURLEW", 1, "Mask the earth patch", "dry", int(over.timestamp()) // 60)])
            assert seat.frame.alarm.rings(moments[0]) == []
            seat.frame._look_after()
            await seat.rest()
            assert "Mask the earth patch: it is dry." in seat.seen()
            await seat.press("escape", "1")
            assert "› ready" in seat.seen()

    run(scene())
    assert rung == (["ding"] if bell else [])


def test_the_bell_is_turned_on_by_its_plain_name_and_remembered(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path
) -> None:
    place = tmp_path / "screen.toml"

    async def scene() -> None:
        async with sit(curlew, settings_at=place) as seat:
            await seat.press("colon")
            await seat.type("ring the bell")
            await seat.press("enter")
            assert "The bell rings when a wait is over." in seat.seen()

    run(scene())
    assert read_settings(place) == Settings(bell=True)
