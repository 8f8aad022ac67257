"""Preferred numbers: the lists of IEC 60063, the nearest of them, and the coarsest series that holds a value."""

from __future__ import annotations

from decimal import Decimal

import eseries  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.series import Series, at_or_above, at_or_below, members, nearest, series_of

NAMES: tuple[Series, ...] = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")
# IEC 60063
PRINTED: dict[Series, str] = {
    "E3": "10 22 47",
    "E6": "10 15 22 33 47 68",
    "E12": "10 12 15 18 22 27 33 39 47 56 68 82",
    "E24": "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91",
}
VALUES = st.builds(lambda digits, power: Decimal(digits).scaleb(power), st.integers(1, 10**6), st.integers(-15, 15))
SERIES = st.sampled_from(NAMES)


@pytest.mark.parametrize(("series", "numbers"), PRINTED.items())
def test_the_coarse_series_are_the_printed_lists(series: Series, numbers: str) -> None:
    assert " ".join(map(str, members(series))) == numbers  # IEC 60063


@pytest.mark.parametrize("series", NAMES)
def test_every_series_agrees_with_another_program(series: Series) -> None:
    theirs = eseries.series(eseries.ESeries[series])  # PyPI eseries, after IEC 60063
    assert list(members(series)) == [round(number) for number in theirs]


@pytest.mark.parametrize(("series", "total"), [("E48", 18313), ("E96", 37070), ("E192", 74599)])
def test_the_sum_of_a_decade(series: Series, total: int) -> None:
    assert sum(members(series)) == total  # computed from PyPI eseries


@pytest.mark.parametrize(
    ("coarse", "fine"), [("E3", "E6"), ("E6", "E12"), ("E12", "E24"), ("E48", "E96"), ("E96", "E192")]
)
def test_a_finer_series_holds_the_coarser(coarse: Series, fine: Series) -> None:
    assert set(members(coarse)) < set(members(fine))  # IEC 60063


def test_the_fine_series_follow_the_formula_but_for_one_member() -> None:
    formula = [round(100 * 10 ** (i / 192)) for i in range(192)]
    assert [(i, have) for i, (have, want) in enumerate(zip(members("E192"), formula, strict=True)) if have != want] == [
        (185, 920)  # IEC 60063; the formula gives 919
    ]


def test_e24_leaves_the_formula_at_eight_members() -> None:
    formula = [round(10 * 10 ** (i / 24)) for i in range(24)]
    odd = [have for have, want in zip(members("E24"), formula, strict=True) if have != want]
    assert odd == [27, 30, 33, 36, 39, 43, 47, 82]  # IEC 60063, computed


def test_some_of_e24_are_in_no_finer_series() -> None:
    missing = [number * 10 for number in members("E24") if number * 10 not in members("E192")]
    assert missing == [220, 270, 300, 330, 360, 390, 430, 510, 560, 620, 680, 820, 910]  # IEC 60063, computed


@pytest.mark.parametrize(
    ("value", "series", "near"),
    [
        ("5000", "E24", "5100"),
        ("5000", "E96", "4990"),
        ("500", "E12", "470"),
        ("99", "E12", "100"),
        ("12345", "E96", "12400"),
        ("123400", "E48", "121000"),
        ("9.19", "E192", "9.2"),
        ("319.32", "E24", "330"),
        ("319.32", "E96", "316"),
        ("12345", "E24", "12000"),
        ("339", "E96", "340"),
        ("339", "E192", "340"),
    ],
)
def test_nearest_either_way(value: str, series: Series, near: str) -> None:
    # PyPI eseries; computed
    assert nearest(Decimal(value), series) == nearest(Decimal(value), series, by="difference") == Decimal(near)


def test_the_two_rules_part_between_the_two_means() -> None:
    # Between the geometric mean 513.03 and the arithmetic mean 515 of 470 and 560: computed.
    assert nearest(514, "E12", by="difference") == 470
    assert nearest(514, "E12", by="ratio") == 560
    assert nearest(513, "E12") == 470
    assert nearest(516, "E12", by="difference") == 560


def test_neighbours_and_the_turn_of_the_decade() -> None:
    assert at_or_below(5000, "E24") == 4700  # PyPI eseries
    assert at_or_above(500, "E12") == 560
    assert at_or_below(99, "E12") == 82
    assert at_or_above(99, "E12") == 100
    assert (at_or_below(Decimal("0.0099"), "E3"), at_or_above(Decimal("0.0099"), "E3")) == (
        Decimal("0.0047"),
        Decimal("0.01"),
    )


@given(VALUES, SERIES)
@settings(deadline=None, max_examples=200)
def test_neighbours_stand_around_the_value_and_are_members(value: Decimal, series: Series) -> None:
    below, above = at_or_below(value, series), at_or_above(value, series)
    assert below <= value <= above
    assert (below == value) == (above == value)
    for each in (below, above):
        number = each.scaleb(len(str(members(series)[0])) - 1 - each.adjusted())
        assert number in members(series)
    assert nearest(value, series) in (below, above)


@given(VALUES, SERIES, st.sampled_from(["ratio", "difference"]))
@settings(deadline=None, max_examples=200)
def test_nothing_is_nearer_than_the_nearest(value: Decimal, series: Series, by: str) -> None:
    near = nearest(value, series, by=by)  # type: ignore[arg-type]
    for other in (at_or_below(value, series), at_or_above(value, series)):
        if by == "difference":
            assert abs(near - value) <= abs(other - value)
        else:
            assert max(near, value) / min(near, value) <= max(other, value) / min(other, value)


@given(SERIES, st.data(), st.integers(-12, 12))
@settings(deadline=None, max_examples=200)
def test_a_member_is_found_again_in_every_decade(series: Series, draw: st.DataObject, power: int) -> None:
    value = Decimal(draw.draw(st.sampled_from(members(series)))).scaleb(power)
    assert nearest(value, series) == at_or_below(value, series) == at_or_above(value, series) == value
    coarsest = series_of(value)
    assert coarsest is not None
    assert NAMES.index(coarsest) <= NAMES.index(series)
    assert nearest(value, coarsest) == value


@pytest.mark.parametrize(
    ("value", "series"),
    [("4700", "E3"), ("33", "E6"), ("0.18", "E12"), ("5.1", "E24"), ("402", "E48"), ("10200", "E96"), ("9.2", "E192")],
)
def test_the_coarsest_series(value: str, series: Series) -> None:
    assert series_of(Decimal(value)) == series  # IEC 60063


@pytest.mark.parametrize("value", ["339", "919", "46", "1.001"])
def test_numbers_that_are_in_no_series(value: str) -> None:
    assert series_of(Decimal(value)) is None  # IEC 60063


@pytest.mark.parametrize("value", ["0", "-47", "NaN", "Infinity"])
def test_there_is_no_preferred_number_for_nothing(value: str) -> None:
    with pytest.raises(BadInput, match="above zero"):
        nearest(Decimal(value), "E12")


def test_an_unknown_series_or_rule_is_refused() -> None:
    with pytest.raises(BadInput, match="E3 to E192"):
        members("E7")  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="ratio or by difference"):
        nearest(500, "E12", by="luck")  # type: ignore[arg-type]
