"""Answers side by side: the rectifier of the demo, and what hangs on several questions at once."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

from buildbook.actions import boards, buying, checklists, checks, lists, offers, stores, supply
from buildbook.actions.checklists import NewStep
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop
from buildbook.answers.combine import MOST_COMBINATIONS, combination, combinations, combine, meant, struck_out, unbeaten
from buildbook.answers.supply import supplies
from buildbook.answers.weigh import OptionWeighed, weigh
from buildbook.answers.weigh_said import laid, why_lines
from buildbook.answers.weighing import figures, prices
from buildbook.errors import BadInput
from buildbook.store.read import choices as read
from buildbook.store.read.as_if import as_if


def answers(shop: Workshop, question: str) -> dict[str, OptionWeighed]:
    """The weighed answers, by code."""
    return {row.code: row for row in weigh(shop, question).rows}


# --- the demo, by hand -----------------------------------------------------------------------------------------------


def test_the_rectifier_of_the_demo(demo_to_read: Workshop) -> None:
    found = answers(demo_to_read, "RECT")
    valve, silicon = found["VALVE"], found["SI"]
    # Everything for the valve lies in the drawers; of the other only the limiter has to be bought, at 1.21.
    assert (valve.to_spend_micros, valve.lines, valve.lines_here) == (0, 3, 3)
    assert (silicon.to_spend_micros, silicon.lines, silicon.lines_here) == (1_210_000, 3, 2)
    assert [(row.part, row.short) for row in silicon.shortages] == [("RT-120R", 1)]
    # 30 + 15 minutes against 10 + 10.
    assert (valve.minutes, silicon.minutes) == (30 - 0 + 15, 20)
    # A socket of 26 x 26 and a link of 10 x 3; two diodes, two capacitors and a limiter.
    assert valve.area_um2 == (26 * 26 + 30) * 10**6
    assert silicon.area_um2 == (2 * 37.5 + 2 * 40 + 78) * 10**6
    assert (valve.unplaced, silicon.unplaced) == (0, 0)


def test_the_heater_winding_of_the_demo_decides(demo_to_read: Workshop) -> None:
    found = answers(demo_to_read, "RECT")
    heaters = {code: next(row for row in one.limits if row.code == "CURLEW/HTR") for code, one in found.items()}
    assert {code: (row.percent, row.state) for code, row in heaters.items()} == {
        "VALVE": (97, "tight"),
        "SI": (73, "within"),
    }
    assert heaters["SI"].more_micro == -600_000
    assert found["VALVE"].breaks == ("CURLEW/HTR too tight",)
    assert [code for code, one in found.items() if one.unbeaten] == ["SI"]
    assert found["SI"].difference.to_spend_micros == 1_210_000


def test_a_sentence_tells_it(demo_to_read: Workshop) -> None:
    said = weigh(demo_to_read, "CURLEW/RECT").sentence
    assert said.startswith(
        "CURLEW/RECT, open. VALVE: nothing to spend, all 3 lines here, 45 min of work, 706 mm2 of board"
    )
    assert "CURLEW/HTR too tight (97 %)" in said
    assert said.endswith("So far, SI keeps the limits and is beaten by none.")


def test_weighing_writes_nothing_and_leaves_the_question_open(demo: Workshop) -> None:
    before = (
        demo.path.stat().st_size,
        demo.reads.execute("SELECT count(*), sum(chosen) FROM choice_option").fetchone(),
    )
    weigh(demo, "RECT")
    combine(demo)
    assert demo.reads.execute("SELECT state FROM choice WHERE code = 'RECT'").fetchone() == ("open",)
    after = (demo.path.stat().st_size, demo.reads.execute("SELECT count(*), sum(chosen) FROM choice_option").fetchone())
    assert before == after


def test_differences_are_those_to_the_chosen_answer(demo: Workshop) -> None:
    checks.settle(demo, "CURLEW", "RECT", "SI", "Heater current.")
    answer = weigh(demo, "RECT")
    assert (answer.against, answer.state) == ("SI", "chosen")
    valve = answers(demo, "RECT")["VALVE"]
    assert valve.difference.to_spend_micros == -1_210_000
    assert valve.difference.minutes == 25
    assert [row.chosen for row in answer.rows] == [False, True]


def test_the_same_draws_stand_behind_every_finish(demo_to_read: Workshop) -> None:
    meter = answers(demo_to_read, "METER")
    # No step of the build hangs on the shape of the meter, so that the dates agree to the minute.
    assert len({(one.likely, one.safe) for one in meter.values() if not one.shortages}) == 1
    rows = answers(demo_to_read, "READOUT")
    assert rows["DIAL"].difference.likely_min is not None


def test_laid_side_by_side_each_count_has_a_cell_for_each_answer(demo_to_read: Workshop) -> None:
    answer = weigh(demo_to_read, "RECT")
    lines = {line.name: line.cells for line in laid(answer)}
    assert lines["HTR"] == ("97 %, too tight", "73 %")
    assert lines["to spend"] == ("0.00 EUR", "1.21 EUR (+1.21)")
    assert lines["so far"] == ("breaks a limit", "beaten by none")
    assert "chosen" not in lines
    assert "RT-120R: 1 short, 0 coming" in why_lines(answer, answer.rows[1])


def test_a_question_of_a_project_without_a_build_is_not_weighed(demo: Workshop) -> None:
    checks.ask(demo, "WREN", "CELL", "Which cell?", {"A": "", "B": ""})
    demo_build_over(demo)
    with pytest.raises(BadInput, match="WREN has no build under way"):
        weigh(demo, "CELL")
    with pytest.raises(BadInput, match="no build under way"):
        combine(demo, ["CELL"])


def demo_build_over(demo: Workshop) -> None:
    """Put the Wren's build aside."""
    boards.change_build(demo, "WREN", state="dropped")


