"""Buying: what is short, of which build and section, and what is on order."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, buying, deliveries, kits, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.buying import ShortRow, short
from buildbook.answers.orders import orders
from buildbook.errors import BadInput


def part(shop: Workshop, key: str, build: str | None = None) -> ShortRow:
    return next(row for row in short(shop, build).rows if row.key == key)


def test_an_empty_workshop_lacks_nothing(shop: Workshop) -> None:
    assert short(shop).sentence == "All builds: nothing is short."
    assert orders(shop).sentence == "Nothing has been ordered yet."


def test_only_what_the_drawers_do_not_cover_is_told(wren: Workshop) -> None:
    answer = short(wren)
    assert answer.sentence == "All builds: 1 part short."
    assert [(row.key, row.need, row.short) for row in answer.rows] == [("T-OUT", 1, 1)]


def test_what_is_on_order_is_told_with_the_day(wren: Workshop) -> None:
    buying.place_order(wren, "T-1", "TERN", [OrderLine("T-OUT", 1)], due_on="2026-12-04")
    assert short(wren).sentence == "All builds: nothing is short, 1 on order (last due 2026-12-04)."
    row = part(wren, "T-OUT")
    assert (row.coming, row.due_on, row.short) == (1, "2026-12-04", 0)
    buying.cancel_order(wren, "T-1")
    assert short(wren).sentence == "All builds: 1 part short."


def test_a_day_that_is_not_known_is_not_made_up(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=2)
    buying.place_order(wren, "T-1", "TERN", [OrderLine("T-OUT", 1)], due_on="2026-12-04")
    buying.place_order(wren, "T-2", "TERN", [OrderLine("T-OUT", 1)])
    row = part(wren, "T-OUT")
    assert (row.coming, row.due_on) == (2, "")


def test_the_figures_of_a_row_add_up(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=6)
    stores.receive(wren, "Q-BC547B", "A1", 2)
    kits.fit_lines(wren, "WREN", "AMP", refs="Q1")
    stores.receive(wren, "Q-BC547B", "A1", 1)
    stores.receive(wren, "Q-BC547C", "A1", 1)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    row = part(wren, "Q-BC547B")
    shares = (row.fitted, row.kitted, row.spoken_for, row.stood_in, row.coming, row.short)
    assert (row.need, shares) == (6, (3, 0, 1, 1, 0, 1))
    assert (row.on_hand, row.free) == (1, 0)


def test_more_in_the_kit_than_needed_is_not_counted_twice(wren: Workshop) -> None:
    stores.receive(wren, "T-OUT", "A1", 1)
    kits.kit_assembly(wren, "WREN", "AMP")
    lists.change_line(wren, "AMP/R1", qty=1, refs="R1")
    lists.add_line(wren, "AMP", "R-4K7", 20)
    row = part(wren, "R-4K7")
    assert (row.need, row.kitted, row.spoken_for, row.short) == (21, 1, 8, 12)


def test_short_of_one_build_after_those_before_it(wren: Workshop) -> None:
    boards.new_build(wren, "SECOND", "AMP", 5)
    assert short(wren, "WREN").sentence == "WREN: 1 part short."
    assert {row.key: row.short for row in short(wren, "SECOND").rows} == {"R-4K7": 2, "Q-BC547B": 5, "T-OUT": 5}
    boards.change_build(wren, "SECOND", priority=1)
    assert {row.key: row.short for row in short(wren, "SECOND").rows} == {"Q-BC547B": 4, "T-OUT": 5}
    assert {row.key: row.short for row in short(wren, "WREN").rows} == {"R-4K7": 2, "Q-BC547B": 1, "T-OUT": 1}


def test_short_of_one_section(wren: Workshop) -> None:
    boards.new_assembly(wren, "WREN", "PROBE", "Probe")
    lists.add_line(wren, "PROBE", "T-OUT", refs="T9")
    answer = short(wren, assembly="PROBE")
    assert (answer.scope, answer.sentence) == ("WREN/PROBE", "WREN/PROBE: 1 part short.")
    assert [(row.key, row.need) for row in answer.rows] == [("T-OUT", 1)]
    assert [row.need for row in short(wren).rows] == [2]
    assert short(wren, "WREN", "WREN").rows == ()


def test_what_is_most_wanted_stands_first(wren: Workshop) -> None:
    stores.count(wren, "Q-BC547B", "A1", 0)
    stores.receive(wren, "Q-BC547C", "A1", 1)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    stores.count(wren, "R-4K7", "A1", 0)
    buying.place_order(wren, "T-1", "TERN", [OrderLine("T-OUT", 1)], due_on="2026-12-04")
    answer = short(wren)
    assert [row.key for row in answer.rows] == ["R-4K7", "T-OUT", "Q-BC547B"]
    assert answer.sentence == ("All builds: 1 part short, 1 on order (last due 2026-12-04), 1 covered by stand-ins.")


def test_an_unknown_build_or_section_is_told(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no build LINNET."):
        short(wren, "LINNET")
    with pytest.raises(BadInput, match=r"There is no assembly IF."):
        short(wren, assembly="IF")


def test_orders_say_when_the_next_comes_and_how_many_are_closed(wren: Workshop) -> None:
    rows = [OrderLine("T-OUT", 2, due_on="2026-12-01"), OrderLine("Q-BC547B", 1, due_on="2026-12-09")]
    buying.place_order(wren, "T-1", "TERN", rows)
    assert orders(wren).sentence == "1 order under way, due 2026-12-01."
    deliveries.receive_order(wren, "T-1", "A1", lines={"T-OUT": 2})
    assert orders(wren).sentence == "1 order under way, due 2026-12-09."
    buying.place_order(wren, "T-2", "TERN", [OrderLine("T-OUT", 1)])
    assert orders(wren).sentence == "2 orders under way, the next due 2026-12-09."
    deliveries.receive_order(wren, "T-1")
    assert orders(wren).sentence == "1 order under way; 1 closed."
    buying.cancel_order(wren, "T-2")
    assert orders(wren).sentence == "No orders under way; 2 closed."
    assert [row.state for row in orders(wren).rows] == ["received", "received", "cancelled"]
