"""Switches and relays on the screen: how they stand, why, and functions and limits written down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import contacts as actions
from buildbook.actions.contacts import NewContacts, NewUse
from buildbook.actions.workshop import Workshop
from buildbook.answers.contacts import ContactsLine, contacts

Run = Any
Sit = Any


@pytest.fixture
def switched(curlew: Path, another: Workshop) -> Path:
    """A wave-change switch of which two poles are taken."""
    actions.add_contacts(another, "CURLEW", NewContacts("WAVE", "3P3T", name="Bands", amps="0.3 A", volts="150 V"))
    actions.add_use(another, "WAVE", NewUse("coils", "DP3T", "", "8 mA", "12 V"))
    actions.add_use(another, "WAVE", NewUse("lamps", "DP3T", option="VALVE"))
    return curlew


def wave(shop: Workshop) -> ContactsLine:
    """The wave-change switch as it stands."""
    return contacts(shop).rows[0]


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def test_it_stands_below_the_questions_and_opens_pole_by_pole(run: Run, sit: Sit, switched: Path) -> None:
    async def scene() -> None:
        async with sit(switched, size=(120, 50)) as seat:
            await seat.press("5", "down")
            assert seat.row() == "contacts CURLEW/WAVE"
            assert "spare" in seat.seen()
            assert "2 of 3" in seat.seen()
            await seat.press("enter")
            seen = flat(seat.seen())
            assert "2 coils 3 of 3" in seen
            assert "3 free 0 of 3" in seen
            assert "with RECT:VALVE: 3P3T: 2 of 3 poles taken, 1 to spare; 1 pole too few" in seen
            assert "left out: RECT:VALVE is not chosen" in seen

    run(scene())


def test_the_spare_poles_explain_themselves(run: Run, sit: Sit, switched: Path) -> None:
    async def scene() -> None:
        async with sit(switched, size=(120, 50)) as seat:
            await seat.press("5", "down", "y")
            seen = seat.seen()
            assert "poles - those of each function = spare" in seen
            rows = [row.split()[-2:] for row in seen.splitlines()]
            assert all([name, many] in rows for name, many in (("poles", "3"), ("coils", "2"), ("spare", "1")))
            assert "coils: DP3T on poles 1 and 2; 8 mA" in seen

    run(scene())


def test_functions_and_limits_are_written_down_and_undone(
    run: Run, sit: Sit, switched: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(switched, size=(120, 50)) as seat:
            await seat.press("5", "down", "space")
            for text in ("dial lamp", "", "0.25 A", "6.3 V"):
                await seat.type(text)
                await seat.press("enter")
            assert [one.pole for one in wave(another).by_pole if one.use == "dial lamp"] == [3]
            assert wave(another).state == "tight"
            assert "tight" in seat.seen()
            await seat.press("v")
            await seat.press("end", *["backspace"] * 4)
            await seat.type("4P3T")
            await seat.press("enter", "end", *["backspace"] * 5)
            await seat.type("0.5 A")
            await seat.press("enter", "enter")
            assert (wave(another).poles, wave(another).limit_ua, wave(another).state) == (4, 500_000, "spare")
            assert wave(another).limit_uv == 150_000_000
            await seat.press("d")
            assert contacts(another).rows == ()
            await seat.press("u")
            assert wave(another).poles == 4

    run(scene())


def test_a_function_of_which_nothing_is_known_is_named(run: Run, sit: Sit, switched: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(switched, size=(120, 50)) as seat:
            await seat.press("5", "down", "plus")
            await seat.type("muting")
            await seat.press("enter", "enter", "enter", "enter")
            assert wave(another).unknown == 1
            assert "unknown" in seat.seen()

    run(scene())
