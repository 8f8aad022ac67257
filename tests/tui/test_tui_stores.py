"""Stores on the screen: found by value, seen where it lies, counted, moved, scrapped, put in; and taken back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions.workshop import Workshop
from buildbook.answers.stores import where

Run = Any
Sit = Any


@pytest.mark.parametrize("typed", ["4k7", "4.7 k", "4700", "4K7", "4.7kohm"])
def test_a_part_is_found_by_its_value_in_any_form(run: Run, sit: Sit, curlew: Path, typed: str) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "slash")
            await seat.type(typed)
            await seat.press("enter")
            assert [row.key for row in seat.list.shown] == ["R-4K7"]
            assert "1 of 5 rows" in seat.seen()

    run(scene())


@pytest.mark.parametrize(("typed", "key"), [("a2 4k7", "R-4K7"), ("red wire", "WIRE-RED"), ("transformer", "IFT-455")])
def test_a_part_is_found_by_bin_name_and_kind(run: Run, sit: Sit, curlew: Path, typed: str, key: str) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "slash")
            await seat.type(typed)
            await seat.press("enter")
            assert [row.key for row in seat.list.shown] == [key]

    run(scene())


def test_enter_shows_where_it_lies_what_it_is_spoken_for_and_what_happened(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(100, 40)) as seat:
            await seat.press("3", "slash")
            await seat.type("4k7")
            await seat.press("enter", "enter")
            seen = seat.seen()
            assert "10 in A1" in seen
            assert "2 in A2" in seen
            assert "CURLEW/IF" in seen
            assert "R1-R3" in seen
            assert "received" in seen
            assert "c  count what lies in a bin" in seen

    run(scene())


def test_on_a_wide_terminal_it_stands_beside_the_list_and_follows(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(140, 30)) as seat:
            await seat.press("3", "enter")
            line = next(line for line in seat.seen().splitlines() if line.startswith("› "))
            assert seat.list.size.width < 100
            assert seat.list.line is None
            first = seat.row()
            await seat.press("end")
            await seat.pilot.pause(0.3)
            await seat.rest()
            assert seat.row() == "WIRE-RED" != first
            assert "5 m in B1" in seat.seen()
            assert line not in seat.seen()
            await seat.press("right")
            assert seat.frame.panel.beside.has_focus
            await seat.press("end", "up", "up", "up", "up", "enter")
            assert "What lies of WIRE-RED in B1?" in seat.asked()
            await seat.press("escape", "left", "enter")
            assert "5 m in B1" not in seat.seen()

    run(scene())


def test_a_wrong_count_is_put_right_in_three_keys(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("C-100N")
            await seat.press("c")
            assert "What lies of C-100N in B1?" in seat.asked()
            await seat.type("7")
            await seat.press("enter")
            assert "Counted 7 of C-100N in B1: +6 to what was thought." in seat.seen()
            assert seat.row() == "C-100N"
            assert where(another, "C-100N").on_hand == 7
            await seat.press("u")
            assert where(another, "C-100N").on_hand == 1

    run(scene())


def test_which_bin_is_asked_where_there_are_several_but_not_on_the_line_of_one(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("R-4K7")
            await seat.press("c")
            assert "which bin?" in seat.asked()
            await seat.press("escape", "enter", "down", "down", "c")
            assert "What lies of R-4K7 in A2?" in seat.asked()
            await seat.type("5")
            await seat.press("enter")
            assert dict(where(another, "R-4K7").bins) == {"A1": 10, "A2": 5}

    run(scene())


def test_amounts_are_typed_as_the_trade_writes_them_and_checked_while_typing(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("WIRE-RED")
            await seat.press("c")
            await seat.type("4 bags")
            assert "WIRE" not in seat.asked().splitlines()[-2]
            await seat.press("enter")
            assert "What lies of WIRE-RED" in seat.asked()
            for _ in range(6):
                await seat.pilot.press("backspace")
            await seat.type("3.5 m")
            assert "that is 3.5 m" in seat.asked()
            await seat.press("enter")
            assert where(another, "WIRE-RED").on_hand == 3500

    run(scene())


def test_moving_scrapping_and_putting_in(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("C-100N")
            await seat.press("p")
            await seat.type("9")
            await seat.press("enter", "enter")
            assert where(another, "C-100N").on_hand == 10
            await seat.press("m")
            await seat.type("a2")
            assert "A2" in seat.asked()
            await seat.press("tab", "enter")
            await seat.type("4")
            await seat.press("enter")
            assert dict(where(another, "C-100N").bins) == {"A2": 4, "B1": 6}
            await seat.press("x")
            await seat.type("b1")
            await seat.press("enter", "enter")
            await seat.type("bulging")
            await seat.press("enter")
            assert dict(where(another, "C-100N").bins) == {"A2": 4, "B1": 5}
            assert where(another, "C-100N").movements[0].note == "bulging"

    run(scene())


def test_what_the_store_refuses_is_said_and_changes_nothing(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("C-100N")
            await seat.press("x")
            await seat.type("99")
            await seat.press("enter", "enter")
            assert "esc when read" in " ".join(seat.seen().split())
            assert where(another, "C-100N").on_hand == 1

    run(scene())


def test_why_shows_the_terms_below_the_row(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(110, 30)) as seat:
            await seat.press("3")
            seat.list.select("IFT-455")
            await seat.press("y")
            assert "2 short" in seat.seen()
            assert "CURLEW/IF" in seat.seen()

    run(scene())


def test_a_note_on_a_part_is_about_the_part(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3", "end", "n")
            assert "Note on WIRE-RED:" in seat.asked()
            await seat.type("stiff")
            await seat.press("enter")
            await seat.press("6")
            assert "stiff" in seat.seen()
            assert "WIRE-RED" in seat.seen()

    run(scene())
