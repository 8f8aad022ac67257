"""What others write appears by itself; a file locked or taken away is told, tried again, and nothing is lost."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import log, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.log import stream
from buildbook.errors import StoreFault
from buildbook.tui.door import Door
from buildbook.tui.watch import EVERY_S, Watch

Run = Any
Sit = Any


async def until(seat: Any, holds: Callable[[], bool]) -> None:
    """Wait for what must come by itself; far longer than it takes."""
    for _ in range(400):
        await seat.pilot.pause()
        if holds():
            return
        await asyncio.sleep(0.025)
    raise AssertionError(seat.seen())


def test_it_looks_often_enough_for_a_change_to_appear_within_two_seconds() -> None:
    assert 2 * EVERY_S < 2


def test_what_another_program_writes_appears_and_the_selection_stays(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "end")
            chosen = seat.row()
            stores.new_part(another, "A-NEW-ONE", kind="battery")
            await until(seat, lambda: "A-NEW-ONE" in seat.seen())
            assert seat.row() == chosen

    run(scene())


def test_a_place_looked_at_before_is_asked_again_when_it_is_opened(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "1")
            stores.new_part(another, "A-NEW-ONE", kind="battery")
            await until(seat, lambda: seat.frame.panels["3"].stale)
            await seat.press("3")
            assert "A-NEW-ONE" in seat.seen()

    run(scene())


def test_a_file_taken_away_is_told_and_its_return_too(run: Run, sit: Sit, curlew: Path) -> None:
    away = curlew.with_suffix(".away")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            curlew.rename(away)
            await until(seat, lambda: "is not there any more" in " ".join(seat.seen().split()))
            assert "R-4K7" in seat.seen()
            away.rename(curlew)
            await until(seat, lambda: "is not there any more" not in " ".join(seat.seen().split()))
            await seat.press("6")
            assert "Nothing has happened yet." in seat.seen()

    run(scene())


def test_what_was_typed_while_the_file_is_locked_is_written_when_it_is_free(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    lock = sqlite3.connect(curlew, isolation_level=None)

    async def scene() -> None:
        async with sit(curlew) as seat:
            seat.app.door.busy_ms = 20
            lock.execute("BEGIN IMMEDIATE")
            await seat.press("n")
            await seat.type("do not lose me")
            await seat.press("enter")
            assert "Another program is writing" in " ".join(seat.asked().split())
            lock.execute("ROLLBACK")
            await seat.press("down", "enter")
            assert "Written down." in seat.seen()

    run(scene())
    lock.close()
    assert stream(another).rows[0].what == "do not lose me"


def test_nothing_is_written_into_a_file_that_was_taken_away(run: Run, sit: Sit, curlew: Path) -> None:
    away = curlew.with_suffix(".away")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("n")
            await seat.type("first")
            await seat.press("enter")
            curlew.rename(away)
            await seat.press("n")
            await seat.type("second")
            await seat.press("enter")
            assert "not there any more" in " ".join(seat.asked().split())
            assert not curlew.exists()
            away.rename(curlew)
            await seat.press("down", "enter")
            assert "Written down." in seat.seen()

    run(scene())
    shop = Workshop(curlew)
    assert [row.what for row in stream(shop).rows if row.kind == "note"] == ["second", "first"]
    shop.close()


def test_a_watch_sees_what_others_wrote_once(curlew: Path, another: Workshop) -> None:
    watch = Watch(Door(curlew))
    assert not watch.changed()
    assert not watch.changed()
    log.note(another, "Hello")
    assert watch.changed()
    assert not watch.changed()
    watch.close()


def test_a_watch_sees_that_another_file_lies_there_now(curlew: Path, tmp_path: Path) -> None:
    watch = Watch(Door(curlew))
    assert not watch.changed()
    copy = tmp_path / "copy.db"
    copy.write_bytes(curlew.read_bytes())
    copy.replace(curlew)
    assert watch.changed()
    assert not watch.changed()
    curlew.unlink()
    with pytest.raises(StoreFault, match="not there any more"):
        watch.changed()
    watch.close()


def test_a_file_that_is_no_workshop_is_told_and_breaks_nothing(run: Run, sit: Sit, tmp_path: Path) -> None:
    path = tmp_path / "letter.db"
    path.write_text("Dear builder")

    async def scene() -> None:
        async with sit(path) as seat:
            assert "is not a workshop file" in " ".join(seat.seen().split())
            await seat.press("3", "n", "escape", "6")

    run(scene())
    assert path.read_text() == "Dear builder"
