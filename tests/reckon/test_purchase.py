"""What a quantity really costs: packs, least quantities and price breaks, against published figures and brute force."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.purchase import Break, Buy, Offer, best_buy, cheapest, check_offer, orderable, price_at
from buildbook.trade.money import line_micros


def offer(*breaks: tuple[int, int], pack: int = 1, least: int = 1, per: int = 1, number: int = 1) -> Offer:
    """An offer of part 7 by the supplier of the same number."""
    return Offer(number, number, 7, per, pack, least, tuple(Break(*b) for b in breaks))


@st.composite
def offers(draw: st.DrawFn, number: int = 1) -> Offer:
    """Any offer that could be ordered from, whether its breaks make sense or not."""
    from_qtys = sorted(draw(st.sets(st.integers(1, 300), min_size=1, max_size=4)))
    breaks = [(qty, draw(st.integers(0, 2_000_000))) for qty in from_qtys]
    pack, least = draw(st.integers(1, 40)), draw(st.integers(1, 120))
    return offer(*breaks, pack=pack, least=least, per=draw(st.sampled_from([1, 10, 1000])), number=number)


NEEDS = st.integers(1, 400)


# --- published figures: the order quantity is the textbook's, the price at it and the goods are ours -----------------


def yearly(prices: Offer, from_qty: int, *, demand: int, order_cost: float, carry: float) -> tuple[int, float]:
    """The economic order quantity at the price of a break, raised to the break if need be, and its cost a year."""
    price = price_at(prices, from_qty) / 1e6
    qty = orderable(prices, max(round(sqrt(2 * demand * order_cost / (carry * price))), from_qty))
    goods = line_micros(demand, price_at(prices, qty), prices.per_qty) / 1e6
    return qty, goods + order_cost * demand / qty + carry * price * qty / 2


@pytest.mark.parametrize(("from_qty", "qty", "cost"), [(1, 700, 25_700), (1000, 1000, 24_725), (2000, 2000, 24_822.50)])
def test_wohls_discount_store(from_qty: int, qty: int, cost: float) -> None:
    # Heizer and Render, "Operations Management", the quantity discount example: ordering 1000 is best.
    prices = offer((1, 5_000_000), (1000, 4_800_000), (2000, 4_750_000))
    got = yearly(prices, from_qty, demand=5000, order_cost=49, carry=0.20)
    assert got[0] == qty
    assert got[1] == pytest.approx(cost, abs=0.01)


@pytest.mark.parametrize(("from_qty", "qty", "cost"), [(1, 304, 1043.41), (400, 400, 1005.20), (800, 800, 978.60)])
def test_snyder_and_shen_example_3_5(from_qty: int, qty: int, cost: float) -> None:
    # Snyder and Shen, "Fundamentals of Supply Chain Theory", example 3.5: ordering 800 is best.
    prices = offer((1, 750_000), (400, 720_000), (800, 680_000))
    got = yearly(prices, from_qty, demand=1300, order_cost=8, carry=0.3)
    assert got[0] == qty
    assert got[1] == pytest.approx(cost, abs=0.01)


def test_the_highest_break_can_be_the_best_order() -> None:
    # All-units discount solved with the library stockpyl: 500 at 472,900.
    prices = offer((1, 500_000_000), (200, 475_000_000), (500, 450_000_000))
    plans = [yearly(prices, b.from_qty, demand=1000, order_cost=200, carry=0.2) for b in prices.breaks]
    qty, cost = min(plans, key=lambda plan: plan[1])
    assert qty == 500
    assert cost == pytest.approx(472_900, abs=0.01)


# --- promises --------------------------------------------------------------------------------------------------------


@given(offers(), NEEDS)
@settings(deadline=None, max_examples=150)
def test_the_best_buy_is_the_best_of_all_orders(prices: Offer, need: int) -> None:
    first = orderable(prices, need)
    last = max(first, orderable(prices, prices.breaks[-1].from_qty))
    amounts = [
        (line_micros(qty, max(b for b in prices.breaks if b.from_qty <= qty).price_micros, prices.per_qty), qty)
        for qty in range(first, last + 1, prices.pack_qty)
    ]
    buy = best_buy(prices, need)
    assert (buy.amount_micros, buy.qty) == min(amounts)
    assert buy.amount_micros <= amounts[0][0]


@given(offers(), NEEDS)
@settings(deadline=None, max_examples=100)
def test_a_buy_can_be_ordered_and_its_figures_agree(prices: Offer, need: int) -> None:
    buy = best_buy(prices, need)
    assert buy.qty == orderable(prices, buy.qty)
    assert buy.qty >= max(need, prices.min_qty)
    assert buy.qty % prices.pack_qty == 0
    assert buy.price_micros == price_at(prices, buy.qty)
    assert buy.amount_micros == line_micros(buy.qty, buy.price_micros, buy.per_qty)


@given(offers(), NEEDS)
@settings(deadline=None, max_examples=100)
def test_the_orderable_quantity_is_the_least_there_is(prices: Offer, need: int) -> None:
    one_pack_less = orderable(prices, need) - prices.pack_qty
    assert one_pack_less < max(need, prices.min_qty, prices.breaks[0].from_qty)


@given(st.lists(st.integers(1, 5).flatmap(lambda n: offers(number=n)), max_size=4), NEEDS)
@settings(deadline=None, max_examples=100)
def test_no_offer_beats_the_cheapest(several: list[Offer], need: int) -> None:
    found = cheapest(several, need)
    assert (found is None) == (not several)
    assert all(found is not None and best_buy(one, need).amount_micros >= found.amount_micros for one in several)


# --- the cases a builder meets ---------------------------------------------------------------------------------------


def test_ninety_five_resistors_are_cheaper_as_a_hundred() -> None:
    prices = offer((1, 20_000), (100, 15_000))
    assert best_buy(prices, 95) == Buy(1, 1, 7, 95, 100, 15_000, 1, 1_500_000)
    assert best_buy(prices, 75).qty == 75  # costs the same as a hundred: the fewer pieces win


def test_a_break_inside_a_pack_is_reached_with_the_whole_pack() -> None:
    assert best_buy(offer((1, 20_000), (95, 10_000)), 60).qty == 95
    assert best_buy(offer((1, 20_000), (95, 10_000), pack=10), 60).qty == 100


def test_wire_is_priced_by_the_metre_and_sold_by_the_reel() -> None:
    reel = offer((1, 450_000), per=1000, pack=10_000)
    assert best_buy(reel, 12_500) == Buy(1, 1, 7, 12_500, 20_000, 450_000, 1000, 9_000_000)


def test_the_first_break_is_a_minimum_too() -> None:
    prices = offer((10, 30_000))
    assert orderable(prices, 3) == 10
    with pytest.raises(BadInput, match=r"3 are fewer than the supplier sells\. Order 10 or more"):
        price_at(prices, 3)


def test_nothing_needed_costs_nothing() -> None:
    assert best_buy(offer((1, 20_000), (100, 0), least=50), 0) == Buy(1, 1, 7, 0, 0, 20_000, 1, 0)


def test_ties_go_to_fewer_pieces_then_to_the_first_supplier() -> None:
    fifty = offer((1, 10_000), pack=50, number=1)
    single_b, single_a = offer((1, 50_000), number=3), offer((1, 50_000), number=2)
    chosen = cheapest([fifty, single_b, single_a], 10)
    assert chosen is not None
    assert (chosen.supplier, chosen.qty, chosen.amount_micros) == (2, 10, 500_000)


GOOD = offer((1, 90_000), (10, 80_000))


@pytest.mark.parametrize(
    ("bad", "why"),
    [
        (replace(GOOD, pack_qty=0), "The pack holds 0."),
        (replace(GOOD, min_qty=0), "The least quantity is 0."),
        (replace(GOOD, per_qty=-1), "The price is for -1."),
        (replace(GOOD, breaks=()), "It has no price."),
        (replace(GOOD, breaks=(Break(5, 1), Break(5, 2))), "The price from 5 on follows the price from 5 on."),
        (replace(GOOD, breaks=(Break(5, 1), Break(1, 2))), "The price from 1 on follows the price from 5 on."),
        (replace(GOOD, breaks=(Break(0, 1),)), "It has a price from 0 on."),
        (replace(GOOD, breaks=(Break(1, -1),)), "The price from 1 on is below zero."),
    ],
)
def test_an_impossible_offer_is_refused(bad: Offer, why: str) -> None:
    with pytest.raises(BadInput) as refused:
        check_offer(bad)
    assert refused.value.why == why


def test_a_sound_offer_passes() -> None:
    check_offer(GOOD)
