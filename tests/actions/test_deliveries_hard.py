"""Deliveries where it is hard: rows cut, merged, given back beyond, billed twice; nothing is stuck or counted twice."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import buying, deliveries, stores
from buildbook.actions import matters as settling
from buildbook.actions.buying import OrderLine
from buildbook.actions.deliveries import Odd, Price
from buildbook.actions.drafts import Beside, RowChange, alter_order
from buildbook.actions.merging import merge
from buildbook.actions.workshop import Workshop, redo, set_setting, undo
from buildbook.answers.matters import matters
from buildbook.errors import BadInput, BuildbookError, Forbidden
from buildbook.store.checkup import check
from buildbook.store.checkup_deliveries import deliveries_agree
from buildbook.trade.deliveries import SETTLED_AS


@pytest.fixture
def shelf(curlew: Workshop) -> Workshop:
    """The Curlew with an order under way."""
    order(curlew)
    return curlew


def order(shop: Workshop) -> None:
    """An order of two rows: 20 resistors at 0.05, 6 coils at 4.00."""
    buying.new_supplier(shop, "MILL")
    buying.place_order(shop, "M-1", "MILL", [OrderLine("R-4K7", 20, 50_000), OrderLine("IFT-455", 6, 4_000_000)])


def state(shop: Workshop) -> str:
    """The state of the order."""
    return str(shop.reads.execute("SELECT state FROM purchase WHERE ref = 'M-1'").fetchone()[0])


def lying(shop: Workshop, part: str) -> tuple[int, int]:
    """How much of a part is in stock, and its worth in millionths."""
    statement = "SELECT w.qty, w.value_micros FROM worth AS w JOIN part AS p ON p.id = w.part_id WHERE p.key = ?"
    found = shop.reads.execute(statement, (part,)).fetchone()
    return tuple(found) if found else (0, 0)


def rows(shop: Workshop, ref: str = "M-1") -> list[tuple[int, int]]:
    """What is ordered of each row, and how much of it is closed."""
    statement = """
        SELECT l.qty, l.received_qty FROM purchase_line AS l JOIN purchase AS p ON p.id = l.purchase_id
         WHERE p.ref = ? ORDER BY l.id
    """
    return shop.reads.execute(statement, (ref,)).fetchall()


def sound(shop: Workshop) -> None:
    """Every proof of the file holds."""
    assert [proof.faults for proof in check(shop) if not proof.holds] == []


def open_ones(shop: Workshop) -> list[tuple[str, str, int]]:
    """The open matters: what, of which part, how many."""
    return [(row.what, row.key, row.qty) for row in matters(shop).rows]


def number_of(shop: Workshop, part: str) -> int:
    """The number of the last row of a part; 0 where there is none any more."""
    statement = (
        "SELECT l.id FROM purchase_line AS l JOIN part AS p ON p.id = l.part_id WHERE p.key = ? ORDER BY l.id DESC"
    )
    found = shop.reads.execute(statement, (part,)).fetchone()
    return int(found[0]) if found else 0


@pytest.mark.parametrize(
    "cut",
    [
        lambda shop: buying.change_order_line(shop, "M-1", "R-4K7", qty=17),
        lambda shop: alter_order(shop, "M-1", lines=[RowChange("R-4K7", 17)]),
    ],
)
def test_a_row_is_not_cut_below_what_is_in_question(shelf: Workshop, cut: Callable[[Workshop], object]) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("damaged", "R-4K7", 3)])
    with pytest.raises(Forbidden, match=r"17 of it have arrived and 3 are in question, 17 would be ordered."):
        cut(shelf)
    settling.settle(shelf, 1, "credit")
    sound(shelf)


def test_what_is_in_question_is_not_given_up_with_the_rest(shelf: Workshop) -> None:
    odd = [Odd("damaged", "IFT-455", 2)]
    deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 1}, odd=odd, given_up=[number_of(shelf, "IFT-455")])
    assert rows(shelf) == [(20, 0), (3, 1)]
    settling.settle(shelf, 1, "accepted", reason="they work")
    assert rows(shelf) == [(20, 0), (3, 3)]
    sound(shelf)


def test_what_only_came_damaged_is_not_given_up_with_the_rest(shelf: Workshop) -> None:
    odd = [Odd("damaged", "IFT-455", 2)]
    deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 1}, odd=odd, given_up=[number_of(shelf, "IFT-455")])
    assert rows(shelf) == [(20, 1), (6, 4)]
    settling.settle(shelf, 1, "credit")
    assert rows(shelf) == [(20, 1), (6, 6)]
    sound(shelf)


def test_of_what_was_short_some_comes_and_the_rest_is_credited(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("short", "IFT-455", 3)])
    deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 2})
    assert open_ones(shelf) == [("short", "IFT-455", 1)]
    settling.settle(shelf, 1, "credit", reason="none left")
    assert rows(shelf) == [(20, 20), (6, 6)]
    assert matters(shelf).sentence == "No open matters; 4.00 EUR credited so far."
    sound(shelf)


def test_what_was_short_and_comes_damaged_is_one_matter(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 20}, odd=[Odd("short", "IFT-455", 6)])
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("damaged", "IFT-455", 6)])
    assert open_ones(shelf) == [("damaged", "IFT-455", 6)]
    settling.settle(shelf, matters(shelf).rows[0].number, "accepted", reason="they work", bin="A1")
    assert rows(shelf) == [(20, 20), (6, 6)]
    sound(shelf)


@pytest.mark.parametrize("second", [Odd("damaged", "R-4K7", 18), Odd("short", "R-4K7", 18)])
def test_one_piece_is_not_told_twice_in_a_parcel(shelf: Workshop, second: Odd) -> None:
    with pytest.raises(Forbidden, match=r"18 of R-4K7 are told as (damaged|short), and 17 are to come."):
        deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("short", "R-4K7", 3), second])
    with pytest.raises(Forbidden, match=r"1 more of R-4K7 came than are to come."):
        deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 18}, odd=[Odd("short", "R-4K7", 3)])


def test_a_surplus_given_back_does_not_come_again(shelf: Workshop) -> None:
    odd = [Odd("over", "IFT-455", 5)]
    deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 2}, odd=odd)
    settling.settle(shelf, 1, "accepted", reason="kept")
    number = settling.give_back(shelf, "M-1", "IFT-455", 5, reason="cores are loose")
    with pytest.raises(Forbidden, match=r"It is about 5, and 2 of the row count as received."):
        settling.settle(shelf, number, "reorder")
    settling.settle(shelf, number, "credit")
    sound(shelf)


def test_what_came_instead_does_not_go_back_as_what_was_ordered(shelf: Workshop) -> None:
    stores.receive(shelf, "IFT-455", "A1", 6)
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("wrong", "IFT-455", 4, "C-100N")])
    settling.settle(shelf, matters(shelf).rows[0].number, "accepted", reason="of use", bin="A1")
    with pytest.raises(Forbidden, match=r"2 of it came and are not given back yet."):
        settling.give_back(shelf, "M-1", "IFT-455", 3, reason="loose")


def test_what_came_instead_and_became_the_same_part_is_no_stand_in(shelf: Workshop) -> None:
    stores.new_part(shelf, "R-4K7B", kind="resistor", value="4k7")
    deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("wrong", "R-4K7", 2, "R-4K7B")])
    merge(shelf, "R-4K7B", "R-4K7")
    with pytest.raises(BadInput, match=r"Only what came instead"):
        settling.settle(shelf, 1, "accepted", reason="the same", stand_in=True)
    settling.settle(shelf, 1, "accepted", reason="the same")
    assert rows(shelf)[0] == (20, 20)
    settling.give_back(shelf, "M-1", "R-4K7", 20, reason="all of them", bin="A1")
    sound(shelf)


def test_each_bill_keeps_its_own_price(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 2}, prices={"IFT-455": Price(4_500_000)})
    deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 2}, prices={"IFT-455": Price(10_000_000, 2)})
    assert [row.said for row in matters(shelf).rows] == [
        "2 at 9.00 instead of 8.00 for 2",
        "2 at 10.00 instead of 9.00 for 2",
    ]
    buying.change_order_line(shelf, "M-1", "IFT-455", price_micros=7_000_000, per_qty=1)
    assert [row.worth_micros for row in matters(shelf).rows] == [1_000_000, 1_000_000]
    sound(shelf)


def test_a_price_told_stays_when_the_row_is_priced_otherwise(shelf: Workshop) -> None:
    odd = [Odd("over", "R-4K7", 5, price=Price(20_000))]
    deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 5}, odd=odd)
    buying.change_order_line(shelf, "M-1", "R-4K7", price_micros=1_000_000, per_qty=20)
    assert matters(shelf).rows[0].worth_micros == 100_000
    before = lying(shelf, "R-4K7")
    settling.settle(shelf, 1, "accepted", reason="kept")
    assert lying(shelf, "R-4K7") == (before[0] + 5, before[1] + 100_000)


def test_what_was_credited_stays_when_the_row_is_priced_otherwise(shelf: Workshop) -> None:
    deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 20}, odd=[Odd("damaged", "IFT-455", 2)])
    settling.settle(shelf, 1, "credit", reason="cracked")
    buying.change_order_line(shelf, "M-1", "IFT-455", price_micros=30_000_000, per_qty=3)
    assert matters(shelf).sentence == "No open matters; 8.00 EUR credited so far."
    assert matters(shelf, settled=True).rows[0].worth_micros == 8_000_000


def test_a_cheaper_bill_is_taken_without_asking(shelf: Workshop) -> None:
    done = deliveries.receive_order(shelf, "M-1", "A1", prices={"IFT-455": Price(3_500_000)})
    assert (done.matters, matters(shelf).sentence) == ((), "No open matters.")
    (row,) = matters(shelf, settled=True).rows
    assert (row.settled, row.worth_micros) == ("accepted", -3_000_000)


@pytest.mark.parametrize("price", [Price(-1), Price(1, 0), Price(1, -5), Price(10**15 + 1), Price(2**70)])
def test_a_price_that_cannot_be_is_refused(shelf: Workshop, price: Price) -> None:
    with pytest.raises(BadInput):
        deliveries.receive_order(shelf, "M-1", "A1", odd=[Odd("over", "R-4K7", 5, price=price)])
    with pytest.raises(BadInput):
        deliveries.receive_order(shelf, "M-1", "A1", prices={"R-4K7": price})


def test_a_price_too_great_for_so_many_is_refused(shelf: Workshop) -> None:
    odd = [Odd("over", "IFT-455", 5, price=Price(10**15))]
    deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 1}, odd=odd)
    with pytest.raises(BadInput, match=r"1,000,000 would cost more than can be counted."):
        buying.change_order_line(shelf, "M-1", "IFT-455", per_qty=1_000_000)


def test_of_several_rows_of_a_part_one_is_named_by_its_number(shelf: Workshop) -> None:
    buying.place_order(shelf, "M-2", "MILL", [OrderLine("R-4K7", 20, 50_000), OrderLine("R-4K7", 5, 60_000)])
    deliveries.receive_order(shelf, "M-2", "A1")
    number = number_of(shelf, "R-4K7")
    with pytest.raises(BadInput, match=rf"There are {number - 1} and {number}. Name one by number."):
        settling.give_back(shelf, "M-2", "R-4K7", 1, reason="bent")
    settling.give_back(shelf, "M-2", str(number), 1, reason="bent")
    assert [(row.key, row.worth_micros) for row in matters(shelf).rows] == [("R-4K7", 60_000)]
    with pytest.raises(BadInput, match=r"There is no part 99."):
        settling.give_back(shelf, "M-2", "99", 1, reason="bent")


@pytest.mark.parametrize("number", [0, -1, 2**63, 2**70])
def test_a_number_that_is_none_is_no_matter(shelf: Workshop, number: int) -> None:
    with pytest.raises(BadInput, match=r"There is no matter"):
        settling.settle(shelf, number, "credit")


def test_metres_are_told_in_metres(shelf: Workshop) -> None:
    stores.new_part(shelf, "WIRE", kind="wire", unit="mm")
    buying.place_order(shelf, "M-2", "MILL", [OrderLine("WIRE", 5000, 300_000, 1000), OrderLine("WIRE", 2000, None)])
    odd = [Odd("damaged", "WIRE", "5.5 m"), Odd("over", "WIRE", "300")]
    deliveries.receive_order(shelf, "M-2", "A1", odd=odd)
    assert rows(shelf, "M-2") == [(5000, 0), (2000, 1500)]
    said = [(row.qty, row.worth_micros, row.said) for row in matters(shelf).rows]
    assert said == [
        (5000, 1_500_000, "5 m came damaged"),
        (500, None, "500 mm came damaged"),
        (300, 90_000, "300 mm too many came"),
    ]
    for row in matters(shelf).rows:
        settling.settle(shelf, row.number, "accepted", reason="of use")
    assert rows(shelf, "M-2") == [(5000, 5000), (2000, 2000)]
    assert lying(shelf, "WIRE")[0] == 7300
    sound(shelf)


def test_of_a_cancelled_order_matters_are_still_settled(shelf: Workshop) -> None:
    odd = [Odd("short", "R-4K7", 3), Odd("damaged", "IFT-455", 2)]
    deliveries.receive_order(shelf, "M-1", "A1", odd=odd)
    number = settling.give_back(shelf, "M-1", "R-4K7", 1, reason="bent")
    buying.cancel_order(shelf, "M-1")
    for one in (1, 2, number):
        with pytest.raises(Forbidden):
            settling.settle(shelf, one, "reorder")
    with pytest.raises(Forbidden, match=r"It is cancelled already."):
        deliveries.receive_order(shelf, "M-1", "A1")
    settling.settle(shelf, 1, "credit")
    settling.settle(shelf, 2, "accepted", reason="they work")
    settling.settle(shelf, number, "written off")
    assert open_ones(shelf) == []
    sound(shelf)


def test_every_deed_is_undone_and_done_again_exactly(shelf: Workshop) -> None:
    stores.new_part(shelf, "R-4K7-1W", kind="resistor", value="4k7")
    odd = [
        Odd("short", "R-4K7", 3),
        Odd("replaced", "R-4K7", 4, "R-4K7-1W"),
        Odd("damaged", "IFT-455", 2),
        Odd("over", "IFT-455", 1),
    ]
    prices = {"IFT-455": Price(8_500_000, 2)}
    known_then = [told(shelf)]
    for deed in (
        lambda: deliveries.receive_order(shelf, "M-1", "A1", lines={"IFT-455": 1}, odd=odd, prices=prices),
        lambda: deliveries.receive_order(shelf, "M-1", "A1", lines={"R-4K7": 14}),
        lambda: settling.settle(shelf, 2, "accepted", reason="more watts", stand_in=True, bin="A2"),
        lambda: settling.settle(shelf, 3, "reorder", due_on="2027-01-12"),
        lambda: settling.settle(shelf, 4, "accepted", reason="kept"),
        lambda: settling.give_back(shelf, "M-1", "IFT-455", 2, reason="loose"),
        lambda: merge(shelf, "R-4K7-1W", "R-4K7"),
        lambda: deliveries.receive_order(
            shelf, "M-1", "A1", lines={"IFT-455": 1}, given_up=[number_of(shelf, "R-4K7")]
        ),
        lambda: buying.change_order_line(shelf, "M-1", "IFT-455", price_micros=3_900_000, per_qty=3),
        lambda: buying.cancel_order(shelf, "M-1"),
    ):
        deed()
        known_then.append(told(shelf))
        sound(shelf)
    for known in reversed(known_then[:-1]):
        undo(shelf)
        assert told(shelf) == known
        sound(shelf)
    for known in known_then[1:]:
        redo(shelf)
        assert told(shelf) == known
        sound(shelf)


MANY = st.integers(1, 8)
KEYS = st.sampled_from(("R-4K7", "IFT-455"))
TOLD = st.tuples(st.sampled_from(("short", "over", "damaged", "wrong", "replaced")), KEYS, MANY)
HISTORIES = st.lists(
    st.one_of(
        st.tuples(st.just("come"), st.lists(TOLD, max_size=3), st.dictionaries(KEYS, MANY, max_size=2)),
        st.tuples(st.just("bill"), KEYS, st.tuples(st.integers(0, 9_000_000), st.integers(1, 7))),
        st.tuples(st.just("give up"), KEYS, st.dictionaries(KEYS, MANY, min_size=1)),
        st.tuples(st.just("cut"), KEYS, MANY),
        st.tuples(st.just("reprice"), KEYS, st.tuples(st.integers(0, 9_000_000), st.integers(1, 7))),
        st.tuples(st.just("by hand"), KEYS, st.tuples(MANY, st.integers(0, 9_000_000), st.integers(1, 7))),
        st.tuples(st.just("settle"), st.integers(0, 9), st.integers(0, 3)),
        st.tuples(st.just("back"), KEYS, MANY),
        st.tuples(st.sampled_from(("cancel", "undo", "redo")), st.none(), st.none()),
    ),
    min_size=3,
    max_size=12,
)


def do(shop: Workshop, deed: tuple[str, object, object]) -> None:
    """One deed of a history; what cannot be done now is refused."""
    match deed:
        case ("come", list(odd), dict(lines)):
            odd = [Odd(what, key, many, "C-100N" if what in ("wrong", "replaced") else "") for what, key, many in odd]
            deliveries.receive_order(shop, "M-1", "A1", lines=lines or None, odd=odd)
        case ("bill", str(key), (int(micros), int(per))):
            deliveries.receive_order(shop, "M-1", "A1", lines={key: 1}, prices={key: Price(micros, per)})
        case ("give up", str(key), dict(lines)):
            deliveries.receive_order(shop, "M-1", "A1", lines=lines, given_up=[number_of(shop, key)])
        case ("cut", str(key), int(many)):
            buying.change_order_line(shop, "M-1", key, qty=many)
        case ("reprice", str(key), (int(micros), int(per))):
            buying.change_order_line(shop, "M-1", key, price_micros=micros, per_qty=per)
        case ("by hand", str(key), (int(many), int(micros), int(per))):
            alter_order(shop, "M-1", lines=[RowChange(key, many, micros, per)])
        case ("settle", int(number), int(way)):
            if found := matters(shop).rows:
                row = found[number % len(found)]
                ways = SETTLED_AS[row.what]
                settling.settle(shop, row.number, ways[way % len(ways)], reason="so it was agreed", bin="A1")
        case ("back", str(key), int(many)):
            settling.give_back(shop, "M-1", key, many, reason="not needed", bin="A1")
        case ("cancel", _, _):
            buying.cancel_order(shop, "M-1")
        case ("undo", _, _):
            undo(shop)
        case _:
            redo(shop)


# What is usually settled by coming again; of a cancelled order nothing does.
COMES_AGAIN = ("short", "wrong", "damaged")
BEYOND = """
    SELECT count(*) FROM purchase_line AS l
     WHERE l.received_qty + (SELECT coalesce(sum(qty), 0) FROM delivery_line
                              WHERE purchase_line_id = l.id AND settled = ''
                                AND what IN ('short', 'wrong', 'damaged', 'replaced')) > l.qty
