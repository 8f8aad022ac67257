"""Buying on the screen: what is short and why; offers, orders and deliveries, each changed where it stands."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import buying, deliveries, offers
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.buying import short
from buildbook.answers.offered import OfferRow, offered
from buildbook.answers.orders import OrderRow, orders
from buildbook.answers.stores import where
from buildbook.errors import BadInput
from buildbook.exchange.buying import read_order
from buildbook.tui.buying_arrivals import Came, came_said, read_came, show_came
from buildbook.tui.buying_days import read_day, read_days
from buildbook.tui.buying_offers import Prices, prices_understood, read_prices, show_prices

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


@pytest.fixture
def market(another: Workshop) -> Workshop:
    """The Curlew's workshop with two suppliers, an offer of one part that is short, and an order under way."""
    buying.new_supplier(another, "QUAYSIDE", "Quayside Spares")
    buying.new_supplier(another, "POSTAL", "Postal Fastener Co")
    offers.set_offer(another, "QUAYSIDE", "C-100N", "Q77", breaks=[(1, 50_000), (10, 40_000)])
    lines = [
        OrderLine("R-4K7", 20, 400_000, 20, "P1"),
        OrderLine("WIRE-RED", 5000, 300_000, 1000, "P2"),
    ]
    buying.place_order(another, "P-7", "POSTAL", lines, placed_on="2026-11-20", due_on="2026-12-04")
    return another


def on_hand(shop: Workshop, part: str) -> int:
    """What lies of a part."""
    return where(shop, part).on_hand


def line_of(shop: Workshop, part: str) -> OrderRow:
    """The row of the order on which a part stands."""
    return next(row for row in orders(shop).rows if row.key == part)


# --- what is seen ----------------------------------------------------------------------------------------------------


