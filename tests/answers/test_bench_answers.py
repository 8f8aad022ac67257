"""What the Bench answers: the state of every step, what holds it, and how far each checklist has got."""

from __future__ import annotations

import shutil
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import bench as actions
from buildbook.actions import boards, checklists, checks
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import STATES, bench, count_steps
from buildbook.answers.form import as_json
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.readiness import BEHIND


@pytest.fixture
def case(shop: Workshop) -> Workshop:
    """A case to be deburred, masked, primed and drilled, and a panel that waits for the primer."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    boards.new_assembly(shop, "CURLEW", "PANEL", "Dial panel", "panel")
    checklists.add_steps(
        shop,
        "CASE",
        [
            NewStep("Deburr", 20),
            NewStep("Mask the earth patch", 5),
            NewStep("Prime", 30, one_way=True, wait_low_min=240, caution="Air the room."),
        ],
    )
    checklists.add_step(shop, "PANEL", NewStep("Line up with the case", 10, after=(After("Prime"),)))
    return shop


def later(shop: Workshop, **by: int) -> None:
    """Let time pass."""
    now = shop.clock() + timedelta(**by)
    shop.clock = lambda: now


def states(shop: Workshop, build: str | None = None) -> dict[str, str]:
    return {row.name: row.state for row in bench(shop, build).rows}


def test_a_checklist_is_taken_from_the_top(case: Workshop) -> None:
    answer = bench(case)
    assert answer.sentence == "1 step ready, 3 held for earlier steps."
    assert states(case) == {
        "Deburr": "ready",
        "Mask the earth patch": "held",
        "Prime": "held",
        "Line up with the case": "held",
    }
    held = {row.name: row.held_by for row in answer.rows}
    assert held["Prime"] == ("Deburr",)
    assert held["Line up with the case"] == ("Prime",)


def test_what_is_done_or_dropped_lets_the_next_go(case: Workshop) -> None:
    actions.tick(case, "CURLEW", "Deburr", minutes=24)
    assert states(case)["Mask the earth patch"] == "ready"
    actions.drop(case, "CURLEW", "Mask")
    assert states(case)["Prime"] == "ready"
    actions.tick(case, "CURLEW", "Prime")
    assert bench(case).sentence.startswith("No steps ready, 1 waiting (until ")
    later(case, hours=5)
    assert states(case)["Line up with the case"] == "ready"
    assert bench(case).sentence == "1 step ready, 2 done, 1 dropped."
    first = bench(case).rows[0]
    assert (first.minutes, first.state, first.held_by) == (24, "done", ())
    assert first.finished_at.endswith("Z")


def test_a_step_in_hand_holds_the_next_and_says_what_should_have_come_before(case: Workshop) -> None:
    actions.start(case, "CURLEW", "Prime", anyway=True)
    rows = {row.name: row for row in bench(case).rows}
    assert rows["Prime"].state == "in hand"
    assert rows["Prime"].held_by == ("Deburr",)
    assert rows["Line up with the case"].state == "held"


def test_begun_is_enough_where_a_step_says_so(case: Workshop) -> None:
    checklists.change_step(case, "Line up", after=[After("Prime", "ss")])
    assert states(case)["Line up with the case"] == "held"
    actions.start(case, "CURLEW", "Prime", anyway=True)
    assert states(case)["Line up with the case"] == "ready"


def test_a_step_that_says_what_it_comes_after_is_held_by_nothing_else(case: Workshop) -> None:
    checklists.add_step(case, "CASE", NewStep("Etch the serial number", after=(After("Deburr"),)))
    actions.tick(case, "CURLEW", "Deburr")
    assert states(case)["Etch the serial number"] == "ready"


def test_each_build_has_its_own_progress(case: Workshop) -> None:
    boards.new_build(case, "SECOND", "CURLEW/CURLEW")
    actions.tick(case, "SECOND", "Deburr")
    assert states(case, "SECOND")["Deburr"] == "done"
    assert states(case, "curlew")["Deburr"] == "ready"
    both = bench(case)
    assert [row.build for row in both.rows] == ["CURLEW"] * 4 + ["SECOND"] * 4
    assert [(one.build, one.assembly, one.done, one.steps, one.left_min) for one in both.progress] == [
        ("CURLEW", "CURLEW/CASE", 0, 3, 55),
        ("CURLEW", "CURLEW/PANEL", 0, 1, 10),
        ("SECOND", "CURLEW/CASE", 1, 3, 35),
        ("SECOND", "CURLEW/PANEL", 0, 1, 10),
    ]


def test_steps_are_named_as_they_are_typed(case: Workshop) -> None:
    for row in bench(case).rows:
        assert actions.start(case, "CURLEW", row.place, anyway=True) == row.name


def test_an_option_that_is_not_chosen_brings_no_steps(case: Workshop) -> None:
    checks.ask(case, "CURLEW", "READOUT", "Digital readout?", {"YES": "Yes", "NO": "No"})
    boards.new_assembly(case, "CURLEW", "COUNTER", "Counter board", inside="PANEL")
    boards.take_out(case, "PANEL", "COUNTER")
    boards.put_inside(case, "PANEL", "COUNTER", option="READOUT:YES")
    checklists.add_step(case, "COUNTER", NewStep("Solder the counter"))
    assert "Solder the counter" not in states(case)
    checks.settle(case, "CURLEW", "READOUT", "YES", "It is wanted")
    assert states(case)["Solder the counter"] == "ready"


def test_an_unknown_build_is_told_with_those_there_are(case: Workshop) -> None:
    with pytest.raises(BadInput, match="CURLEW"):
        bench(case, "LINNET")


def test_the_answer_is_plain_json(case: Workshop) -> None:
    told = as_json(bench(case))
    assert told["schema"] == "buildbook.bench/2"
    assert told["rows"][1]["held_by"] == ["Deburr"]
    assert told["rows"][2]["one_way"] is True


@given(st.lists(st.tuples(st.sampled_from(["start", "tick", "drop", "untick"]), st.integers(0, 3)), max_size=8))
@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_done_each_step_is_in_one_state_and_only_the_held_name_reasons(
    case: Workshop, tmp_path: Path, doings: list[tuple[str, int]]
) -> None:
    copy = tmp_path / "copy.db"
    case.close()
    shutil.copyfile(case.path, copy)
    shop = Workshop(copy, clock=case.clock)
    steps = [row.step for row in bench(shop).rows]
    for verb, index in doings:
        with suppress(Forbidden):
            getattr(actions, verb)(shop, "CURLEW", steps[index])
    answer = bench(shop)
    assert len(answer.rows) == len(steps)
    for row in answer.rows:
        assert row.state in STATES
        assert (row.state == "held") <= bool(row.held_by)
        assert not (row.held_by and row.state in ("ready", *BEHIND))
    counted = next(iter(count_steps(shop).values()))
    assert counted.steps == sum(one.steps for one in answer.progress)
    assert counted.done == sum(row.state in BEHIND for row in answer.rows)
    # Unless all is behind, there is always something to be done next.
    waiting = [row for row in answer.rows if row.state == "waiting"]
    assert counted.done + len(waiting) == counted.steps or counted.ready or waiting
    shop.close()


def test_where_steps_say_what_they_come_after_one_that_says_nothing_may_be_done_at_once(shop: Workshop) -> None:
    boards.new_project(shop, "WREN")
    checklists.add_steps(
        shop, "WREN", [NewStep("Drill"), NewStep("Paint", after=(After("Drill"),)), NewStep("Cut the wires")]
    )
    states = {row.name: row.state for row in bench(shop).rows}
    assert states == {"Drill": "ready", "Paint": "held", "Cut the wires": "ready"}
