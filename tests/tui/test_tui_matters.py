"""Parcels that come otherwise than ordered, on the screen: told while receiving, settled, and goods given back."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.actions import buying, deliveries
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.matters import matters
from buildbook.answers.orders import orders
from buildbook.answers.stores import where
from buildbook.errors import BadInput
from buildbook.store.read.buying import OrderRow
from buildbook.tui.buying_arrivals import Came, OddCame, came_said, read_came
from tests.tui.conftest import Run, Sit

LINE = OrderRow(1, "P-7", "POSTAL", "placed", "", "", 1, "R-4K7", "pc", "P1", 20, 0, 400_000, 20)


@pytest.fixture
def parcel(another: Workshop) -> Workshop:
    """An order of 20 resistors is under way."""
    buying.new_supplier(another, "POSTAL", "Postal Fastener Co")
    buying.place_order(another, "P-7", "POSTAL", [OrderLine("R-4K7", 20, 400_000, 20, "P1")])
    return another


DAMAGED, WRONG = OddCame("damaged", 2, ""), OddCame("wrong", 2, "R-47K")


@pytest.mark.parametrize(
    ("text", "qty", "bin", "odd", "said"),
    [
        ("16, 2 damaged, 2 as R-47K", 16, "", (DAMAGED, WRONG), "2 damaged, 2 came as R-47K"),
        ("3 short", 17, "", (OddCame("short", 3, ""),), "17 of 20, 3 short"),
        ("20 in G2, 5 over", 20, "G2", (OddCame("over", 5, ""),), "all that is to come, into G2, 5 over"),
    ],
)
def test_what_was_odd_is_read_after_commas(text: str, qty: int, bin: str, odd: tuple[OddCame, ...], said: str) -> None:
    came = read_came(text, LINE, "EUR")
    assert came == Came(qty, 400_000, 20, bin, odd)
    assert came_said(came, LINE, "EUR").endswith(said)


def test_more_than_is_to_come_is_refused_with_the_odd_in_it() -> None:
    with pytest.raises(BadInput, match=r"1 more than is to come."):
        read_came("19, 2 damaged", LINE, "EUR")


def test_an_odd_parcel_is_received_and_settled(run: Run, sit: Sit, curlew: Path, parcel: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "P", "ctrl+u")
            await seat.type("2 damaged, 3 over")
            assert "2 damaged, 3 over" in seat.asked()
            await seat.press("enter")
            assert where(parcel, "R-4K7").on_hand == 30
            assert [(row.what, row.qty) for row in matters(parcel).rows] == [("damaged", 2), ("over", 3)]
            await seat.press("home")
            assert seat.row() == "matter 1"
            assert "2 came damaged" in seat.seen()
            await seat.press("space")
            assert "reorder" in seat.asked()
            await seat.press("down", "enter", "enter")
            assert [row.settled for row in matters(parcel, settled=True).rows] == ["", "credit"]
            await seat.press("home", "space", "down", "enter")
            await seat.type("kept, they are cheap")
            await seat.press("enter")
            assert where(parcel, "R-4K7").on_hand == 33
            assert matters(parcel).rows == ()
            assert orders(parcel).rows[0].state == "received"

    run(scene())


def test_goods_are_given_back(run: Run, sit: Sit, curlew: Path, parcel: Workshop) -> None:
    deliveries.receive_order(parcel, "P-7", "A1")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "end", "B", "ctrl+u")
            await seat.type("4")
            await seat.press("enter", "enter")
            await seat.type("leads are bent")
            await seat.press("enter")
            assert where(parcel, "R-4K7").on_hand == 28
            assert [(row.what, row.qty) for row in matters(parcel).rows] == [("returned", 4)]

    run(scene())


def test_the_rest_comes_in_while_something_is_in_question(run: Run, sit: Sit, curlew: Path, parcel: Workshop) -> None:
    odd = [deliveries.Odd("damaged", "R-4K7", 2), deliveries.Odd("short", "R-4K7", 5)]
    deliveries.receive_order(parcel, "P-7", "A1", odd=odd)

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "p")
            assert where(parcel, "R-4K7").on_hand == 30
            assert [(row.what, row.settled) for row in matters(parcel, settled=True).rows] == [
                ("damaged", ""),
                ("short", "as ordered"),
            ]

    run(scene())
