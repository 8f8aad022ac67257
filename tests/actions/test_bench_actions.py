"""Steps, their order, and how far a build has got with them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import bench, boards, checklists, log
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def steps(shop: Workshop, assembly: str) -> list[tuple[Any, ...]]:
    statement = """
        SELECT s.name, s.low_min, s.likely_min, s.high_min, s.wait_low_min, s.wait_high_min, s.one_way
          FROM step AS s JOIN assembly AS a ON a.id = s.assembly_id WHERE a.code = ? ORDER BY s.position
    """
    return shop.reads.execute(statement, (assembly,)).fetchall()


def needs(shop: Workshop) -> list[tuple[str, str, str, int]]:
    statement = """
        SELECT s.name, b.name, n.link, n.wait_min FROM step_need AS n
          JOIN step AS s ON s.id = n.step_id JOIN step AS b ON b.id = n.needs_id ORDER BY n.id
    """
    return shop.reads.execute(statement).fetchall()


def run(shop: Workshop) -> list[tuple[Any, ...]]:
    return shop.reads.execute("SELECT step_id, state, started_at, finished_at, minutes FROM step_run").fetchall()


def test_steps_follow_each_other_by_name_number_and_place(curlew: Workshop) -> None:
    numbers = checklists.add_steps(
        curlew,
        "AUDIO",
        [
            NewStep("Prime", 15, wait_low_min=60, wait_high_min=90, one_way=True),
            NewStep("Drill", 30, 20, 60, after=(After("prime", wait_min=120), After("1", "ss"), After("IF/2"))),
        ],
    )
    assert numbers == [3, 4]
    assert steps(curlew, "AUDIO") == [("Prime", 15, 15, 15, 60, 90, 1), ("Drill", 20, 30, 60, 0, 0, 0)]
    assert needs(curlew)[1:] == [
        ("Drill", "Prime", "FS", 120),
        ("Drill", "Fit the resistors", "SS", 0),
        ("Drill", "Fit the coils", "FS", 0),
    ]


def test_steps_that_would_wait_for_each_other_are_refused(curlew: Workshop, dump: Dump) -> None:
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        checklists.change_step(curlew, "IF/1", after=[After("Fit the coils")])
    assert refused.value.why == (
        "They would wait for each other: Fit the coils before Fit the resistors before Fit the coils."
    )
    with pytest.raises(Forbidden, match=r"Drill before Drill"):
        checklists.add_step(curlew, "IF", NewStep("Drill", after=(After("Drill"),)))
    circle = [NewStep("One", after=(After("Two"),)), NewStep("Two", after=(After("One"),))]
    with pytest.raises(Forbidden, match=r"One before Two before One|Two before One before Two"):
        checklists.add_steps(curlew, "IF", circle)
    assert dump(curlew) == before


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (NewStep(""), "The step was not made."),
        (NewStep("Paint", 10, low_min=11), "The minutes of Paint were not taken."),
        (NewStep("Paint", -1), "The minutes of Paint were not taken."),
        (NewStep("Paint", 1, wait_low_min=5, wait_high_min=4), "The minutes of Paint were not taken."),
        (NewStep("Paint", after=(After("Fit the resistors", "xx"),)), "There is no link between steps “xx”."),
        (NewStep("Paint", after=(After("Fit the resistors", "fs", -1),)), "-1 minutes cannot be."),
        (NewStep("Paint", after=(After("Wash"),)), "There is no step Wash."),
    ],
)
def test_what_is_no_step_is_refused(curlew: Workshop, step: NewStep, said: str) -> None:
    with pytest.raises(BadInput) as refused:
        checklists.add_step(curlew, "IF", step)
    assert refused.value.what == said


def test_a_step_is_changed_and_its_order_replaced(curlew: Workshop) -> None:
    checklists.change_step(curlew, "coils", name="Fit the IF coils", low_min=10, high_min=90, one_way=True, after=[])
    assert steps(curlew, "IF")[1] == ("Fit the IF coils", 10, 30, 90, 0, 0, 1)
    assert needs(curlew) == []
    with pytest.raises(BadInput, match=r"The minutes of Fit the IF coils were not taken."):
        checklists.change_step(curlew, 2, likely_min=100)


def test_a_step_begun_or_written_about_stays(curlew: Workshop) -> None:
    bench.tick(curlew, "CURLEW", 1)
    log.note(curlew, "Hot.", step=2)
    for step in (1, 2):
        with pytest.raises(Forbidden, match=r"A build has begun it, or the log tells of it."):
            checklists.drop_step(curlew, step)
    checklists.add_step(curlew, "AUDIO", NewStep("Wash", after=(After("1"),)))
    checklists.drop_step(curlew, "Wash")
    assert steps(curlew, "AUDIO") == []


def test_a_step_that_others_need_stays(curlew: Workshop) -> None:
    checklists.add_step(curlew, "AUDIO", NewStep("Wash", after=(After("IF/2"),)))
    with pytest.raises(Forbidden, match=r"Fit the coils was not taken off the list\. .*Wash comes after it\."):
        checklists.drop_step(curlew, "IF/2")
    assert len(steps(curlew, "IF")) == 2


def test_a_step_is_taken_in_hand_ticked_and_unticked(curlew: Workshop) -> None:
    assert bench.start(curlew, "curlew", "IF/1") == "Fit the resistors"
    ((_, state, started, finished, _),) = run(curlew)
    assert (state, finished) == ("in hand", "")
    bench.tick(curlew, "CURLEW", "resistors")
    ((_, state, still, finished, minutes),) = run(curlew)
    assert (state, still, minutes) == ("done", started, None)
    assert finished > started
    with pytest.raises(Forbidden, match=r"Fit the resistors is done already for CURLEW."):
        bench.tick(curlew, "CURLEW", 1)
    bench.tick(curlew, "CURLEW", 1, minutes=25)
    assert run(curlew) == [(1, "done", started, finished, 25)]
    bench.untick(curlew, "CURLEW", 1)
    assert run(curlew) == []
    with pytest.raises(Forbidden, match=r"Fit the resistors has not been begun for CURLEW."):
        bench.untick(curlew, "CURLEW", 1)


def test_a_build_has_only_the_steps_of_what_it_makes(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN")
    with pytest.raises(Forbidden, match=r"Fit the resistors is no step of build WREN."):
        bench.tick(curlew, "WREN", 1)
    with pytest.raises(BadInput, match=r"-1 minutes cannot be."):
        bench.tick(curlew, "CURLEW", 1, minutes=-1)


def test_of_two_steps_of_one_name_the_one_in_the_build_is_meant(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN")
    (own,) = checklists.add_steps(curlew, "WREN", [NewStep("Fit the coils")])
    bench.drop(curlew, "WREN", "fit the coils")
    assert [row[:2] for row in run(curlew)] == [(own, "dropped")]
