"""What lacks to the least stock counts beside what is short."""

from __future__ import annotations

from buildbook.actions import buying, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.terms import keep_at_least
from buildbook.actions.workshop import Workshop
from buildbook.answers.buying import short
from buildbook.answers.least_stock import with_least_stock
from buildbook.answers.order_plan import order_plan
from buildbook.answers.order_wishes import Wishes


def kept(shop: Workshop) -> dict[str, tuple[int, int]]:
    """By part, what is short for the builds and what lacks to the least stock."""
    return {row.key: (row.short, row.keep_short) for row in with_least_stock(shop, short(shop)).rows}


def test_what_is_free_and_what_comes_for_nobody_count_towards_it(wren: Workshop) -> None:
    # Ten resistors lie there, two of them spoken for.
    keep_at_least(wren, "R-4K7", 30)
    assert kept(wren)["R-4K7"] == (0, 22)
    buying.place_order(wren, "T-1", "TERN", [OrderLine("R-4K7", 15)])
    assert kept(wren)["R-4K7"] == (0, 7)
    stores.receive(wren, "R-4K7", "A1", 7)
    assert "R-4K7" not in kept(wren)
    assert with_least_stock(wren, short(wren)).sentence.endswith("; all least stock is there.")


def test_a_part_that_is_short_is_told_once_with_both(wren: Workshop) -> None:
    keep_at_least(wren, "T-OUT", 2)
    assert kept(wren)["T-OUT"] == (1, 2)
    answer = with_least_stock(wren, short(wren))
    assert [row.key for row in answer.rows].count("T-OUT") == 1
    assert answer.sentence == "All builds: 1 part short; 1 part below the least stock."


def test_the_plan_of_orders_counts_the_same(wren: Workshop) -> None:
    keep_at_least(wren, "R-4K7", 30)
    keep_at_least(wren, "T-OUT", 2)
    plan = order_plan(wren, Wishes(keep=True))
    assert {row.key: row.short for row in plan.nobody} == {key: sum(both) for key, both in kept(wren).items()}
