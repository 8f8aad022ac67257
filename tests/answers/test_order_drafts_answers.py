"""What stands in drafts: not coming, not bought twice; and a sum that stays from the plan to the list written out."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, buying, drafts, stores, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.drafts import AS_TERMS, Beside, RowChange
from buildbook.actions.offers import OfferRow, set_offers
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.before_buying import before_buying
from buildbook.answers.buying import short
from buildbook.answers.order_out import order_out
from buildbook.answers.order_plan import OrderPlanned, draft_said, order_plan
from buildbook.answers.order_sum import OrderSum, order_sum
from buildbook.answers.order_wishes import Wishes
from buildbook.answers.orders import orders
from buildbook.answers.price_history import price_history
from buildbook.answers.stores import stores as every_part
from buildbook.errors import BadInput
from buildbook.trade.money import line_micros
from buildbook.trade.rates import converted, stated

EUR = 1_000_000
WREN = ("R-4K7", "Q-BC547B", "T-OUT")


@pytest.fixture
def market(wren: Workshop) -> Workshop:
    """Eight Wrens: 6 of R-4K7, 7 of Q-BC547B and 8 of T-OUT are short; QUAYSIDE sells all, TERN the transformer."""
    boards.change_build(wren, "WREN", units=8)
    buying.new_supplier(wren, "QUAYSIDE", "Quayside Spares")
    terms.set_terms(wren, "QUAYSIDE", shipping="4.90", discount="3 % from 0.50", tax="19")
    set_offers(
        wren,
        [
            OfferRow("QUAYSIDE", "R-4K7", "Q2", ((1, 41_337),), pack_qty=7, lead_days=3),
            OfferRow("QUAYSIDE", "Q-BC547B", "Q3", ((1, 90_001),), per_qty=3, lead_days=3),
            OfferRow("TERN", "T-OUT", "TW1", ((1, 8 * EUR),), lead_days=14),
        ],
    )
    return wren


def draft_all(shop: Workshop, plan: OrderPlanned) -> tuple[str, ...]:
    """A draft with each supplier of a plan."""
    wanted: dict[str, list[OrderLine]] = {}
    for row in plan.rows:
        line = OrderLine(row.key, row.qty, row.price_micros, row.per_qty, row.order_code)
        wanted.setdefault(row.supplier, []).append(line)
    return drafts.draft_orders(shop, wanted)


def whole(shop: Workshop, ref: str) -> OrderSum:
    """The sum of one order."""
    return next(one for one in orders(shop).sums if one.ref == ref)


def lacking(shop: Workshop) -> dict[str, tuple[int, int]]:
    """What is short and what is coming of each part."""
    return {row.key: (row.short, row.coming) for row in short(shop).rows}


def test_a_draft_is_not_coming_and_is_not_planned_again(market: Workshop) -> None:
    before, plan = lacking(market), order_plan(market)
    refs = draft_all(market, plan)
    assert refs == ("QUAYSIDE-1", "TERN-1")
    assert lacking(market) == before
    assert {row.coming for row in every_part(market).rows} == {0}
    again = order_plan(market)
    assert again.rows == ()
    assert again.sentence == "There is nothing to order; 3 parts in drafts."
    assert [draft_said(row) for row in again.in_drafts] == [
        "Q-BC547B: 7 in draft QUAYSIDE-1, so not ordered again.",
        "R-4K7: 6 in draft QUAYSIDE-1, so not ordered again.",
        "T-OUT: 8 in draft TERN-1, so not ordered again.",
    ]
    assert order_plan(market, Wishes(past_drafts=True)).rows == plan.rows
    drafts.place_draft(market, "TERN-1")
    assert lacking(market)["T-OUT"] == (0, 8)
    buying.cancel_order(market, "QUAYSIDE-1")
    assert {row.key for row in order_plan(market).rows} == {"R-4K7", "Q-BC547B"}


def test_a_look_before_buying_tells_of_drafts_and_the_prices_of_the_past_do_not(market: Workshop) -> None:
    drafts.draft_order(market, "D", "TERN", [OrderLine("T-OUT", 10, 9 * EUR)])
    told = [row.said for row in before_buying(market, "T-OUT").rows if row.what == "in a draft"]
    assert told == ["10 in draft D"]
    assert "ordered" not in {row.what for row in price_history(market, "T-OUT").rows}
    terms.set_rate(market, "GBP", "1.16")
    terms.set_terms(market, "TERN", currency="GBP")
    drafts.place_draft(market, "D")
    # What is written on the order is in the workshop's own money, whoever is paid.
    ordered = next(row for row in price_history(market, "T-OUT").rows if row.what == "ordered")
    assert (ordered.currency, ordered.price_micros) == ("EUR", 9 * EUR)


def test_a_drafted_stand_in_covers_what_it_stands_in_for(market: Workshop) -> None:
    stores.allow_stand_in(market, "Q-BC547B", "Q-BC547C", "Any gain will do.")
    drafts.draft_order(market, "D", "TERN", [OrderLine("Q-BC547C", 5)])
    plan = order_plan(market)
    assert [draft_said(row) for row in plan.in_drafts] == ["Q-BC547B: 5 of Q-BC547C in draft D, so not ordered again."]
    assert sum(row.short for row in plan.rows if row.wanted == "Q-BC547B") == 2


def test_what_is_drafted_counts_once_for_the_least_stock(market: Workshop) -> None:
    terms.keep_at_least(market, "T-OUT", 4)
    drafts.draft_order(market, "D", "TERN", [OrderLine("T-OUT", 10)])
    rows = {row.key: (row.short, row.kept) for row in order_plan(market, Wishes(keep=True)).rows}
    assert rows["T-OUT"] == (2, 2)


def entries(shop: Workshop) -> int:
    """How much the journal tells of."""
    return int(shop.reads.execute("SELECT count(*) FROM journal_entry").fetchone()[0])


PRICE = st.integers(0, 5_000_000)


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(1, 60), PRICE, st.integers(1, 7)), max_size=5),
    st.none() | st.builds(Beside, *(st.none() | st.integers(0, 50_000) for _ in range(3))),
    st.sampled_from(("", "1.1634", "0.0062", "3")),
)
@example([(0, 1, 0, 1), (1, 1, 0, 1)], Beside(1, None, None), "")
def test_the_sum_of_an_order_stays_from_the_plan_to_the_list(
    market: Workshop, changes: Sequence[tuple[int, int, int, int]], beside: Beside | None, rate: str
) -> None:
    before = entries(market)
    try:
        if rate:
            terms.set_rate(market, "GBP", rate)
            terms.set_terms(market, "TERN", currency="GBP", shipping="8.95", tax="20", tax_on_shipping=True)
        plan = order_plan(market)
        draft_all(market, plan)
        for bill in plan.bills:  # to the millionth the bill of the plan
            one = whole(market, f"{bill.supplier}-1")
            sums = (one.goods_micros, one.discount_micros, one.shipping_micros, one.tax_micros, one.total_micros)
            assert sums == bill[3:]
        abroad = order_sum(market, "TERN-1")
        if rate:
            # Eight at 8.00 and postage of 8.95, a fifth of it all as tax: to the rounding of the tax.
            assert [row.foreign_micros for row in abroad.rows[:2]] == [64 * EUR, 8_950_000]
            tax = abroad.rows[2].foreign_micros or 0
            assert abs(tax - 14_590_000) <= 1 / float(rate) + 1
        for part, qty, price, per in changes:
            drafts.alter_order(market, "QUAYSIDE-1", lines=[RowChange(WREN[part], qty, price, per)])
        if beside is not None and (beside.discount_micros or 0) > whole(market, "QUAYSIDE-1").goods_micros:
            with pytest.raises(BadInput, match=r"The discount is more than the goods."):
                drafts.alter_order(market, "QUAYSIDE-1", beside=beside)
            return
        if beside is not None:
            drafts.alter_order(market, "QUAYSIDE-1", beside=beside)
        drafted = whole(market, "QUAYSIDE-1")
        rows = [row for row in orders(market).rows if row.ref == "QUAYSIDE-1"]
        assert drafted.goods_micros == sum(line_micros(r.qty, r.price_micros or 0, r.per_qty) for r in rows)
        assert {coming for _, coming in lacking(market).values()} == {0}
        for said, stands in zip(beside or AS_TERMS, drafted[13:16], strict=True):
            assert said in (None, stands)
        drafts.place_draft(market, "QUAYSIDE-1")
        drafts.confirm_order(market, "QUAYSIDE-1", due_on="2027-01-04")
        placed = whole(market, "QUAYSIDE-1")
        assert placed[12:17] == drafted[12:17]
        assert placed.total_micros == sum(row.micros for row in order_sum(market, "QUAYSIDE-1").rows)
        assert sum(row.amount_micros or 0 for row in order_out(market, "QUAYSIDE-1").rows) == placed.goods_micros
    finally:
        for _ in range(entries(market) - before):
            undo(market)


@given(st.integers(0, 10**9), st.decimals("0.0001", "500", places=4))
def test_a_price_comes_back_from_a_rate_as_it_was_stated(micros: int, rate: Decimal) -> None:
    here = converted(micros, str(rate))
    assert converted(stated(here, str(rate), "GBP"), str(rate)) == here
