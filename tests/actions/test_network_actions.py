"""What holds a step: other steps, questions, lines, waived orders; and what a one-way step would close off."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import bench, checklists, measuring, network
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench as the_bench
from buildbook.errors import BadInput, Forbidden

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def held(shop: Workshop, name: str) -> list[tuple[str, str]]:
    """What holds a step: kinds and words."""
    row = next(row for row in the_bench(shop, "CURLEW").rows if row.name == name)
    return [(one.kind, one.what) for one in row.held]


@pytest.fixture
def case(curlew: Workshop) -> Workshop:
    """Steps of the audio board's cover: the mask is not said to come before the primer, and wiring can be undone."""
    steps = [
        NewStep("Degrease the cover", 5),
        NewStep("Mask the earth patch", 5, after=(After("Degrease the cover"),)),
        NewStep("Prime the cover", 30, one_way=True, after=(After("Degrease the cover"),)),
        NewStep("Wire the lamp", 10, after=(After("Prime the cover"),)),
    ]
    checklists.add_steps(curlew, "AUDIO", steps)
    return curlew


def test_a_loop_is_refused_and_named_and_nothing_is_written(case: Workshop, dump: Dump) -> None:
    before = dump(case)
    with pytest.raises(Forbidden, match=r"Prime the cover before Degrease the cover before Prime the cover"):
        network.put_after(case, "Degrease", "Prime")
    with pytest.raises(Forbidden, match=r"Prime the cover before Prime the cover"):
        network.put_after(case, "Prime", "Prime")
    with pytest.raises(BadInput, match=r"-5 minutes cannot be"):
        network.put_after(case, "Prime", "Mask", wait_min=-5)
    assert dump(case) == before


def test_steps_of_different_sections_hold_each_other(case: Workshop) -> None:
    network.put_after(case, "AUDIO/1", "IF/2")
    assert held(case, "Degrease the cover") == [("before", "Fit the coils")]


def test_begun_is_enough_where_that_is_said(case: Workshop) -> None:
    network.put_after(case, "AUDIO/1", "IF/1", link="ss")
    assert held(case, "Degrease the cover") == [("begun", "Fit the resistors")]
    bench.start(case, "CURLEW", "IF/1")
    assert held(case, "Degrease the cover") == []


def test_the_last_link_taken_away_says_what_holds_then(case: Workshop) -> None:
    assert network.set_free(case, "Mask", "Degrease") == "Mask the earth patch no longer waits for Degrease the cover."
    assert "worked from the top down" in network.set_free(case, "IF/2", "IF/1")
    assert held(case, "Fit the coils") == [("before", "Fit the resistors")]
    with pytest.raises(Forbidden, match=r"There is no such link"):
        network.set_free(case, "IF/2", "IF/1")


def test_a_step_is_let_go_of_questions_lines_and_readings_at_once(case: Workshop, dump: Dump) -> None:
    before = dump(case)
    network.hold_for_question(case, "IF/1", "RECT")
    network.fits(case, "IF/1", network.read_places("T1, R1-R2"))
    measuring.add_point(case, "IF", measuring.NewPoint("VK", "Cathode", "1.6-2.2 V"))
    measuring.hold_step_by_point(case, "IF/1", "IF/VK")
    assert [kind for kind, _ in held(case, "Fit the resistors")] == ["parts", "parts", "question", "unread"]
    network.let_go(case, "IF/1")
    assert held(case, "Fit the resistors") == []
    assert {name for name, rows in dump(case).items() if rows != before[name]} == {"test_point"}


def test_places_are_read_as_they_are_typed() -> None:
    assert network.read_places("T1 T2") == ["T1", "T2"]
    assert network.read_places("R1-R3,C1") == ["R1", "R2", "R3", "C1"]
    assert network.read_places("C-100N") == ["C-100N"]


def test_an_order_is_waived_for_a_reason_only(case: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"needs a reason"):
        network.waive(case, "Prime", "Mask", "  ")
    assert (
        network.waive(case, "Prime", "Mask", "Plated.")
        == "Prime the cover need not come after Mask the earth patch: Plated."
    )


# --- what a one-way step would close off -----------------------------------------------------------------------------


def test_a_one_way_step_lists_what_it_closes_off_the_most_serious_first(case: Workshop) -> None:
    with pytest.raises(Forbidden) as refused:
        bench.start(case, "CURLEW", "Prime")
    assert (refused.value.what, refused.value.why) == ("Prime the cover was not begun.", "It cannot be undone.")
    assert refused.value.mend.splitlines()[1:] == [
        "  Nothing says it, but to come before it: Mask the earth patch. "
        "Dangerous: paint under the stud breaks the protective earth.",
        "  Not done yet, and to come before it: Degrease the cover. Cannot be undone: a coat does not hold on grease.",
    ]


def test_it_is_refused_though_nothing_in_the_project_holds_it(case: Workshop) -> None:
    bench.tick(case, "CURLEW", "Degrease")
    assert held(case, "Prime the cover") == []
    with pytest.raises(Forbidden, match=r"to come before it: Mask the earth patch"):
        bench.start(case, "CURLEW", "Prime")
    bench.start(case, "CURLEW", "Prime", anyway=True)
    assert early(case, "Prime the cover") == "Mask the earth patch"
    bench.pause(case, "CURLEW", "Prime")
    bench.start(case, "CURLEW", "Prime")


@pytest.mark.parametrize("settle", ["done", "waived"])
def test_what_is_done_or_does_not_matter_stands_in_nobodys_way(case: Workshop, settle: str) -> None:
    bench.tick(case, "CURLEW", "Degrease")
    if settle == "done":
        bench.tick(case, "CURLEW", "Mask")
    else:
        network.waive(case, "Prime", "Mask", "Plated.")
    bench.start(case, "CURLEW", "Prime")
    assert early(case, "Prime the cover") == ""


def test_what_else_holds_it_is_told_as_well(case: Workshop) -> None:
    network.hold_for_question(case, "Prime", "RECT")
    with pytest.raises(Forbidden) as refused:
        bench.start(case, "CURLEW", "Prime")
    assert refused.value.mend.splitlines()[-1] == "  It is held by question CURLEW/RECT."


def test_of_very_many_the_last_are_counted(curlew: Workshop) -> None:
    steps = [NewStep(f"Polish side {number}") for number in range(1, 13)]
    checklists.add_steps(curlew, "AUDIO", [*steps, NewStep("Glue the sides", one_way=True)])
    with pytest.raises(Forbidden) as refused:
        bench.start(curlew, "CURLEW", "Glue")
    assert refused.value.mend.splitlines()[-1] == "  And 4 more steps before those."


def test_what_can_be_undone_is_begun_early_and_that_is_kept(case: Workshop) -> None:
    bench.start(case, "CURLEW", "Wire the lamp")
    assert early(case, "Wire the lamp") == "Prime the cover"


def early(shop: Workshop, name: str) -> str:
    """Before what a step was begun."""
    return next(row.early for row in the_bench(shop, "CURLEW").rows if row.name == name)
