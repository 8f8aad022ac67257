"""What a part cost over time, as it is drawn."""

from __future__ import annotations

import pytest

from buildbook.actions import buying, offers, stores, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.price_curve import price_curve


@pytest.fixture
def priced(shop: Workshop) -> Workshop:
    """A rectifier that got dearer at one supplier, is sold in pounds by another, and was ordered once."""
    stores.new_part(shop, "D-1N4007")
    for code in ("QUAYSIDE", "CAIRN"):
        buying.new_supplier(shop, code)
    terms.set_terms(shop, "CAIRN", currency="GBP")
    offers.set_offer(shop, "QUAYSIDE", "D-1N4007", "Q1", breaks=((1, 60_000), (50, 45_000)))
    offers.set_offer(shop, "QUAYSIDE", "D-1N4007", "Q1", breaks=((1, 80_000), (50, 70_000)))
    offers.set_offer(shop, "CAIRN", "D-1N4007", "C1", breaks=((1, 50_000),))
    buying.place_order(shop, "Q-1", "QUAYSIDE", [OrderLine("D-1N4007", 25, 1_500_000, 25)], placed_on="2020-12-05")
    return shop


def test_asked_and_paid_stand_in_the_order_of_their_days(priced: Workshop) -> None:
    curve = price_curve(priced, "d-1n4007")
    assert [(span.supplier, span.micros, span.paid) for span in curve.spans] == [
        ("QUAYSIDE", 60_000, True),
        ("QUAYSIDE", 60_000, False),
        ("QUAYSIDE", 80_000, False),
    ]
    assert curve.spans[2].begin == curve.spans[1].end
    assert (curve.left_out, curve.said.endswith("1 in a currency without a rate.")) == (1, True)


def test_a_foreign_price_is_drawn_at_its_rate(priced: Workshop) -> None:
    terms.set_rate(priced, "GBP", "1.2")
    assert ("CAIRN", 60_000) in [(span.supplier, span.micros) for span in price_curve(priced, "D-1N4007").spans]


def test_wire_is_drawn_by_the_metre(priced: Workshop) -> None:
    stores.new_part(priced, "W-RED", unit="mm")
    assert price_curve(priced, "W-RED").said == "W-RED: no price is known."
    offers.set_offer(priced, "QUAYSIDE", "W-RED", "Q2", breaks=((1, 900_000),), per_qty=2000)
    (span,) = price_curve(priced, "W-RED").spans
    assert span.micros == 450_000
