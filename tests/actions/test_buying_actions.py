"""Suppliers, their price lists, and orders until all has arrived."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import buying, deliveries, offers, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.deliveries import Price, Received
from buildbook.actions.incoming import NewPart, Remembered
from buildbook.actions.offers import Offered, OfferRow
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.trade.money import line_micros

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]
Lying = Callable[[str, str], int]

RESISTOR = OfferRow("quayside", "r-4k7", "Q-R47", ((1, 50_000), (100, 20_000)), lead_days=3, valid_until="2026-12-31")


def prices(shop: Workshop) -> list[tuple[str, int, int]]:
    statement = """
        SELECT o.order_code, b.from_qty, b.price_micros FROM offer AS o JOIN offer_break AS b ON b.offer_id = o.id
         ORDER BY 1, 2
    """
    return shop.reads.execute(statement).fetchall()


def order(shop: Workshop) -> tuple[str, list[tuple[int, int]]]:
    state = shop.reads.execute("SELECT state FROM purchase").fetchone()[0]
    return state, shop.reads.execute("SELECT qty, received_qty FROM purchase_line ORDER BY id").fetchall()


def ordered(shop: Workshop, ref: str, *lines: OrderLine) -> str:
    return buying.place_order(shop, ref, "QUAYSIDE", lines)


# --- offers ----------------------------------------------------------------------------------------------------------


def test_a_price_list_adds_and_changes_and_leaves_alone(curlew: Workshop) -> None:
    coil = OfferRow("QUAYSIDE", "IFT-455", "Q-IFT", ((1, 4_000_000),), pack_qty=2, min_qty=4)
    assert offers.set_offers(curlew, [RESISTOR, coil]) == Offered(parts=0, new=2, changed=0, same=0)
    assert offers.set_offers(curlew, [RESISTOR, coil]) == Offered(parts=0, new=0, changed=0, same=2)
    dearer = RESISTOR._replace(breaks=((1, 60_000), (50, 30_000)))
    assert offers.set_offers(curlew, [dearer, coil]) == Offered(parts=0, new=0, changed=1, same=1)
    assert prices(curlew) == [("Q-IFT", 1, 4_000_000), ("Q-R47", 1, 60_000), ("Q-R47", 50, 30_000)]
    assert offers.set_offers(curlew, [coil._replace(lead_days=9)]) == Offered(parts=0, new=0, changed=1, same=0)
    assert curlew.reads.execute("SELECT lead_days FROM offer ORDER BY id").fetchall() == [(3,), (9,)]


def test_a_price_list_may_bring_new_parts_and_names(curlew: Workshop) -> None:
    rows = [RESISTOR._replace(part="Signal diode", order_code="D"), RESISTOR._replace(part="D-SIG", order_code="E")]
    learnt = Remembered({"signal DIODE": "D-SIG"})
    assert offers.set_offers(curlew, rows, new_parts=[NewPart("D-SIG", "diode")], remembered=learnt).new == 2
    assert len(prices(curlew)) == 4


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (RESISTOR._replace(supplier="NOBODY"), "There is no supplier NOBODY."),
        (RESISTOR._replace(part="NOTHING"), "There is no part NOTHING."),
        (RESISTOR._replace(breaks=()), "The offer Q-R47 was not taken."),
        (RESISTOR._replace(breaks=((0, 1),)), "The offer Q-R47 was not taken."),
        (RESISTOR._replace(breaks=((1, 1), (1, 2))), "The offer Q-R47 was not taken."),
        (RESISTOR._replace(breaks=((1, -1),)), "The offer Q-R47 was not taken."),
        (RESISTOR._replace(per_qty=0), "0 to a price cannot be."),
        (RESISTOR._replace(pack_qty=0), "0 in a pack cannot be."),
        (RESISTOR._replace(valid_until="soon"), "“soon” is no day."),
    ],
)
def test_a_row_that_is_no_offer_stops_the_whole_list(curlew: Workshop, dump: Dump, row: OfferRow, said: str) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput) as refused:
        offers.set_offers(curlew, [RESISTOR, row])
    assert refused.value.what == said
    assert dump(curlew) == before


def test_one_offer_is_edited_in_place(curlew: Workshop) -> None:
    number = offers.set_offer(curlew, "quayside", "r-4k7", " Q-R47 ", breaks=[(1, 50_000)], lead_days=3, note="Tape")
    assert offers.set_offer(curlew, "QUAYSIDE", "R-4K7", "Q-R47", breaks=[(1, 60_000), (50, 30_000)]) == number
    assert offers.set_offer(curlew, "QUAYSIDE", "R-4K7", "Q-R47", pack_qty=10, min_qty=50, lead_days="") == number
    assert prices(curlew) == [("Q-R47", 1, 60_000), ("Q-R47", 50, 30_000)]
    statement = "SELECT pack_qty, min_qty, per_qty, lead_days, note FROM offer"
    assert curlew.reads.execute(statement).fetchall() == [(10, 50, 1, None, "Tape")]
    other = offers.set_offer(curlew, "QUAYSIDE", "R-4K7", "Q-R47-R", breaks=[(1, 1)])
    assert other != number
    offers.drop_offer(curlew, "QUAYSIDE", "R-4K7", "Q-R47")
    assert prices(curlew) == [("Q-R47-R", 1, 1)]
    with pytest.raises(BadInput, match=r"QUAYSIDE offers no R-4K7 under “Q-R47”."):
        offers.drop_offer(curlew, "QUAYSIDE", "R-4K7", "Q-R47")


def test_a_new_offer_needs_a_price(curlew: Workshop, dump: Dump) -> None:
    before = dump(curlew)
    for breaks in (None, [], [(0, 1)], [(1, 1), (1, 2)]):
        with pytest.raises(BadInput, match=r"The offer Q was not taken."):
            offers.set_offer(curlew, "QUAYSIDE", "R-4K7", "Q", breaks=breaks)
    assert dump(curlew) == before


# --- orders ----------------------------------------------------------------------------------------------------------


def test_an_order_arrives_in_full_at_its_price(curlew: Workshop, lying: Lying) -> None:
    assert deliveries.receive_order(curlew, "q-1", "A2") == Received(rows=2, qty=13, open_qty=0, state="received")
    assert (lying("IFT-455", "A2"), lying("C-100N", "A2")) == (3, 10)
    statement = "SELECT w.value_micros FROM worth AS w JOIN part AS p ON p.id = w.part_id WHERE p.key = 'IFT-455'"
    assert curlew.reads.execute(statement).fetchone() == (12_000_000,)
    assert order(curlew) == ("received", [(3, 3), (10, 10)])
    with pytest.raises(Forbidden, match=r"Order Q-1 was not received. It is received already."):
        deliveries.receive_order(curlew, "Q-1", "A2")


def test_an_order_arrives_in_pieces(curlew: Workshop, lying: Lying) -> None:
    done = deliveries.receive_order(curlew, "Q-1", lines={"c-100n": "4", "IFT-455": 1}, bin="A1")
    assert done == Received(rows=2, qty=5, open_qty=8, state="placed")
    with pytest.raises(Forbidden, match=r"1 more of C-100N came than are to come."):
        deliveries.receive_order(curlew, "Q-1", "A1", lines={"C-100N": 7})
    with pytest.raises(Forbidden, match=r"1 more of R-4K7 came than are to come."):
        deliveries.receive_order(curlew, "Q-1", "A1", lines={"R-4K7": 1})
    stores.change_part(curlew, "IFT-455", key="IFT-456")
    with pytest.raises(BadInput, match=r"Order Q-1 was not received. A part is named twice."):
        deliveries.receive_order(curlew, "Q-1", "A1", lines={"IFT-455": 1, "IFT-456": 1})
    undo(curlew)
    assert order(curlew) == ("placed", [(3, 1), (10, 4)])
    assert deliveries.receive_order(curlew, "Q-1").state == "received"
    undo(curlew)
    assert order(curlew) == ("placed", [(3, 1), (10, 4)])
    assert (lying("C-100N", "A1"), lying("IFT-455", "A1")) == (4, 1)


def test_without_a_bin_each_part_goes_where_it_was_put_last(curlew: Workshop, lying: Lying) -> None:
    with pytest.raises(BadInput, match=r"IFT-455 has not been in any bin yet. Name a bin for it."):
        deliveries.receive_order(curlew, "Q-1")
    stores.receive(curlew, "C-100N", "A1", 1)
    deliveries.receive_order(curlew, "Q-1", lines={"C-100N": 10})
    assert (lying("C-100N", "A1"), lying("C-100N", "B1")) == (11, 1)
    stores.receive(curlew, "IFT-455", "A1", 1)
    stores.receive(curlew, "IFT-455", "A2", 1)
    undo(curlew)
    deliveries.receive_order(curlew, "Q-1")
    assert lying("IFT-455", "A1") == 4


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    pieces=st.lists(st.integers(1, 9), min_size=1, max_size=5),
    price=st.integers(0, 10_000),
    per_qty=st.integers(1, 7),
)
def test_many_deliveries_cost_what_one_would(curlew: Workshop, pieces: list[int], price: int, per_qty: int) -> None:
    ref = f"Q-{curlew.reads.execute('SELECT count(*) FROM purchase').fetchone()[0] + 1}"
    part = stores.new_part(curlew, f"P-{ref}")
    buying.place_order(curlew, ref, "QUAYSIDE", [OrderLine(part, sum(pieces), price, per_qty)])
    for many in pieces:
        deliveries.receive_order(curlew, ref, "A1", lines={part: many})
    statement = "SELECT w.value_micros FROM worth AS w JOIN part AS p ON p.id = w.part_id WHERE p.key = ?"
    assert curlew.reads.execute(statement, (part,)).fetchone() == (line_micros(sum(pieces), price, per_qty),)


def test_a_cancelled_order_brings_nothing_more(curlew: Workshop, lying: Lying) -> None:
    deliveries.receive_order(curlew, "Q-1", "A1", lines={"C-100N": 4})
    buying.cancel_order(curlew, "Q-1")
    assert lying("C-100N", "A1") == 4
    for again, done in ((deliveries.receive_order, "received"), (buying.cancel_order, "cancelled")):
        with pytest.raises(Forbidden, match=f"Order Q-1 was not {done}. It is cancelled already."):
            again(curlew, "Q-1")


def test_a_row_of_an_order_is_changed_until_all_of_it_has_arrived(curlew: Workshop) -> None:
    deliveries.receive_order(curlew, "Q-1", "A1", lines={"C-100N": 4})
    with pytest.raises(Forbidden) as refused:
        buying.change_order_line(curlew, "Q-1", "C-100N", qty=3)
    assert refused.value.why == "4 of it have arrived, 3 would be ordered."
    number = buying.change_order_line(curlew, "q-1", "c-100n", qty=4, price_micros=2, per_qty=5, due_on="2026-12-04")
    statement = "SELECT qty, received_qty, price_micros, per_qty, due_on FROM purchase_line WHERE id = ?"
    assert curlew.reads.execute(statement, (number,)).fetchone() == (4, 4, 2, 5, "2026-12-04")
    assert order(curlew)[0] == "placed"
    buying.drop_order_line(curlew, "Q-1", "IFT-455")
    assert order(curlew) == ("received", [(4, 4)])
    with pytest.raises(Forbidden, match=r"Order Q-1 was not changed. It is received already."):
        buying.change_order_line(curlew, "Q-1", "C-100N", qty=9)


def test_a_row_goes_while_nothing_of_it_has_arrived_and_another_is_left(curlew: Workshop, dump: Dump) -> None:
    deliveries.receive_order(curlew, "Q-1", "A1", lines={"C-100N": 4})
    with pytest.raises(Forbidden, match=r"C-100N was not taken off order Q-1. 4 of it have arrived."):
        buying.drop_order_line(curlew, "Q-1", "C-100N")
    undo(curlew)
    buying.drop_order_line(curlew, "Q-1", "C-100N")
    with pytest.raises(Forbidden, match=r"Nothing else is on order. Cancel the whole order."):
        buying.drop_order_line(curlew, "Q-1", "IFT-455")
    before = dump(curlew)
    with pytest.raises(BadInput, match=r"Order Q-1 has no row of C-100N."):
        buying.change_order_line(curlew, "Q-1", "C-100N", qty=4)
    assert dump(curlew) == before


def test_of_two_rows_of_one_part_the_number_tells_which(curlew: Workshop) -> None:
    ordered(curlew, "Q-2", OrderLine("R-4K7", 5), OrderLine("R-4K7", 9))
    with pytest.raises(BadInput, match=r"Order Q-2 has several rows of R-4K7. There are 3 and 4. Name one by number."):
        buying.drop_order_line(curlew, "Q-2", "R-4K7")
    assert buying.change_order_line(curlew, "Q-2", 4, qty=8) == 4
    with pytest.raises(BadInput, match=r"Order Q-2 has no row of 1."):
        buying.change_order_line(curlew, "Q-2", 1, qty=8)


def test_what_arrives_at_another_price_is_worth_that(curlew: Workshop) -> None:
    done = deliveries.receive_order(curlew, "Q-1", "A1", lines={"ift-455": 2}, prices={"ift-455": Price(9_000_000, 2)})
    assert done[:4] == (1, 2, 11, "placed")
    statement = "SELECT w.value_micros FROM worth AS w JOIN part AS p ON p.id = w.part_id WHERE p.key = 'IFT-455'"
    assert curlew.reads.execute(statement).fetchone() == (9_000_000,)
    deliveries.receive_order(curlew, "Q-1", "A1", lines={"IFT-455": 1})
    assert curlew.reads.execute(statement).fetchone() == (13_500_000,)
    with pytest.raises(BadInput, match=r"A price is given for IFT-455, and none is to come. Leave it out."):
        deliveries.receive_order(curlew, "Q-1", "A1", prices={"IFT-455": Price(1)})
    with pytest.raises(BadInput, match=r"The price of C-100N was not taken. It is less than nothing."):
        deliveries.receive_order(curlew, "Q-1", "A1", prices={"C-100N": Price(-1)})


def test_an_order_is_placed_today_unless_said_otherwise(curlew: Workshop) -> None:
    buying.place_order(curlew, " Q-2 ", "QUAYSIDE", [OrderLine("R-4K7", 5, due_on="2026-12-04")])
    buying.place_order(curlew, "Q-3", "QUAYSIDE", [OrderLine("R-4K7", 5)], placed_on="2026-10-30", due_on="2026-11-05")
    buying.change_order(curlew, "q-3", due_on="2026-11-09", note="Late")
    statement = "SELECT ref, placed_on, due_on, note FROM purchase ORDER BY id"
    assert curlew.reads.execute(statement).fetchall()[1:] == [
        ("Q-2", "2026-11-02", "", ""),
        ("Q-3", "2026-10-30", "2026-11-09", "Late"),
    ]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda shop: buying.new_supplier(shop, "Quayside"), "The supplier QUAYSIDE was not made."),
        (
            lambda shop: buying.place_order(shop, "q-1", "QUAYSIDE", [OrderLine("R-4K7", 1)]),
            "Order q-1 was not placed.",
        ),
        (lambda shop: buying.place_order(shop, "Q-2", "QUAYSIDE", []), "Order Q-2 was not placed."),
        (lambda shop: buying.place_order(shop, "", "QUAYSIDE", [OrderLine("R-4K7", 1)]), "The order was not placed."),
        (
            lambda shop: buying.place_order(shop, "Q-2", "QUAYSIDE", [OrderLine("R-4K7", 0)]),
            "A quantity of 0 was not taken.",
        ),
        (
            lambda shop: buying.place_order(shop, "Q-2", "QUAYSIDE", [OrderLine("R-4K7", 1, -1)]),
            "The price of R-4K7 was not taken.",
        ),
        (lambda shop: buying.change_order(shop, "Q-1", due_on="Friday"), "“Friday” is no day."),
        (
            lambda shop: deliveries.receive_order(shop, "Q-1", "A1", lines={"C-100N": 0}),
            "A quantity of 0 was not taken.",
        ),
    ],
)
def test_what_is_no_order_is_refused(curlew: Workshop, dump: Dump, wrong: Callable[[Workshop], Any], said: str) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput) as refused:
        wrong(curlew)
    assert refused.value.what == said
    assert dump(curlew) == before
