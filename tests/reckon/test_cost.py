"""What a build costs: every division adds up to the millionth, and no unknown price is taken as nothing."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.average import Pile
from buildbook.reckon.cost import Cost, CostLine, Extras, Money, Unpriced, cost, cost_at, share_out
from buildbook.reckon.purchase import Break, Offer

RESISTOR, VALVE, WIRE = 7, 8, 9
KINDS = {RESISTOR: "resistor", VALVE: "valve", WIRE: "wire"}


def line(part: int, **figures: int) -> CostLine:
    """A line of build 1, assembly 10, of which nothing is had yet unless told otherwise."""
    need = figures.get("need", 1)
    nothing = {"build": 1, "assembly": 10, "used": 0, "used_micros": 0, "used_unpriced": 0, "from_stock": 0}
    got = {**nothing, "need": need, "to_get": need - figures.get("used", 0), **figures}
    return CostLine(part=part, kind=KINDS[part], **got)


def offer(part: int, price_micros: int, *, supplier: int = 3, pack: int = 1, per: int = 1, number: int = 1) -> Offer:
    """An offer with one price."""
    return Offer(number, supplier, part, per, pack, 1, (Break(1, price_micros),))


# --- promises --------------------------------------------------------------------------------------------------------


@given(st.integers(0, 10**12), st.lists(st.integers(0, 10**6), min_size=1, max_size=20).filter(any))
@settings(deadline=None, max_examples=100)
def test_shares_add_up_and_none_is_a_whole_millionth_off(total: int, weights: list[int]) -> None:
    shares = share_out(total, weights)
    whole = sum(weights)
    assert sum(shares) == total
    for share, weight in zip(shares, weights, strict=True):
        assert total * weight // whole <= share <= -(-total * weight // whole)


def test_the_largest_remainder_is_rounded_up() -> None:
    assert share_out(10, [1, 2, 4]) == [1, 3, 6]  # quotas 1.43, 2.86, 5.71
    assert share_out(0, [0, 0]) == [0, 0]
    with pytest.raises(BadInput, match="Nobody has a share in it"):
        share_out(1, [0, 0])


@st.composite
def lines(draw: st.DrawFn) -> CostLine:
    """Any line of three parts, two assemblies and two builds."""
    used, stock, coming, buy = (draw(st.integers(0, 50)) for _ in range(4))
    return CostLine(
        build=draw(st.integers(1, 2)),
        assembly=draw(st.integers(10, 11)),
        part=(part := draw(st.sampled_from(list(KINDS)))),
        kind=KINDS[part],
        need=used + stock + coming + buy,
        used=used,
        used_micros=draw(st.integers(0, 10**9)),
        used_unpriced=draw(st.integers(0, used)),
        to_get=stock + coming + buy,
        from_stock=stock,
        coming=coming,
        coming_micros=draw(st.integers(0, 10**9)),
        coming_unpriced=draw(st.integers(0, coming)),
    )


PILES = st.dictionaries(
    st.sampled_from(list(KINDS)),
    st.builds(
        lambda priced, not_priced, value: Pile(priced + not_priced, not_priced, value if priced else 0),
        st.integers(0, 100),
        st.integers(0, 20),
        st.integers(0, 10**9),
    ),
)
OFFERS = st.lists(
    st.builds(
        lambda part, price, supplier, pack, number: offer(part, price, supplier=supplier, pack=pack, number=number),
        st.sampled_from(list(KINDS)),
        st.integers(0, 10**8),
        st.integers(1, 3),
        st.integers(1, 30),
        st.integers(1, 99),
    ),
    max_size=5,
).map(lambda several: {part: [one for one in several if one.part == part] for part in KINDS})


def add(moneys: Iterable[Money]) -> Money:
    """The sum of several rows, field by field."""
    return Money(*(sum(column) for column in zip(*moneys, strict=True)))


@given(st.lists(lines(), max_size=12), PILES, OFFERS)
@settings(deadline=None, max_examples=100)
def test_every_division_adds_up_to_the_millionth(
    several: list[CostLine], piles: dict[int, Pile], offers: dict[int, list[Offer]]
) -> None:
    answer = cost(several, piles, offers)
    for division in (answer.by_build, answer.by_assembly, answer.by_kind, answer.by_supplier):
        assert add(division.values()) == answer.money
    assert answer.money.outlay == sum(buy.amount_micros for buy in answer.buys)
    assert answer.money.to_spend <= answer.money.outlay
    assert answer.money.spent == sum(one.used_micros for one in several)


@given(st.lists(lines(), max_size=12), PILES, OFFERS)
@settings(deadline=None, max_examples=100)
def test_every_piece_has_a_price_or_is_named(
    several: list[CostLine], piles: dict[int, Pile], offers: dict[int, list[Offer]]
) -> None:
    answer = cost(several, piles, offers)
    unknown = {one.part: one for one in answer.unpriced}
    bought = {buy.part: buy.need for buy in answer.buys}
    for part in {one.part for one in several}:
        of_part = [one for one in several if one.part == part]
        stock, to_buy = sum(one.from_stock for one in of_part), sum(one.to_buy for one in of_part)
        pile = piles.get(part, Pile())
        named = unknown.get(part, Unpriced(part, 0, 0, 0, 0))
        assert named.in_stock == max(0, stock - (pile.qty - pile.unpriced_qty))
        assert named.to_buy + bought.get(part, 0) == to_buy
        assert named.used == sum(one.used_unpriced for one in of_part)
        assert named.ordered == sum(one.coming_unpriced for one in of_part)
    assert (answer.money.unpriced_lines > 0) == bool(answer.unpriced)


@given(st.lists(lines(), min_size=1, max_size=8), PILES)
@settings(deadline=None, max_examples=100)
def test_stock_used_up_hands_its_whole_value_to_the_build(several: list[CostLine], piles: dict[int, Pile]) -> None:
    wanted = {part: sum(one.from_stock for one in several if one.part == part) for part in KINDS}
    exhausted = {part: pile for part, pile in piles.items() if wanted[part] >= pile.qty - pile.unpriced_qty}
    plenty = sum(pile.value_micros for pile in exhausted.values())
    assert cost(several, exhausted, {}).money.in_stock == plenty


# --- the cases a builder meets ---------------------------------------------------------------------------------------


def curlew() -> Cost:
    """Two resistors fitted, one of them found in a box; three in the drawers; a bag of ten for the five to buy."""
    return cost(
        [
            line(RESISTOR, assembly=10, need=6, used=2, used_micros=50_000, used_unpriced=1, from_stock=3),
            line(RESISTOR, assembly=11, need=4),
            line(VALVE, assembly=11, need=2, coming=2, coming_micros=18_000_000),
        ],
        {RESISTOR: Pile(12, 0, 600_000)},
        {RESISTOR: [offer(RESISTOR, 40_000, pack=10)]},
        units=2,
        extras=Extras(minutes=90, rate_micros=20_000_000, consumables_bp=500, consumables_micros=1_000_000),
    )


def test_money_spent_lying_ordered_and_still_to_spend_are_kept_apart() -> None:
    assert curlew().money == Money(50_000, 150_000, 18_000_000, 200_000, 400_000, 1)


def test_each_board_carries_its_share() -> None:
    boards = curlew().by_assembly
    assert boards[10] == Money(50_000, 150_000, 0, 40_000, 80_000, 1)
    assert boards[11] == Money(0, 0, 18_000_000, 160_000, 320_000, 0)


def test_what_need_not_be_bought_has_no_supplier() -> None:
    assert curlew().by_supplier == {
        None: Money(50_000, 150_000, 18_000_000, 0, 0, 1),
        3: Money(to_spend=200_000, outlay=400_000),
    }


def test_labour_and_consumables_come_on_top() -> None:
    answer = curlew()
    assert answer.labour_micros == 30_000_000
    assert answer.consumables_micros == 1_000_000 + 920_000  # 5 % of 18.40
    assert answer.total_micros == 18_400_000 + 30_000_000 + 1_920_000
    assert answer.per_unit_micros == 25_160_000


def test_an_unknown_price_is_named_where_it_is() -> None:
    assert curlew().unpriced == (Unpriced(RESISTOR, used=1, in_stock=0, ordered=0, to_buy=0),)
    nothing_known = cost([line(VALVE, need=3, from_stock=1, coming=1, coming_unpriced=1)], {VALVE: Pile(4, 4, 0)}, {})
    assert nothing_known.unpriced == (Unpriced(VALVE, used=0, in_stock=1, ordered=1, to_buy=1),)
    assert nothing_known.money == Money(unpriced_lines=1)


@pytest.mark.parametrize(
    "unknown",
    [
        line(VALVE, used=1, used_unpriced=1),
        line(VALVE, from_stock=1),
        line(VALVE, coming=1, coming_unpriced=1),
        line(VALVE),
    ],
)
def test_a_line_with_an_unknown_price_counts_once_wherever_the_piece_is(unknown: CostLine) -> None:
    known = line(VALVE, build=2, used=1, used_micros=5)
    answer = cost([unknown, known], {}, {})
    assert [money.unpriced_lines for money in answer.by_build.values()] == [1, 0]


def test_two_boards_share_one_bag_and_its_price_break() -> None:
    breaks = Offer(1, 3, RESISTOR, 1, 1, 1, (Break(1, 50_000), Break(10, 20_000)))
    answer = cost([line(RESISTOR, need=5), line(RESISTOR, assembly=11, need=5)], {}, {RESISTOR: [breaks]})
    assert [(buy.need, buy.qty, buy.amount_micros) for buy in answer.buys] == [(10, 10, 200_000)]
    assert answer.by_assembly[11].to_spend == 100_000


def test_wire_is_costed_by_the_length_in_the_build_and_paid_by_the_reel() -> None:
    reel = offer(WIRE, 450_000, pack=10_000, per=1000)
    answer = cost([line(WIRE, need=2500)], {}, {WIRE: [reel]})
    assert (answer.money.to_spend, answer.money.outlay) == (1_125_000, 4_500_000)


def test_pieces_free_of_charge_have_a_price() -> None:
    assert cost([line(VALVE)], {}, {VALVE: [offer(VALVE, 0)]}).unpriced == ()


def test_a_kind_is_summed_over_its_parts() -> None:
    answer = cost([line(VALVE), line(VALVE), line(WIRE)], {}, {p: [offer(p, 10)] for p in (VALVE, WIRE)})
    assert {kind: money.to_spend for kind, money in answer.by_kind.items()} == {"valve": 20, "wire": 10}


def test_builds_reckoned_together_are_told_apart() -> None:
    answer = cost([line(VALVE, build=1), line(VALVE, build=2, need=3)], {}, {VALVE: [offer(VALVE, 10)]})
    assert {build: money.to_spend for build, money in answer.by_build.items()} == {1: 10, 2: 30}


def test_no_units_have_no_cost() -> None:
    with pytest.raises(BadInput, match="0 units are too few"):
        cost([], {}, {}, units=0)


def test_nothing_needed_costs_nothing() -> None:
    answer = cost([], {}, {})
    assert (answer.money, answer.total_micros, dict(answer.by_supplier)) == (Money(), 0, {})


def test_more_units_reach_the_breaks_and_stock_does_not_count() -> None:
    breaks = Offer(1, 3, VALVE, 1, 1, 1, (Break(1, 9_000_000), Break(5, 8_000_000), Break(25, 7_000_000)))
    of_one = line(VALVE, need=1, used=1, used_micros=1, used_unpriced=1, coming=5, coming_micros=3)
    extras = Extras(minutes=60, rate_micros=1_000_000, consumables_micros=500_000)
    needed = {units: [of_one._replace(need=units)] for units in (1, 5, 25)}
    answers = cost_at(needed, {VALVE: [breaks]}, extras=extras)
    assert [one.units for one in answers] == [1, 5, 25]
    assert [one.per_unit_micros for one in answers] == [10_500_000, 9_500_000, 8_500_000]
    assert [one.unpriced for one in answers] == [(), (), ()]


@given(st.lists(lines(), min_size=1, max_size=6), OFFERS, st.integers(1, 40))
@settings(deadline=None, max_examples=100)
def test_a_unit_never_needs_more_outlay_when_more_are_made(
    several: list[CostLine], offers: dict[int, list[Offer]], count: int
) -> None:
    one = cost_at({1: several}, offers)[0]
    many = cost_at({count: [line._replace(need=line.need * count) for line in several]}, offers)[0]
    assert many.money.outlay <= one.money.outlay * count
    assert sum(buy.need for buy in many.buys) == count * sum(buy.need for buy in one.buys)
