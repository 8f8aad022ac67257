"""Safety on the screen: banks of capacitors in Checks, and signatures on the Bench."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import banks as actions
from buildbook.actions import checklists
from buildbook.actions.banks import NewBank
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import StepRow, bench
from buildbook.answers.discharge import banks

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


@pytest.fixture
def charged(curlew: Path, another: Workshop) -> Path:
    """A bank whose parts are not known."""
    actions.add_bank(another, "CURLEW/IF", NewBank("HT", "300 V", "C1", name="reservoir"))
    return curlew


async def to_bank(seat: Any) -> None:
    """To the bank, in Checks."""
    await seat.press("5")
    for _ in range(12):
        if seat.row() == "bank CURLEW/IF/HT":
            return
        await seat.press("down")
    raise AssertionError(seat.seen())


def test_a_bank_tells_what_is_not_known_and_is_changed(run: Run, sit: Sit, charged: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(charged, size=(140, 45)) as seat:
            await to_bank(seat)
            assert "no bleeder" in seat.seen()
            await seat.press("enter")
            seen = flat(seat.seen())
            assert "measure before a hand goes in" in seen
            assert "IEC 60204-1" in seen
            await seat.press("space")
            await seat.type("R1 R2")
            await seat.press("enter")
            await seat.rest()
            assert [one.ref for one in banks(another)[0].bleeder] == ["R1", "R2"]
            await seat.press("v")
            await seat.press("ctrl+u")
            await seat.type("250 V")
            await seat.press("enter")
            await seat.rest()
            assert banks(another)[0].volts_uv == 250_000_000
            await seat.press("d")
            await seat.rest()
            assert banks(another) == ()

    run(scene())


def test_the_arithmetic_of_a_bank(run: Run, sit: Sit, at_demo: Path) -> None:
    async def scene() -> None:
        async with sit(at_demo, size=(140, 60)) as seat:
            await seat.press("5", "slash")
            await seat.type("CURLEW/HT/HT")
            await seat.press("enter")
            for _ in range(9):
                if seat.row() == "bank CURLEW/HT/HT":
                    break
                await seat.press("down")
            await seat.press("y")
            seen = flat(seat.seen())
            assert "t = R C ln(V0 / V) = 94 kΩ x 102 µF x ln(300 V / 60 V) = 16 s" in seen
            assert "= 4.59 J" in seen

    run(scene())


def first(shop: Workshop) -> StepRow:
    """The first step of the Bench."""
    return next(row for row in bench(shop, "CURLEW").rows if row.hold_point)


def test_a_signature_asks_what_it_confirms_and_who_signs(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    checklists.change_step(another, 1, hold_point=True, checks="Lid read\nWrap read")
    name = first(another).name

    async def scene() -> None:
        async with sit(curlew, size=(140, 45)) as seat:
            for _ in range(20):
                if seat.row().endswith(f" {first(another).step}"):
                    break
                await seat.press("down")
            await seat.press("t")
            await seat.press("ctrl+u")
            await seat.type("5 min")
            await seat.press("enter")
            await seat.rest()
            asked = flat(seat.asked())
            assert "Lid read" in asked
            assert "Wrap read" in asked
            await seat.press("down", "enter")
            await seat.rest()
            assert "Who signs?" in flat(seat.asked())
            await seat.type("K. Lund")
            await seat.press("enter")
            await seat.rest()

    run(scene())
    row = first(another)
    assert (row.name, row.signed_by, row.signed) == (name, "K. Lund", "Lid read; Wrap read")