"""
PAID = """
    SELECT coalesce(sum(value_micros), 0)
      FROM movement AS m WHERE purchase_line_id IS NOT NULL AND m.part_id = (SELECT id FROM part WHERE key = ?)
"""


@pytest.fixture(scope="module")
def ordered(curlew_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of the workshop with that order; each history has a copy of its own."""
    path = tmp_path_factory.mktemp("ordered") / "ordered.db"
    shutil.copyfile(curlew_file, path)
    with closing(Workshop(path)) as shop:
        order(shop)
        alter_order(shop, "M-1", beside=Beside(shipping_micros=3_330_001, tax_micros=5_000_003))
    return path


@settings(max_examples=40, deadline=None)
@given(history=HISTORIES, landed=st.sampled_from(("no", "yes")))
def test_nothing_is_stuck_and_nothing_counted_twice(
    ordered: Path, history: list[tuple[str, object, object]], landed: str
) -> None:
    """No rule of the file is ever run into; what is open of a row is never more than is to come; all can be settled."""
    with TemporaryDirectory() as room:
        path = Path(room) / "history.db"
        shutil.copyfile(ordered, path)
        with closing(Workshop(path)) as shop:
            set_setting(shop, "landed_cost", landed)
            live_through(shop, history)


def told(shop: Workshop) -> list[object]:
    """What is known of orders, parcels, stock and stand-ins; movements are only ever added."""
    stand_ins = shop.reads.execute("SELECT * FROM stand_in ORDER BY id").fetchall()
    return [*(kept for table, kept in written(shop).items() if table != "movement"), stand_ins]


