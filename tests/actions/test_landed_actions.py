"""What arrives carries its share of postage, discount and tax into stock; all parcels together the whole."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import buying, deliveries, matters, stores, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop, redo, set_setting, undo
from buildbook.answers.landed import landed
from buildbook.errors import BadInput
from buildbook.store.journal import action
from buildbook.store.tables import Purchase

EUR = 1_000_000


@pytest.fixture
def selling(shop: Workshop) -> Workshop:
    """Tern Windings, who sends a parcel for 8.00 and adds 19 % of tax; what arrives is to be worth its share."""
    for key in ("T-MAINS", "V-ECH81", "D-OLD"):
        stores.new_part(shop, key)
    stores.new_bin(shop, "A1")
    buying.new_supplier(shop, "TERN", "Tern Windings")
    terms.set_terms(shop, "TERN", shipping="8.00", tax="19 %")
    set_setting(shop, "landed_cost", "without tax")
    return shop


def place(shop: Workshop, ref: str, lines: list[OrderLine], **bill: int | None) -> None:
    """Place an order, with these amounts on its bill."""
    buying.place_order(shop, ref, "TERN", lines)
    with action(shop, "Bill") as work:
        order = work.get(Purchase, shop.reads.execute("SELECT id FROM purchase WHERE ref = ?", (ref,)).fetchone()[0])
        assert order is not None
        for name, micros in {"discount_micros": 0, "shipping_micros": None, "tax_micros": None, **bill}.items():
            setattr(order, name, micros)


def worth(shop: Workshop, key: str = "") -> int:
    """What the stock of a part, or of all, is worth."""
    asked = "SELECT coalesce(sum(value_micros), 0) FROM worth AS w JOIN part AS p ON p.id = w.part_id"
    return int(shop.reads.execute(f"{asked} WHERE p.key = ? OR ? = ''", (key, key)).fetchone()[0])


LINES = [OrderLine("T-MAINS", 1, 30 * EUR), OrderLine("V-ECH81", 10, 7 * EUR)]


def test_a_whole_order_lands_with_its_postage(selling: Workshop) -> None:
    place(selling, "TW-1", LINES)
    deliveries.receive_order(selling, "TW-1", "A1")
    assert (worth(selling, "T-MAINS"), worth(selling, "V-ECH81")) == (32_400_000, 75_600_000)
    answer = landed(selling, "TW-1")
    assert answer.carried_micros == 8 * EUR
    assert [row.booked_micros for row in answer.rows] == [32_400_000, 75_600_000]


@pytest.mark.parametrize(("way", "whole"), [("no", 100 * EUR), ("without tax", 108 * EUR), ("yes", 127 * EUR)])
def test_the_workshop_says_what_counts(selling: Workshop, way: str, whole: int) -> None:
    set_setting(selling, "landed_cost", way)
    place(selling, "TW-1", LINES)
    deliveries.receive_order(selling, "TW-1", "A1")
    assert worth(selling) == whole


def test_two_parcels_carry_the_whole_and_undo_gives_it_back(selling: Workshop) -> None:
    place(selling, "TW-1", LINES, shipping_micros=5 * EUR, discount_micros=1)
    deliveries.receive_order(selling, "TW-1", "A1", lines={"V-ECH81": 3})
    first = worth(selling)
    assert first == 21 * EUR + 1_050_000
    deliveries.receive_order(selling, "TW-1", "A1")
    assert worth(selling) == 105 * EUR - 1
    undo(selling)
    assert (worth(selling), landed(selling, "TW-1").carried_micros) == (first, 1_050_000)
    redo(selling)
    assert worth(selling) == 105 * EUR - 1


def test_a_part_without_a_price_carries_nothing(selling: Workshop) -> None:
    place(selling, "TW-1", [OrderLine("D-OLD", 4), OrderLine("T-MAINS", 1, 30 * EUR)])
    deliveries.receive_order(selling, "TW-1", "A1", lines={"D-OLD": 4})
    assert worth(selling) == 0
    deliveries.receive_order(selling, "TW-1", "A1")
    assert (worth(selling, "D-OLD"), worth(selling, "T-MAINS")) == (0, 38 * EUR)


def test_what_is_accepted_later_carries_the_rest(selling: Workshop) -> None:
    place(selling, "TW-1", LINES)
    got = deliveries.receive_order(selling, "TW-1", "A1", odd=[deliveries.Odd("damaged", "T-MAINS", 1)])
    assert worth(selling) == 70 * EUR + 5_600_000
    matters.settle(selling, got.matters[0], "accepted", bin="A1")
    assert worth(selling) == 108 * EUR


def test_other_words_are_refused(selling: Workshop) -> None:
    with pytest.raises(BadInput, match="without tax"):
        set_setting(selling, "landed_cost", "perhaps")


PRICED = st.tuples(st.integers(1, 9), st.integers(0, 10**8), st.integers(1, 7))


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.tuples(PRICED, PRICED, PRICED),
    st.integers(0, 10**8),
    st.integers(0, 10**8),
    st.integers(0, 9_000),
    st.lists(st.tuples(st.sampled_from(["T-MAINS", "V-ECH81", "D-OLD"]), st.integers(1, 5)), max_size=5),
)
def test_any_parcels_together_carry_exactly_the_bill(
    selling: Workshop,
    rows: tuple[tuple[int, int, int], ...],
    shipping: int,
    tax: int,
    discount_bp: int,
    parcels: list[tuple[str, int]],
) -> None:
    set_setting(selling, "landed_cost", "yes")
    keys = ("T-MAINS", "V-ECH81", "D-OLD")
    lines = [OrderLine(key, qty, price, per) for key, (qty, price, per) in zip(keys, rows, strict=True)]
    ref = f"H-{selling.reads.execute('SELECT count(*) FROM purchase').fetchone()[0]}"
    buying.place_order(selling, ref, "TERN", lines)
    goods = sum(row.goods_micros or 0 for row in landed(selling, ref).rows)
    bill = {"shipping_micros": shipping, "tax_micros": tax, "discount_micros": goods * discount_bp // 10_000}
    with action(selling, "Bill") as work:
        order = work.get(Purchase, selling.reads.execute("SELECT max(id) FROM purchase").fetchone()[0])
        assert order is not None
        for name, micros in bill.items():
            setattr(order, name, micros)
    before = worth(selling)
    to_come = {line.part: line.qty for line in lines}
    for key, qty in parcels:
        if many := min(qty, to_come[key]):
            deliveries.receive_order(selling, ref, "A1", lines={key: many})
            to_come[key] -= many
    if any(to_come.values()):
        deliveries.receive_order(selling, ref, "A1")
    answer = landed(selling, ref)
    assert worth(selling) - before == sum(row.booked_micros for row in answer.rows) == answer.total_micros
    assert answer.carried_micros == answer.total_micros - goods
