"""What the plots of Checks draw: the figures of the answers, in a window that holds the limits."""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, measuring
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.measuring import sheet
from buildbook.answers.options import best_of, figure_said
from buildbook.answers.plotted import (
    Dot,
    OptionFigure,
    PointDots,
    point_over_builds,
    readings_plotted,
    spread_of,
    supplies_plotted,
    supply_bars,
    window_of,
)
from buildbook.answers.supply import supplies
from buildbook.errors import BadInput

few = settings(deadline=None, max_examples=100)
AMOUNTS = st.floats(-1e9, 1e9, allow_nan=False).map(lambda value: float(f"{value:.12g}"))
MAYBE = st.none() | AMOUNTS


@pytest.fixture
def bench(shop: Workshop) -> Workshop:
    """The Curlew with a board of three points; the Wren, of which two are built."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board")
    limits = (("VK1", "cathode", "1.6-2.2 V"), ("F", "", "455 kHz"), ("PE", "", "max 0.1 ohm"))
    measuring.add_points(shop, "IF", [NewPoint(*row) for row in limits])
    boards.new_project(shop, "WREN", units=2)
    measuring.add_point(shop, "WREN", NewPoint("IQ", "current", "max 12 mA"))
    return shop


def point(low: float | None, high: float | None, nominal: float | None, values: list[float]) -> PointDots:
    dots = tuple(Dot("", "", value, "read") for value in values)
    return PointDots("P", "", "V", nominal, low, high, "", "read", "", dots)


@few
@given(MAYBE, MAYBE, MAYBE, st.lists(AMOUNTS, max_size=6))
def test_a_window_holds_its_limits_in_order_and_what_lies_on_an_open_side(
    low: float | None, high: float | None, nominal: float | None, values: list[float]
) -> None:
    if low is not None and high is not None and low > high:
        low, high = high, low
    window = window_of(point(low, high, nominal, values))
    assert window.begin < window.end
    for limit in (low, high):
        assert limit is None or not window.beyond(limit)
    for value in values:
        assert 0 <= window.place(value) <= 1
        if (low is None or value >= low) and (high is None or value <= high):
            assert not window.beyond(value)
    ordered = sorted(values)
    assert [window.place(value) for value in ordered] == sorted(window.place(value) for value in values)


def test_every_reading_is_a_dot_and_the_last_one_stands_as_on_the_test_sheet(bench: Workshop) -> None:
    for at, text in (("VK1", "2.31"), ("PE", "0.05"), ("VK1", "2.1 V"), ("F", "455.2k")):
        measuring.read(bench, "CURLEW", at, text)
    drawn = {one.point: one for one in readings_plotted(bench, "CURLEW")}
    assert [dot.value for dot in drawn["CURLEW/IF/VK1"].dots] == [2.31, 2.1]
    assert [dot.state for dot in drawn["CURLEW/IF/VK1"].dots] == ["out", "within"]
    assert drawn["CURLEW/IF/F"].dots[0].state == "read"
    for row in sheet(bench, "CURLEW").rows:
        one = drawn[row.point]
        assert (one.dots[-1].value, one.dots[-1].state) == (row.value, row.state)
        assert (one.low, one.high, one.nominal, one.limits, one.said) == (
            row.low,
            row.high,
            row.nominal,
            row.limits,
            row.said,
        )


def test_a_point_that_was_never_read_is_not_drawn(bench: Workshop) -> None:
    assert readings_plotted(bench) == ()
    with pytest.raises(BadInput, match="build"):
        readings_plotted(bench, "NONE")


def test_units_are_kept_apart_and_the_last_reading_of_each_counts_for_the_mean(bench: Workshop) -> None:
    for unit, text in ((1, "5 mA"), (2, "8 mA"), (1, "6 mA")):
        measuring.read(bench, "WREN", "IQ", text, unit_number=unit)
    assert [one.name for one in readings_plotted(bench)] == ["current, unit 1", "current, unit 2"]
    assert [[dot.value for dot in one.dots] for one in readings_plotted(bench)] == [[0.005, 0.006], [0.008]]
    found = point_over_builds(bench, "WREN/WREN/IQ")
    assert [(dot.label, dot.value) for dot in found.dots] == [("WREN, unit 2", 0.008), ("WREN, unit 1", 0.006)]
    told = spread_of(found)
    assert told.mean == pytest.approx(0.007)
    assert told.deviation == pytest.approx(statistics.stdev([0.006, 0.008]))
    assert found.said == "mean of 2: 7 mA, spread 1.414 mA (one standard deviation)"


def test_supplies_are_drawn_with_the_figures_of_the_budget(demo_to_read: Workshop) -> None:
    bars, rows = supplies_plotted(demo_to_read), supplies(demo_to_read)
    assert bars
    for bar, row in zip(bars, rows, strict=True):
        assert (bar.load_micro, bar.limit_micro, bar.keep_free_micro, bar.all_on_micro, bar.state) == (
            row.load_micro,
            row.limit_micro,
            row.keep_free_micro,
            row.all_on_micro,
            row.state,
        )
        assert [tuple(one) for one in bar.answers] == [
            (one.answer, one.chosen, one.load_micro, one.state, one.said) for one in row.answers
        ]
    assert {bar.code.partition("/")[0] for bar in bars} == {row.project for row in rows}
    assert all("/" not in bar.code for bar in supply_bars(row for row in rows if row.project == "CURLEW"))


def test_the_best_is_the_least_or_the_most_and_what_is_not_known_is_never_best() -> None:
    money = [OptionFigure(label, "money", value, "EUR", "less") for label, value in (("A", 3.0), ("B", 2.0))]
    assert [one.label for one in best_of([*money, OptionFigure("C", "money", None, "EUR", "less")])] == ["B"]
    more = [one._replace(better="more") for one in money]
    assert [one.label for one in best_of(more)] == ["A"]
    assert best_of([one._replace(better="") for one in money]) == ()
    assert figure_said(OptionFigure("A", "finish", 20_000.0, "days", "less", "4 Oct")) == "4 Oct"
