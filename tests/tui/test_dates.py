"""The likely and the safe day of the finish stand in the title, worked out beside everything else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from buildbook.actions.workshop import Workshop
from buildbook.answers.finish import likely_and_safe
from buildbook.tui.app import BuildbookApp
from buildbook.tui.words import short_day
from tests.tui.conftest import Seat

Run = Any


def test_the_title_tells_target_and_the_days_foretold(run: Run, curlew: Path, another: Workshop) -> None:
    dates = likely_and_safe(another, "CURLEW")
    assert dates is not None

    async def scene() -> None:
        app = BuildbookApp(curlew)
        async with app.run_test(size=(100, 24)) as pilot:
            seat = Seat(app, pilot)
            await seat.rest()
            title = seat.seen().splitlines()[0]
            said = f"likely {short_day(dates.likely_on)}, safe {short_day(dates.safe_on)}"
            assert title.rstrip().endswith(f"target 24 Dec 2026   {said}")
            await seat.press("b")
            await seat.type("all builds")
            await seat.press("enter")
            assert "likely" not in seat.seen().splitlines()[0]

    run(scene())