def written(shop: Workshop) -> dict[str, list[object]]:
    """All that deliveries write."""
    tables = ("purchase", "purchase_line", "delivery", "delivery_line", "movement", "worth", "balance")
    return {table: shop.reads.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall() for table in tables}


def live_through(shop: Workshop, history: list[tuple[str, object, object]]) -> None:
    """Do one thing after another, prove the books after each, and settle what is open at the end."""
    start = {key: lying(shop, key)[1] for key in ("R-4K7", "IFT-455", "C-100N")}
    refused = []
    for deed in history:
        before = written(shop)
        try:
            do(shop, deed)
        except BuildbookError as error:
            refused.append(str(error))
            assert written(shop) == before
        assert shop.reads.execute(BEYOND).fetchone() == (0,)
        assert list(deliveries_agree(shop.reads).faults) == []
        for key, worth in start.items():
            assert lying(shop, key)[1] == worth + shop.reads.execute(PAID, (key,)).fetchone()[0]
    assert [said for said in refused if "rule of the workshop" in said] == []
    for row in matters(shop).rows:
        usual = SETTLED_AS[row.what][1 if state(shop) == "cancelled" and row.what in COMES_AGAIN else 0]
        settling.settle(shop, row.number, usual, reason="at the end", bin="A1")
    assert matters(shop).rows == ()
    sound(shop)
