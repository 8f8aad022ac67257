"""What a build costs: spent, in the drawers, on order, to spend; a price not known is never taken as nothing."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, buying, checklists, checks, deliveries, kits, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.checklists import NewStep
from buildbook.actions.offers import OfferRow, set_offers
from buildbook.actions.workshop import Workshop, set_setting
from buildbook.answers.cost import build_cost
from buildbook.errors import BadInput

EUR = 1_000_000


@pytest.fixture
def priced(wren: Workshop) -> Workshop:
    """The Wren, with Tern Windings selling the transformer at 8.00, or 6.00 from ten on."""
    set_setting(wren, "currency", "EUR")
    set_offers(wren, [OfferRow("TERN", "T-OUT", "TW1", ((1, 8 * EUR), (10, 6 * EUR)))])
    return wren


def test_without_a_build_there_is_no_cost(shop: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no build. Start a project with `buildbook boards new`."):
        build_cost(shop)


def test_a_build_without_parts_costs_nothing(shop: Workshop) -> None:
    boards.new_project(shop, "WREN")
    answer = build_cost(shop)
    assert (answer.total_micros, answer.sections, answer.unpriced) == (0, (), ())
    assert answer.sentence == "WREN, 1 unit, costs 0.00 EUR."


def test_drawers_and_offers_make_the_cost(priced: Workshop) -> None:
    answer = build_cost(priced)
    assert (answer.in_stock_micros, answer.to_spend_micros) == (2 * 50_000 + 100_000, 8 * EUR)
    assert answer.sentence == "WREN, 1 unit, costs 8.20 EUR: 0.20 in the drawers and 8.00 still to spend."
    assert [(row.name, row.total) for row in answer.sections] == [("WREN/AMP", 8_200_000)]
    assert {row.name: row.total for row in answer.kinds} == {
        "transformer": 8 * EUR,
        "resistor": 100_000,
        "transistor": 100_000,
    }
    assert {row.name: row.total for row in answer.suppliers} == {"TERN": 8 * EUR, "here or on order": 200_000}


def test_money_moves_from_order_to_drawer_to_spent(priced: Workshop) -> None:
    def heaps() -> tuple[int, int, int, int]:
        now = build_cost(priced)
        assert now.total_micros == now.spent_micros + now.in_stock_micros + now.ordered_micros + now.to_spend_micros
        return now.spent_micros, now.in_stock_micros, now.ordered_micros, now.to_spend_micros

    buying.place_order(priced, "T-1", "TERN", [OrderLine("T-OUT", 1, 7 * EUR)])
    assert heaps() == (0, 200_000, 7 * EUR, 0)
    deliveries.receive_order(priced, "T-1", "A1")
    assert heaps() == (0, 7_200_000, 0, 0)
    kits.kit_assembly(priced, "WREN", "AMP")
    assert heaps() == (7_200_000, 0, 0, 0)
    kits.scrap_from_kit(priced, "WREN", "AMP/T1", 1, note="Dropped.")
    # What was lost stays on the bill, and another has to be bought.
    assert heaps() == (7_200_000, 0, 0, 8 * EUR)


def test_packs_cost_more_than_what_is_needed_of_them(priced: Workshop) -> None:
    set_offers(priced, [OfferRow("TERN", "T-OUT", "TW1", ((1, 8 * EUR),), pack_qty=3)])
    answer = build_cost(priced)
    assert (answer.to_spend_micros, answer.outlay_micros) == (8 * EUR, 24 * EUR)
    assert answer.sentence.endswith("8.00 still to spend. To pay, as packs come: 24.00 EUR.")


def test_a_part_without_a_price_is_named(wren: Workshop) -> None:
    answer = build_cost(wren)
    assert [(row.key, row.qty) for row in answer.unpriced] == [("T-OUT", 1)]
    assert answer.sentence.endswith("Not in it, for want of a price: 1 part (T-OUT).")
    stores.receive(wren, "T-OUT", "A1", 1)
    kits.fit_lines(wren, "WREN", "AMP")
    assert [(row.key, row.qty) for row in build_cost(wren).unpriced] == [("T-OUT", 1)]


def test_what_hangs_on_an_open_question_is_told(priced: Workshop) -> None:
    checks.ask(priced, "WREN", "BIAS", "Which bias?", {"R": "resistor", "D": "diode"})
    lists.add_line(priced, "AMP", "R-4K7", refs="R3", option="BIAS:R")
    answer = build_cost(priced)
    assert (answer.open_questions, answer.in_stock_micros) == (("BIAS",), 200_000)
    assert answer.sentence.endswith("Not in it: what hangs on the open question BIAS.")
    checks.settle(priced, "WREN", "BIAS", "R", "It is what lies here.")
    assert (build_cost(priced).open_questions, build_cost(priced).in_stock_micros) == ((), 250_000)
    checks.shelve(priced, "WREN", "BIAS", "Later.")
    assert (build_cost(priced).open_questions, build_cost(priced).in_stock_micros) == ((), 200_000)


def test_a_stand_in_costs_what_it_costs(priced: Workshop) -> None:
    stores.count(priced, "Q-BC547B", "A1", 0)
    stores.receive(priced, "Q-BC547C", "A1", 5, price_micros=300_000)
    stores.allow_stand_in(priced, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    assert build_cost(priced).in_stock_micros == 100_000 + 300_000


def test_labour_and_consumables(priced: Workshop) -> None:
    checklists.add_step(priced, "AMP", NewStep("Populate the board", 40))
    checklists.add_step(priced, "AMP", NewStep("Test the board", 20))
    set_setting(priced, "labour_rate", "30.00")
    boards.change_project(priced, "WREN", consumables_bp=500)
    answer = build_cost(priced)
    assert (answer.labour_minutes, answer.labour_micros) == (60, 30 * EUR)
    assert answer.consumables_micros == 410_000
    assert answer.total_micros == 8_200_000 + 30 * EUR + 410_000
    assert answer.sentence == (
        "WREN, 1 unit, costs 38.61 EUR: 0.20 in the drawers, 8.00 still to spend, 30.00 labour and 0.41 consumables."
    )


def test_many_units_reach_the_price_breaks(priced: Workshop) -> None:
    boards.change_build(priced, "WREN", units=10)
    answer = build_cost(priced, at=[1, 10])
    assert answer.to_spend_micros == 10 * 6 * EUR
    assert " costs 60.60 EUR (6.06 each): " in answer.sentence
    one, ten = answer.at_units
    assert (one.per_unit_micros, ten.per_unit_micros) == (8 * EUR, 6 * EUR)
    assert (one.unpriced_parts, ten.outlay_micros) == (2, 60 * EUR)


def test_the_first_build_in_priority_is_meant_where_none_is_named(priced: Workshop) -> None:
    boards.new_build(priced, "SECOND", "AMP")
    assert build_cost(priced).build == "WREN"
    boards.change_build(priced, "SECOND", priority=1)
    assert build_cost(priced).build == "SECOND"
    assert build_cost(priced, "wren").in_stock_micros == 100_000
