"""The supply budget on the screen: how it stands, why, and loads and limits written down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import lists, stores
from buildbook.actions import supply as actions
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop
from buildbook.answers.supply import SupplyLine, supply

Run = Any
Sit = Any


@pytest.fixture
def fed(curlew: Path, another: Workshop) -> Path:
    """A heater winding that a valve would load too far."""
    actions.add_supply(another, "CURLEW", NewSupply("HTR", "winding", "Heaters", "6.3 V", "2.5 A", "20 %"))
    actions.add_load(another, "HTR", NewLoad("valves", current="1.824 A"))
    actions.add_load(another, "HTR", NewLoad("EZ80", heater="EZ80", option="VALVE"))
    return curlew


def heaters(shop: Workshop) -> SupplyLine:
    """The heater winding as it stands."""
    return supply(shop).rows[0]


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def test_a_supply_stands_below_the_questions_with_what_answers_would_bring(run: Run, sit: Sit, fed: Path) -> None:
    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "down")
            assert seat.row() == "supply CURLEW/HTR"
            assert "within" in seat.seen()
            assert "73 %" in seat.seen()
            await seat.press("enter")
            seen = flat(seat.seen())
            assert "with RECT:VALVE: 2.42 of 2.5 A, 97 %" in seen
            assert "left out: RECT:VALVE is not chosen" in seen

    run(scene())


def test_the_headroom_explains_itself(run: Run, sit: Sit, fed: Path) -> None:
    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "down", "y")
            seen = flat(seat.seen())
            assert "headroom 0.176000 A" in seen
            assert "kept free 0.500000 A" in seen

    run(scene())


def test_loads_and_limits_are_written_down_and_undone(run: Run, sit: Sit, fed: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "down", "space")
            await seat.type("dial lamp")
            await seat.press("enter")
            await seat.type("300 mA")
            await seat.press("enter")
            assert heaters(another).load_micro == 2_124_000
            assert "tight" in seat.seen()
            await seat.press("v")
            await seat.press("end", *["backspace"] * 5)
            await seat.type("3 A")
            await seat.press("enter")
            assert heaters(another).limit_micro == 3_000_000
            await seat.press("d")
            assert supply(another).rows == ()
            await seat.press("u")
            assert heaters(another).limit_micro == 3_000_000

    run(scene())


def test_a_load_that_nobody_knows_is_named(run: Run, sit: Sit, fed: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "down", "plus")
            await seat.type("meter lamp")
            await seat.press("enter", "enter")
            assert heaters(another).unknown == 1
            assert "unknown" in seat.seen()

    run(scene())


def test_a_load_is_changed_on_its_line_and_taken_off(run: Run, sit: Sit, fed: Path, another: Workshop) -> None:
    before = heaters(another)

    async def scene() -> None:
        async with sit(fed, size=(120, 40)) as seat:
            await seat.press("5", "down", "o", "enter")
            assert before.loads[0].name in seat.asked()
            await seat.press("ctrl+u")
            await seat.type("2 x 50 mA, 50 %")
            assert "2 x 0.050000 A, on for 50 %" in seat.asked()
            await seat.press("enter")
            changed = heaters(another).loads[0]
            assert (changed.qty, changed.current_ua, changed.duty_bp) == (2, 50_000, 5000)
            await seat.press("o", "enter", "ctrl+u")
            await seat.type("-")
            await seat.press("enter")
            assert len(heaters(another).loads) == len(before.loads) - 1
            await seat.press("u", "u")
            assert heaters(another).loads == before.loads

    run(scene())


def test_a_heater_that_is_offered_is_written_down_by_one_key(run: Run, sit: Sit, fed: Path, another: Workshop) -> None:
    stores.new_part(another, "ECC83", kind="valve")
    lists.add_line(another, "IF", "ECC83", refs="V1")

    async def scene() -> None:
        async with sit(fed, size=(110, 40)) as seat:
            await seat.press("5", "down", "enter")
            assert "ECC83 heater, V1 of CURLEW/IF: 0.3 A" in seat.seen()
            for _ in range(20):
                await seat.press("down")
                if seat.list.line and "ECC83 heater, V1" in seat.list.line.text:
                    break
            await seat.press("enter")
            assert heaters(another).loads[-1].name == "ECC83 heater"
            assert heaters(another).offered == ()

    run(scene())
