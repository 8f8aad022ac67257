"""How fast steps are planned and their finish foretold: the list schedule, the solver, and ten thousand draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random
from time import process_time

from buildbook.reckon.calendar import BenchTime, Session
from buildbook.reckon.forecast import IDLE_KEPT, Draws, draw, place_draws
from buildbook.reckon.pace import Delivery, Range, Ranges
from buildbook.reckon.planning import plan
from buildbook.reckon.sessions import (
    Link,
    Sessions,
    Task,
    Work,
    in_given_order,
    list_schedule,
    place_in_order,
    schedule_of,
)
from tests.bench.race import Ground, Race

DAY_MIN = 24 * 60
WAITS_MIN = (0, 0, 0, 15, 60, 240, 720, 1440, 2880)


def many_steps(count: int, seed: int = 1) -> tuple[list[Task], list[Link]]:
    """Steps of assemblies, eight to each in a chain with some needs between assemblies; many leave something to dry."""
    chance = Random(seed)
    tasks, links = [], []
    for number in range(1, count + 1):
        assembly = (number - 1) // 8
        release = chance.choice((0, 0, 0, 0, 7, 14)) * DAY_MIN if number % 8 == 1 else 0
        one_way = chance.random() < 0.2
        minutes = chance.randrange(10, 120, 5)
        tasks.append(Task(number, minutes, chance.choice(WAITS_MIN), assembly, release, splittable=not one_way))
        if number % 8 != 1 and chance.random() < 0.8:
            links.append(Link(number - 1, number))
        elif number > 16 and chance.random() < 0.5:
            links.append(Link(chance.randrange(1, 8 * assembly + 1), number, chance.choice(("FS", "SS"))))
    return tasks, links


def three_a_week(weeks: int) -> list[Session]:
    """Tuesday and Thursday evening and Saturday, in minutes from a Monday on."""
    hours = ((1, 19 * 60 + 30, 150), (3, 19 * 60 + 30, 150), (5, 10 * 60, 360))
    return [
        Session(start, start + minutes)
        for week in range(weeks)
        for day, minute, minutes in hours
        for start in [(7 * week + day) * DAY_MIN + minute]
    ]


def unsure(tasks: Sequence[Task], seed: int = 1) -> Ranges:
    """Ranges for all of these steps, and a parcel for each step that has a release."""
    chance = Random(seed)
    hands = {t.id: Range(t.minutes * 7 // 10, t.minutes, t.minutes * chance.randrange(12, 25) // 10) for t in tasks}
    waits = {t.id: Range(t.wait_min, t.wait_min, t.wait_min * 5 // 4) for t in tasks if t.wait_min}
    parcels = [
        Delivery(t.id, Range(t.release - 2 * DAY_MIN, t.release, t.release + 9 * DAY_MIN), (t.id,))
        for t in tasks
        if t.release
    ]
    return Ranges(hands, waits, parcels)


def one_by_one(
    tasks: Sequence[Task],
    links: Sequence[Link],
    sessions: Sessions,
    ranges: Ranges,
    order: Sequence[int],
    drawn: Draws,
) -> list[int]:
    """The finish of each draw, with the plain scheduler in a loop."""
    bench, finishes = BenchTime(sessions), []
    for column in range(drawn.hands.shape[1]):
        due = {
            task: int(drawn.due[row, column]) for row, parcel in enumerate(ranges.deliveries) for task in parcel.tasks
        }
        now = [
            replace(
                task,
                minutes=int(drawn.hands[row, column]),
                wait_min=int(drawn.waits[row, column]),
                release=max(task.release, due.get(task.id, task.release)),
            )
            for row, task in enumerate(tasks)
        ]
        work = Work(now, links)
        starts = place_in_order(work, bench, in_given_order(work, order), keep=IDLE_KEPT)
        finishes.append(schedule_of(work, bench, starts).finish)
    return finishes


def many_draws(ground: Ground) -> Race:
    """Ten thousand draws of two hundred steps, all at once against one after the other."""
    count, draws = (200, 10_000) if not ground.trial and ground.scale >= 1 else (40, 200)
    tasks, links = many_steps(count)
    tasks = [replace(task, release=0) if task.release else task for task in tasks]
    sessions, ranges = three_a_week(200), unsure(many_steps(count)[0])
    order = list_schedule(tasks, links, sessions).order
    drawn = draw(tasks, ranges, draws, seed=1)
    return Race(
        f"{draws:,} forecast draws of {count} steps",
        "the plain scheduler in a loop, same draws",
        0.02,
        lambda: place_draws(tasks, links, sessions, ranges, order, drawn).tolist(),
        lambda: one_by_one(tasks, links, sessions, ranges, order, drawn),
        lambda ours, plain: ours == plain,
        process_time,
    )


def first_plan_50(ground: Ground) -> Race:
    """Fifty steps: proven best within the time limit."""
    return first_plan(ground, 50, 0)


def first_plan_200(ground: Ground) -> Race:
    """Two hundred steps: half a per cent from the bound at most."""
    return first_plan(ground, 200, 0.005)


def first_plan_500(ground: Ground) -> Race:
    """Five hundred steps: one per cent from the bound at most."""
    return first_plan(ground, 500, 0.01)


def first_plan(ground: Ground, count: int, gap: float) -> Race:
    """The quick answer, against the search for the best; they agree when that is no worse and its gap small enough."""
    full = not ground.trial and ground.scale >= 1
    tasks, links = many_steps(count if full else count // 10)
    sessions = three_a_week(10 + count)
    return Race(
        f"first plan of {count} steps (the best: within {gap:.1%} of the bound)",
        "the search for the best plan, 20 s at most",
        0.05,
        lambda: list_schedule(tasks, links, sessions),
        lambda: plan(tasks, links, sessions, time_limit_s=20 if full else 2),
        lambda quick, best: best.schedule.finish <= quick.finish and best.gap <= gap,
    )
