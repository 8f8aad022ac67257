"""Orders from draft to confirmed: what is coming, what it costs, and what the supplier said."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import buying, drafts, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.drafts import AS_TERMS, Beside, RowChange
from buildbook.actions.workshop import Workshop, redo, undo
from buildbook.errors import BadInput, Forbidden

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]

LINES = (OrderLine("R-4K7", 20, 50_000, order_code="Q-R47"), OrderLine("C-100N", 10, 200_000))


@pytest.fixture
def drafted(curlew: Workshop) -> Workshop:
    terms.set_terms(curlew, "QUAYSIDE", shipping="4.90, free from 75", discount="10 % from 3", tax="20")
    drafts.draft_order(curlew, "D-1", "QUAYSIDE", LINES)
    return curlew


def head(shop: Workshop, ref: str = "D-1") -> tuple[Any, ...]:
    statement = """SELECT state, placed_on, due_on, confirmed_on, discount_micros, shipping_micros, tax_micros
                     FROM purchase WHERE ref = ?"""
    row: tuple[Any, ...] = shop.reads.execute(statement, (ref,)).fetchone()
    return row


def rows(shop: Workshop, ref: str = "D-1") -> list[tuple[Any, ...]]:
    statement = """
        SELECT t.key, l.qty, l.price_micros, l.due_on FROM purchase AS p
          JOIN purchase_line AS l ON l.purchase_id = p.id JOIN part AS t ON t.id = l.part_id
         WHERE p.ref = ? ORDER BY l.id
    """
    return shop.reads.execute(statement, (ref,)).fetchall()


def test_a_draft_is_changed_by_hand_and_stays_one(drafted: Workshop) -> None:
    drafts.alter_order(
        drafted, "d-1", lines=[RowChange("C-100N", 15), RowChange("IFT-455", 2, 7_800_000)], off=["R-4K7"], note="ring"
    )
    assert rows(drafted) == [("C-100N", 15, 200_000, ""), ("IFT-455", 2, 7_800_000, "")]
    assert head(drafted) == ("drafted", "", "", "", 0, None, None)
    buying.change_order_line(drafted, "D-1", "C-100N", qty=3)
    buying.drop_order_line(drafted, "D-1", "IFT-455")
    assert head(drafted)[0] == "drafted"


def test_a_draft_cannot_be_received_and_nothing_is_left_of_the_try(drafted: Workshop, dump: Dump) -> None:
    from buildbook.actions.deliveries import receive_order

    before = dump(drafted)
    with pytest.raises(Forbidden, match=r"It is drafted only\. Place it first\."):
        receive_order(drafted, "D-1", "A1")
    assert dump(drafted) == before


def test_placing_writes_down_what_the_terms_of_the_day_ask(drafted: Workshop) -> None:
    # 20 x 0.05 + 10 x 0.20 = 3.00 of goods, 10 % off, 4.90 postage, 20 % tax on the goods alone.
    assert drafts.place_draft(drafted, "d-1", placed_on="2026-11-03", due_on="2026-11-06") == "D-1"
    assert head(drafted) == ("placed", "2026-11-03", "2026-11-06", "", 300_000, 4_900_000, 540_000)
    terms.set_terms(drafted, "QUAYSIDE", shipping="9.00", tax="0")
    assert head(drafted)[4:] == (300_000, 4_900_000, 540_000)
    with pytest.raises(Forbidden, match="It is placed already"):
        drafts.place_draft(drafted, "D-1")


def test_what_is_said_by_hand_is_kept_and_the_rest_follows_the_terms(drafted: Workshop) -> None:
    drafts.alter_order(drafted, "D-1", beside=Beside(shipping_micros=1_000_000))
    assert head(drafted)[4:] == (300_000, 1_000_000, None)
    drafts.alter_order(drafted, "D-1", beside=Beside(discount_micros=0))
    drafts.place_draft(drafted, "D-1")
    assert head(drafted)[4:] == (0, 1_000_000, 600_000)
    drafts.alter_order(drafted, "D-1", beside=AS_TERMS)
    assert head(drafted)[4:] == (300_000, 4_900_000, 540_000)
    with pytest.raises(BadInput, match="The discount is more than the goods"):
        drafts.alter_order(drafted, "D-1", beside=Beside(discount_micros=3_000_001))
    with pytest.raises(BadInput, match="less than nothing"):
        drafts.alter_order(drafted, "D-1", beside=Beside(tax_micros=-1))


def test_a_foreign_order_keeps_the_rate_of_its_day(drafted: Workshop) -> None:
    terms.set_rate(drafted, "GBP", "1.16")
    terms.set_terms(drafted, "QUAYSIDE", shipping="0", discount="")
    terms.set_terms(drafted, "QUAYSIDE", currency="GBP", shipping="5.00", tax="0")
    drafts.place_draft(drafted, "D-1")
    terms.set_rate(drafted, "GBP", "1.30")
    found = drafted.reads.execute("SELECT currency, rate, shipping_micros FROM purchase WHERE ref = 'D-1'").fetchone()
    assert found == ("GBP", "1.16", 5_800_000)


def test_an_order_is_confirmed_for_a_day_and_some_of_it_for_another(drafted: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"It is drafted only\. Place it first\."):
        drafts.confirm_order(drafted, "D-1")
    drafts.place_draft(drafted, "D-1")
    drafts.confirm_order(
        drafted,
        "D-1",
        on="2026-11-04",
        due_on="2026-11-10",
        lines={"c-100n": "2026-11-20"},
        beside=Beside(shipping_micros=0),
    )
    assert head(drafted)[2:4] == ("2026-11-10", "2026-11-04")
    assert head(drafted)[5] == 0
    assert [row[3] for row in rows(drafted)] == ["", "2026-11-20"]


def test_moving_an_order_tells_of_the_day_before(drafted: Workshop) -> None:
    drafts.place_draft(drafted, "D-1", due_on="2026-11-06")
    assert drafts.move_order(drafted, "D-1", "2026-11-09", "C-100N") == "2026-11-06"
    assert drafts.move_order(drafted, "D-1", "2026-11-13") == "2026-11-06"
    assert [row[3] for row in rows(drafted)] == ["", ""]
    titles = [row[0] for row in drafted.reads.execute("SELECT title FROM journal_entry ORDER BY id DESC LIMIT 2")]
    assert titles == [
        "Move order D-1 from 2026-11-06 to 2026-11-13",
        "Move C-100N of order D-1 from 2026-11-06 to 2026-11-09",
    ]
    with pytest.raises(BadInput, match="no such row"):
        drafts.move_order(drafted, "D-1", "2026-11-09", "WIRE-RED")


def test_an_order_keeps_a_row_and_what_has_come(drafted: Workshop) -> None:
    drafts.alter_order(drafted, "D-1", off=["R-4K7"])
    with pytest.raises(Forbidden, match="Nothing else is on order"):
        drafts.alter_order(drafted, "D-1", off=["C-100N"])
    with pytest.raises(BadInput, match="There is no row of it"):
        drafts.alter_order(drafted, "D-1", off=["R-4K7"])
    with pytest.raises(BadInput, match="A quantity of 0"):
        drafts.alter_order(drafted, "D-1", lines=[RowChange("C-100N", 0)])


def test_references_made_from_the_supplier_are_new(drafted: Workshop) -> None:
    buying.new_supplier(drafted, "TERN")
    assert drafts.draft_order(drafted, "", "quayside", LINES) == "QUAYSIDE-1"
    assert drafts.draft_orders(drafted, {"QUAYSIDE": LINES, "TERN": LINES[:1]}) == ("QUAYSIDE-2", "TERN-1")
    buying.cancel_order(drafted, "TERN-1")
    assert head(drafted, "TERN-1")[0] == "cancelled"
    with pytest.raises(BadInput, match="There is one of that reference"):
        drafts.draft_order(drafted, "d-1", "QUAYSIDE", LINES)
    with pytest.raises(BadInput, match="Nothing is ordered"):
        drafts.draft_order(drafted, "D-2", "QUAYSIDE", [])


ACTS: dict[str, Callable[[Workshop], object]] = {
    "draft": lambda shop: drafts.draft_order(shop, "D-2", "QUAYSIDE", LINES),
    "draft several": lambda shop: drafts.draft_orders(shop, {"QUAYSIDE": LINES}),
    "alter": lambda shop: drafts.alter_order(shop, "D-1", lines=[RowChange("IFT-455", 2)], off=["R-4K7"]),
    "by hand": lambda shop: drafts.alter_order(shop, "D-1", beside=Beside(1, 2, 3)),
    "place": lambda shop: drafts.place_draft(shop, "D-1"),
    "move": lambda shop: drafts.move_order(shop, "D-1", "2026-12-01"),
    "confirm": lambda shop: drafts.confirm_order(shop, "Q-1", due_on="2026-12-01", beside=Beside(0, 1, 0)),
}


@pytest.mark.parametrize("name", ACTS)
def test_each_is_one_entry_and_is_taken_back(drafted: Workshop, dump: Dump, name: str) -> None:
    before = dump(drafted)
    count = drafted.reads.execute("SELECT count(*) FROM journal_entry").fetchone()[0]
    ACTS[name](drafted)
    after = dump(drafted)
    assert drafted.reads.execute("SELECT count(*) FROM journal_entry").fetchone()[0] == count + 1
    undo(drafted)
    assert dump(drafted) == before
    redo(drafted)
    assert dump(drafted) == after
