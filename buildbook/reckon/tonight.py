"""What to do tonight: the next session, or the time at hand, filled so that long waits run while nobody is there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from buildbook.reckon.calendar import BenchTime, Session, too_little
from buildbook.reckon.sessions import (
    Link,
    Sessions,
    Task,
    Work,
    in_given_order,
    latest_ends,
    list_schedule,
    place_in_order,
    schedule_of,
)


class TonightStep(NamedTuple):
    """A step, or a part of one, for this session: when, and why now, in a word and in a sentence."""

    task: int
    start: int
    end: int
    why: Literal["critical", "overnight", "fits"]
    reason: str


@dataclass(frozen=True, slots=True)
class Tonight:
    """What to do in one session, in order, and when all will be finished if that is kept."""

    session: Session
    steps: tuple[TonightStep, ...]
    finish: int


def tonight(
    tasks: Sequence[Task],
    links: Sequence[Link],
    sessions: Sessions,
    *,
    now: int,
    minutes: int | None = None,
    order: Sequence[int] | None = None,
) -> Tonight:
    """Choose what to do with the `minutes` at hand from now, or else in the next session, and in which order.

    What is chosen follows the plan (the list schedule, or the `order` of a better one), so the critical chain advances.
    A wait that outlasts the session is then begun as late in it as it may be and still be over by the session by which
    it can be: it runs while nobody is there, and its assembly stays free for longer. The finish is never later for it.

    >>> steps = [Task(1, 30, wait_min=480, place=7), Task(2, 60), Task(3, 60)]
    >>> [(step.task, step.why) for step in tonight(steps, [Link(1, 3)], [(0, 90), (1440, 1560)], now=0).steps]
    [(2, 'fits'), (1, 'overnight')]
    """
    open_hours = _from_now(sessions, now, minutes)
    if not open_hours:
        raise too_little()
    work, bench = Work(tasks, links), BenchTime(open_hours)
    first, length = bench.sessions[0], bench.lengths[0]
    if not work.tasks:
        return Tonight(first, (), first.start)
    usual = in_given_order(work, list_schedule(tasks, links, bench.sessions).order if order is None else order)
    usual, starts = _not_idle(work, bench, usual)
    finish = schedule_of(work, bench, starts).finish
    chosen = sorted((step for step in usual if starts[step] < length), key=starts.__getitem__)
    rest = sorted((step for step in usual if starts[step] >= length), key=starts.__getitem__)
    late = _waits_last(work, bench, chosen, starts)
    tried = place_in_order(work, bench, [*late, *rest])
    if schedule_of(work, bench, tried).finish <= finish and {s for s in usual if tried[s] < length} == set(chosen):
        starts = tried
    finish = schedule_of(work, bench, starts).finish
    latest = latest_ends(work, bench, finish)
    done = [_why(work, bench, step, starts[step], latest[step]) for step in sorted(chosen, key=starts.__getitem__)]
    return Tonight(first, tuple(done), finish)


def _from_now(sessions: Sessions, now: int, minutes: int | None) -> list[tuple[int, int]]:
    if minutes is None:
        return [(max(start, now), end) for start, end in sessions if end > now]
    # What the calendar has beyond the minutes at hand is given up tonight, and what touches them is another session.
    over = now + minutes
    later = [(max(start, over + 1), end) for start, end in sessions if start >= over]
    return [(now, over), *later] if minutes > 0 else []


def _not_idle(work: Work, bench: BenchTime, usual: list[int]) -> tuple[list[int], list[int]]:
    """Place the steps in the usual order, unless the session would then be left idle for a step too long for it.

    Such a step comes after all that could be begun, if the finish is no later for it.
    """
    starts = place_in_order(work, bench, usual)
    length = bench.lengths[0]
    if min(starts) < length:
        return usual, starts
    too_long = [not task.splittable and work.hands[step] > length for step, task in enumerate(work.tasks)]
    order = work.sorted_by([too_long[step] * len(usual) + rank for step, rank in _ranks(usual)])
    tried = place_in_order(work, bench, order)
    sooner = schedule_of(work, bench, tried).finish <= schedule_of(work, bench, starts).finish
    return (order, tried) if sooner else (usual, starts)


def _ranks(order: Sequence[int]) -> list[tuple[int, int]]:
    """Each step with its place in the order, by step."""
    return sorted((step, rank) for rank, step in enumerate(order))


def _waits_last(work: Work, bench: BenchTime, chosen: Sequence[int], starts: Sequence[int]) -> list[int]:
    """Move the steps whose waits outlast the session as far back as they may go; the order as it was if that fails."""
    due = {step: _due(work, bench, step, starts) for step in chosen if _outlasts(work, bench, step, starts[step])}
    order = [step for step in chosen if step not in due]
    for step in sorted(due, key=lambda step: (-due[step], -work.tasks[step].wait_min, step)):
        for place in range(len(order), -1, -1):
            tried = [*order[:place], step, *order[place:]]
            if _may_follow(work, bench, tried, due):
                order = tried
                break
        else:
            return list(chosen)
    return order


def _outlasts(work: Work, bench: BenchTime, step: int, start: int) -> bool:
    end = start + work.hands[step]
    return end <= bench.lengths[0] and bench.end(end) + work.tasks[step].wait_min > bench.sessions[0].end


def _due(work: Work, bench: BenchTime, step: int, starts: Sequence[int]) -> int:
    """Tell the last minute of the session for the work, so that its wait is over by the session it can be over by."""
    wait = work.tasks[step].wait_min
    over = bench.end(starts[step] + work.hands[step]) + wait
    by = next((start for start in bench.starts if start >= over), over + bench.lengths[0])
    return min(bench.lengths[0], by - wait - bench.starts[0])


def _may_follow(work: Work, bench: BenchTime, order: Sequence[int], due: Mapping[int, int]) -> bool:
    minute, gone, taken = 0, set[int](), set[int]()
    later = set(order)
    for step in order:
        if minute >= bench.lengths[0] or any(need.other in later - gone for need in work.before[step]):
            return False
        minute += work.hands[step]
        place = work.tasks[step].place
        if minute > due.get(step, minute) or place in taken:
            return False
        gone.add(step)
        if step in due and place is not None:
            taken.add(place)
    return True


def _why(work: Work, bench: BenchTime, step: int, start: int, latest: int) -> TonightStep:
    task, end = work.tasks[step], min(start + work.hands[step], bench.lengths[0])
    spare = latest - work.hands[step] - start
    when = (task.id, bench.start(start), bench.end(end))
    must = latest - work.hands[step] < bench.lengths[0]
    if _outlasts(work, bench, step, start):
        hurry = ", and it must be begun in this session or all is finished later" if must else ""
        return TonightStep(*when, "overnight", f"Its wait of {_said(task.wait_min)} runs while nobody is there{hurry}.")
    if must:
        return TonightStep(*when, "critical", "It must be begun in this session, or all is finished later.")
    return TonightStep(*when, "fits", f"There is time for it now; what follows leaves it {_said(spare)} of bench time.")


def _said(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return " ".join([f"{hours} h"] * (hours > 0) + [f"{rest} min"] * (rest > 0 or not hours))
