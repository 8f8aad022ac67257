"""Parcels as they arrive: each difference is told, settled, and counted once; the books agree at every moment."""

from __future__ import annotations

import pytest

from buildbook.actions import buying, deliveries, stores
from buildbook.actions import matters as settling
from buildbook.actions.buying import OrderLine
from buildbook.actions.deliveries import Odd, Price
from buildbook.actions.merging import merge
from buildbook.actions.workshop import Workshop
from buildbook.answers.matters import matters
from buildbook.answers.orders import orders
from buildbook.errors import BadInput, BuildbookError, Forbidden
from buildbook.store.checkup import check


@pytest.fixture
def shelf(curlew: Workshop) -> Workshop:
    """An order of two rows: 20 resistors at 0.05, 6 coils at 4.00."""
    buying.new_supplier(curlew, "MILL")
    lines = [OrderLine("R-4K7", 20, 50_000), OrderLine("IFT-455", 6, 4_000_000)]
    buying.place_order(curlew, "M-1", "MILL", lines)
    return curlew


def lying(shop: Workshop, part: str) -> tuple[int, int]:
    """How much of a part is in stock, and its worth in millionths."""
    statement = "SELECT w.qty, w.value_micros FROM worth AS w JOIN part AS p ON p.id = w.part_id WHERE p.key = ?"
    found = shop.reads.execute(statement, (part,)).fetchone()
    return tuple(found) if found else (0, 0)


def rows(shop: Workshop, ref: str = "M-1") -> list[tuple[int, int]]:
    statement = """
        SELECT l.qty, l.received_qty FROM purchase_line AS l JOIN purchase AS p ON p.id = l.purchase_id
         WHERE p.ref = ? ORDER BY l.id
    """
    return shop.reads.execute(statement, (ref,)).fetchall()


def state(shop: Workshop, ref: str = "M-1") -> str:
    return str(shop.reads.execute("SELECT state FROM purchase WHERE ref = ?", (ref,)).fetchone()[0])


def sound(shop: Workshop) -> None:
    assert [proof.faults for proof in check(shop) if not proof.holds] == []


def test_all_that_is_to_come_but_the_odd_goes_into_stock(shelf: Workshop) -> None:
    before = lying(shelf, "R-4K7")
    odd = [Odd("short", "R-4K7", 3), Odd("damaged", "R-4K7", 2), Odd("wrong", "ift-455", 1, "c-100n")]
    done = deliveries.receive_order(shelf, "M-1", "A1", odd=odd)
    assert (done.rows, done.qty, done.open_qty, done.state) == (2, 20, 6, "placed")
    assert rows(shelf) == [(20, 15), (6, 5)]
    assert lying(shelf, "R-4K7") == (before[0] + 15, before[1] + 750_000)
    said = [(row.number, row.what, row.key, row.qty, row.instead, row.worth_micros) for row in matters(shelf).rows]
    assert said == [
        (1, "short", "R-4K7", 3, "", 150_000),
        (2, "damaged", "R-4K7", 2, "", 100_000),
        (3, "wrong", "IFT-455", 1, "C-100N", 4_000_000),
    ]
    assert matters(shelf).sentence == "3 open matters, 4.25 EUR at stake."
    sound(shelf)


def test_what_was_short_comes_later_and_is_settled_by_coming(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("short", "R-4K7", 3)])
    deliveries.receive_order(shelf, "M-1", "A1")
    assert (rows(shelf), state(shelf)) == ([(20, 20), (6, 6)], "received")
    assert matters(shelf).rows == ()
    assert [row.settled for row in matters(shelf, settled=True).rows] == ["as ordered"]
    with pytest.raises(Forbidden, match=r"It is settled already: as ordered."):
        settling.settle(shelf, 1, "credit")
    sound(shelf)


@pytest.mark.parametrize(
    ("odd", "how", "closed", "in_stock", "worth", "now"),
    [
        (Odd("short", "R-4K7", 3), "credit", 20, 17, 850_000, "received"),
        (Odd("short", "R-4K7", 3), "written off", 20, 17, 850_000, "received"),
        (Odd("short", "R-4K7", 3), "reorder", 17, 17, 850_000, "placed"),
        (Odd("short", "R-4K7", 3), "as ordered", 20, 20, 1_000_000, "received"),
        (Odd("damaged", "R-4K7", 3), "accepted", 20, 20, 1_000_000, "received"),
        (Odd("damaged", "R-4K7", 3), "credit", 20, 17, 850_000, "received"),
        (Odd("damaged", "R-4K7", 3), "reorder", 17, 17, 850_000, "placed"),
        (Odd("over", "R-4K7", 5), "accepted", 20, 25, 1_250_000, "received"),
        (Odd("over", "R-4K7", 5, price=Price(20_000)), "accepted", 20, 25, 1_100_000, "received"),
        (Odd("over", "R-4K7", 5), "sent back", 20, 20, 1_000_000, "received"),
    ],
)
def test_each_way_to_settle(
    shelf: Workshop, odd: Odd, how: str, closed: int, in_stock: int, worth: int, now: str
) -> None:
    before = lying(shelf, "R-4K7")
    deliveries.receive_order(shelf, "M-1", "A1", odd=[odd])
    settling.settle(shelf, 1, how, reason="agreed by telephone")
    after = lying(shelf, "R-4K7")
    assert rows(shelf)[0] == (20, closed)
    assert (after[0] - before[0], after[1] - before[1]) == (in_stock, worth)
    assert state(shelf) == now
    sound(shelf)


