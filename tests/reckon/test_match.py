"""Which part of ours a row of a foreign list means: never guessed, and never asked about where it is plain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.match import Catalogue, Known, Match, Wanted
from buildbook.trade.values import Value, at_least, read

LETTERS = {"resistor": "R", "capacitor": "C", "inductor": "L"}


def ours(part: int, key: str, kind: str = "other", value: str = "", **more: object) -> Known:
    """A part of ours; its value is read from the text."""
    found = read(value, LETTERS[kind]) if value else None
    assert found is None or isinstance(found, Value), f"{value} has to be a plain value"
    return replace(Known(part, key, kind, value=found), **more)  # type: ignore[arg-type]


def wanted(text: str = "", kind: str = "", **more: str) -> Wanted:
    """A row of a list; its value is read as that of its kind."""
    value = read(text, LETTERS[kind]) if kind in LETTERS and text else None
    return replace(Wanted(2, kind=kind, text=text, value=value), **more)  # type: ignore[arg-type]


STOCK = Catalogue(
    [
        ours(1, "R-4K7", "resistor", "4k7 5% 0.25W", package="axial"),
        ours(2, "R-4K7-1W", "resistor", "4k7 5% 1W", package="axial"),
        ours(3, "R-4K7-S", "resistor", "4k7 1% 0.25W", package="0805"),
        ours(4, "C-100N-63", "capacitor", "100n 10% 63V film", package="radial 5 mm", order_codes=("QS-1104",)),
        ours(5, "C-100N-400", "capacitor", "100n 10% 400V film", package="radial 15 mm"),
        ours(6, "BC547B", "transistor", name="NPN small signal", package="TO-92", maker_number="BC547B"),
        ours(7, "BC557B", "transistor", name="PNP small signal", package="TO-92"),
        ours(8, "Dial lamp", "lamp", aliases=("skala 6.3 V  0.3 A",), order_codes=("QS-2000",)),
        ours(9, "V-ECH81", "valve", name="ECH 81", maker_number="ECH81"),
        ours(10, "IFT-455", "transformer", name="IF transformer 455 kHz", order_codes=("QS-2000",)),
    ]
)


def found(row: Wanted, catalogue: Catalogue = STOCK) -> tuple[str, int | None]:
    match = catalogue.match(row)
    return match.how, match.part


def offered(row: Wanted, catalogue: Catalogue = STOCK) -> dict[int, tuple[str, ...]]:
    match = catalogue.match(row)
    assert match.part is None
    return {one.part: one.why_not for one in match.candidates}


# --- said outright ---------------------------------------------------------------------------------------------------


def test_a_key_is_found_whatever_its_capitals_and_blanks() -> None:
    assert found(wanted(key=" dial   LAMP ")) == ("key", 8)


def test_a_key_goes_before_everything_else() -> None:
    row = wanted("4k7", "resistor", key="c-100n-63", order_code="QS-2000", maker_number="ECH81")
    assert found(row) == ("key", 4)


def test_a_remembered_name_is_found() -> None:
    assert found(wanted(key="Skala 6.3 V 0.3 A")) == ("alias", 8)


def test_an_order_code_is_found_without_its_dashes() -> None:
    assert found(wanted(order_code="qs 1104", key="unheard of")) == ("number", 4)


def test_a_makers_number_is_found_among_numbers_and_keys() -> None:
    assert found(wanted(maker_number="ech-81")) == ("number", 9)
    assert found(wanted(maker_number="BC557-B")) == ("number", 7)


def test_two_suppliers_with_one_order_code_are_told_apart_by_the_kind() -> None:
    assert found(wanted(order_code="QS-2000", kind="lamp")) == ("number", 8)
    assert offered(wanted(order_code="QS-2000")) == {
        8: ("others are called the same",),
        10: ("others are called the same",),
    }


def test_order_code_and_makers_number_together_decide() -> None:
    both = Catalogue([ours(1, "A", order_codes=("77",), maker_number="X1"), ours(2, "B", order_codes=("77",))])
    assert found(wanted(order_code="77", maker_number="X1"), both) == ("number", 1)
    contrary = Catalogue([ours(1, "A", order_codes=("77",)), ours(2, "B", maker_number="X1")])
    assert set(offered(wanted(order_code="77", maker_number="X1"), contrary)) == {1, 2}


def test_blank_numbers_match_nothing() -> None:
    assert STOCK.match(wanted()) == Match(2, "none", None)
    assert found(wanted(order_code=" - ")) == ("none", None)


# --- by value --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["4k7 5% 0.25W", "4.7 kΩ 5 % 1/4 W", "4700 5% 250mW", "0.25W 5% 4K7"])
def test_every_spelling_of_a_value_is_the_same_part(text: str) -> None:
    assert found(wanted(text, "resistor", package="AXIAL")) == ("value", 1)


def test_the_tightest_part_that_will_do_is_taken() -> None:
    assert found(wanted("4k7 10% 0.125W", "resistor", package="axial")) == ("value", 1)
    assert found(wanted("4k7 5% 0.6W", "resistor", package="axial")) == ("value", 2)
    assert found(wanted("100n 50V", "capacitor")) == ("value", 4)
    assert found(wanted("100n 250V", "capacitor")) == ("value", 5)


def test_a_part_exactly_as_asked_for_goes_before_a_better_one() -> None:
    plain = ours(20, "R-1K", "resistor", "1k")
    both = Catalogue([ours(21, "R-1K-1P", "resistor", "1k 1%"), plain])
    assert found(wanted("1k", "resistor"), both) == ("value", 20)
    assert found(wanted("1k", "resistor", package="axial"), both) == ("value", 20)


def test_of_equal_ratings_the_least_narrow_tolerance_is_taken() -> None:
    parts = [ours(20, "A", "resistor", "1k 0.1%"), ours(21, "B", "resistor", "1k 1%")]
    assert found(wanted("1k 5%", "resistor"), Catalogue(parts)) == ("value", 21)


def test_a_package_named_goes_before_a_package_unknown() -> None:
    parts = [ours(20, "A", "resistor", "1k 5%"), ours(21, "B", "resistor", "1k 1%", package="axial")]
    assert found(wanted("1k 5%", "resistor", package="axial"), Catalogue(parts)) == ("value", 21)
    assert found(wanted("1k 5%", "resistor", package="axial"), Catalogue(parts[:1])) == ("value", 20)


def test_a_material_named_goes_before_a_material_unknown() -> None:
    parts = [ours(20, "A", "capacitor", "1n 63V"), ours(21, "B", "capacitor", "1n 100V C0G")]
    assert found(wanted("1n 50V C0G", "capacitor"), Catalogue(parts)) == ("value", 21)


def test_two_that_do_equally_well_are_left_to_a_person() -> None:
    assert offered(wanted("4k7", "resistor")) == dict.fromkeys((1, 2, 3), ("another one fits as well",))
    assert offered(wanted("4k7", "resistor", package="axial")) == dict.fromkeys((1, 2), ("another one fits as well",))


def test_parts_that_nearly_do_are_offered_with_the_reasons_fewest_first() -> None:
    match = STOCK.match(wanted("100n 630V", "capacitor", package="radial 15mm"))
    assert (match.how, [tuple(one) for one in match.candidates]) == (
        "near",
        [
            (5, ("rated 400 V, 630 V wanted",)),
            (4, ("rated 63 V, 630 V wanted", "package radial 5 mm, radial 15mm wanted")),
        ],
    )


def test_another_amount_is_no_near_match() -> None:
    assert found(wanted("47k", "resistor")) == ("none", None)


def test_a_package_behind_the_value_counts() -> None:
    assert found(wanted("4k7 5% 0.125W axial", "resistor")) == ("value", 1)
    assert found(wanted("4k7 5% 0.125W 0805", "resistor")) == ("value", 3)


def test_a_potentiometer_is_no_resistor() -> None:
    preset = Catalogue([replace(ours(30, "P-4K7", "resistor", "4k7"), kind="potentiometer")])
    assert found(wanted("4k7", "resistor"), preset) == ("none", None)
    assert found(replace(wanted("4k7", "resistor"), kind=""), preset) == ("value", 30)


def test_a_doubtful_value_is_asked_about_with_each_reading() -> None:
    doubtful = read("1m", "R")
    parts = Catalogue([ours(40, "R-1M", "resistor", "1M"), ours(41, "SHUNT", "resistor", "0R001 5%")])
    assert offered(Wanted(2, kind="resistor", text="1m", value=doubtful), parts) == {
        41: ("if 1m means 0R001",),
        40: ("if 1m means 1M",),
    }
    in_doubt = Wanted(2, kind="resistor", text="1m", value=doubtful, package="0805")
    boxed = Catalogue([ours(40, "R-1M", "resistor", "1M", package="axial")])
    assert offered(in_doubt, boxed) == {40: ("if 1m means 1M", "package axial, 0805 wanted")}
    only_one = Catalogue([ours(40, "R-1M", "resistor", "1M")])
    assert offered(Wanted(2, kind="resistor", text="1m", value=doubtful), only_one) == {40: ("if 1m means 1M",)}


# --- by type ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["BC547B", "bc 547b", "BC-547B"])
def test_a_type_is_found_as_it_is_written(text: str) -> None:
    assert found(wanted(text, "transistor")) == ("name", 6)


def test_a_type_in_another_package_is_asked_about() -> None:
    assert offered(wanted("BC547B", "transistor", package="SOT-23")) == {6: ("package TO-92, SOT-23 wanted",)}
    assert found(wanted("BC547B", "transistor", package="TO92")) == ("name", 6)


def test_a_valve_is_found_by_name() -> None:
    assert found(wanted("ECH81", "valve")) == ("name", 9)
    assert found(wanted(name="IF transformer, 455 kHz".replace(",", ""))) == ("name", 10)


def test_a_description_does_not_stand_for_an_unknown_type() -> None:
    match = STOCK.match(wanted("2N2222A", "transistor", name="NPN small signal"))
    assert (match.how, match.part) == ("none", None)


def test_a_type_spelt_nearly_so_is_asked_about() -> None:
    assert offered(wanted("BC547C", "transistor")) == {6: ("BC547B, BC547C wanted",)}


def test_likeness_stays_within_the_kind() -> None:
    assert found(wanted("BC547C", "valve")) == ("none", None)
    assert set(offered(wanted("BC547C"))) == {6}


def test_the_word_for_a_kind_names_no_part() -> None:
    careless = Catalogue([ours(50, "Q9", "capacitor", "1u 50V", name="Capacitor")])
    assert found(wanted(name="capacitor", kind="capacitor"), careless) == ("none", None)


def test_types_that_begin_differently_are_not_alike() -> None:
    assert found(wanted("PCL86-NOS", "valve"), Catalogue([ours(1, "ECL86-NOS", "valve")])) == ("none", None)


def test_the_likest_type_comes_first() -> None:
    parts = Catalogue([ours(1, "TL1075XY", "ic"), ours(2, "TL1075X", "ic")])
    assert list(offered(wanted("TL1075", "ic"), parts)) == [2, 1]


def test_a_value_is_not_compared_by_spelling() -> None:
    assert found(wanted("4700", "resistor"), Catalogue([ours(1, "4701", "resistor")])) == ("none", None)


def test_at_most_five_similar_types_are_offered() -> None:
    many = Catalogue([ours(n, f"TL{n}", "ic") for n in range(1060, 1090)])
    assert len(offered(wanted("TL107", "ic"), many)) == 5


# --- promises --------------------------------------------------------------------------------------------------------

VALUES = st.builds(
    " ".join,
    st.tuples(
        st.sampled_from(["1k", "4k7"]),
        st.sampled_from(["", "1%", "5%", "10%"]),
        st.sampled_from(["", "0.25W", "0.6W", "2W"]),
        st.sampled_from(["", "350V", "500V"]),
    ),
)
PACKAGES = st.sampled_from(["", "axial", "0805"])
RESISTORS = st.lists(st.tuples(VALUES, PACKAGES), max_size=12).map(
    lambda rows: [ours(n, f"R{n}", "resistor", value, package=package) for n, (value, package) in enumerate(rows)]
)


def enough(known: Known, row: Wanted) -> bool:
    """Is the part good enough for the row?"""
    assert known.value is not None
    assert isinstance(row.value, Value)
    fits = not known.package or not row.package or known.package == row.package
    return fits and at_least(known.value, row.value)


@given(RESISTORS, VALUES, PACKAGES)
@settings(deadline=None, max_examples=150)
def test_what_is_found_by_value_will_do_and_what_will_do_is_found(parts: list[Known], text: str, package: str) -> None:
    row = wanted(text, "resistor", package=package)
    match = Catalogue(parts).match(row)
    will_do = {known.part for known in parts if enough(known, row)}
    named = {one.part for one in match.candidates} | ({match.part} - {None})
    if will_do:
        assert named <= will_do
        assert match.how in ("value", "near")
        assert (match.how == "near") == (len(named) > 1)
    else:
        assert match.part is None
        assert all(one.why_not for one in match.candidates)


@given(RESISTORS, VALUES, PACKAGES)
@settings(deadline=None, max_examples=150)
def test_no_part_in_the_package_named_is_less_over_rated_in_every_way(
    parts: list[Known], text: str, package: str
) -> None:
    row = wanted(text, "resistor", package=package)
    match = Catalogue(parts).match(row)
    if match.part is None:
        return
    taken = parts[match.part]
    for other in parts:
        if enough(other, row) and (other.package == package or taken.package != package):
            assert not tighter(other, taken, row) or taken.value == row.value


def tighter(one: Known, other: Known, row: Wanted) -> bool:
    """Is one part nearer than the other to everything that the row asks for?"""
    assert one.value is not None
    assert other.value is not None
    assert isinstance(row.value, Value)
    asked = [name for name in ("watts", "volts") if getattr(row.value, name) is not None]
    pairs = [(getattr(one.value, name), getattr(other.value, name)) for name in asked]
    return bool(pairs) and all(a < b for a, b in pairs)


@given(RESISTORS, VALUES, PACKAGES, st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=150)
def test_the_order_of_the_parts_plays_no_part(parts: list[Known], text: str, package: str, chance: Random) -> None:
    row = wanted(text, "resistor", package=package)
    mixed: Sequence[Known] = chance.sample(parts, len(parts))
    assert Catalogue(mixed).match(row) == Catalogue(parts).match(row)


@given(st.lists(st.text(max_size=12), max_size=8, unique_by=lambda key: " ".join(key.casefold().split())))
@settings(deadline=None, max_examples=150)
def test_every_part_is_found_by_its_own_key(keys: list[str]) -> None:
    catalogue = Catalogue([ours(n, key) for n, key in enumerate(keys)])
    for part, key in enumerate(keys):
        if key.split():
            assert found(wanted(key=key), catalogue) == ("key", part)


@given(st.text(max_size=40), st.text(max_size=40), st.sampled_from(["", "ic", "resistor"]))
@settings(deadline=None, max_examples=100)
def test_no_text_from_outside_upsets_it(text: str, package: str, kind: str) -> None:
    match = STOCK.match(wanted(text, kind, package=package, key=package, name=text, maker_number=package))
    assert (match.part is None) == (match.how in ("near", "none"))
    assert bool(match.candidates) == (match.how == "near")
