"""Supplies and loads written down, changed, taken away; and what is refused, with nothing written."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import supply, tree
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop, redo, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.store.checkup import check
from buildbook.store.read.supply import find_supply, loads

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


@pytest.fixture
def fed(curlew: Workshop) -> Workshop:
    """A fuse, a core, two windings, a rail on one of them, and three loads."""
    for new in (
        NewSupply("F", "fuse", "mains fuse", "230 V", "0.4 A"),
        NewSupply("T1", "core", "", "", "60 VA", fed_by="F"),
        NewSupply("HTR", "winding", "heaters", "6.3 V", "2.5 A", "20 %", "T1"),
        NewSupply("HTAC", "winding", "", "200 V", "100 mA", "20%", "T1", alike=2),
        NewSupply("HT", "rail", "", "228 V", "80 mA", "20", "HTAC", "Centre tap, capacitor"),
    ):
        supply.add_supply(curlew, "CURLEW", new)
    supply.add_load(curlew, "HTR", NewLoad("ECC83", 2, heater="ECC83", assembly="AUDIO"))
    supply.add_load(curlew, "HTR", NewLoad("EZ80", heater="ez80", option="RECT:VALVE"))
    supply.add_load(curlew, "curlew/ht", NewLoad("relay", power="0,25 W", duty="25 %"))
    return curlew


def test_amounts_are_kept_in_millionths(fed: Workshop) -> None:
    heaters, rail, core = (find_supply(fed, name) for name in ("HTR", "CURLEW/HT", "T1"))
    assert (heaters.volts_uv, heaters.limit_micro, heaters.keep_free_bp) == (6_300_000, 2_500_000, 2000)
    assert (rail.way, rail.circuit, rail.factor_ppm) == ("rectifier", "centre tap, capacitor", 1_200_000)
    assert core.limit_micro == 60_000_000
    found = [
        (one.name, one.qty, one.current_ua, one.power_uw, one.duty_bp, one.option)
        for one in (*loads(fed.reads)[heaters.id], *loads(fed.reads)[rail.id])
    ]
    assert found == [
        ("ECC83", 2, 300_000, None, 10_000, ""),
        ("EZ80", 1, 600_000, None, 10_000, "RECT:VALVE"),
        ("relay", 1, None, 250_000, 2500, ""),
    ]


def test_what_is_not_known_stays_unknown(fed: Workshop) -> None:
    assert supply.add_load(fed, "HTR", NewLoad("PX9", heater="PX9")).endswith("how much is not known yet.")
    assert supply.add_load(fed, "HTR", NewLoad("nil", current="0 A")) == "nil draws on CURLEW/HTR."
    kept = loads(fed.reads)[find_supply(fed, "HTR").id]
    assert [one.current_ua for one in kept[-2:]] == [None, 0]


WRONG: dict[str, tuple[Callable[[Workshop], object], str]] = {
    "negative load": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", current="-1 A")), "below zero"),
    "no load at all": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", 0)), "1 or more"),
    "two figures": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", current="1 A", power="1 W")), "twice"),
    "too fine": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", current="0.1 uA")), "finer"),
    "too large": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", current="2 MA")), "too large"),
    "another unit": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", current="2 V")), "is not in A"),
    "no name": (lambda shop: supply.add_load(shop, "HTR", NewLoad(" ")), "no name"),
    "on a core": (lambda shop: supply.add_load(shop, "T1", NewLoad("x", current="1 A")), "Only what it feeds"),
    "long duty": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", duty="110 %")), "from 0 to 100"),
    "odd heater": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", heater="GZ34")), "does not suit"),
    "no such option": (lambda shop: supply.add_load(shop, "HTR", NewLoad("x", option="RECT:X")), "no option"),
    "no such supply": (lambda shop: supply.add_load(shop, "HTX", NewLoad("x")), "Did you mean CURLEW/HT"),
    "same code": (lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("ht", "rail")), "one of that code"),
    "kind": (lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("X", "tap")), "no kind of supply"),
    "limit of nought": (lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("X", "rail", limit="0 A")), "zero"),
    "circuit": (lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("X", "rail", made="star")), "no circuit"),
    "factor of nothing": (
        lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("X", "rail", factor="2")),
        "belongs",
    ),
    "efficiency": (
        lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("X", "rail", made="switching", factor="120 %")),
        "100 % at most",
    ),
    "winding by a rail": (
        lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("X", "winding", fed_by="HT")),
        "does not feed a winding",
    ),
    "itself": (lambda shop: supply.change_supply(shop, "HT", fed_by="HT"), "feed itself"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_is_wrong_is_refused_and_nothing_is_written(fed: Workshop, dump: Dump, wrong: str) -> None:
    act, said = WRONG[wrong]
    before = dump(fed)
    with pytest.raises(BadInput, match=said):
        act(fed)
    assert dump(fed) == before


def test_a_ring_of_rails_is_refused(fed: Workshop) -> None:
    supply.add_supply(fed, "CURLEW", NewSupply("B", "rail", fed_by="HT", made="linear"))
    supply.add_supply(fed, "CURLEW", NewSupply("C", "rail", fed_by="B", made="switching", factor="85 %"))
    with pytest.raises(BadInput, match="feed itself, by way of others"):
        supply.change_supply(fed, "HT", fed_by="C")
    assert supply.change_supply(fed, "B", fed_by="-") == "CURLEW/B"
    assert supply.change_supply(fed, "HT", fed_by="C") == "CURLEW/HT"
    assert find_supply(fed, "C").factor_ppm == 850_000


def test_what_feeds_another_stays(fed: Workshop) -> None:
    with pytest.raises(Forbidden, match="It feeds HT"):
        supply.drop_supply(fed, "HTAC")
    supply.drop_supply(fed, "HT")
    supply.drop_supply(fed, "HTAC")
    with pytest.raises(BadInput, match="no load"):
        supply.drop_load(fed, "HTR", "EL84")


ACTIONS: dict[str, Callable[[Workshop], object]] = {
    "add": lambda shop: supply.add_supply(shop, "CURLEW", NewSupply("B", "rail", fed_by="HT")),
    "change": lambda shop: supply.change_supply(
        shop, "HT", name="HT", volts="230 V", limit="", keep_free="10 %", fed_by="HTR", factor="1"
    ),
    "drop": lambda shop: supply.drop_supply(shop, "HT"),
    "load": lambda shop: supply.add_load(shop, "HTR", NewLoad("x", current="1 mA")),
    "unload": lambda shop: supply.drop_load(shop, "HTR", "ecc83"),
    "drop the assembly of a load": lambda shop: tree.drop_assembly(shop, "AUDIO"),
    "drop the project": lambda shop: tree.drop_project(shop, "CURLEW"),
}


@pytest.mark.parametrize("name", ACTIONS)
def test_it_is_taken_back_and_done_again_exactly(fed: Workshop, dump: Dump, name: str) -> None:
    before = dump(fed)
    ACTIONS[name](fed)
    after = dump(fed)
    assert after != before
    undo(fed)
    assert dump(fed) == before
    redo(fed)
    assert dump(fed) == after
    assert all(proof.holds for proof in check(fed))


def test_a_project_comes_back_whatever_feeds_what(fed: Workshop, dump: Dump) -> None:
    """A supply may be fed by one that was written down after it."""
    supply.add_supply(fed, "CURLEW", NewSupply("C", "rail"))
    supply.change_supply(fed, "HT", fed_by="C")
    before = dump(fed)
    tree.drop_project(fed, "CURLEW")
    undo(fed)
    assert dump(fed) == before


def kept(shop: Workshop) -> list[tuple[Any, ...]]:
    """Name, number, current, power and duty of the loads of the heater winding."""
    own = loads(shop.reads)[find_supply(shop, "HTR").id]
    return [(one.name, one.qty, one.current_ua, one.power_uw, one.duty_bp) for one in own]


def test_a_load_is_written_as_the_trade_writes_it(fed: Workshop) -> None:
    supply.add_load(fed, "HTR", NewLoad("lamps", draws="2 x 50 mA, 25 %"))
    supply.add_load(fed, "HTR", NewLoad("eye", draws="LED 2 V, 430R"))
    assert kept(fed)[2:] == [("lamps", 2, 50_000, None, 2500), ("eye", 1, 10_000, None, 10_000)]


def test_a_load_is_changed_by_name_or_number(fed: Workshop) -> None:
    assert supply.change_load(fed, "HTR", "ecc83", draws="3 x 310 mA") == "Changed: ECC83 on CURLEW/HTR."
    supply.change_load(fed, "HTR", "2", name="EZ80 heater", option="", note="measured")
    supply.change_load(fed, "HTR", "EZ80 heater", draws="")
    assert kept(fed) == [("ECC83", 3, 310_000, None, 10_000), ("EZ80 heater", 1, None, None, 10_000)]
    own = loads(fed.reads)[find_supply(fed, "HTR").id]
    assert [(one.assembly, one.option, one.note) for one in own] == [("CURLEW/AUDIO", "", ""), ("", "", "measured")]


def test_loads_of_one_name_are_told_apart_by_number(fed: Workshop) -> None:
    supply.add_load(fed, "HTR", NewLoad("ECC83", draws="heater ECC83"))
    with pytest.raises(BadInput, match=r"1 \(ECC83, CURLEW/AUDIO\) and 3 \(ECC83, everywhere\)"):
        supply.change_load(fed, "HTR", "ECC83", draws="1 A")
    supply.drop_load(fed, "HTR", "3")
    assert [name for name, *_ in kept(fed)] == ["ECC83", "EZ80"]


WRONG_LOADS: dict[str, tuple[dict[str, str], str]] = {
    "negative": ({"draws": "-0.3 A"}, "below zero"),
    "unlike string": ({"draws": "heater EL84+ECC83"}, "different currents"),
    "string of too many volts": ({"draws": "heater EL84+EL84"}, "does not suit"),
    "no name": ({"name": " "}, "no name"),
    "no such option": ({"option": "RECT:X"}, "no option"),
    "no such assembly": ({"assembly": "XX"}, "no assembly"),
}


@pytest.mark.parametrize("wrong", WRONG_LOADS)
def test_a_change_that_is_wrong_is_refused_and_nothing_is_written(fed: Workshop, dump: Dump, wrong: str) -> None:
    fields, said = WRONG_LOADS[wrong]
    before = dump(fed)
    with pytest.raises(BadInput, match=said):
        supply.change_load(fed, "HTR", "ECC83", **fields)
    assert dump(fed) == before


def test_a_change_of_a_load_is_taken_back(fed: Workshop, dump: Dump) -> None:
    before = dump(fed)
    supply.change_load(fed, "HTR", "ECC83", name="V1", draws="1 A", assembly="", option="VALVE", note="x")
    after = dump(fed)
    undo(fed)
    assert dump(fed) == before
    redo(fed)
    assert dump(fed) == after
