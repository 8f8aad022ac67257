"""The terms of a supplier and the least stock of a part, changed on the screen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import buying, offers
from buildbook.actions.buying import OrderLine
from buildbook.actions.terms import set_terms
from buildbook.actions.workshop import Workshop
from buildbook.answers.stores import stores
from buildbook.answers.suppliers import suppliers
from buildbook.errors import BadInput
from buildbook.tui.buying_terms import read_term, term_check

Run = Any
Sit = Any


@pytest.fixture
def market(another: Workshop) -> Workshop:
    """The Curlew's workshop with a supplier of a part that is short."""
    buying.new_supplier(another, "QUAYSIDE", "Quayside Spares")
    offers.set_offer(another, "QUAYSIDE", "C-100N", "Q77", breaks=[(1, 50_000), (10, 40_000)])
    return another


def test_postage_is_asked_as_the_trade_writes_it(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "T")
            if "which supplier" in seat.asked():
                await seat.press("enter")
            assert "QUAYSIDE: change what?" in seat.asked()
            await seat.type("parcel")
            await seat.press("enter", "ctrl+u")
            await seat.type("6.90")
            await seat.press("enter")
            assert "QUAYSIDE, parcel: 6.90." in seat.seen()

    run(scene())
    assert suppliers(market).rows[0].shipping == "6.90"


def test_a_supplier_is_banned_from_the_screen(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "T")
            if "which supplier" in seat.asked():
                await seat.press("enter")
            await seat.type("standing")
            await seat.press("enter")
            await seat.type("banned")
            await seat.press("enter")

    run(scene())
    assert suppliers(market).rows[0].standing == "banned"


@pytest.mark.parametrize(
    ("name", "text"),
    [("shipping", "cheap"), ("tax", "a lot"), ("lead_days", "soon"), ("currency", "EURO"), ("discount", "5 %, 3 %")],
)
def test_what_is_no_term_is_refused_while_it_is_typed(name: str, text: str) -> None:
    with pytest.raises(BadInput):
        term_check(name, "EUR")(text)


def test_terms_are_read() -> None:
    assert term_check("shipping", "EUR")("6.9, free from 80") == "6.90, free from 80.00"
    assert (read_term("tax_on_shipping", "yes", "EUR"), read_term("standing", "neither", "EUR")) == (True, "")


def test_the_least_stock_is_set_and_shown(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("R-4K7")
            await seat.press("l", "ctrl+u")
            await seat.type("50")
            await seat.press("enter")
            assert "To be kept of R-4K7: 50." in seat.seen()
            await seat.press("enter")
            assert "at least 50 are always to be free here" in seat.seen()

    run(scene())
    assert next(row.keep_qty for row in stores(another).rows if row.key == "R-4K7") == 50


def test_why_an_order_costs_what_it_does(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    set_terms(market, "QUAYSIDE", shipping="6.90")
    lines = [OrderLine("C-100N", 10, 60_000), OrderLine("R-4K7", 20, 20_000)]
    buying.place_order(market, "P-7", "QUAYSIDE", lines, placed_on="2026-11-20", due_on="2026-12-04")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4")
            seat.list.select("order P-7")
            await seat.press("y")
            seen = " ".join(seat.seen().split())
            assert "Order P-7: goods 1.00, postage 6.90, landed 7.90" in seen
            assert "4.74" in seen  # 0.60 of goods and 4.14 of postage
            assert "its goods alone (setting landed_cost)" in seen

    run(scene())
