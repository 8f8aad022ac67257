"""The plan of orders on the screen: there at once, made better beside all else; its goal switched, its lines told."""

from __future__ import annotations

import csv
import sqlite3
import subprocess
import sys
from pathlib import Path
from threading import Event
from typing import Any

import pytest

from buildbook.actions import buying, offers
from buildbook.actions.workshop import Workshop
from buildbook.answers.orders import orders
from buildbook.tui.buying import Buying
from buildbook.tui.buying_search import Search

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


@pytest.fixture
def market(another: Workshop) -> Workshop:
    """The Curlew's workshop; two suppliers sell what is short, and a parcel of either costs postage."""
    buying.new_supplier(another, "QUAYSIDE", "Quayside Spares")
    buying.new_supplier(another, "TERN", "Tern Windings")
    offers.set_offer(another, "QUAYSIDE", "C-100N", "Q77", breaks=[(1, 50_000)])
    offers.set_offer(another, "TERN", "C-100N", "T77", breaks=[(1, 90_000)])
    offers.set_offer(another, "TERN", "IFT-455", "T1", breaks=[(1, 8_000_000)])
    offers.set_offer(another, "QUAYSIDE", "IFT-455", "Q1", breaks=[(1, 9_000_000)])
    with sqlite3.connect(another.path) as connection:
        connection.execute("UPDATE supplier SET shipping_micros = 5000000")
    connection.close()
    return another


def test_the_plan_is_proven_beside_all_else_and_laid_beside_the_naive_way(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4")
            assert [row.key for row in seat.list.shown][:1] == ["to order TERN"]
            seen = flat(seat.seen())
            # One of C-100N and two of IFT-455 from TERN, 16.09, with postage 21.09; line by line 16.05 and 10.00.
            assert "to order TERN Tern Windings order 2 parts 21.09" in seen
            assert "2 parts from 1 supplier for 21.09 EUR; no plan costs less." in seen
            assert "the plan saves 4.96 EUR." in seen
            assert "Looking for a better plan" not in seen

    run(scene())


def test_a_plan_folds_open_to_its_bill_and_y_says_why_this_supplier(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(110, 40)) as seat:
            await seat.press("4", "enter")
            assert "goods 16.09, postage 5.00: 21.09 EUR in all" in flat(seat.seen())
            await seat.press("down", "down", "y")
            seen = flat(seat.seen())
            assert "IFT-455 comes from TERN: its line costs least there." in seen
            assert "Next best is QUAYSIDE at 18.00 EUR" in seen

    run(scene())


def test_a_key_switches_the_goal_and_what_is_shown_is_placed_and_written_out(
    run: Run, sit: Sit, curlew: Path, market: Workshop, tmp_path: Path
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "G")
            assert "fewest parcels" in seat.asked()
            await seat.press("down", "enter")
            assert "no plan of so few parcels costs less" in flat(seat.seen())
            await seat.press("w")
            await seat.press("ctrl+u")
            await seat.type(str(tmp_path / "order.csv"))
            await seat.press("enter")
            with open(tmp_path / "order.csv", encoding="utf-8-sig", newline="") as file:
                assert [row["Order code"] for row in csv.DictReader(file)] == ["T1", "T77"]
            await seat.press("space", "enter", "enter")
            assert {row.order_code for row in orders(market).rows} == {"T1", "T77"}

    run(scene())


def test_a_search_may_be_stopped_and_keeps_the_best_so_far(market: Workshop) -> None:
    search, halt = Search(), Event()
    known = search.known(market, None)
    assert search.under_way
    halt.set()
    assert search.improve(known, halt.is_set, lambda: None)
    assert not search.under_way
    assert search.plan(market, None).total_micros >= 21_090_000


def test_a_search_for_a_question_of_yesterday_changes_nothing(market: Workshop) -> None:
    search = Search()
    old = search.known(market, None)
    offers.set_offer(market, "TERN", "C-100N", "T77", breaks=[(1, 10_000)])
    now = search.known(market, None)
    assert not search.improve(old, lambda: False, lambda: None)
    assert search.known(market, None) is now


def test_stopping_with_nothing_under_way_says_so(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", ".")
            assert "Nothing is being looked for." in flat(seat.seen())

    run(scene())


def test_the_first_answer_of_buying_waits_for_no_solver(curlew: Path, market: Workshop) -> None:
    asked = (
        "import sys; from pathlib import Path; from buildbook.store.workshop import Workshop;"
        "from buildbook.tui.buying import Buying;"
        f"view = Buying().ask(Workshop(Path({str(curlew)!r})), None);"
        "assert 'Looking for a better plan' in view.remark, view.remark;"
        "assert 'ortools' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", asked], check=True)


def test_the_key_of_the_goal_is_told_at_the_foot() -> None:
    assert {verb.key: verb.foot for verb in Buying.verbs}["G"]
