"""Steps into bench time: what a schedule must keep, and that what is wrong is found."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.calendar import BenchTime
from buildbook.reckon.sessions import (
    Link,
    Piece,
    Schedule,
    Task,
    Work,
    earliest_starts,
    faults,
    latest_ends,
    list_schedule,
    place_in_order,
    schedule_of,
    soonest_finish,
)
from tests.bench.planning import many_steps, three_a_week

ALWAYS = [(0, 1_000_000)]
EVENINGS = [(1440 * day, 1440 * day + 120) for day in range(200)]


@st.composite
def builds(draw: st.DrawFn, most: int = 9) -> tuple[list[Task], list[Link], list[tuple[int, int]]]:
    """Steps with waits, places, parcels and needs, and sessions that are enough for them."""
    count = draw(st.integers(1, most))
    tasks = [
        Task(
            number,
            draw(st.integers(0, 40)),
            draw(st.sampled_from((0, 0, 5, 30, 90))),
            draw(st.sampled_from((None, 1, 2))),
            draw(st.sampled_from((0, 0, 33, 150))),
            splittable=draw(st.booleans()),
            worker=draw(st.sampled_from((0, 0, 0, 1))),
        )
        for number in range(count)
    ]
    pairs = [(before, after) for after in range(count) for before in range(after)]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=count, unique=True)) if pairs else []
    links = [
        Link(before, after, draw(st.sampled_from(("FS", "FS", "SS"))), draw(st.sampled_from((0, 0, 7, 60))))
        for before, after in chosen
    ]
    marks, at = [], 0
    for _ in range(6):
        at += draw(st.integers(1, 60))
        length = draw(st.integers(5, 50))
        marks.append((at, at + length))
        at += length
    marks += [(at + 100 * more, at + 100 * more + 45) for more in range(1, 8 * count + 8)]
    return tasks, links, marks


def spans(schedule: Schedule) -> dict[int, tuple[int, int]]:
    """The first and the last minute of each step."""
    first = {piece.task: piece.start for piece in reversed(schedule.pieces)}
    return {task: (first[task], max(p.end for p in schedule.pieces if p.task == task)) for task in first}


@given(builds())
@settings(deadline=None, max_examples=200)
def test_no_schedule_breaks_a_need_a_wait_a_place_or_the_calendar(
    build: tuple[list[Task], list[Link], list[tuple[int, int]]],
) -> None:
    tasks, links, sessions = build
    schedule = list_schedule(tasks, links, sessions)
    assert faults(schedule, tasks, links, sessions) == ()
    work, bench = Work(tasks, links), BenchTime(sessions)
    assert soonest_finish(work, bench, sessions[-1][1]) <= schedule.finish


@given(builds(), st.randoms(use_true_random=False), st.integers(0, 2))
@settings(deadline=None, max_examples=60)
def test_any_order_and_any_memory_gives_a_schedule_without_faults(
    build: tuple[list[Task], list[Link], list[tuple[int, int]]], chance: st.DataObject, keep: int
) -> None:
    tasks, links, sessions = build
    work, bench = Work(tasks, links), BenchTime(sessions)
    order = work.sorted_by([chance.random() for _ in tasks])  # type: ignore[attr-defined]
    schedule = schedule_of(work, bench, place_in_order(work, bench, order, keep=keep))
    assert faults(schedule, tasks, links, sessions) == ()


def test_hundreds_of_steps_keep_all_that_they_must() -> None:
    tasks, links = many_steps(300)
    sessions = three_a_week(250)
    assert faults(list_schedule(tasks, links, sessions), tasks, links, sessions) == ()


def test_other_work_is_done_while_a_coat_dries() -> None:
    paint, letter, wire = Task(1, 20, wait_min=60, place=7), Task(2, 20, place=7), Task(3, 50, place=8)
    schedule = list_schedule([paint, letter, wire], [], [(0, 300)])
    assert spans(schedule) == {1: (0, 20), 3: (20, 70), 2: (80, 100)}


def test_a_coat_dries_overnight_and_not_by_bench_time() -> None:
    schedule = list_schedule([Task(1, 30, wait_min=600), Task(2, 30)], [Link(1, 2)], EVENINGS)
    assert spans(schedule) == {1: (0, 30), 2: (1440, 1470)}


def test_a_step_runs_over_two_sessions_and_a_coat_does_not() -> None:
    first = Task(1, 100)
    wire, coat = Task(2, 60), Task(2, 60, splittable=False)
    assert spans(list_schedule([first, wire], [Link(1, 2)], EVENINGS))[2] == (100, 1480)
    assert spans(list_schedule([first, coat], [Link(1, 2)], EVENINGS))[2] == (1440, 1500)


def test_what_is_longer_than_any_session_is_split_all_the_same() -> None:
    assert list_schedule([Task(1, 200, splittable=False)], [], EVENINGS).finish == 1440 + 80


def test_a_step_waits_for_its_parcel() -> None:
    assert spans(list_schedule([Task(1, 10, release=1000)], [], EVENINGS))[1] == (1440, 1450)


def test_the_longer_of_the_own_wait_and_that_of_the_need_counts() -> None:
    for own, need in ((60, 20), (20, 60)):
        schedule = list_schedule([Task(1, 10, own), Task(2, 10)], [Link(1, 2, "FS", need)], ALWAYS)
        assert spans(schedule)[2] == (70, 80)


def test_a_mock_up_beside_starts_after_the_start() -> None:
    schedule = list_schedule([Task(1, 50), Task(2, 10, worker=1)], [Link(1, 2, "SS", 15)], ALWAYS)
    assert spans(schedule)[2] == (15, 25)


def test_the_finish_is_when_the_last_coat_is_dry() -> None:
    assert list_schedule([Task(1, 30, wait_min=600)], [], EVENINGS).finish == 630


def test_nothing_to_do_is_done_at_once() -> None:
    assert list_schedule([], [], EVENINGS) == Schedule((), 0)


@pytest.mark.parametrize(
    ("tasks", "links", "said"),
    [
        ([Task(1, 5), Task(2, 5)], [Link(1, 2), Link(2, 1)], "Steps 1, 2 wait for each other"),
        ([Task(1, 5), Task(1, 5)], [], "named twice"),
        ([Task(1, -5)], [], "below 0"),
        ([Task(1, 5)], [Link(1, 9)], "Nobody knows step 9"),
        ([Task(1, 5), Task(2, 5)], [Link(1, 2, "FS", -1)], "cannot follow"),
        ([Task(1, 50_000)], [], "bench time is not enough"),
        ([Task(1, 5, release=10**9)], [], "bench time is not enough"),
    ],
)
def test_what_cannot_be_planned_is_refused(tasks: list[Task], links: list[Link], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        list_schedule(tasks, links, EVENINGS)


def test_no_bench_time_at_all_is_refused() -> None:
    with pytest.raises(BadInput, match="not enough"):
        list_schedule([Task(1, 5)], [], [])


TASKS = [Task(1, 60, 600, place=7), Task(2, 60, place=7, release=1440), Task(3, 90, splittable=False), Task(4, 20)]
LINKS = [Link(1, 2), Link(3, 4, "SS", 10)]


@pytest.mark.parametrize(
    ("moved", "said"),
    [
        ({1: [(0, 50)]}, "step 1 gets 50 of 60 minutes"),
        ({1: [(100, 160)]}, "step 1 is worked on while nobody is there"),
        ({2: [(0, 60)]}, "step 2 starts before its parts are there"),
        ({2: [(0, 60)]}, "step 2 starts too soon after step 1"),
        ({4: [(2885, 2905)]}, "step 4 starts too soon after step 3"),
        ({3: [(2880, 2910), (4320, 4380)]}, "step 3 is split"),
        ({4: [(2900, 2920)]}, "step 4 starts while step 3 has the hands"),
        ({2: [(60, 120)]}, "step 2 starts while step 1 has the assembly"),
    ],
)
def test_each_fault_is_found(moved: dict[int, list[tuple[int, int]]], said: str) -> None:
    right = {1: [(0, 60)], 2: [(1440, 1500)], 3: [(2880, 2970)], 4: [(2970, 2990)]}

    def found(at: dict[int, list[tuple[int, int]]]) -> tuple[str, ...]:
        pieces = [Piece(task, start, end) for task, times in at.items() for start, end in times]
        finish = max(end + TASKS[task - 1].wait_min for task, _, end in pieces)
        return faults(Schedule(tuple(sorted(pieces, key=lambda p: p.start)), finish), TASKS, LINKS, EVENINGS)

    assert found(right) == ()
    assert said in found(right | moved)


def chart(times: dict[str, int], needs: dict[str, str]) -> tuple[dict[str, int], dict[str, int], int]:
    """Earliest starts, floats and the length of a network in which everybody has hands of his own."""
    number = {name: at for at, name in enumerate(times)}
    work = Work(
        [Task(number[name], time, worker=number[name]) for name, time in times.items()],
        [Link(number[before], number[name]) for name, befores in needs.items() for before in befores],
    )
    bench = BenchTime(ALWAYS)
    starts = earliest_starts(work, bench)
    finish = soonest_finish(work, bench, 1000)
    ends = latest_ends(work, bench, finish)
    floats = {name: ends[at] - starts[at] - times[name] for name, at in number.items()}
    return {name: starts[at] for name, at in number.items()}, floats, finish


def test_critical_path_of_a_new_product() -> None:
    # Chase, Jacobs and Aquilano, "Operations Management": 41 weeks.
    times = dict(zip("ABCDEFGHIJK", (4, 6, 3, 6, 14, 5, 2, 2, 3, 4, 2), strict=True))
    needs = {"B": "A", "C": "A", "D": "B", "E": "D", "F": "C", "G": "EF", "H": "G", "I": "G", "J": "HI", "K": "J"}
    starts, floats, finish = chart(times, needs)
    assert finish == 41
    assert list(starts.values()) == [0, 4, 4, 10, 16, 7, 30, 32, 32, 35, 39]
    assert list(floats.values()) == [0, 0, 18, 0, 0, 18, 0, 1, 0, 0, 0]


def test_critical_path_of_the_paper_mill() -> None:
    # Heizer and Render, Milwaukee Paper (from memory): 15 weeks, critical A C E G H.
    times = dict(zip("ABCDEFGH", (2, 3, 2, 4, 4, 3, 5, 2), strict=True))
    needs = {"C": "A", "D": "AB", "E": "C", "F": "C", "G": "DE", "H": "FG"}
    _, floats, finish = chart(times, needs)
    assert finish == 15
    assert {name: slack for name, slack in floats.items() if slack} == {"B": 1, "D": 1, "F": 6}


def test_waits_between_steps_round_the_clock() -> None:
    # Worked by hand: drill 3, prime 1, paint 1 (24 after prime), wire 10, fit 4 (48 after paint), test 2.
    tasks = [Task(at, time, worker=at) for at, time in enumerate((3, 1, 1, 10, 4, 2))]
    links = [Link(0, 1), Link(1, 2, "FS", 24), Link(0, 3), Link(2, 4, "FS", 48), Link(3, 4), Link(4, 5)]
    schedule = list_schedule(tasks, links, ALWAYS)
    assert schedule.finish == 83
    assert (spans(schedule)[2][0], spans(schedule)[4][0]) == (28, 77)
    one_pair = [replace(task, worker=0) for task in tasks]
    assert list_schedule(one_pair, links, ALWAYS).finish == 83


def test_start_to_start_against_finish_to_start() -> None:
    # Data of teaching slides on networks; the length with start-to-start needs worked by hand: 38, critical A D H M N.
    times = dict(zip("ABCDEFGHIJKLMN", (2, 10, 13, 12, 12, 7, 10, 16, 6, 12, 5, 8, 5, 3), strict=True))
    number = {name: at for at, name in enumerate(times)}
    finish_start = ("AC", "AD", "BE", "BF", "DG", "DH", "FI", "CJ", "EL", "IL", "KL", "HM", "GN", "JN", "LN", "MN")
    start_start = ("AB", "IK", "GJ")
    needs: list[Link] = [Link(number[pair[0]], number[pair[1]]) for pair in finish_start]
    needs += [Link(number[pair[0]], number[pair[1]], "SS") for pair in start_start]
    work = Work([Task(number[name], time, worker=number[name]) for name, time in times.items()], needs)
    bench = BenchTime(ALWAYS)
    assert soonest_finish(work, bench, 1000) == 38
    starts, ends = earliest_starts(work, bench), latest_ends(work, bench, 38)
    assert [starts[number[name]] for name in "JKLN"] == [15, 17, 23, 35]
    floats = {name: ends[at] - starts[at] - times[name] for name, at in number.items()}
    assert list(floats.values()) == [0, 4, 8, 0, 5, 4, 9, 0, 4, 8, 5, 4, 0, 0]
