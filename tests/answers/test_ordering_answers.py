"""What to order from whom: the cheapest offer for the whole need, in packs, with breaks, and what nobody offers."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, buying, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.offers import OfferRow, set_offers
from buildbook.actions.workshop import Workshop, set_setting
from buildbook.answers.ordering import to_order

EUR = 1_000_000


def test_an_empty_workshop_orders_nothing(shop: Workshop) -> None:
    assert to_order(shop).sentence == "There is nothing to order."


def test_what_nobody_offers_is_named(wren: Workshop) -> None:
    set_setting(wren, "currency", "EUR")
    answer = to_order(wren)
    assert answer.rows == ()
    assert [row.key for row in answer.unpriced] == ["T-OUT"]
    assert answer.sentence == "Nothing can be ordered: 1 part that nobody offers: T-OUT."


def test_the_cheapest_offer_of_the_whole_need_is_taken(wren: Workshop) -> None:
    set_setting(wren, "currency", "EUR")
    buying.new_supplier(wren, "QUAYSIDE", "Quayside Spares")
    boards.change_build(wren, "WREN", units=8)
    set_offers(
        wren,
        [
            OfferRow("TERN", "T-OUT", "TW1", ((1, 8 * EUR), (10, 6 * EUR))),
            OfferRow("QUAYSIDE", "T-OUT", "Q9", ((1, 9 * EUR),)),
            OfferRow("QUAYSIDE", "Q-BC547B", "Q1", ((1, 1 * EUR),), per_qty=10, pack_qty=5, min_qty=10),
            OfferRow("QUAYSIDE", "R-4K7", "Q2", ((1, 40_000),), pack_qty=10),
        ],
    )
    answer = to_order(wren)
    lines = {row.key: row for row in answer.rows}
    # Eight at 8.00 are 64.00; ten at 6.00 are 60.00.
    assert (lines["T-OUT"].short, lines["T-OUT"].qty, lines["T-OUT"].amount_micros) == (8, 10, 60 * EUR)
    assert (lines["Q-BC547B"].short, lines["Q-BC547B"].qty, lines["Q-BC547B"].amount_micros) == (7, 10, 1 * EUR)
    assert (lines["R-4K7"].short, lines["R-4K7"].qty, lines["R-4K7"].amount_micros) == (6, 10, 400_000)
    assert lines["T-OUT"].refs == "WREN/AMP T1"
    assert [row.supplier for row in answer.rows] == ["QUAYSIDE", "QUAYSIDE", "TERN"]
    assert (answer.total_micros, answer.sentence) == (61_400_000, "3 parts from 2 suppliers for 61.40 EUR.")


def test_what_is_on_order_is_not_ordered_again(wren: Workshop) -> None:
    set_offers(wren, [OfferRow("TERN", "T-OUT", "TW1", ((1, 8 * EUR),))])
    assert [row.qty for row in to_order(wren).rows] == [1]
    buying.place_order(wren, "T-1", "TERN", [OrderLine("T-OUT", 1)])
    assert to_order(wren).rows == ()


def test_only_what_one_build_lacks(wren: Workshop) -> None:
    boards.new_build(wren, "SECOND", "AMP", 2)
    set_offers(wren, [OfferRow("TERN", "T-OUT", "TW1", ((1, 8 * EUR),))])
    assert [row.qty for row in to_order(wren).rows] == [3]
    assert [row.qty for row in to_order(wren, "SECOND").rows] == [2]
    assert [row.key for row in to_order(wren, "SECOND").unpriced] == ["Q-BC547B"]


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.integers(1, 60),
    st.lists(
        st.tuples(st.integers(1, 12), st.integers(1, 30), st.integers(1, 5), st.integers(1, 90), st.integers(0, 60)),
        min_size=1,
        max_size=3,
    ),
)
def test_no_quantity_of_any_offer_costs_less(
    wren: Workshop, units: int, offers: list[tuple[int, int, int, int, int]]
) -> None:
    rows = []
    amounts: list[int] = []
    for number, (pack, least, per, first, off) in enumerate(offers):
        breaks = ((1, first * 10_000), (20, max(0, first - off) * 10_000))
        rows.append(OfferRow("TERN", "T-OUT", f"TW{number}", breaks, per_qty=per, pack_qty=pack, min_qty=least))
        sold = [qty for qty in range(pack, 200, pack) if qty >= max(units, least)]
        amounts += [round(Fraction(qty * breaks[qty >= 20][1], per)) for qty in sold]
    boards.change_build(wren, "WREN", units=units)
    stores.count(wren, "T-OUT", "A1", 0)
    offer_only(wren, rows)
    (line,) = [row for row in to_order(wren).rows if row.key == "T-OUT"]
    assert line.qty >= line.short == units
    assert line.amount_micros == min(amounts)


def offer_only(shop: Workshop, rows: list[OfferRow]) -> None:
    """These offers, and of those made before only dear ones."""
    dear = [OfferRow("TERN", "T-OUT", f"TW{number}", ((1, 10**12),)) for number in range(3)]
    set_offers(shop, [*dear[len(rows) :], *rows])