def test_what_came_instead_is_accepted_as_a_stand_in(shelf: Workshop) -> None:
    stores.new_part(shelf, "R-4K7-1W", kind="resistor", value="4k7")
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("replaced", "R-4K7", 4, "R-4K7-1W")])
    with pytest.raises(Forbidden, match=r"A stand-in needs a reason."):
        settling.settle(shelf, 1, "accepted", stand_in=True, bin="A2")
    settling.settle(shelf, 1, "accepted", reason="same value, more watts", stand_in=True, bin="A2")
    assert lying(shelf, "R-4K7-1W") == (4, 200_000)
    assert rows(shelf)[0] == (20, 20)
    assert shelf.reads.execute("SELECT reason FROM stand_in ORDER BY id DESC").fetchone() == ("same value, more watts",)
    sound(shelf)


def test_a_dearer_bill_is_a_matter(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", prices={"IFT-455": Price(4_500_000)})
    (row,) = matters(shelf).rows
    assert (row.what, row.qty, row.worth_micros, row.said) == ("price", 6, 3_000_000, "6 at 4.50 instead of 4.00")
    assert lying(shelf, "IFT-455")[1] == 27_000_000
    settling.settle(shelf, row.number, "credit", reason="list price holds")
    assert matters(shelf).sentence == "No open matters; 3.00 EUR credited so far."


def test_goods_go_back(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1")
    before = lying(shelf, "IFT-455")
    number = settling.give_back(shelf, "M-1", "IFT-455", 2, reason="cores are loose")
    assert lying(shelf, "IFT-455")[0] == before[0] - 2
    assert state(shelf) == "received"
    with pytest.raises(Forbidden, match=r"4 of it came and are not given back yet."):
        settling.give_back(shelf, "M-1", "IFT-455", 5, reason="all of them")
    settling.settle(shelf, number, "reorder", due_on="2027-01-12")
    assert (rows(shelf), state(shelf)) == ([(20, 20), (6, 4)], "placed")
    deliveries.receive_order(shelf, "M-1")
    assert lying(shelf, "IFT-455")[0] == before[0]
    sound(shelf)


def test_what_is_in_question_is_not_taken_in_by_the_rest(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("damaged", "IFT-455", 6)])
    with pytest.raises(BadInput, match=r"All that is to come is in question. Settle it"):
        deliveries.receive_order(shelf, "M-1", "A1")
    with pytest.raises(Forbidden, match=r"1 more of IFT-455 came than are to come."):
        deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 1})


@pytest.mark.parametrize(
    ("odd", "why"),
    [
        (Odd("lost", "R-4K7", 1), "no difference"),
        (Odd("wrong", "R-4K7", 1), "Name what came instead"),
        (Odd("short", "R-4K7", 1, "C-100N"), "for that alone"),
        (Odd("wrong", "R-4K7", 1, "r-4k7"), "instead of itself"),
        (Odd("wrong", "R-4K7", 1, "WIRE"), "not counted as"),
        (Odd("short", "R-4K7", 21), "21 of R-4K7 are told as short, and 20 are to come."),
        (Odd("short", "C-100N", 1), "has no row of C-100N"),
        (Odd("over", "R-4K7", 0), "A quantity of 0"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(shelf: Workshop, odd: Odd, why: str) -> None:
    stores.new_part(shelf, "WIRE", kind="wire", unit="mm")
    before = rows(shelf), lying(shelf, "R-4K7")
    with pytest.raises(BuildbookError, match=why):
        deliveries.receive_order(shelf, "M-1", "A1", odd=[odd])
    assert (rows(shelf), lying(shelf, "R-4K7")) == before
    assert shelf.reads.execute("SELECT count(*) FROM delivery").fetchone() == (0,)


def test_a_matter_is_settled_as_it_can_be(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("over", "R-4K7", 5)])
    with pytest.raises(Forbidden, match=r"It is told as over. Choose one of: sent back, accepted."):
        settling.settle(shelf, 1, "reorder")
    for number in (2, 99):
        with pytest.raises(BadInput, match=rf"There is no matter {number}."):
            settling.settle(shelf, number, "credit")


def test_a_row_that_a_parcel_told_of_stays(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 1}, odd=[Odd("short", "IFT-455", 6)])
    with pytest.raises(Forbidden, match=r"A parcel told of it."):
        buying.drop_order_line(shelf, "M-1", "IFT-455")
    number = shelf.reads.execute("SELECT max(id) FROM purchase_line").fetchone()[0]
    deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 1}, given_up=[number])
    assert rows(shelf) == [(20, 2), (6, 6)]
    assert matters(shelf).rows == ()
    sound(shelf)


def test_what_came_instead_may_be_merged(shelf: Workshop) -> None:
    stores.new_part(shelf, "R-4K7B", kind="resistor", value="4k7")
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("wrong", "IFT-455", 1, "R-4K7B")])
    merge(shelf, "R-4K7B", "R-4K7")
    assert matters(shelf).rows[0].instead == "R-4K7"
    sound(shelf)


def test_what_never_came_is_told_apart_from_what_came(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("short", "R-4K7", 3), Odd("damaged", "IFT-455", 2)])
    settling.settle(shelf, 1, "credit")
    settling.settle(shelf, 2, "accepted", bin="A1")
    rows_now = [(row.key, row.received_qty, row.came_qty, row.not_coming_qty) for row in orders(shelf).rows]
    assert rows_now[-2:] == [("R-4K7", 20, 17, 3), ("IFT-455", 6, 6, 0)]
