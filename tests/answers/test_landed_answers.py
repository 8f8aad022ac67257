"""What the lines of an order cost with their share of postage, discount and tax."""

from __future__ import annotations

import pytest

from buildbook.actions import buying, stores, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.landed import NOT_KNOWN, RECKONED, WRITTEN, landed
from buildbook.errors import BadInput
from buildbook.store.journal import action
from buildbook.store.tables import Purchase


@pytest.fixture
def ordered(shop: Workshop) -> Workshop:
    """An order of a transformer for 30.00 and ten valves for 70.00; postage 8.00, free from 200."""
    for key in ("T-MAINS", "V-ECH81", "D-OLD"):
        stores.new_part(shop, key)
    buying.new_supplier(shop, "TERN", "Tern Windings")
    terms.set_terms(shop, "TERN", shipping="8.00, free from 200", tax="19 %", tax_on_shipping=True)
    lines = [OrderLine("T-MAINS", 1, 30_000_000), OrderLine("V-ECH81", 10, 7_000_000)]
    buying.place_order(shop, "TW-1", "TERN", lines)
    return shop


def write_bill(shop: Workshop, **amounts: int | None) -> None:
    """Write down what stands on the bill of the order."""
    with action(shop, "Bill") as work:
        order = work.get(Purchase, 1)
        assert order is not None
        for name, micros in amounts.items():
            setattr(order, name, micros)


def test_the_suppliers_terms_are_spread_by_value(ordered: Workshop) -> None:
    write_bill(ordered, discount_micros=0, shipping_micros=None, tax_micros=None)
    answer = landed(ordered, "tw-1")
    assert (answer.shipping_micros, answer.shipping_from) == (8_000_000, RECKONED)
    assert answer.tax_micros == 20_520_000  # 19 % of 108.00
    assert [row.share_micros for row in answer.rows] == [8_556_000, 19_964_000]
    assert [row.each_micros for row in answer.rows] == [38_556_000, 8_996_400]
    assert answer.sentence == "Order TW-1: goods 100.00, postage 8.00 and tax 20.52, landed 128.52 EUR."


def test_what_is_written_on_the_bill_counts_before_the_terms(ordered: Workshop) -> None:
    write_bill(ordered, shipping_micros=5_000_000, tax_micros=0, discount_micros=10_000_000)
    answer = landed(ordered, "TW-1")
    assert (answer.shipping_from, answer.tax_from) == (WRITTEN, WRITTEN)
    assert answer.total_micros == sum(row.landed_micros for row in answer.rows) == 95_000_000


def test_a_line_without_a_price_takes_no_share(ordered: Workshop) -> None:
    buying.place_order(ordered, "TW-2", "TERN", [OrderLine("D-OLD", 4), OrderLine("V-ECH81", 1, 7_000_000)])
    old, valve = landed(ordered, "TW-2").rows
    assert (old.goods_micros, old.share_micros, old.each_micros) == (None, 0, None)
    assert valve.share_micros == 10_850_000  # 8.00 and 19 % of 15.00
    assert "1 line has no price" in landed(ordered, "TW-2").sentence


def test_terms_in_a_currency_without_a_rate_are_not_guessed(ordered: Workshop) -> None:
    buying.new_supplier(ordered, "CAIRN")
    terms.set_terms(ordered, "CAIRN", currency="GBP", shipping="10")
    buying.place_order(ordered, "CV-1", "CAIRN", [OrderLine("V-ECH81", 1, 7_000_000)])
    assert (landed(ordered, "CV-1").shipping_from, landed(ordered, "CV-1").total_micros) == (NOT_KNOWN, 7_000_000)
    terms.set_rate(ordered, "GBP", "1.15")
    assert landed(ordered, "CV-1").total_micros == 18_500_000


def test_an_unknown_order_is_told(ordered: Workshop) -> None:
    with pytest.raises(BadInput, match="TW-9"):
        landed(ordered, "TW-9")


def test_the_demo_order_of_screws_lands_with_its_postage(demo_to_read: Workshop) -> None:
    answer = landed(demo_to_read, "PF-0419")
    # 3.42 + 2.38 + 2 x 1.33 = 8.46, and 3.20 of postage below 40.
    assert (answer.goods_micros, answer.shipping_micros, answer.total_micros) == (8_460_000, 3_200_000, 11_660_000)
