"""The supply budget in words and figures; that of the demo by hand."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, checks, supply
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop
from buildbook.answers.checks import checks as all_checks
from buildbook.answers.supply import SupplyLine
from buildbook.answers.supply import supply as budget


@pytest.fixture
def set_of_valves(shop: Workshop) -> Workshop:
    """A heater winding that a rectifier valve would load too far."""
    boards.new_project(shop, "CURLEW")
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "", "SI": ""})
    heater = NewSupply("HTR", "winding", "Heater winding", "6.3 V", "2.5 A", "10 %")
    supply.add_supply(shop, "CURLEW", heater)
    supply.add_load(shop, "HTR", NewLoad("valves", current="1.824 A"))
    supply.add_load(shop, "HTR", NewLoad("EZ80", heater="EZ80", option="VALVE"))
    return shop


def only(shop: Workshop, code: str = "HTR") -> SupplyLine:
    """The supply of that code."""
    return next(row for row in budget(shop).rows if row.code == code)


def test_a_workshop_without_supplies_says_so(shop: Workshop) -> None:
    assert budget(shop).sentence == "No supply yet."
    assert budget(shop).rows == ()


def test_each_answer_is_laid_beside_the_other(set_of_valves: Workshop) -> None:
    row = only(set_of_valves)
    assert row.said == "1.82 of 2.5 A, 73 %, 0.25 A to keep free: 0.426 A of headroom"
    assert [(one.answer, one.percent, one.state) for one in row.answers] == [
        ("RECT:VALVE", 97, "tight"),
        ("RECT:SI", 73, "within"),
    ]
    assert budget(set_of_valves).sentence == (
        "1 supply: 1 within the limit, HTR too tight with RECT:VALVE; weighed against the limits written down."
    )


def test_a_chosen_answer_counts(set_of_valves: Workshop) -> None:
    checks.settle(set_of_valves, "CURLEW", "RECT", "VALVE", "In the drawer.")
    row = only(set_of_valves)
    assert row.said == "2.42 of 2.5 A, 97 %, 0.25 A to keep free: too tight by 0.174 A"
    assert [(load.name, load.counts) for load in row.loads] == [("valves", True), ("EZ80", True)]
    assert budget(set_of_valves).sentence.startswith("1 supply: 1 too tight;")
    assert "1 chosen; 1 supply: 1 too tight" in all_checks(set_of_valves).sentence


def test_over_the_limit_and_with_everything_on(set_of_valves: Workshop) -> None:
    supply.add_load(set_of_valves, "HTR", NewLoad("lamp", 1, current="1 A", duty="50 %"))
    assert only(set_of_valves).said == (
        "2.32 of 2.5 A, 93 %, 0.25 A to keep free: too tight by 0.074 A; 2.82 A with everything on, over the limit"
    )
    supply.add_load(set_of_valves, "HTR", NewLoad("oven", 1, current="1 A"))
    assert "over the limit by 0.824 A" in only(set_of_valves).said


def test_what_is_not_known_is_named_and_counted(set_of_valves: Workshop) -> None:
    supply.add_load(set_of_valves, "HTR", NewLoad("meter lamp", 2))
    row = only(set_of_valves)
    assert (row.state, row.unknown, row.loads[-1].said) == ("unknown", 2, "2 x not known")
    assert row.said.endswith("2 loads not known and not counted")
    assert "1 load not known" in budget(set_of_valves).sentence
    supply.change_supply(set_of_valves, "HTR", limit="")
    assert "the limit is not known" in only(set_of_valves).said


def test_only_the_supplies_of_the_build_are_shown(set_of_valves: Workshop) -> None:
    boards.new_project(set_of_valves, "WREN")
    supply.add_supply(set_of_valves, "WREN", NewSupply("BAT", "rail", volts="9 V"))
    assert [row.code for row in budget(set_of_valves, "WREN").rows] == ["BAT"]
    assert len(budget(set_of_valves).rows) == 2


def test_it_never_says_that_something_is_safe(set_of_valves: Workshop) -> None:
    supply.add_supply(set_of_valves, "CURLEW", NewSupply("F", "fuse", volts="230 V", limit="0.4 A"))
    supply.add_supply(set_of_valves, "CURLEW", NewSupply("T", "core", limit="60 VA", fed_by="F"))
    supply.change_supply(set_of_valves, "HTR", fed_by="T")
    # 60 VA / 230 V is 0.261 A; 1.5 times that is 0.391 A, and 0.4 A the next preferred rating (IEC 60127).
    assert only(set_of_valves, "F").fuse.startswith("common practice proposes 0.4 A time-lag (IEC 60127")
    assert "local codes decide" in only(set_of_valves, "F").fuse
    assert "safe" not in str(budget(set_of_valves))
