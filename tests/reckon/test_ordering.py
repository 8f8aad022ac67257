"""The plan of orders: worked examples, what it never does, and what it says of itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buildbook.errors import BadInput
from buildbook.reckon.ordering.asked import Asked, Goal, Offered, Step, Terms, Wanted, Wish
from buildbook.reckon.ordering.bill import bill
from buildbook.reckon.ordering.choices import takes
from buildbook.reckon.ordering.plan import plan_orders
from buildbook.reckon.ordering.told import OrderPlan
from buildbook.reckon.ordering.why import next_best
from buildbook.reckon.purchase import Break
from buildbook.trade.money import show_money

EURO = 1_000_000


def offered(
    offer: int,
    supplier: int,
    part: int,
    price: float,
    *more: tuple[int, float],
    pack: int = 1,
    least: int = 1,
    multiple: int = 1,
    lead: int | None = None,
    stock: int | None = None,
    preferred: bool = False,
) -> Offered:
    """An offer at a price in euro, with cheaper breaks."""
    breaks = tuple(Break(qty, round(each * EURO)) for qty, each in ((1, price), *more))
    return Offered(offer, supplier, part, breaks, 1, pack, least, multiple, lead, stock, preferred)


def wanted(*qtys: int) -> tuple[Wanted, ...]:
    """Parts 1, 2, 3... with these needs."""
    return tuple(Wanted(part, qty) for part, qty in enumerate(qtys, 1))


def suppliers(plan: OrderPlan) -> list[int]:
    """Who each line is from."""
    return [line.supplier for line in plan.lines]


# Constructed by hand, all 18 ways to buy each part from one supplier written out: needs 10, 4 and 25; prices of three
# suppliers, postage 6, 5, 4; discount on all goods of 10 % from 30, 15 % from 40, 5 % from 15.
TURNOVER = Asked(
    wanted(10, 4, 25),
    (
        offered(11, 1, 1, 1.00),
        offered(12, 1, 2, 6.00),
        offered(13, 1, 3, 0.40),
        offered(21, 2, 1, 1.10),
        offered(22, 2, 2, 5.50),
        offered(23, 2, 3, 0.50),
        offered(31, 3, 1, 0.95),
        offered(33, 3, 3, 0.44),
    ),
    (
        Terms(1, shipping_micros=6 * EURO, discounts=(Step(30 * EURO, 1000),)),
        Terms(2, shipping_micros=5 * EURO, discounts=(Step(40 * EURO, 1500),)),
        Terms(3, shipping_micros=4 * EURO, discounts=(Step(15 * EURO, 500),)),
    ),
)


def test_a_discount_on_the_whole_order_decides_against_every_cheapest_line() -> None:
    plan = plan_orders(TURNOVER)
    assert plan.total_micros == 43_675_000
    assert suppliers(plan) == [2, 2, 2]
    assert plan.bills == (bill(TURNOVER.terms[1], 45_500_000),)
    assert plan.bills[0].discount_micros == 6_825_000
    assert plan.line_by_line.total_micros == 56_500_000
    assert plan.from_one_place.total_micros == 43_675_000
    assert plan.saving_micros(plan.line_by_line) == 12_825_000
    assert plan.proven
    assert plan.gap == 0
    assert show_money(plan.total_micros, "EUR") == "43.68"


def test_the_second_and_third_best_of_that_example() -> None:
    # Spares would make no difference here: what they cost is more than the discount gives.
    second = plan_orders(replace(TURNOVER, wish=Wish(without=frozenset({2}))))
    assert (second.total_micros, suppliers(second)) == (45_600_000, [1, 1, 1])
    third = next_best(TURNOVER, plan_orders(TURNOVER), 1)
    assert third is not None
    assert (third.total_micros, third.dearer_micros, third.exact) == (45_600_000, 1_925_000, True)


@pytest.mark.parametrize(("need", "qty"), [(600, 600), (601, 1000), (1333, 1333), (1334, 2000), (1, 1)])
def test_a_price_break_is_reached_where_that_makes_the_line_cheaper(need: int, qty: int) -> None:
    # 600 at 5.00 cost as much as 1000 at 3.00, 1333 at 3.00 just less than 2000 at 2.00.
    offer = offered(1, 1, 1, 5.00, (1000, 3.00), (2000, 2.00))
    plan = plan_orders(Asked((Wanted(1, need),), (offer,)))
    assert plan.lines[0].qty == qty
    assert plan.lines[0].spare == qty - need
    assert bool(plan.overbought) == (qty > need)


def test_wohls_prices_are_no_reason_to_order_more_than_a_little_more() -> None:
    # Heizer and Render: 5.00, 4.80 from 1000, 4.75 from 2000. By goods alone 1000 pay from 961 on (960 cost as much).
    offer = offered(1, 1, 1, 5.00, (1000, 4.80), (2000, 4.75))
    assert [take.qty for take in takes(offer, 960)] == [960]
    assert [take.qty for take in takes(offer, 961)] == [961, 1000]
    assert [take.qty for take in takes(offer, 1979)] == [1979]
    assert [take.qty for take in takes(offer, 1980)] == [1980, 2000]


def test_a_few_more_packs_reach_free_shipping() -> None:
    terms = Terms(1, shipping_micros=6 * EURO, free_shipping_from_micros=20 * EURO)
    plan = plan_orders(Asked(wanted(9, 10), (offered(1, 1, 1, 2.00), offered(2, 1, 2, 0.10, pack=10)), (terms,)))
    # 19.00 and 6.00 postage, against one more pack of ten for 1.00.
    assert plan.total_micros == 20 * EURO
    assert [(line.part, line.packs, line.spare, line.why) for line in plan.overbought] == [
        (2, 2, 10, "reaches better terms")
    ]


def test_a_least_order_is_filled_up_or_left_alone() -> None:
    offers = (offered(1, 1, 1, 1.00), offered(2, 2, 1, 3.00))
    terms = (Terms(1, least_order_micros=15 * EURO),)
    small = plan_orders(Asked(wanted(4), offers, terms))
    assert (suppliers(small), small.total_micros) == ([2], 12 * EURO)
    large = plan_orders(Asked(wanted(6), offers, terms))
    assert (suppliers(large), large.total_micros, large.lines[0].spare) == ([1], 15 * EURO, 9)
    assert not large.line_by_line.placeable
    assert large.saving_micros(large.line_by_line) is None
    assert large.saving_micros(large.from_one_place) is not None


def test_a_part_that_could_only_be_ordered_below_a_least_order_is_named() -> None:
    offers = (offered(1, 1, 1, 1.00, stock=5), offered(2, 2, 2, 1.00))
    plan = plan_orders(Asked(wanted(3, 3), offers, (Terms(1, least_order_micros=15 * EURO),)))
    assert [(one.part, one.qty) for one in plan.uncovered] == [(1, 3)]
    assert "least order" in plan.uncovered[0].why
    assert suppliers(plan) == [2]
    assert plan.proven


def test_a_part_is_split_only_where_no_single_stock_covers_it() -> None:
    offers = (offered(1, 1, 1, 1.00, stock=6), offered(2, 2, 1, 1.20, stock=7), offered(3, 3, 1, 9.00, stock=4))
    plan = plan_orders(Asked(wanted(10), offers))
    assert [(line.supplier, line.qty, line.why) for line in plan.lines] == [(1, 6, "split"), (2, 4, "split")]
    assert plan.total_micros == 10_800_000
    single = plan_orders(Asked(wanted(7), offers))
    assert [(line.supplier, line.qty) for line in single.lines] == [(2, 7)]


def test_packs_least_quantity_and_multiples_are_kept() -> None:
    offer = offered(1, 1, 1, 0.10, pack=10, least=25, multiple=4)
    line = plan_orders(Asked(wanted(7), (offer,))).lines[0]
    assert (line.qty, line.packs, line.spare) == (40, 4, 33)


def test_a_stand_in_is_bought_in_its_place_but_not_the_other_way_round() -> None:
    offers = (offered(1, 1, 1, 1.00), offered(2, 1, 2, 0.50))
    plan = plan_orders(Asked((Wanted(1, 4, stand_ins=(2,)),), offers))
    assert [(line.part, line.bought, line.amount_micros) for line in plan.lines] == [(1, 2, 2 * EURO)]
    assert plan_orders(Asked((Wanted(2, 4),), offers)).lines[0].bought == 2


def test_two_parts_do_not_draw_more_from_one_stock_than_there_is() -> None:
    offers = (offered(1, 1, 1, 1.00), offered(2, 1, 2, 0.50, stock=5))
    plan = plan_orders(Asked((Wanted(1, 4, stand_ins=(2,)), Wanted(2, 4)), offers))
    assert [(line.part, line.bought) for line in plan.lines] == [(1, 1), (2, 2)]
    assert plan.proven


def test_tax_is_for_goods_after_discount_and_for_shipping_rounded_once() -> None:
    terms = Terms(1, 0, 5 * EURO, goods_tax_bp=2000, shipping_tax_bp=1000, discounts=(Step(10 * EURO, 1000),))
    assert bill(terms, 10 * EURO)[1:] == (10 * EURO, EURO, 5 * EURO, 2_300_000, 16_300_000, 0)
    # Half a millionth goes to the even one.
    assert bill(Terms(1, goods_tax_bp=5000), 1).tax_micros == 0
    assert bill(Terms(1, goods_tax_bp=5000), 3).tax_micros == 2


GOALS = Asked(
    wanted(1, 1, 1),
    (
        offered(1, 1, 1, 1.00, lead=9),
        offered(2, 2, 2, 1.00, lead=9),
        offered(3, 2, 3, 1.00, lead=2),
        offered(4, 3, 1, 4.00, lead=2),
        offered(5, 3, 2, 4.00, lead=9),
        offered(6, 3, 3, 4.00, lead=9),
        offered(7, 4, 2, 6.00, lead=3),
    ),
)


def test_the_goals_come_first_and_then_the_price() -> None:
    def goal(goal: Goal, **more: int) -> tuple[list[int], int, int, int]:
        plan = plan_orders(replace(GOALS, wish=Wish(goal, **more)))  # type: ignore[arg-type]
        assert plan.proven
        return suppliers(plan), plan.parcels, plan.complete_days, plan.total_micros // EURO

    assert goal(Goal.CHEAPEST) == ([1, 2, 2], 2, 9, 3)
    assert goal(Goal.FEWEST) == ([3, 3, 3], 1, 9, 12)
    assert goal(Goal.SOONEST) == ([3, 4, 2], 3, 3, 11)
    assert goal(Goal.WEIGHTED) == ([1, 2, 2], 2, 9, 3)
    assert goal(Goal.WEIGHTED, parcel_worth_micros=10 * EURO) == ([3, 3, 3], 1, 9, 12)
    assert goal(Goal.WEIGHTED, day_worth_micros=2 * EURO) == ([3, 4, 2], 3, 3, 11)
    # One parcel for 12 is over the sum; two for 6 or less are not.
    assert goal(Goal.FEWEST, not_over_micros=6 * EURO) == ([1, 2, 2], 2, 9, 3)
    assert goal(Goal.SOONEST, not_over_micros=6 * EURO) == ([1, 2, 2], 2, 9, 3)


def test_of_two_offers_of_one_supplier_the_quicker_where_days_weigh() -> None:
    asked = Asked(wanted(1), (offered(1, 1, 1, 1.00, lead=9), offered(2, 1, 1, 3.00, lead=2)))
    quicker = plan_orders(replace(asked, wish=Wish(Goal.WEIGHTED, day_worth_micros=EURO)))
    assert (quicker.lines[0].offer, quicker.worth_micros) == (2, 5 * EURO)
    assert plan_orders(replace(asked, wish=Wish(Goal.WEIGHTED))).lines[0].offer == 1


def test_what_is_over_the_wished_sum_is_said() -> None:
    plan = plan_orders(replace(GOALS, wish=Wish(Goal.FEWEST, not_over_micros=2 * EURO)))
    assert (plan.total_micros, plan.over_micros) == (3 * EURO, EURO)


def test_why_a_part_is_not_covered() -> None:
    offers = (
        offered(1, 1, 1, 1.00),
        offered(2, 2, 2, 1.00, lead=9),
        offered(3, 3, 3, 1.00, stock=2),
        offered(4, 4, 4, 1.00),
        offered(6, 3, 6, 1.00),
    )
    wish = Wish(without=frozenset({1}), by_days=4, unknown_lead_days=3)
    plan = plan_orders(Asked(wanted(3, 3, 3, 3, 3, 3), offers, (Terms(4, banned=True),), wish))
    assert [(one.part, one.why) for one in plan.uncovered] == [
        (1, "its suppliers are ruled out"),
        (2, "no offer is here in time"),
        (3, "the stock seen is too small"),
        (4, "its suppliers are ruled out"),
        (5, "nobody offers it"),
    ]
    assert [line.part for line in plan.lines] == [6]
    assert not plan.leads_known


def test_of_equally_good_ways_the_preferred_one() -> None:
    offers = (offered(1, 1, 1, 1.00), offered(2, 2, 1, 1.00, preferred=True))
    assert suppliers(plan_orders(Asked(wanted(3), offers))) == [2]
    offers = (offered(1, 1, 1, 1.00), offered(2, 2, 1, 1.00))
    assert suppliers(plan_orders(Asked(wanted(3), offers, (Terms(2, preferred=True),)))) == [2]
    assert suppliers(plan_orders(Asked(wanted(3), offers, wish=Wish(only=frozenset({2}))))) == [2]


def test_nothing_wanted_is_nothing_ordered() -> None:
    plan = plan_orders(Asked((), ()))
    assert (plan.lines, plan.total_micros, plan.proven) == ((), 0, True)
    nobody = plan_orders(Asked(wanted(3), ()))
    assert (nobody.lines, len(nobody.uncovered)) == ((), 1)


def test_the_quick_answer_comes_first_and_stopping_keeps_it() -> None:
    seen: list[OrderPlan] = []
    plan = plan_orders(TURNOVER, on_better=seen.append)
    assert seen[0].total_micros >= plan.total_micros
    stopped = plan_orders(TURNOVER, stop=lambda: True)
    assert stopped.lines
    assert not stopped.proven
    assert 0 <= stopped.gap <= 1
    assert plan_orders(TURNOVER, time_limit_s=0).bound_micros <= plan.total_micros


def test_next_best_is_none_where_nobody_else_sells_it() -> None:
    asked = Asked(wanted(1), (offered(1, 1, 1, 1.00),))
    plan = plan_orders(asked)
    assert plan.lines[0].why == "only way"
    assert next_best(asked, plan, 1) is None
    with pytest.raises(BadInput, match="Part 9 is not in the plan"):
        next_best(asked, plan, 9)


def test_next_best_says_which_parts_could_not_be_ordered_any_more() -> None:
    offers = (offered(1, 1, 1, 9.00), offered(2, 2, 1, 9.50), offered(3, 1, 2, 1.00, stock=1))
    asked = Asked(wanted(1, 1), offers, (Terms(1, least_order_micros=10 * EURO),))
    plan = plan_orders(asked)
    assert (suppliers(plan), plan.total_micros) == ([1, 1], 10 * EURO)
    other = next_best(asked, plan, 1)
    assert other is not None
    assert (other.supplier, other.dearer_micros, other.left_out) == (2, -500_000, 1)


def test_next_best_with_all_else_left_as_it_is() -> None:
    other = next_best(TURNOVER, plan_orders(TURNOVER), 1, exact_up_to=0)
    # Part 1 from the third supplier: 9.50 and 4.00 postage there; 34.50 of goods, without the discount, and 5.00.
    assert other is not None
    assert (other.supplier, other.total_micros, other.exact) == (3, 53_000_000, False)


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        (lambda: Asked((Wanted(1, 0),), ()), "Part 1 is wanted 0 times"),
        (lambda: Asked((Wanted(1, 1), Wanted(1, 2)), ()), "The part 1 is given twice"),
        (lambda: Asked((), (offered(1, 1, 1, 1.0, pack=0),)), "a pack or a multiple below 1"),
        (lambda: Asked((), (Offered(1, 1, 1, ()),)), "It has no price"),
        (lambda: Asked((), (), (Terms(1, discounts=(Step(0, 10_001),)),)), "discount above 100 %"),
        (lambda: Asked((), (), (Terms(1, shipping_steps=(Step(5, 1), Step(5, 2))),)), "steps that do not rise"),
        (lambda: Asked((), (), (Terms(1, shipping_micros=-1),)), "a figure below zero"),
        (lambda: Asked((), (), (), Wish(by_days=-1)), "The wish has a figure below zero"),
    ],
)
def test_what_nobody_could_order_from_is_refused(asked: object, why: str) -> None:
    assert callable(asked)
    with pytest.raises(BadInput, match=why):
        asked()