def test_the_list_says_what_to_order_what_is_under_way_and_what_is_short(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4")
            assert short(market, "CURLEW").sentence in flat(seat.seen())
            assert [row.key for row in seat.list.shown] == [
                "to order QUAYSIDE",
                "order P-7",
                "part C-100N",
                "part IFT-455",
            ]
            seen = [flat(line) for line in seat.seen().splitlines()]
            assert "› to order QUAYSIDE Quayside Spares order 1 part 0.05" in seen
            assert "placed P-7 POSTAL due 4 Dec 2026, 2 parts 1.90" in seen
            assert "short C-100N 100n 1 1 from QUAYSIDE 0.05" in seen
            assert "short IFT-455 2 nobody offers it" in seen
            assert "1 part that nobody offers: IFT-455." in flat(seat.seen())

    run(scene())


def test_the_point_of_every_row_stands_whole_at_80_columns(run: Run, sit: Sit, at_demo: Path) -> None:
    async def scene() -> None:
        async with sit(at_demo) as seat:
            await seat.press("4")
            lines = seat.seen().splitlines()
            assert any("PF-0419" in line and "due 2 Dec 2026, 3 parts" in line and "8.46" in line for line in lines)
            assert any("W-RG174" in line and "600 mm" in line and "5 m from POSTAL" in line for line in lines)

    run(scene())


def test_y_gives_the_arithmetic_of_a_part_and_of_a_plan(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "y")
            assert "C-100N: 2 needed" in flat(seat.seen())
            assert "CURLEW, CURLEW/IF C1, C2: 1 x 2 = 2" in flat(seat.seen())
            await seat.press("end", "y")
            assert "IFT-455: 2 needed; 2 short." in flat(seat.seen())

    run(scene())


def test_a_part_folds_open_to_its_offers_an_order_to_its_rows(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew, size=(80, 40)) as seat:
            await seat.press("4", "down", "down", "enter")
            assert "QUAYSIDE Q77 1: 0.05, 10: 0.04" in flat(seat.seen())
            await seat.press("up", "enter")
            seen = flat(seat.seen())
            assert "R-4K7 P1 20 0.40 per 20 4 Dec 2026" in seen
            assert "WIRE-RED P2 5 m 0.30 per 1 m 4 Dec 2026" in seen
            assert "placed 20 Nov 2026 with POSTAL" in seen

    run(scene())


# --- receiving -------------------------------------------------------------------------------------------------------


def test_an_order_is_received_in_full_in_two_keys(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4")
            await seat.press("p", "enter")
            assert on_hand(market, "R-4K7") == 32
            assert on_hand(market, "WIRE-RED") == 10_000
            assert {row.state for row in orders(market).rows} == {"received"}
            assert "nothing of it is to come any more" in flat(seat.seen())
            await seat.press("u")
            assert on_hand(market, "R-4K7") == 12

    run(scene())


def test_a_delivered_line_is_received_in_full_in_two_keys(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    buying.drop_order_line(market, "P-7", "WIRE-RED")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4")
            await seat.press("p", "enter")
            assert on_hand(market, "R-4K7") == 32

    run(scene())


def test_p_and_space_receive_at_once_what_is_selected(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "enter", "down", "down", "down", "p")
            assert (on_hand(market, "R-4K7"), on_hand(market, "WIRE-RED")) == (12, 10_000)
            assert "the rest is still to come" in flat(seat.seen())
            await seat.press("p")
            assert "All of WIRE-RED of order P-7 is here." in seat.seen()
            await seat.press("up", "up", "up", "space")
            assert on_hand(market, "R-4K7") == 32

    run(scene())


def test_a_part_that_never_lay_in_a_bin_is_asked_for_one(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    lines = [OrderLine("IFT-455", 2), OrderLine("R-4K7", 1)]
    buying.place_order(market, "T-1", "POSTAL", lines, due_on="2026-12-01")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "p", "enter")
            assert "IFT-455 never lay in a bin. Into which bin?" in seat.asked()
            await seat.type("B1")
            await seat.press("enter")
            assert where(market, "IFT-455").bins == (("B1", 2),)
            assert dict(where(market, "R-4K7").bins) == {"A1": 10, "A2": 3}

    run(scene())


def test_a_line_is_received_short_and_wrong_in_four_keys(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4")
            await seat.press("P", "enter")
            assert "20 at 0.40 per 20 in A2" in seat.asked()
            await seat.type("18 at 0.50 in B1")
            assert "18 of 20, at 0.50 per 20 instead of 0.40 per 20, into B1" in flat(seat.asked())
            await seat.press("enter", "enter")
            row = line_of(market, "R-4K7")
            assert (row.received_qty, row.qty, row.price_micros) == (18, 20, 500_000)
            assert dict(where(market, "R-4K7").bins)["B1"] == 18

    run(scene())


def test_what_will_not_come_is_taken_off_the_order(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "P", "enter")
            await seat.type("15")
            await seat.press("enter")
            assert "And the other 5?" in seat.asked()
            await seat.press("down", "enter")
            row = line_of(market, "R-4K7")
            assert (row.received_qty, row.qty) == (15, 15)
            assert dict(where(market, "R-4K7").bins)["A2"] == 17

    run(scene())


def test_more_than_was_ordered_is_refused_beside_the_field(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "P", "enter")
            await seat.type("22")
            assert "2 more than is to come." in flat(seat.asked())
            await seat.press("enter")
            assert "What came of R-4K7" in seat.asked()
            await seat.press("escape")
            assert on_hand(market, "R-4K7") == 12

    run(scene())


def test_what_somebody_else_received_meanwhile_is_not_received_twice(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "P", "enter")
            await seat.type("20")
            deliveries.receive_order(market, "P-7", lines={"R-4K7": 20})
            await seat.press("enter")
            assert "more of R-4K7 came than are to come" in flat(seat.seen())
            assert on_hand(market, "R-4K7") == 32

    run(scene())


# --- orders ----------------------------------------------------------------------------------------------------------


def test_the_plan_becomes_an_order(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "space")
            await seat.type("P-7")
            assert "There is an order P-7." in flat(seat.asked())
            await seat.press("ctrl+u")
            await seat.type("Q-9")
            await seat.press("enter")
            await seat.type("10 d")
            await seat.press("enter")
            row = line_of(market, "C-100N")
            assert (row.ref, row.supplier, row.qty, row.price_micros) == ("Q-9", "QUAYSIDE", 1, 50_000)
            assert date.fromisoformat(row.due_on) - date.fromisoformat(row.placed_on) == timedelta(days=10)
            assert seat.row() == "order Q-9"

    run(scene())


def test_the_days_of_an_order_are_changed(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "v", "enter")
            await seat.type("31 Feb")
            assert "is no day" in seat.asked()
            await seat.press("ctrl+u")
            await seat.type("9 Dec 2026")
            assert "Wednesday, 9 Dec 2026" in seat.asked()
            await seat.press("enter")
            assert {row.due_on for row in orders(market).rows} == {"2026-12-09"}

    run(scene())


def test_a_day_that_somebody_else_changed_meanwhile_is_not_overwritten(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "v", "enter")
            await seat.type("9 Dec 2026")
            buying.change_order(market, "P-7", due_on="2026-12-24")
            await seat.press("enter")
            seen = flat(seat.seen())
            assert "is due 24 Dec 2026 now, you saw 4 Dec 2026" in seen
            assert {row.due_on for row in orders(market).rows} == {"2026-12-24"}

    run(scene())


def test_quantity_and_price_of_a_row_are_changed(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "enter", "down", "down", "down")
            await seat.press("v", "down", "enter")
            await seat.type("7.5 m")
            await seat.press("enter")
            assert line_of(market, "WIRE-RED").qty == 7500
            await seat.press("v", "down", "down", "enter")
            await seat.type("0.45 per m")
            assert "1 m for 0.45 EUR" in seat.asked()
            await seat.press("enter")
            row = line_of(market, "WIRE-RED")
            assert (row.price_micros, row.per_qty) == (450_000, 1000)

    run(scene())


def test_a_row_is_taken_off_an_order_and_an_order_cancelled(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "enter", "down", "down", "d")
            assert [row.key for row in orders(market).rows] == ["WIRE-RED"]
            await seat.press("up", "up", "d")
            assert {row.state for row in orders(market).rows} == {"cancelled"}
            assert seat.list.shown[-1].key == "order P-7"
            await seat.press("u", "u")
            assert [row.state for row in orders(market).rows] == ["placed", "placed"]

    run(scene())


def test_the_order_is_written_to_a_file_in_three_keys_at_most_and_reads_back(
    run: Run, sit: Sit, curlew: Path, market: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    target = Path("out.csv")
    offers.set_offer(market, "POSTAL", "IFT-455", "X", breaks=[(1, 7_000_000)])

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "end")
            await seat.press("w", "enter")
            await seat.press("ctrl+u")
            await seat.type("out.doc")
            assert "An order is written as .csv, .xlsx or .txt." in flat(seat.asked())
            await seat.press("backspace", "backspace", "backspace")
            await seat.type("csv")
            await seat.press("enter")
            assert "1 row written to out.csv." in seat.seen()

    run(scene())
    with target.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [(row["Supplier"], row["Part"], row["Qty"], row["Price"]) for row in rows] == [
        ("POSTAL", "IFT-455", "2", "7.00")
    ]
    assert read_order(market, target, "POSTAL") == (OrderLine("IFT-455", 2, 7_000_000, 1, "X"),)


# --- offers ----------------------------------------------------------------------------------------------------------


def test_the_breaks_of_an_offer_are_edited_where_they_stand(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "down", "enter", "down", "down", "down")
            assert seat.list.line.text.startswith("QUAYSIDE Q77")
            await seat.press("enter", "enter")
            assert "1: 0.05, 10: 0.04" in seat.asked()
            await seat.type("1: 0.42, 10: 0.36, 100: 0.2x")
            assert "“x” in “0.2x” is neither EUR nor a sign for it." in flat(seat.asked())
            await seat.press("backspace")
            await seat.type("9")
            assert "1 for 0.42 EUR, 100 for 29.00 EUR" in seat.asked()
            await seat.press("enter")
            row = offered(market, "C-100N").rows[0]
            assert row.breaks == ((1, 420_000), (10, 360_000), (100, 290_000))
            assert "short C-100N 100n 1 1 from QUAYSIDE 0.42" in flat(seat.seen())

    run(scene())


def test_an_offer_that_somebody_else_changed_meanwhile_is_not_overwritten(
    run: Run, sit: Sit, curlew: Path, market: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "end", "up", "v", "enter", "enter")
            await seat.type("0.99")
            offers.set_offer(market, "QUAYSIDE", "C-100N", "Q77", breaks=[(1, 60_000)])
            await seat.press("enter")
            assert "was not changed" in flat(seat.seen())
            assert offered(market, "C-100N").rows[0].breaks == ((1, 60_000),)

    run(scene())


@pytest.mark.parametrize(
    ("downs", "typed", "field", "value"),
    [
        (1, "25", "pack_qty", 25),
        (2, "5", "min_qty", 5),
        (3, "2 weeks", "lead_days", 14),
        (4, "30.6.2027", "valid_until", "2027-06-30"),
    ],
)
def test_the_other_fields_of_an_offer_are_changed(
    run: Run, sit: Sit, curlew: Path, market: Workshop, downs: int, typed: str, field: str, value: object
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "end", "up", "v", "enter", *["down"] * downs, "enter")
            await seat.type(typed)
            await seat.press("enter")
            assert getattr(offered(market, "C-100N").rows[0], field) == value

    run(scene())


def test_a_new_offer_makes_the_part_one_to_order(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "end", "v", "enter")
            await seat.type("T45")
            await seat.press("enter")
            await seat.type("7.80")
            await seat.press("enter")
            row = offered(market, "IFT-455").rows[0]
            assert (row.supplier, row.order_code, row.breaks) == ("POSTAL", "T45", ((1, 7_800_000),))
            assert "short IFT-455 2 2 from POSTAL 15.60" in flat(seat.seen())

    run(scene())


def test_an_offer_is_taken_away(run: Run, sit: Sit, curlew: Path, market: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "down", "down", "enter", "down", "down", "down", "d")
            assert offered(market, "C-100N").rows == ()
            assert "nobody offers it" in seat.seen()

    run(scene())


def test_a_supplier_is_added(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "plus")
            await seat.type("supplier")
            await seat.press("enter")
            await seat.type("a/b")
            assert "cannot be the code" in flat(seat.asked())
            await seat.press("ctrl+u")
            await seat.type("tern")
            await seat.press("enter")
            await seat.type("Tern Windings")
            await seat.press("enter")
            assert "New supplier TERN." in seat.seen()

    run(scene())


def test_with_nothing_to_order_and_nothing_under_way_every_key_says_so(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("4", "p")
            assert "no order is under way" in seat.seen()
            await seat.press("w")
            assert "nothing to write out" in seat.seen()
            await seat.press("P")
            assert "no order is under way" in seat.seen()
            await seat.press("space")
            assert "There is nothing to order." in seat.seen()

    run(scene())


# --- what is typed ---------------------------------------------------------------------------------------------------


def test_prices_are_read_as_the_trade_writes_them() -> None:
    expected = Prices(((1, 420_000), (10, 360_000), (100, 290_000)))
    for text in (
        "1: 0.42, 10: 0.36, 100: 0.29",
        "0.42; 10+: 0,36; 100: 0,29",
        "100:0.29,10:0.36,1:0.42",
        "1: € 0,42, 10: 0,36, 100: 0.29 EUR",
    ):
        assert read_prices(text, "pc", "EUR") == expected
    assert read_prices("1: 3.42 per 20", "pc", "EUR") == Prices(((1, 3_420_000),), 20)
    assert read_prices("0.93 / m", "mm", "EUR") == Prices(((1, 930_000),), 1000)


@pytest.mark.parametrize("text", ["", "x", "1: 0.42, 1: 0.36", "0: 0.42", "1: 0.42 USD", "1: -0.42", "1: 0.42 per 0"])
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_prices(text, "pc", "EUR")


def test_a_length_needs_to_say_for_how_much_a_price_is() -> None:
    with pytest.raises(BadInput, match="for how much"):
        read_prices("1: 0.93", "mm", "EUR")


def test_a_price_that_rises_is_pointed_out() -> None:
    check = prices_understood("pc", "EUR")
    assert "dearer" in str(check("1: 0.30, 10: 0.36"))
    assert "dearer" not in str(check("1: 0.42, 10: 0.36"))


UNITS = st.sampled_from(["pc", "mm", "mg", "ul"])
BREAKS = st.dictionaries(st.integers(1, 10**7), st.integers(0, 10**10), min_size=1, max_size=5)


@settings(deadline=None, max_examples=150)
@given(UNITS, BREAKS, st.integers(1, 10**6))
def test_prices_shown_are_read_back_unchanged(unit: str, breaks: dict[int, int], per_qty: int) -> None:
    rows = tuple(sorted(breaks.items()))
    assert read_prices(show_prices(rows, per_qty, unit, "EUR"), unit, "EUR") == Prices(rows, per_qty)


LINE = OrderRow(1, "P-7", "POSTAL", "placed", "", "", 1, "R-4K7", "pc", "P1", 20, 0, 400_000, 20)


@settings(deadline=None, max_examples=100)
@given(
    UNITS,
    st.integers(1, 10**6),
    st.none() | st.integers(0, 10**9),
    st.integers(1, 10**4),
    st.sampled_from(["", "A1", "in tray", "shelf at the door"]),
)
def test_what_came_is_shown_as_it_is_read(unit: str, qty: int, price: int | None, per_qty: int, bin: str) -> None:
    line = LINE._replace(unit=unit, qty=qty, price_micros=price, per_qty=per_qty)
    came = read_came(show_came(line, "EUR", bin), line, "EUR")
    assert came == Came(qty, price, per_qty, bin)
    assert came_said(came, line, "EUR").startswith("all that is to come")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-12-04", "2026-12-04"),
        ("4.12.2026", "2026-12-04"),
        ("4.12.", "2026-12-04"),
        ("4 Dec", "2026-12-04"),
        ("4 december 2027", "2027-12-04"),
        ("3 Jan", "2027-01-03"),
        ("10 d", "2026-12-08"),
        ("2 weeks", "2026-12-12"),
        ("14", "2026-12-12"),
    ],
)
def test_days_are_read_as_people_write_them(text: str, day: str) -> None:
    assert read_day(text, now=date(2026, 11, 28)) == day


@pytest.mark.parametrize("text", ["31.6.2026", "31 Jun", "30 min", "yesterday", "0 Dec", "9999999 d", "29.2.2027"])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_day(text, now=date(2026, 11, 28))


@given(st.integers(0, 9999))
def test_days_are_counted(days: int) -> None:
    assert read_days(str(days)) == days


def test_offers_of_a_part_stand_by_supplier(market: Workshop) -> None:
    offers.set_offer(market, "POSTAL", "C-100N", breaks=[(5, 45_000)], pack_qty=5, lead_days=3)
    answer = offered(market, "C-100N")
    assert answer.sentence == "C-100N: 2 offers."
    assert answer.rows[0] == OfferRow("POSTAL", "Postal Fastener Co", "", ((5, 45_000),), 1, 5, 1, 3, "", "EUR")
    assert [row.supplier for row in answer.rows] == ["POSTAL", "QUAYSIDE"]
    assert offered(market, "IFT-455").sentence == "Nobody offers IFT-455."
