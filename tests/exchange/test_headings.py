"""What headings of foreign lists mean: the trade's names in any order, weak ones, prices, and what a person said."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, stores
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput
from buildbook.exchange import boards as boards_in
from buildbook.exchange.gathering import Asked
from buildbook.exchange.headings import PURPOSES, break_of, fold, from_text, meaning, priced, read_mapping, resolve

LIST = "parts list"


def places(*headings: str, purpose: str = LIST, **said: str) -> dict[str, int]:
    return dict(resolve(headings, purpose, said, "list.csv").places)


@pytest.mark.parametrize(
    ("heading", "word"),
    [
        ("Ref. Des.", "ref"),
        ("DESIGNATOR(S)", "ref"),
        ("Reference Designators", "ref"),
        ("circuit_ref", "ref"),
        ("No. off", "qty"),
        ("Qty per board", "qty"),
        ("Footprint", "package"),
        ("Case-Style", "package"),
        ("Mfr. Part No.", "maker number"),
        ("MPN", "maker number"),
        ("Supplier Part No.", "order code"),
        ("SKU", "order code"),
        ("Do Not Fit", "not fitted"),
        ("Populate?", "fitted"),
        ("Allowance %", "loss"),
        ("Remarks", "note"),
        ("Shoe size", None),
    ],
)
def test_the_common_names_of_the_trade_are_known(heading: str, word: str | None) -> None:
    assert meaning(heading, LIST) == word


def test_no_name_stands_for_nothing() -> None:
    for purpose, columns in PURPOSES.items():
        for word, names in columns.items():
            known = [meaning(name, purpose) for name in names.split(", ")]
            assert all(known), (purpose, word)
            assert word in known, (purpose, word)


@settings(max_examples=50, deadline=None)
@given(st.permutations(["Part No", "Value", "Ref", "Qty", "Notes", "Footprint"]))
def test_the_order_of_the_columns_says_nothing(headings: list[str]) -> None:
    found = places(*headings)
    named = {word: headings[place] for word, place in found.items()}
    words = {"number": "Part No", "value": "Value", "ref": "Ref", "qty": "Qty", "note": "Notes", "package": "Footprint"}
    assert named == words


def test_a_weak_name_gives_way_to_a_sure_one_and_is_not_read() -> None:
    columns = resolve(["Item", "Description", "Location", "Ref"], LIST, {}, "list.csv")
    assert columns.places == {"name": 1, "ref": 3}
    assert columns.unknown == ("Item", "Location")
    assert places("Item", "Ref") == {"name": 0, "ref": 1}


def test_two_headings_that_mean_the_same_are_refused_until_one_is_named() -> None:
    with pytest.raises(BadInput) as refused:
        places("Ref", "Designator", "Value")
    assert str(refused.value) == (
        "“list.csv” was not read in. The headings “Ref” and “Designator” both mean ref."
        ' Say which it is with --columns "ref=Ref".'
    )
    assert places("Ref", "Designator", "Value", ref="designator") == {"ref": 1, "value": 2}


def test_what_a_person_says_goes_before_what_is_known() -> None:
    assert places("Value", "Wert", value="Wert") == {"value": 1}
    with pytest.raises(BadInput, match=r"It has no heading “Bauteil”; it has Ref, Value."):
        places("Ref", "Value", value="Bauteil")


def test_a_mapping_is_read_as_it_is_typed() -> None:
    said = read_mapping(" value = Bezeichnung, maker_number=Typ ,", LIST)
    assert said == {"value": "Bezeichnung", "maker number": "Typ"}
    for wrong in ("colour=Farbe", "value", "value=", "=Wert"):
        with pytest.raises(BadInput, match=r"our words for a parts list are ref, qty"):
            read_mapping(wrong, LIST)


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=30))
def test_folding_twice_is_folding_once(heading: str) -> None:
    assert fold(fold(heading)) == fold(heading)


# --- prices ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heading", "from_qty"),
    [
        ("1+", 1),
        ("10 +", 10),
        ("Price @ 25", 25),
        ("from 100", 100),
        ("10-99", 10),
        ("1,000+", 1000),
        ("Price 250 (EUR)", 250),
        ("25 off", 25),
        ("Price", None),
        ("2027", None),
        ("2.5+", None),
        ("99999999999999999999+", None),
    ],
)
def test_price_breaks_stand_in_headings(heading: str, from_qty: int | None) -> None:
    assert break_of(heading) == from_qty


def test_bare_numbers_are_breaks_where_no_other_price_is_in_sight() -> None:
    bare = resolve(["Order code", "Text", "1", "10", "100"], "price list", {}, "tern.csv")
    assert bare.breaks == {1: 2, 10: 3, 100: 4}
    assert resolve(["Order code", "Price", "100"], "price list", {}, "tern.csv").breaks == {}


def test_a_heading_of_prices_may_name_the_currency_and_the_quantity() -> None:
    columns = resolve(["Order code", "Price EUR / 100"], "price list", {}, "postal.csv")
    assert columns.places["price"] == 1
    assert columns.basis == "100"
    assert priced("Unit price (£)").currency == "£"


def test_a_break_may_not_stand_twice() -> None:
    with pytest.raises(BadInput, match=r"“1\+” and “from 1” both mean a price from 1 on"):
        resolve(["Order code", "1+", "from 1"], "price list", {}, "tern.csv")


# --- remembered ------------------------------------------------------------------------------------------------------


def test_a_mapping_is_remembered_for_lists_with_the_same_headings(shop: Workshop, tmp_path: Path) -> None:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    stores.new_part(shop, "R-4K7", kind="resistor", value="4k7")
    first, second, other = (tmp_path / name for name in ("if.csv", "mixer.csv", "audio.csv"))
    first.write_text("Kennung;Menge;Bezeichnung\nR1;1;4k7\n")
    second.write_text("Bezeichnung;Kennung;Menge\n4k7;R1;1\n4k7;R2;1\n")  # another order, the same set
    other.write_text("Kennung;Anzahl;Bezeichnung\nR1;1;4k7\n")
    with pytest.raises(BadInput, match=r"None of its headings \(Kennung, Menge, Bezeichnung\) names the part."):
        boards_in.prepare(shop, first, "CURLEW")
    columns = "ref=Kennung,qty=Menge,value=Bezeichnung"
    boards_in.apply(shop, boards_in.prepare(shop, first, "CURLEW", Asked(columns=columns)))
    again = boards_in.prepare(shop, second, "CURLEW")
    assert again.plan.columns == (("value", "Bezeichnung"), ("ref", "Kennung"), ("qty", "Menge"))
    assert again.plan.changes == ("changed: R1, R2 R-4K7: quantity 2, was 1, R2 added",)
    with pytest.raises(BadInput, match=r"names the part"):
        boards_in.prepare(shop, other, "CURLEW")
    stored = shop.reads.execute("SELECT mapping FROM column_map").fetchall()
    assert [from_text(text) for (text,) in stored] == [{"ref": "Kennung", "qty": "Menge", "value": "Bezeichnung"}]


def test_a_column_that_is_known_by_its_name_can_be_left_out() -> None:
    found = resolve(["Ref", "Qty", "Value", "Note"], "parts list", read_mapping("note=-", "parts list"), "list.csv")
    assert set(found.places) == {"ref", "qty", "value"}
