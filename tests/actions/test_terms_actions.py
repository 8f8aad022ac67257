"""Suppliers' terms, rates of currencies, what is always to be there, and prices that were."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, buying, lists, offers, stores, terms
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.cost import build_cost
from buildbook.answers.offers import offers_for
from buildbook.answers.ordering import to_order
from buildbook.answers.price_history import price_history
from buildbook.answers.suppliers import suppliers
from buildbook.errors import BadInput, Forbidden


@pytest.fixture
def selling(shop: Workshop) -> Workshop:
    """A build that wants ten rectifiers, and two suppliers that sell them."""
    boards.new_project(shop, "WREN", "Wren signal tracer")
    stores.new_part(shop, "D-1N4007", kind="diode")
    lists.add_line(shop, "WREN", "D-1N4007", qty=10)
    for code, price in (("QUAYSIDE", 100_000), ("MILLLANE", 90_000)):
        buying.new_supplier(shop, code)
        offers.set_offer(shop, code, "D-1N4007", "X1", breaks=((1, price),))
    return shop


def line(shop: Workshop) -> tuple[str, int]:
    """From whom the rectifiers are bought, and for how much in all."""
    (row,) = to_order(shop).rows
    return row.supplier, row.amount_micros


def test_terms_are_kept_shown_and_undone(selling: Workshop) -> None:
    terms.set_terms(selling, "QUAYSIDE", shipping="4.90, free from 75", discount="5 % from 100", tax="19 %", least="10")
    quayside = next(row for row in suppliers(selling).rows if row.code == "QUAYSIDE")
    assert (quayside.shipping, quayside.discount, quayside.tax_bp) == ("4.90, free from 75.00", "5 % from 100.00", 1900)
    assert quayside.least_micros == 10_000_000
    undo(selling)
    assert next(row for row in suppliers(selling).rows if row.code == "QUAYSIDE").shipping == "free"


def test_a_foreign_price_counts_at_its_rate_and_not_without_one(selling: Workshop) -> None:
    terms.set_terms(selling, "MILLLANE", currency="GBP")
    assert line(selling) == ("QUAYSIDE", 1_000_000)
    assert "GBP has no rate" in suppliers(selling).sentence
    terms.set_rate(selling, "gbp", "1.05")
    assert line(selling) == ("MILLLANE", 945_000)
    assert build_cost(selling, "WREN").to_spend_micros == 945_000
    terms.set_rate(selling, "GBP", "1.2")
    assert line(selling) == ("QUAYSIDE", 1_000_000)


def test_what_has_expired_or_is_banned_is_not_ordered(selling: Workshop) -> None:
    offers.set_offer(selling, "MILLLANE", "D-1N4007", "X1", valid_until="2001-01-01")
    assert line(selling) == ("QUAYSIDE", 1_000_000)
    offers.set_offer(selling, "MILLLANE", "D-1N4007", "X1", valid_until="")
    assert line(selling) == ("MILLLANE", 900_000)
    terms.set_terms(selling, "MILLLANE", standing="banned")
    assert line(selling) == ("QUAYSIDE", 1_000_000)
    offers.set_offer(selling, "QUAYSIDE", "D-1N4007", "X1", standing="banned")
    assert offers_for(selling) == {}


def test_a_price_that_changes_leaves_its_old_one_behind(selling: Workshop) -> None:
    offers.set_offer(selling, "QUAYSIDE", "D-1N4007", "X1", breaks=((1, 120_000), (50, 110_000)))
    told = [(row.what, row.supplier, row.from_qty, row.price_micros) for row in price_history(selling, "D-1N4007").rows]
    assert told == [
        ("asked now", "MILLLANE", 1, 90_000),
        ("asked now", "QUAYSIDE", 1, 120_000),
        ("asked now", "QUAYSIDE", 50, 110_000),
        ("asked until", "QUAYSIDE", 1, 100_000),
    ]
    offers.set_offer(selling, "QUAYSIDE", "D-1N4007", "X1", note="the same price")
    assert len(price_history(selling, "D-1N4007").rows) == 4
    rows = [offers.OfferRow("QUAYSIDE", "D-1N4007", "X1", ((1, 130_000),))]
    offers.set_offers(selling, rows)
    assert [row.price_micros for row in price_history(selling, "D-1N4007").rows if row.day] == [
        100_000,
        120_000,
        110_000,
    ]
    undo(selling)
    assert len(price_history(selling, "D-1N4007").rows) == 4


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"shipping": "4, 3"}, "from which value"),
        ({"tax": "120"}, "0 to 100"),
        ({"least": "-3"}, "less than nothing"),
        ({"standing": "disliked"}, "no standing"),
        ({"currency": "XXX"}, "ISO 4217"),
        ({"lead_days": 9999}, "days"),
    ],
)
def test_terms_that_make_no_sense_write_nothing(selling: Workshop, change: dict[str, str], why: str) -> None:
    before = suppliers(selling)
    with pytest.raises(BadInput, match=why):
        terms.set_terms(selling, "QUAYSIDE", **change)  # type: ignore[arg-type]
    assert suppliers(selling) == before


def test_the_currency_does_not_change_under_amounts(selling: Workshop) -> None:
    terms.set_terms(selling, "QUAYSIDE", shipping="4.90")
    with pytest.raises(Forbidden, match="Amounts in the other"):
        terms.set_terms(selling, "QUAYSIDE", currency="USD")
    with pytest.raises(BadInput, match="own currency"):
        terms.set_rate(selling, "EUR", "1")


def test_prices_are_read_as_the_trade_writes_them(selling: Workshop) -> None:
    assert terms.read_prices(selling, "QUAYSIDE", None, ["0.12", "0.10 from 25"]) == ((1, 120_000), (25, 100_000))
    with pytest.raises(BadInput, match="from 25 on"):
        terms.read_prices(selling, "QUAYSIDE", None, ["0.12 from 25", "0.10 from 25"])


def test_what_is_always_to_be_there(selling: Workshop) -> None:
    assert terms.keep_at_least(selling, "d-1n4007", 20) == "D-1N4007"
    assert selling.reads.execute("SELECT keep_qty FROM part").fetchone()[0] == 20
    with pytest.raises(BadInput):
        terms.keep_at_least(selling, "D-1N4007", -1)
