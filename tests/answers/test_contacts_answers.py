"""Switches and relays in words and figures; those of the demo a second time from its lists."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from buildbook.actions import boards, checks
from buildbook.actions import contacts as actions
from buildbook.actions.contacts import NewContacts, NewUse
from buildbook.actions.workshop import Workshop
from buildbook.answers.checks import checks as all_checks
from buildbook.answers.contacts import ContactsLine, contacts

DEMO = Path(__file__).resolve().parents[2] / "demo_db"


@pytest.fixture
def band_switch(shop: Workshop) -> Workshop:
    """A switch of four poles, three of them taken; a digital readout would want two more."""
    boards.new_project(shop, "CURLEW")
    checks.ask(shop, "CURLEW", "READOUT", "Digital?", {"DIGITAL": "", "DIAL": ""})
    actions.add_contacts(shop, "CURLEW", NewContacts("WAVE", "4P3T", amps="0.3 A", volts="150 V"))
    actions.add_use(shop, "WAVE", NewUse("coils", "DP3T", "2", "8 mA", "12 V"))
    actions.add_use(shop, "WAVE", NewUse("lamp", "SPST", "", "20 mA", "6.3 V"))
    actions.add_use(shop, "WAVE", NewUse("band code", "DP3T", "", "1 mA", "5 V", option="DIGITAL"))
    return shop


def only(shop: Workshop, code: str = "WAVE") -> ContactsLine:
    """The switch or relay of that code."""
    return next(row for row in contacts(shop).rows if row.code == code)


def test_a_workshop_without_contacts_says_so(shop: Workshop) -> None:
    assert contacts(shop).sentence == "No contacts yet."
    assert contacts(shop).rows == ()
    assert "switch" not in all_checks(shop).sentence


def test_pole_by_pole(band_switch: Workshop) -> None:
    row = only(band_switch)
    assert [(one.pole, one.use, one.spare_throws) for one in row.by_pole] == [
        (1, "lamp", 2),
        (2, "coils", 0),
        (3, "coils", 0),
        (4, "", 3),
    ]
    assert (row.ways, row.taken_poles, row.spare_poles, row.spare_throws) == ("4P3T", 3, 1, 2)
    assert row.said == "4P3T: 3 of 4 poles taken, 1 to spare"
    assert [one.said for one in row.uses] == [
        "DP3T on poles 2 and 3; 8 mA of 0.3 A; 12 V of 150 V",
        "SPST on pole 1; 20 mA of 0.3 A; 6.3 V of 150 V",
        "DP3T, left out: READOUT:DIGITAL is not chosen",
    ]
    assert [(one.state, one.current_percent, one.volts_percent) for one in row.uses] == [
        ("fits", 3, 8),
        ("fits", 7, 5),
        ("left out", None, None),
    ]


def test_each_answer_is_laid_beside_the_other(band_switch: Workshop) -> None:
    row = only(band_switch)
    assert [(one.answer, one.chosen, one.spare_poles, one.short_poles, one.state) for one in row.answers] == [
        ("READOUT:DIGITAL", False, 1, 1, "over"),
        ("READOUT:DIAL", False, 1, 0, "spare"),
    ]
    assert contacts(band_switch).sentence == (
        "1 switch: 1 with poles to spare, WAVE over with READOUT:DIGITAL; weighed against the limits written down."
    )
    checks.settle(band_switch, "CURLEW", "READOUT", "DIGITAL", "The dial is too small.")
    chosen = only(band_switch)
    assert (chosen.state, chosen.uses[-1].state, chosen.uses[-1].on) == ("over", "over", ())
    assert chosen.said == (
        "4P3T: 3 of 4 poles taken, 1 to spare; 1 pole too few; band code does not fit: too few poles"
    )
    assert "1 chosen; 1 switch: 1 over" in all_checks(band_switch).sentence
    assert all_checks(band_switch).contacts == contacts(band_switch).rows


def test_too_little_and_too_tight_are_told_apart(band_switch: Workshop) -> None:
    actions.change_use(band_switch, "WAVE", "lamp", amps="0.25 A")
    assert only(band_switch).said.endswith("lamp: 0.25 A of 0.3 A: too tight (more of it than is used at most)")
    assert only(band_switch).state == "tight"
    actions.change_use(band_switch, "WAVE", "lamp", amps="0.35 A", volts="200 V")
    row = only(band_switch)
    assert (row.state, row.uses[1].state, row.uses[1].current_percent) == ("over", "over", 117)
    assert "lamp: 0.35 A of 0.3 A: over the limit by 50 mA; lamp: 200 V of 150 V: over the limit by 50 V" in row.said


def test_what_is_not_known_is_named_and_counted(band_switch: Workshop) -> None:
    actions.change_use(band_switch, "WAVE", "lamp", amps="")
    row = only(band_switch)
    assert (row.state, row.unknown) == ("unknown", 1)
    assert row.said.endswith("1 function not all known: lamp")
    assert row.uses[1].said == "SPST on pole 1; current not known; 6.3 V of 150 V"
    assert "1 function not all known" in contacts(band_switch).sentence
    actions.change_contacts(band_switch, "WAVE", volts="")
    assert only(band_switch).uses[0].said.endswith("8 mA of 0.3 A; 12 V, limit not known")
    assert only(band_switch).unknown == 2


def test_a_relay_that_comes_with_an_answer(band_switch: Workshop) -> None:
    relay = NewContacts("K1", "SPDT", "relay", amps="1 A", volts="30 V", option="DIGITAL")
    actions.add_contacts(band_switch, "CURLEW", relay)
    actions.add_use(band_switch, "K1", NewUse("mute", "SPDT", "", "1 mA", "5 V"))
    row = only(band_switch, "K1")
    assert (row.state, row.counts, row.by_pole, row.said) == (
        "left out",
        False,
        (),
        "SPDT: left out, READOUT:DIGITAL is not chosen",
    )
    assert row.uses[0].said == "SPDT, left out: READOUT:DIGITAL is not chosen"
    assert [(one.answer, one.state) for one in row.answers] == [
        ("READOUT:DIGITAL", "full"),
        ("READOUT:DIAL", "left out"),
    ]
    assert contacts(band_switch).sentence.startswith("1 switch and 1 relay: 1 with poles to spare, 1 left out")


def test_only_the_contacts_of_the_build_are_shown(band_switch: Workshop) -> None:
    boards.new_project(band_switch, "WREN")
    actions.add_contacts(band_switch, "WREN", NewContacts("POWER", "SPST"))
    assert [row.code for row in contacts(band_switch, "WREN").rows] == ["POWER"]
    assert len(contacts(band_switch).rows) == 2


def test_it_never_says_that_something_is_safe(demo_to_read: Workshop) -> None:
    assert "safe" not in str(contacts(demo_to_read))


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of a list of the demo."""
    with (DEMO / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_demo_counted_a_second_time_from_its_lists(demo_to_read: Workshop) -> None:
    poles = {"S": 1, "D": 2}
    rows = {(row.project, row.code): row for row in contacts(demo_to_read).rows}
    assert set(rows) == {(one["project"], one["contacts"]) for one in rows_of("contacts.csv")}
    for which, row in rows.items():
        own = [one for one in rows_of("functions.csv") if (one["project"], one["contacts"]) == which]
        assert len(row.uses) == len(own)
        assert row.taken_poles == sum(poles[one["ways"][0]] for one in own if not one["option"])
        for use, one in zip(row.uses, own, strict=True):
            assert not one["pole"] or use.on[0] == int(one["pole"])


def test_the_demo_has_a_spare_pole_that_a_readout_would_want(demo_to_read: Workshop) -> None:
    rows = {f"{row.project}/{row.code}": row for row in contacts(demo_to_read).rows}
    wave = rows["CURLEW/WAVE"]
    assert [one.pole for one in wave.by_pole if not one.use] == [8]
    assert [(one.answer, one.state) for one in wave.answers] == [("READOUT:DIGITAL", "over"), ("READOUT:DIAL", "spare")]
    # 0.13 of 0.16 A is 81.25 %: above three quarters (common practice).
    battery = rows["WREN/POWER"].uses[0]
    assert (battery.state, battery.current_percent) == ("tight", 82)
    assert [rows[which].state for which in ("CURLEW/POWER", "LINNET/POWER")] == ["full", "full"]
