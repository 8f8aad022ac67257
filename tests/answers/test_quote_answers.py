"""The quotation: its cost is that of `boards cost`, its price holds the margin, and rounding never eats into it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.actions import boards, checklists, lists, stores
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop, set_setting
from buildbook.answers.cost import build_cost
from buildbook.answers.quote import in_minor_units, price, quotation, read_margin
from buildbook.errors import BadInput
from buildbook.trade.money import minor_decimals

CENT = 10_000


@pytest.fixture
def linnet(shop: Workshop) -> Workshop:
    """Three units of 2 transformers at 10.00, a resistor without a price, and 90 minutes of work each."""
    boards.new_project(shop, "LINNET", "Linnet bench supply", units=3)
    stores.new_bin(shop, "A1")
    for part, price_micros in (("T-1", 10_000_000), ("R-1", None)):
        stores.new_part(shop, part)
        stores.receive(shop, part, "A1", 20, price_micros=price_micros)
    lists.add_line(shop, "LINNET", "T-1", 2, "T1 T2")
    lists.add_line(shop, "LINNET", "R-1", 1, "R1")
    checklists.add_step(shop, "LINNET", NewStep("Wind it", 90))
    boards.change_project(shop, "LINNET", consumables_bp=500)
    return shop


@pytest.mark.parametrize("build", ["CURLEW", "LINNET", "WREN"])
def test_the_cost_of_the_demo_is_that_of_boards_cost(demo_to_read: Workshop, build: str) -> None:
    cost, quote = build_cost(demo_to_read, build), quotation(demo_to_read, build, margin_bp=3000)
    assert abs(quote.cost_micros - cost.total_micros) <= 2 * CENT  # three amounts, each to its cent
    assert abs(quote.labour_micros - cost.labour_micros) <= CENT // 2
    assert (quote.units, quote.labour_minutes) == (cost.units, cost.labour_minutes)
    assert quote.unpriced == cost.unpriced
    assert quote.open_questions == cost.open_questions


def test_each_amount_by_hand(linnet: Workshop) -> None:
    set_setting(linnet, "labour_rate", "20")
    quote = quotation(linnet, margin_bp=3000)
    assert quote.parts_micros == 3 * 2 * 10_000_000
    assert (quote.labour_minutes, quote.rate_micros) == (270, 20_000_000)
    assert quote.labour_micros == 90_000_000  # 4.5 h at 20
    assert quote.consumables_micros == 3_000_000  # 5 % of the parts
    assert quote.cost_micros == 153_000_000
    assert quote.each_micros == 72_860_000  # 153 / 0.7 / 3 = 72.857, rounded up
    assert quote.price_micros == 218_580_000
    assert quote.margin_micros == 65_580_000
    assert [(row.key, row.qty) for row in quote.unpriced] == [("R-1", 3)]
    assert quote.labour_micros == build_cost(linnet).labour_micros


def test_a_price_of_an_hour_given_goes_before_that_of_the_workshop(linnet: Workshop) -> None:
    assert quotation(linnet).labour_micros == 0
    set_setting(linnet, "labour_rate", "20")
    assert quotation(linnet, rate_micros=40_000_000).labour_micros == 180_000_000
    assert quotation(linnet, rate_micros=0).labour_micros == 0


def test_without_a_build_there_is_no_quotation(shop: Workshop) -> None:
    with pytest.raises(BadInput, match="There is no build"):
        quotation(shop)


@given(
    st.integers(0, 10**12), st.integers(1, 500), st.integers(0, 9_999), st.sampled_from(["EUR", "JPY", "KWD", "USD"])
)
def test_the_margin_is_never_less_than_asked_nor_a_minor_unit_a_piece_too_much(
    cost: int, units: int, margin_bp: int, currency: str
) -> None:
    found = price(cost, units, margin_bp, currency)
    minor = 10 ** (6 - minor_decimals(currency))
    assert found.each_micros % minor == 0
    assert found.each_micros * units == found.price_micros == cost + found.margin_micros
    wanted = Fraction(cost * 10_000, (10_000 - margin_bp) * units)
    assert wanted <= found.each_micros < wanted + minor


@given(st.integers(-(10**12), 10**12), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_an_amount_is_rounded_to_the_nearest_minor_unit(micros: int, currency: str) -> None:
    minor = 10 ** (6 - minor_decimals(currency))
    rounded = in_minor_units(micros, currency)
    assert rounded % minor == 0
    assert abs(rounded - micros) * 2 <= minor


@pytest.mark.parametrize(
    ("text", "margin_bp"), [("30%", 3000), (" 12.5 % ", 1250), ("0", 0), ("99.99%", 9999), ("7,25 %", 725)]
)
def test_a_margin_is_read(text: str, margin_bp: int) -> None:
    assert read_margin(text) == margin_bp


@pytest.mark.parametrize("text", ["", "%", "100%", "-5%", "30%%", "12.345%", "a third", "1e3", "30 %\n40%"])
def test_what_is_no_margin_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is no share of the price from 0 to less than 100 %"):
        read_margin(text)