# --- a small workshop in which answers get in each other's way --------------------------------------------------------


@pytest.fixture
def tangled(shop: Workshop) -> Workshop:
    """Three questions: two want the same resistor, one of which may be stood in for; one inside an assembly of another.

    The fan board comes with an answer, and on it stands a line of another question; both load one winding.
    """
    boards.new_project(shop, "HERON", units=2)
    boards.new_assembly(shop, "HERON", "PSU", "Supply")
    boards.new_assembly(shop, "HERON", "FAN", "Fan board")
    boards.take_out(shop, "HERON", "HERON/FAN")
    for key, value in (("R-1K", "1k"), ("R-1K-CF", "1k"), ("R-10R", "10R")):
        stores.new_part(shop, key, kind="resistor", value=value, area="" if key == "R-10R" else "10 x 3 mm")
    stores.new_bin(shop, "A1")
    stores.count(shop, "R-1K", "A1", 5)
    stores.count(shop, "R-1K-CF", "A1", 2)
    stores.allow_stand_in(shop, "R-1K", "R-1K-CF", "Carbon film will do.")
    buying.new_supplier(shop, "QUAY", "Quayside Spares")
    for code, part, price in (("Q1", "R-1K", 40_000), ("Q2", "R-10R", 90_000)):
        offers.set_offer(shop, "QUAY", part, code, breaks=[(1, price), (8, price // 2)])
    for code in ("ONE", "TWO", "COOL"):
        checks.ask(shop, "HERON", code, f"{code}?", {"A": "a", "B": "b", "C": "c"})
    lists.add_line(shop, "HERON/PSU", "R-1K", 2)
    lists.add_line(shop, "HERON/PSU", "R-1K", 2, option="ONE:A")
    lists.add_line(shop, "HERON/PSU", "R-10R", 1, option="ONE:B")
    lists.add_line(shop, "HERON/PSU", "R-1K", 3, option="TWO:A")
    lists.add_line(shop, "HERON/FAN", "R-10R", 2)
    lists.add_line(shop, "HERON/FAN", "R-10R", 3, option="TWO:B")
    boards.put_inside(shop, "HERON", "HERON/FAN", 2, option="COOL:A")
    checklists.add_steps(
        shop, "HERON/FAN", [NewStep("Solder the fan board", 15), NewStep("Bend it", 5, option="TWO:B")]
    )
    checklists.add_step(shop, "HERON/PSU", NewStep("Solder the supply", 20, option="ONE:A"))
    supply.add_supply(shop, "HERON", NewSupply("T1", "core", limit="8 VA"))
    supply.add_supply(shop, "HERON", NewSupply("W", "winding", volts="6.3 V", limit="1 A", fed_by="T1"))
    for option, amps in (("ONE:A", "0.4 A"), ("ONE:B", "0.1 A"), ("TWO:A", "0.35 A"), ("COOL:A", "0.5 A")):
        supply.add_load(shop, "W", NewLoad(f"load of {option}", current=amps, option=option))
    return shop


def test_all_at_once_is_the_same_as_each_combination_from_nothing(tangled: Workshop) -> None:
    found = combinations(tangled)
    broken, marks = struck_out(found), unbeaten(found)
    asked, build = meant(tangled, ())
    with as_if(tangled) as what:
        every = {number for (number,) in tangled.reads.execute("SELECT id FROM part")}
        known = prices(tangled, every)
        what.answer({one.id: 0 for one in asked})
        base = figures(what.shop, build, known)
        for at in product(range(3), repeat=3):
            what.answer({one.id: found.options[axis][at[axis]].id for axis, one in enumerate(asked)})
            row = combination(found, at)
            assert row[1:8] == tuple(figures(what.shop, build, known).less(base)), row.answers
            stood = {one.code: one.state for one in supplies(what.shop, "HERON")}
            assert bool(broken[at]) == any(state in ("over", "tight") for state in stood.values())
            assert bool(broken[at]) == bool(row.breaks)
            assert not (broken[at] and marks[at])
    assert marks.any()


def test_a_part_that_two_answers_want_is_short_only_with_both(tangled: Workshop) -> None:
    found = {row.answers: row for row in combine(tangled, ["ONE", "TWO"]).rows}
    # Two units: 4 are wanted anyway and 7 lie there with the stand-ins; A and A want 4 and 6 more.
    assert found["ONE:A", "TWO:C"].short == 1
    assert found["ONE:C", "TWO:A"].short == 3
    assert found["ONE:A", "TWO:A"].short == 7
    # Eight at half the price cost less than seven: what each answer would cost alone does not add up to that.
    assert found["ONE:A", "TWO:A"].to_spend_micros == 7 * 20_000
    assert found["ONE:C", "TWO:A"].to_spend_micros == 3 * 40_000


def test_every_combination_struck_out_says_why(tangled: Workshop) -> None:
    answer = combine(tangled)
    assert answer.combinations == 27 == len(answer.rows)
    assert answer.struck == sum(bool(row.breaks) for row in answer.rows) > 0
    assert answer.left == sum(row.unbeaten for row in answer.rows) > 0
    order = [(bool(row.breaks), not row.unbeaten) for row in answer.rows]
    assert order == sorted(order)
    assert "ONE, TWO and COOL" in answer.sentence
    over = next(row for row in answer.rows if row.answers == ("ONE:A", "TWO:A", "COOL:A"))
    assert "W over the limit" in over.breaks


def test_a_question_that_is_not_named_is_held_as_it_is(tangled: Workshop) -> None:
    checks.settle(tangled, "HERON", "COOL", "A", "It gets warm.")
    found = {row.answers: row for row in combine(tangled).rows}
    assert ("ONE:A", "TWO:A") in found
    assert found["ONE:A", "TWO:A"].breaks
    assert found["ONE:C", "TWO:B"].minutes == 5 * 4


def test_what_cannot_be_combined(tangled: Workshop) -> None:
    boards.new_project(tangled, "WREN")
    checks.ask(tangled, "WREN", "CELL", "Which cell?", {"A": "", "B": ""})
    with pytest.raises(BadInput, match="The questions are of HERON and WREN"):
        combine(tangled)
    assert combine(tangled, ["CELL"]).struck == 0
    with pytest.raises(BadInput, match="There is no question"):
        combine(tangled, ["NOSUCH"])
    for number in range(11):
        checks.ask(tangled, "WREN", f"Q{number}", "?", {"A": "", "B": "", "C": ""})
    with pytest.raises(BadInput, match="more than"):
        combine(tangled, [f"Q{number}" for number in range(11)])
    assert MOST_COMBINATIONS < 3**11


def test_nothing_open_is_nothing_to_combine(shop: Workshop) -> None:
    boards.new_project(shop, "WREN")
    with pytest.raises(BadInput, match="No question is open"):
        combine(shop)


# --- as if -----------------------------------------------------------------------------------------------------------


def test_as_if_is_seen_there_and_nowhere_else(tangled: Workshop, tmp_path: Path) -> None:
    one = next(row for row in read.asked(tangled.reads) if row.code == "ONE")
    options = read.candidates(tangled.reads)[one.id]
    with as_if(tangled) as what:
        what.answer({one.id: options[1].id})
        assert [row.chosen for row in read.candidates(what.shop.reads)[one.id]] == [0, 1, 0]
        assert [row.chosen for row in read.candidates(tangled.reads)[one.id]] == [0, 0, 0]
        what.answer({one.id: 0})
        assert [row.state for row in read.asked(what.shop.reads) if row.code == "ONE"] == ["open"]


def test_a_switch_with_too_few_poles_strikes_an_answer_out(demo_to_read: Workshop) -> None:
    digital, dial = weigh(demo_to_read, "READOUT").rows
    assert "CURLEW/WAVE poles over the limit" in digital.breaks
    poles = {row.code: row.state for row in dial.limits if row.kind == "contacts"}
    assert poles["CURLEW/WAVE poles"] == "within"
    rows = combine(demo_to_read, ("RECT", "READOUT")).rows
    struck = {row.answers: row.breaks for row in rows if row.breaks}
    assert struck["RECT:SI", "READOUT:DIGITAL"] == ("HTR too tight", "WAVE poles over the limit")
    assert ("RECT:SI", "READOUT:DIAL") not in struck
