"""A wanted value met from the drawers, on the screen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from buildbook.actions import stores
from buildbook.actions.workshop import Workshop


def put(shop: Workshop, key: str, value: str, qty: int) -> None:
    stores.new_part(shop, key, kind="resistor", value=value)
    stores.receive(shop, key, "Z9", qty)


def test_the_ways_to_a_value_are_listed_within_checks(run: Any, sit: Any, curlew: Path, another: Workshop) -> None:
    stores.new_bin(another, "Z9")
    put(another, "R-43R", "43R 1% 0.6W", 4)
    put(another, "R-7R5", "7R5 1% 0.6W", 1)

    async def scene() -> None:
        async with sit(curlew, size=(120, 30)) as seat:
            await seat.press("5", "V")
            await seat.type("21R5")
            assert "21.5" in seat.asked()
            await seat.press("enter")
            assert "21.5 Ω is made by R-43R and R-43R in parallel" in seat.seen()
            await seat.press("V")
            await seat.type("50R5")
            await seat.press("enter")
            assert "50.5 Ω is made by R-7R5 and R-43R in series" in seat.seen()
            await seat.press("escape")
            assert "open" in seat.seen()
            assert "made by" not in seat.seen()

    run(scene())


def test_what_is_no_value_is_said_while_it_is_typed(run: Any, sit: Any, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "V")
            await seat.type("bolt")
            await seat.press("enter")
            assert "is no component value" in " ".join(seat.asked().split())

    run(scene())


def test_the_pieces_and_their_shares_stand_below_a_way(run: Any, sit: Any, curlew: Path, another: Workshop) -> None:
    stores.new_bin(another, "Z9")
    put(another, "R-43R", "43R 1% 0.6W", 2)

    async def scene() -> None:
        async with sit(curlew, size=(120, 30)) as seat:
            await seat.press("5", "V")
            await seat.type("86R")
            await seat.press("enter")
            assert "R-43R + R-43R" in seat.list.selected.cells[2].text
            await seat.press("enter")
            assert "50 % of the power; 50 % of the voltage" in " ".join(seat.seen().split())

    run(scene())
