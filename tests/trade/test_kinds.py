"""Kinds of part by the words people use, and packages spelt in many ways with one key."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.trade.kinds import KINDS, read_kind, read_package
from buildbook.trade.units import Unit


def test_every_kind_is_read_by_its_own_name_and_its_plural() -> None:
    for name in KINDS:
        assert read_kind(name) == name
        assert read_kind(name.upper()) == name
    assert read_kind("resistors") == "resistor"


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("caps", "capacitor"),
        ("Carbon film resistors", "resistor"),
        ("Resistor, metal film", "resistor"),
        ("Capacitor (film)", "capacitor"),
        ("Electrolytic", "capacitor"),
        ("Op-amps", "ic"),
        ("pot", "potentiometer"),
        ("LEDs", "diode"),
        ("tubes", "valve"),
        ("valve socket", "socket"),
        ("Fuse holder", "socket"),
        ("IF transformer", "transformer"),
        ("Batteries", "battery"),
        ("switches", "switch"),
        ("boxes", "metalwork"),
        ("hook-up wire", "wire"),
        ("heat sink", "hardware"),
        ("Solder", "consumable"),
        ("loudspeaker", "other"),
        ("zebra", None),
        ("", None),
        ("s", None),
    ],
)
def test_common_words_lead_to_a_kind(text: str, kind: str | None) -> None:
    assert read_kind(text) == kind


def test_values_belong_to_resistors_capacitors_and_inductors_only() -> None:
    assert {kind.name: kind.value_kind for kind in KINDS.values() if kind.value_kind} == {
        "resistor": "R",
        "potentiometer": "R",
        "capacitor": "C",
        "inductor": "L",
    }
    assert KINDS["wire"].unit is Unit.MM
    assert KINDS["valve"].unit is Unit.PC


@pytest.mark.parametrize(
    "spellings",
    [
        ["DIL8", "DIL-8", "DIP-8", "DIP8", "dip 8", "8-DIP", "PDIP-8", "8-pin DIL", "DIL 8 pin"],
        ["TO92", "TO-92", "to 92"],
        ["Axial", "axial "],
        ["radial 5mm", "Radial, 5 mm", "RADIAL 5.0mm", "radial 5,0 mm"],
        ["SO-8", "SOIC8", "so8"],
        ["SOT-23", "SOT23"],
        ["noval", "B9A", "NOVAL"],
        ["0805", " 0805 "],
        ["DO-41", "DO41"],
    ],
)
def test_spellings_of_one_package_have_one_key(spellings: list[str]) -> None:
    assert len({read_package(text).key for text in spellings}) == 1


def test_different_packages_keep_different_keys() -> None:
    texts = ["DIP8", "DIP14", "SO8", "SOT23", "SOT23-5", "TO92", "TO220", "0805", "0603", "2.54mm", "25.4mm", "10mm",
             "100mm", "axial", "radial 5mm", "radial 7.5mm", "noval", "octal"]  # fmt: skip
    assert len({read_package(text).key for text in texts}) == len(texts)


def test_the_text_of_a_package_stays_as_it_was_given() -> None:
    assert read_package(" DIP-8 ").text == "DIP-8"


@given(st.text("DIPO-sot 0.,5m", max_size=15))
@settings(deadline=None, max_examples=200)
def test_case_and_outer_blanks_never_make_another_package(text: str) -> None:
    assert read_package(f" {text.lower()} ").key == read_package(text.upper()).key
