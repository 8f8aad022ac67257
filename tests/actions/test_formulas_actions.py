"""Formulas of test points written down, changed, followed by their limits, and undone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import bench, boards, checks, lists, measuring, stores, supply
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.bench import bench as steps_of
from buildbook.answers.measuring import PointRow, point_meant, sheet
from buildbook.answers.snags import snags as all_snags
from buildbook.errors import BadInput, Forbidden, Stale

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]
HALF = NewPoint("HALF", "divider", unit="V", formula="HT * R2 / (R1 + R2)", spread="worst")


@pytest.fixture
def divider(curlew: Workshop) -> Workshop:
    """An HT of 10 V 5 %, and R1 to R3 of 4k7 on the IF board, which stray by 5 % as is usual."""
    supply.add_supply(curlew, "CURLEW", supply.NewSupply("HT", "rail", volts="10 V", tolerance="5 %"))
    return curlew


def half(shop: Workshop) -> PointRow:
    return point_meant(shop, "HALF")


def test_limits_follow_the_parts_and_the_supplies(divider: Workshop) -> None:
    assert measuring.add_point(divider, "IF", HALF) == "CURLEW/IF/HALF"
    row = half(divider)
    # By hand: R2 low and R1 high give 0.95 / 2 of 9.5 V; the other way round 1.05 / 2 of 10.5 V.
    assert (row.nominal, row.low, row.high) == (5, 4.513, 5.513)
    assert row.low == pytest.approx(9.5 * 0.95 / 2, abs=1e-3)
    assert row.high == pytest.approx(10.5 * 1.05 / 2, abs=1e-3)
    supply.change_supply(divider, "HT", volts="20 V", tolerance="0 %")
    assert half(divider).nominal == 10
    stores.change_part(divider, "R-4K7", value="4k7 1%")
    assert half(divider).limits == "10 V; 9.9 to 10.1 V"
    undo(divider)
    undo(divider)
    assert (half(divider).low, half(divider).high) == (4.513, 5.513)


def test_rss_is_nearer_than_the_worst_case(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", HALF)
    measuring.change_point(divider, "HALF", spread="rss")
    row = half(divider)
    # sqrt(0.25^2 + 2 * 0.125^2)
    assert row.high == pytest.approx(5.3062, abs=1e-3)
    assert row.worked is not None
    assert row.worked.worst_high == 5.513
    assert [term.name for term in row.worked.terms] == ["HT", "R2", "R1"]


def test_a_reading_is_held_to_the_limits_of_now_and_so_is_a_step(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", HALF)
    measuring.hold_step_by_point(divider, "IF/2", "HALF")
    bench.tick(divider, "CURLEW", "IF/1")
    taken = measuring.read(divider, "CURLEW", "HALF", "5.6")
    assert (taken.out, taken.said) == (True, "5.6 V, 0.087 V above 5.513 V")
    step = next(row for row in steps_of(divider).rows if row.place == "CURLEW/IF/2")
    assert [one.kind for one in step.held] == ["out"]
    from buildbook.actions import snags

    snags.open_snag(divider, "CURLEW", "It is high", reading=taken.number)
    assert all_snags(divider).rows[0].reading == "HALF: 5.6 V, 0.087 V above 5.513 V"
    supply.change_supply(divider, "HT", tolerance="10 %")
    assert half(divider).state == "within"
    step = next(row for row in steps_of(divider).rows if row.place == "CURLEW/IF/2")
    assert step.held == ()


def test_a_part_that_is_not_there_yet_is_said_and_counted(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", NewPoint("VK", unit="V", formula="R9 * T1 * I where I = 1 mA"))
    row = point_meant(divider, "VK")
    assert row.worked is not None
    assert row.worked.fault == "Not known yet: R9 (neither part nor supply), T1 (a transformer has no value)."
    assert (row.nominal, row.low, row.high, row.limits) == (None, None, None, "")
    assert sheet(divider).sentence == "0 of 1 point read, 1 formula not worked out."
    measuring.read(divider, "CURLEW", "VK", "3")
    assert point_meant(divider, "VK").state == "read"


def test_a_step_stays_held_while_the_limits_are_not_known(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", NewPoint("VK", unit="V", formula="R9 * I where I = 1 mA"))
    measuring.hold_step_by_point(divider, "IF/1", "VK")
    measuring.read(divider, "CURLEW", "VK", "1")
    step = next(row for row in steps_of(divider).rows if row.place == "CURLEW/IF/1")
    assert [one.kind for one in step.held] == ["unread"]
    stores.new_part(divider, "R-1K", kind="resistor", value="1k 1%")
    lists.add_line(divider, "IF", "R-1K", refs="R9")
    step = next(row for row in steps_of(divider).rows if row.place == "CURLEW/IF/1")
    assert step.held == ()


def test_of_two_parts_in_one_place_the_one_that_is_chosen_counts(divider: Workshop) -> None:
    for key, value, option in (("R-1K", "1k 1%", "RECT:VALVE"), ("R-2K", "2k 1%", "RECT:SILICON")):
        stores.new_part(divider, key, kind="resistor", value=value)
        lists.add_line(divider, "IF", key, refs="R8", option=option)
    measuring.add_point(divider, "IF", NewPoint("P", unit="ohm", formula="R8"))
    assert point_meant(divider, "P").nominal is None
    for option, nominal in (("SILICON", 2000), ("VALVE", 1000)):
        checks.settle(divider, "CURLEW", "RECT", option, "It is there.")
        assert point_meant(divider, "P").nominal == nominal
        undo(divider)


def test_a_line_that_is_left_out_does_not_count(divider: Workshop) -> None:
    stores.new_part(divider, "R-1K", kind="resistor", value="1k 1%")
    lists.add_line(divider, "IF", "R-1K", refs="R8", fitted=False)
    measuring.add_point(divider, "IF", NewPoint("VK", unit="V", formula="R8 * 1m"))
    worked = point_meant(divider, "VK").worked
    assert worked is not None
    assert "R8 (left out" in worked.fault


@pytest.mark.parametrize(
    ("point", "why"),
    [
        (NewPoint("P", unit="V", formula="R1 + NOBODY"), "NOBODY is no designator"),
        (NewPoint("P", unit="V", formula="R1 +"), "It ends where"),
        (NewPoint("P", "", "1-2 V", unit="V", formula="R1"), "limits and a formula"),
        (NewPoint("P", formula="R1"), "in what it is measured"),
        (NewPoint("P", unit="V", formula="R1", spread="wide"), "wide"),
        (NewPoint("P", "", "1-2 V", spread="rss"), "belongs to a formula"),
        (NewPoint("P", unit="V", formula="R1 where X = "), "X is missing"),
        (NewPoint("P", unit="V", formula="x" * 1001), "1,001 characters"),
    ],
)
def test_what_is_no_formula_is_not_written_down(divider: Workshop, point: NewPoint, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        measuring.add_point(divider, "IF", point)
    assert sheet(divider).rows == ()


def test_a_formula_gives_way_to_limits_and_back(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", HALF)
    seen = {"limits": half(divider).limits}
    measuring.change_point(divider, "HALF", limits="4-6 V", expected=seen)
    assert (half(divider).limits, half(divider).worked) == ("4 to 6 V", None)
    with pytest.raises(Stale):
        measuring.change_point(divider, "HALF", formula="HT", expected=seen)
    measuring.change_point(divider, "HALF", formula="HT / 2")
    assert half(divider).limits == "5 V; 4.75 to 5.25 V"
    measuring.change_point(divider, "HALF", formula="")
    assert (half(divider).limits, half(divider).worked) == ("", None)
    with pytest.raises(BadInput, match="belongs to a formula"):
        measuring.change_point(divider, "HALF", spread="rss")


def test_another_unit_does_not_ask_for_limits_that_a_formula_gives(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", HALF)
    measuring.change_point(divider, "HALF", unit="A")
    assert half(divider).limits == "5 A; 4.513 to 5.513 A"
    measuring.read(divider, "CURLEW", "HALF", "5")
    with pytest.raises(Forbidden, match="A reading was taken"):
        measuring.change_point(divider, "HALF", unit="V")


def test_it_is_undone_as_if_it_had_not_been(divider: Workshop, dump: Dump) -> None:
    before = dump(divider)
    measuring.add_point(divider, "IF", HALF)
    undo(divider)
    assert dump(divider) == before
    measuring.add_point(divider, "IF", HALF)
    between = dump(divider)
    measuring.change_point(divider, "HALF", formula="HT", spread="rss")
    undo(divider)
    assert dump(divider) == between


def test_a_formula_in_which_nothing_strays_gives_no_limits(divider: Workshop) -> None:
    measuring.add_point(divider, "IF", NewPoint("P", unit="V", formula="2 * V where V = 3 V"))
    row = point_meant(divider, "P")
    assert (row.limits, row.nominal, row.low) == ("6 V", 6, None)
    assert row.worked is not None
    assert row.worked.remark == "Nothing in it strays, so that it gives no limits."


def test_a_size_that_is_given_comes_before_a_part_and_a_part_before_a_supply(divider: Workshop) -> None:
    supply.add_supply(divider, "CURLEW", supply.NewSupply("R3", "rail", volts="3 V"))
    for code, formula, nominal in (("A", "R3", 4700), ("B", "R3 where R3 = 1 V", 1), ("C", "ht", 10)):
        measuring.add_point(divider, "IF", NewPoint(code, unit="V", formula=formula))
        assert point_meant(divider, code).nominal == nominal
    boards.new_project(divider, "WREN")
    with pytest.raises(BadInput, match="HT is no designator"):
        measuring.add_point(divider, "WREN", NewPoint("D", unit="V", formula="HT"))
