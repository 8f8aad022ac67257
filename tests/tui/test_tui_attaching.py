"""Photos and files on the screen: attached with one key, seen below the row."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions.attachments import Of, attach
from buildbook.actions.workshop import Workshop
from buildbook.answers.attachments import attachments
from buildbook.store.files import place_of

Run = Any
Sit = Any


@pytest.fixture
def photo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A photo in the folder in which the screen was opened."""
    folder = tmp_path / "photos"
    folder.mkdir()
    monkeypatch.chdir(folder)
    path = folder / "stud.svg"
    path.write_text("<svg/>")
    return path


def test_in_the_log_it_goes_to_the_build_and_its_row_tells_of_it(
    run: Run, sit: Sit, curlew: Path, another: Workshop, photo: Path
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "N")
            assert "Attach which photo or file to CURLEW?" in seat.asked()
            await seat.type("stud.svg")
            await seat.press("enter")
            await seat.type("Earth stud")
            await seat.press("enter")
            assert "Attached to CURLEW, number 1." in seat.seen()
            assert "Attach stud.svg" in seat.seen().splitlines()[5]
            await seat.press("enter")
            assert "CURLEW: stud.svg: Earth stud (SVG, 6 bytes)" in seat.seen()

    run(scene())
    assert [row.about for row in attachments(another).rows] == ["CURLEW"]


def test_what_is_no_file_is_told_as_it_is_typed(run: Run, sit: Sit, curlew: Path, photo: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "N")
            await seat.type("stud.png")
            await seat.press("enter")
            assert "There is no file of that name." in seat.asked()
            await seat.press("escape")

    run(scene())


def test_on_a_board_it_goes_to_the_section_and_undo_takes_it_off(
    run: Run, sit: Sit, curlew: Path, another: Workshop, photo: Path
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "N")
            await seat.type("stud.svg")
            await seat.press("enter", "enter")
            row = attachments(another).rows[0]
            assert (row.kind, row.caption) == ("assembly", "")
            assert f"Attached to {row.about}, number 1." in seat.seen()
            await seat.press("u")
            assert not attachments(another).rows

    run(scene())


def test_in_the_stores_it_goes_to_the_part_and_a_file_that_is_gone_is_told_below(
    run: Run, sit: Sit, curlew: Path, another: Workshop, photo: Path
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "N")
            await seat.type("stud.svg")
            await seat.press("enter", *"leads", "enter")
            row = attachments(another).rows[0]
            assert row.kind == "part"
            assert row.build == ""
            place_of(another.path, row.sha256).unlink()
            await seat.press("enter")
            await seat.press(*["down"] * 30)
            assert "The file is missing." in " ".join(seat.seen().split())

    run(scene())


def test_a_log_row_whose_file_was_taken_off_says_so(
    run: Run, sit: Sit, curlew: Path, another: Workshop, photo: Path
) -> None:
    attach(another, photo, Of(build="CURLEW"))
    from buildbook.actions.attachments import detach

    detach(another, 1)

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("6", "down", "enter")
            assert "It is attached no more." in seat.seen()

    run(scene())
