"""Switches, relays and their functions written down, changed, taken away; what is refused, with nothing written."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import contacts, tree
from buildbook.actions.contacts import NewContacts, NewUse
from buildbook.actions.workshop import Workshop, redo, undo
from buildbook.errors import BadInput
from buildbook.store.checkup import check
from buildbook.store.read.contacts import find_contacts, find_use, uses

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


@pytest.fixture
def switched(curlew: Workshop) -> Workshop:
    """A wave-change switch with two functions, and a relay that comes with an answer."""
    contacts.add_contacts(
        curlew, "CURLEW", NewContacts("wave", "4P3T", name="Wave change", amps="0,3 A", volts="150 V")
    )
    relay = NewContacts("K1", "dpdt", "relay", amps="2 A", option="RECT:SILICON", note="bridges the limiter")
    contacts.add_contacts(curlew, "CURLEW", relay)
    coil = NewUse("Oscillator coil", "SP3T", "2", "8 mA", "12 V", "IF")
    contacts.add_use(curlew, "WAVE", coil)
    contacts.add_use(curlew, "curlew/wave", NewUse("padder", "2 poles 3 throws", option="VALVE"))
    return curlew


def test_amounts_are_kept_in_millionths(switched: Workshop) -> None:
    wave, relay = find_contacts(switched, "WAVE"), find_contacts(switched, "CURLEW/K1")
    assert (wave.kind, wave.poles, wave.throws, wave.limit_ua, wave.limit_uv) == ("switch", 4, 3, 300_000, 150_000_000)
    assert (relay.kind, relay.poles, relay.throws, relay.option) == ("relay", 2, 2, "RECT:SILICON")
    assert (relay.limit_ua, relay.limit_uv) == (2_000_000, None)
    coil, padder = uses(switched.reads)[wave.id]
    assert (coil.poles, coil.throws, coil.pole, coil.current_ua, coil.volts_uv) == (1, 3, 2, 8000, 12_000_000)
    assert (coil.assembly, coil.option) == ("CURLEW/IF", "")
    assert (padder.poles, padder.throws, padder.pole, padder.option) == (2, 3, None, "RECT:VALVE")


def test_what_is_not_known_stays_unknown(switched: Workshop) -> None:
    said = contacts.add_use(switched, "K1", NewUse("bridge"))
    assert said == "bridge rides on CURLEW/K1; its current and voltage are not known yet."
    said = contacts.add_use(switched, "K1", NewUse("lamp", amps="0 A"))
    assert said == "lamp rides on CURLEW/K1; its voltage is not known yet."
    kept = uses(switched.reads)[find_contacts(switched, "K1").id]
    assert [(one.current_ua, one.volts_uv) for one in kept] == [(None, None), (0, None)]


def test_what_does_not_fit_is_kept_all_the_same(switched: Workshop) -> None:
    contacts.add_use(switched, "K1", NewUse("everything", "9P9T", "7"))
    assert find_use(switched, find_contacts(switched, "K1"), "EVERYTHING").poles == 9


def test_changes_touch_only_what_is_given(switched: Workshop) -> None:
    assert contacts.change_contacts(switched, "wave", ways="8P3T") == "CURLEW/WAVE"
    wave = find_contacts(switched, "WAVE")
    assert (wave.poles, wave.name, wave.limit_ua) == (8, "Wave change", 300_000)
    contacts.change_contacts(switched, "K1", amps="", volts="250 V", option="-", name="Bridge")
    relay = find_contacts(switched, "K1")
    assert (relay.limit_ua, relay.limit_uv, relay.option, relay.name) == (None, 250_000_000, "", "Bridge")
    assert (
        contacts.change_use(switched, "WAVE", "oscillator coil", pole="-", amps="", assembly="-") == "Oscillator coil"
    )
    coil = find_use(switched, wave, "Oscillator coil")
    assert (coil.pole, coil.current_ua, coil.volts_uv, coil.assembly) == (None, None, 12_000_000, "")
    assert contacts.change_use(switched, "WAVE", "padder", rename="Padders", ways="SP3T", option="-") == "Padders"
    padder = find_use(switched, wave, "padders")
    assert (padder.poles, padder.option) == (1, "")


def use(shop: Workshop, **given: str) -> object:
    """A function on the wave-change switch."""
    return contacts.add_use(shop, "WAVE", NewUse("x", **given))


def new(shop: Workshop, code: str = "X", ways: str = "SPST", **given: str) -> object:
    """Another switch of the Curlew."""
    return contacts.add_contacts(shop, "CURLEW", NewContacts(code, ways, **given))


WRONG: dict[str, tuple[Callable[[Workshop], object], str]] = {
    "no ways": (lambda shop: new(shop, ways="many"), "poles and throws"),
    "no poles": (lambda shop: new(shop, ways="0P3T"), "poles and throws"),
    "same code": (lambda shop: new(shop, "wave"), "one of that code"),
    "odd code": (lambda shop: new(shop, "wave change"), "cannot be the code of a switch or relay"),
    "kind": (lambda shop: new(shop, kind="key"), "no kind of contacts"),
    "limit of nought": (lambda shop: new(shop, amps="0 A"), "zero"),
    "negative limit": (lambda shop: new(shop, volts="-1 V"), "below zero"),
    "project": (lambda shop: contacts.add_contacts(shop, "NOWHERE", NewContacts("X", "SPST")), "no project"),
    "option of contacts": (lambda shop: new(shop, option="RECT:X"), "no option"),
    "changed ways": (lambda shop: contacts.change_contacts(shop, "WAVE", ways="4P"), "poles and throws"),
    "no such contacts": (lambda shop: contacts.change_contacts(shop, "WAVY", ways="4P3T"), "Did you mean CURLEW/WAVE"),
    "no name": (lambda shop: contacts.add_use(shop, "WAVE", NewUse(" ")), "no name"),
    "no new name": (lambda shop: contacts.change_use(shop, "WAVE", "padder", rename=" "), "no name"),
    "needs": (lambda shop: use(shop, ways="all"), "poles and throws"),
    "negative current": (lambda shop: use(shop, amps="-1 A"), "below zero"),
    "too fine": (lambda shop: use(shop, amps="0.1 uA"), "finer"),
    "too large": (lambda shop: use(shop, volts="2 MV"), "too large"),
    "another unit": (lambda shop: use(shop, amps="2 V"), "is not in A"),
    "pole of nought": (lambda shop: use(shop, pole="0"), "1 or more"),
    "no pole": (lambda shop: use(shop, pole="two"), "is no pole"),
    "no such option": (lambda shop: use(shop, option="RECT:X"), "no option"),
    "no such assembly": (lambda shop: use(shop, assembly="CELLAR"), "no assembly"),
    "no such function": (lambda shop: contacts.drop_use(shop, "WAVE", "lamp"), "no function"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_is_wrong_is_refused_and_nothing_is_written(switched: Workshop, dump: Dump, wrong: str) -> None:
    act, said = WRONG[wrong]
    before = dump(switched)
    with pytest.raises(BadInput, match=said):
        act(switched)
    assert dump(switched) == before


def test_two_functions_of_one_name_are_told_apart_or_asked_about(switched: Workshop) -> None:
    contacts.add_use(switched, "WAVE", NewUse("padder", assembly="AUDIO"))
    with pytest.raises(BadInput, match=r"padder \(RECT:VALVE\) and padder \(CURLEW/AUDIO\)"):
        contacts.drop_use(switched, "WAVE", "padder")


ACTIONS: dict[str, Callable[[Workshop], object]] = {
    "add": new,
    "change": lambda shop: contacts.change_contacts(
        shop, "WAVE", ways="DPDT", name="W", amps="", volts="1 V", option="VALVE"
    ),
    "drop": lambda shop: contacts.drop_contacts(shop, "WAVE"),
    "use": lambda shop: use(shop, amps="1 mA"),
    "change a use": lambda shop: contacts.change_use(
        shop, "WAVE", "padder", rename="p", ways="SPST", pole="3", amps="1 A", volts="1 V", assembly="IF", option="-"
    ),
    "drop a use": lambda shop: contacts.drop_use(shop, "WAVE", "PADDER"),
    "drop the assembly of a use": lambda shop: tree.drop_assembly(shop, "AUDIO"),
    "drop the project": lambda shop: tree.drop_project(shop, "CURLEW"),
}


@pytest.mark.parametrize("name", ACTIONS)
def test_it_is_taken_back_and_done_again_exactly(switched: Workshop, dump: Dump, name: str) -> None:
    contacts.add_use(switched, "WAVE", NewUse("muting", assembly="AUDIO"))
    before = dump(switched)
    ACTIONS[name](switched)
    after = dump(switched)
    assert after != before
    undo(switched)
    assert dump(switched) == before
    redo(switched)
    assert dump(switched) == after
    assert all(proof.holds for proof in check(switched))
