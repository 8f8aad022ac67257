"""Orders on the screen from draft to confirmed: each in few presses, and the sum is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import buying, column_sets, offers, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.orders import orders

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


@pytest.fixture
def market(another: Workshop) -> Workshop:
    """One part that is short is offered for postage, and an order is under way."""
    buying.new_supplier(another, "QUAYSIDE", "Quayside Spares")
    buying.new_supplier(another, "POSTAL", "Postal Fastener Co")
    terms.set_terms(another, "QUAYSIDE", shipping="4.90")
    offers.set_offer(another, "QUAYSIDE", "C-100N", "Q77", breaks=[(1, 50_000), (10, 40_000)])
    lines = [OrderLine("R-4K7", 20, 400_000, 20, "P1"), OrderLine("WIRE-RED", 5000, 300_000, 1000, "P2")]
    buying.place_order(another, "P-7", "POSTAL", lines, placed_on="2026-11-20", due_on="2026-12-04")
    return another


def test_the_plan_is_drafted_with_one_key_then_placed_with_two(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "D")
            assert [row.key for row in seat.list.shown] == [
                "order P-7",
                "order QUAYSIDE-1",
                "part C-100N",
                "part IFT-455",
            ]
            assert "drafted QUAYSIDE-1 QUAYSIDE not placed yet, 1 part 0.05" in flat(seat.seen())
            await seat.press("p")
            assert {row.state for row in orders(market).rows if row.ref == "QUAYSIDE-1"} == {"drafted"}
            await seat.press("escape", "space", "enter")
            assert {row.state for row in orders(market).rows} == {"placed"}
            await seat.press("u", "u")
            assert [row.key for row in seat.list.shown][:2] == ["to order QUAYSIDE", "order P-7"]

    run(scene())


def test_y_on_an_order_says_how_its_sum_comes_about(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(100, 40)) as seat:
            await seat.press("4", "D", "y")
            seen = flat(seat.seen())
            assert "Order QUAYSIDE-1, drafted: goods 0.05, postage 4.90: 4.95 EUR." in seen
            assert "C-100N 1 at 0.05 EUR 0.05" in seen
            assert "postage by the terms of today 4.90" in seen

    run(scene())


def test_an_order_is_confirmed_and_moved_whole_or_a_row(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "c")
            await seat.press("ctrl+u")
            await seat.type("2026-12-07")
            await seat.press("enter")
            whole = next(one for one in orders(market).sums if one.ref == "P-7")
            assert (whole.due_on, bool(whole.confirmed_on)) == ("2026-12-07", True)
            assert "confirmed P-7 POSTAL due 7 Dec 2026, 2 parts" in flat(seat.seen())
            await seat.press("enter", "down", "down", "m", "ctrl+u")
            await seat.type("2026-12-11")
            await seat.press("enter")
            assert {row.key: row.due_on for row in orders(market).rows} == {
                "R-4K7": "2026-12-11",
                "WIRE-RED": "2026-12-07",
            }
            await seat.press("u")
            await seat.press("up", "up", "m", "ctrl+u")
            await seat.type("2026-12-14")
            await seat.press("enter")
            assert {row.due_on for row in orders(market).rows} == {"2026-12-14"}

    run(scene())


def test_a_draft_is_not_confirmed(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "D", "c")
            assert "Order QUAYSIDE-1 is drafted: only an order under way can be confirmed." in flat(seat.seen())

    run(scene())


def test_an_order_is_written_out_as_text_with_the_columns_remembered(
    run: Run, sit: Sit, curlew: Path, market: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    column_sets.keep_columns(market, "form", "order_code,qty,part", "POSTAL")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "w", "ctrl+u")
            await seat.type("p7.txt")
            await seat.press("enter")
            assert "2 rows written to p7.txt." in flat(seat.seen())

    run(scene())
    assert Path("p7.txt").read_text() == "P1   20  R-4K7\nP2  5 m  WIRE-RED\n"
