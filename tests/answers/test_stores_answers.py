"""Stores: what lies where, what it is spoken for, what it is worth, and what a part is called."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, buying, checks, kits, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop, set_setting
from buildbook.answers.stores import StockRow, part_named, where
from buildbook.answers.stores import stores as answers
from buildbook.errors import BadInput


def part(shop: Workshop, key: str) -> StockRow:
    return next(row for row in answers(shop).rows if row.key == key)


def test_empty_drawers_say_so(shop: Workshop) -> None:
    assert answers(shop).sentence == "The stores are empty."
    assert answers(shop, "4k7").sentence == "Nothing in the stores is called 4k7."
    assert answers(shop).rows == ()


def test_what_is_on_hand_is_spoken_for_or_free(wren: Workshop) -> None:
    row = part(wren, "R-4K7")
    assert (row.on_hand, row.spoken_for, row.free, row.coming) == (10, 2, 8, 0)
    kits.fit_lines(wren, "WREN", "AMP", refs="R1")
    row = part(wren, "R-4K7")
    assert (row.on_hand, row.spoken_for, row.free) == (9, 1, 8)
    boards.change_build(wren, "WREN", state="dropped")
    assert part(wren, "R-4K7").free == 9


def test_without_a_build_all_is_free(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", state="finished")
    assert [(row.spoken_for, row.free) for row in answers(wren, only_on_hand=True).rows] == [(0, 10), (0, 1)]


def test_the_stores_are_worth_what_was_paid(wren: Workshop) -> None:
    set_setting(wren, "currency", "EUR")
    stores.receive(wren, "T-OUT", "A1", 2)
    answer = answers(wren)
    assert answer.worth_micros == 10 * 50_000 + 100_000
    assert answer.sentence == "5 parts, 3 on hand, worth 0.60 EUR (1 of them without a price)."
    assert (part(wren, "T-OUT").worth_micros, part(wren, "T-OUT").unpriced_qty) == (0, 2)
    stores.receive(wren, "R-4K7", "A1", 10, price_micros=30_000)
    kits.kit_assembly(wren, "WREN", "AMP")
    # Ten at 0.05 and ten at 0.03 are 0.04 each; two of twenty are gone.
    assert part(wren, "R-4K7").worth_micros == 18 * 40_000


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("4k7", ["R-4K7"]),
        ("4.7 kΩ", ["R-4K7"]),
        ("4700", ["R-4K7"]),
        ("bc547", ["Q-BC547B", "Q-BC547C"]),
        ("transistor 547b", ["Q-BC547B"]),
        ("a1", ["Q-BC547B", "R-4K7"]),
        ("resistor", ["R-4K7"]),
        ("4k8", []),
    ],
)
def test_parts_are_found_by_value_name_kind_or_bin(wren: Workshop, text: str, keys: list[str]) -> None:
    answer = answers(wren, text)
    assert sorted(row.key for row in answer.rows) == keys
    assert [row for row in answers(wren).rows if row.key in keys] == list(answer.rows)


def test_where_tells_bins_builds_and_places(wren: Workshop) -> None:
    stores.new_bin(wren, "B2")
    stores.move(wren, "R-4K7", "A1", "B2", 3)
    answer = where(wren, "R-4K7")
    assert answer.sentence == "R-4K7: 10 on hand (7 in A1, 3 in B2), 2 spoken for, 8 free."
    assert answer.bins == (("A1", 7), ("B2", 3))
    assert [(use.assembly, use.refs, use.qty) for use in answer.uses] == [("WREN/AMP", "R1, R2", 2)]
    assert [(row.build, row.need, row.spoken_for) for row in answer.builds] == [("WREN", 2, 2)]
    assert [(row.kind, row.bin, row.bin_qty) for row in answer.movements] == [
        ("moved", "B2", 3),
        ("moved", "A1", -3),
        ("received", "A1", 10),
    ]
    assert len(where(wren, "R-4K7", limit=1).movements) == 1


def test_the_figures_of_every_build_add_up(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=5)
    buying.place_order(wren, "T-1", "TERN", [OrderLine("Q-BC547B", 1)])
    stores.receive(wren, "Q-BC547C", "A1", 1)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    kits.fit_lines(wren, "WREN", "AMP", refs="Q1")
    stores.receive(wren, "Q-BC547B", "A1", 1)
    (row,) = where(wren, "Q-BC547B").builds
    shares = (row.fitted, row.kitted, row.spoken_for, row.stood_in, row.coming, row.short)
    assert (row.need, shares) == (5, (1, 0, 1, 1, 1, 1))
    assert where(wren, "Q-BC547B").coming == ("1 by order T-1 from TERN, no day known",)


def test_a_stand_in_is_told_from_both_sides(wren: Workshop) -> None:
    stores.receive(wren, "Q-BC547C", "A1", 3)
    stores.count(wren, "Q-BC547B", "A1", 0)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain.")
    (wanted,) = where(wren, "Q-BC547B").stand_ins
    assert (wanted.key, wanted.serves, wanted.reason, wanted.on_hand, wanted.free) == (
        "Q-BC547C",
        False,
        "More gain.",
        3,
        2,
    )
    other = where(wren, "Q-BC547C")
    assert (other.stand_ins[0].key, other.stand_ins[0].serves) == ("Q-BC547B", True)
    assert [(row.build, row.need, row.spoken_for) for row in other.builds] == [("WREN", 0, 1)]
    assert other.sentence == "Q-BC547C: 3 on hand (3 in A1), 1 spoken for, 2 free."


def test_a_place_that_does_not_count_says_why(wren: Workshop) -> None:
    checks.ask(wren, "WREN", "BIAS", "Which bias?", {"R": "resistor", "D": "diode"})
    lists.add_line(wren, "AMP", "R-4K7", refs="R3", option="BIAS:R")
    lists.add_line(wren, "AMP", "R-4K7", refs="R4", fitted=False)
    assert [(use.refs, use.fitted, use.option, use.chosen) for use in where(wren, "R-4K7").uses] == [
        ("R1, R2", 1, "", 1),
        ("R3", 1, "BIAS:R", 0),
        ("R4", 0, "", 1),
    ]


def test_lengths_have_their_unit(wren: Workshop) -> None:
    stores.receive(wren, "W-RED", "A1", "2.5 m")
    lists.add_line(wren, "AMP", "W-RED", "600 mm")
    assert where(wren, "W-RED").sentence == "W-RED: 2.5 m on hand (2.5 m in A1), 600 mm spoken for, 1.9 m free."


def test_a_part_is_known_by_all_its_names(wren: Workshop) -> None:
    stores.change_part(wren, "R-4K7", maker_number="MF0207-4K7")
    stores.change_part(wren, "R-4K7", key="R-4K7-0.6W")
    for name in ("R-4K7-0.6W", "r-4k7-0.6w", "R-4K7", "MF0207-4K7"):
        assert part_named(wren, name).key == "R-4K7-0.6W"


def test_a_part_that_is_not_there_is_told_with_the_nearest(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no part R-4K8. Did you mean R-4K7\?"):
        part_named(wren, "R-4K8")
    with pytest.raises(BadInput, match=r"There is no part zzzz. See `buildbook stores find`."):
        part_named(wren, "zzzz")
    stores.change_part(wren, "Q-BC547B", maker_number="BC547")
    stores.change_part(wren, "Q-BC547C", maker_number="BC547")
    with pytest.raises(BadInput, match=r"BC547 could be more than one part. There are Q-BC547B and Q-BC547C."):
        part_named(wren, "BC547")
