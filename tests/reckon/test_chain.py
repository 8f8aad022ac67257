"""The chain that sets the finish: what pushes each step, and that those without play are on it."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.chain import Planned, chain
from buildbook.reckon.sessions import Link, Task, list_schedule

EVENINGS = [(1440 * day, 1440 * day + 120) for day in range(80)]


def planned(tasks: list[Task], links: list[Link], sessions: list[tuple[int, int]]) -> dict[int, Planned]:
    schedule = list_schedule(tasks, links, sessions)
    return {one.task: one for one in chain(tasks, links, sessions, schedule)}


def test_a_step_follows_another_and_its_wait() -> None:
    found = planned([Task(1, 30, 60), Task(2, 20)], [Link(1, 2)], EVENINGS)
    assert (found[1].pushed, found[1].by) == ("start", None)
    assert (found[2].start, found[2].pushed, found[2].by) == (90, "step", 1)


def test_a_step_waits_for_its_place() -> None:
    tasks, order = [Task(1, 30, 60, place=1), Task(2, 20, place=1)], [1, 2]
    schedule = list_schedule(tasks, [], EVENINGS, order=order)
    found = {one.task: one for one in chain(tasks, [], EVENINGS, schedule)}
    assert (found[2].start, found[2].pushed, found[2].by) == (90, "place", 1)


def test_a_step_waits_for_its_parts() -> None:
    found = planned([Task(1, 30), Task(2, 20, release=1450)], [], EVENINGS)
    assert (found[2].start, found[2].pushed, found[2].by) == (1450, "parts", None)
    assert found[2].critical
    assert not found[1].critical


def test_with_one_pair_of_hands_the_hands_are_the_chain() -> None:
    found = planned([Task(number, 60) for number in (1, 2, 3)], [], EVENINGS)
    assert [one.critical for one in found.values()] == [True, True, True]
    assert [one.pushed for one in found.values()] == ["start", "hands", "hands"]
    assert {one.float_min for one in found.values()} == {0}


def test_a_step_beside_a_long_wait_has_play_until_the_last_session() -> None:
    found = planned([Task(1, 30, 2880), Task(2, 30), Task(3, 10)], [Link(1, 2)], EVENINGS)
    assert [found[number].critical for number in (1, 2, 3)] == [True, True, False]
    # The wait is over 30 minutes into the third evening, so all is done by bench minute 300; this ends with the 40th.
    assert found[3].float_min == 300 - 40


@st.composite
def builds(draw: st.DrawFn) -> tuple[list[Task], list[Link]]:
    count = draw(st.integers(1, 8))
    tasks = [
        Task(
            number,
            draw(st.integers(1, 90)),
            draw(st.sampled_from((0, 0, 30, 600, 3000))),
            draw(st.sampled_from((None, 1, 2))),
            draw(st.sampled_from((0, 0, 2000))),
            splittable=draw(st.booleans()),
        )
        for number in range(1, count + 1)
    ]
    pairs = [(before, after) for after in range(2, count + 1) for before in range(1, after)]
    some = draw(st.lists(st.sampled_from(pairs), max_size=6, unique=True)) if pairs else []
    return tasks, [Link(*pair, draw(st.sampled_from(("FS", "SS")))) for pair in some]


@settings(deadline=None, max_examples=80)
@given(builds())
def test_some_step_ends_the_plan_and_each_of_the_chain_leads_back_to_where_it_begins(
    made: tuple[list[Task], list[Link]],
) -> None:
    tasks, links = made
    schedule = list_schedule(tasks, links, EVENINGS)
    found = {one.task: one for one in chain(tasks, links, EVENINGS, schedule)}
    waits = {task.id: task.wait_min for task in tasks}
    assert max(one.end + waits[one.task] for one in found.values()) == schedule.finish
    for one in found.values():
        assert one.float_min >= 0
        if one.end + waits[one.task] == schedule.finish:
            assert one.critical
        if one.critical:
            assert one.float_min == 0
            assert one.by is None or (found[one.by].critical and found[one.by].start <= one.start)


@settings(deadline=None, max_examples=60)
@given(builds(), st.data())
def test_a_step_may_begin_later_by_its_play_where_hands_and_places_are_plenty(
    made: tuple[list[Task], list[Link]], data: st.DataObject
) -> None:
    tasks, links = made
    plenty = [replace(task, worker=task.id, place=None, splittable=True) for task in tasks]
    schedule = list_schedule(plenty, links, EVENINGS)
    found = {one.task: one for one in chain(plenty, links, EVENINGS, schedule)}
    late = data.draw(st.sampled_from(sorted(found)))
    spare = found[late].float_min
    into, rest = divmod(found[late].start, 1440)
    begin = into * 120 + min(rest, 120) + spare
    held = [replace(task, release=begin // 120 * 1440 + begin % 120) if task.id == late else task for task in plenty]
    assert list_schedule(held, links, EVENINGS).finish <= schedule.finish
