"""What pushes what in a plan: of each step the one that it could not begin without, and how much play it has.

Unlike the path of the network alone, this chain also knows that one pair of hands does all the work, that a parcel
comes on a day, and that nobody is there between sessions.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

from buildbook.reckon.calendar import BenchTime
from buildbook.reckon.sessions import Link, Schedule, Sessions, Task, Work, latest_ends


class Planned(NamedTuple):
    """A step of a plan: when it begins and ends, what it waits for, and whether it sets the finish.

    `pushed` says what it could not begin before: another step (or its wait), its place, its parts, the hands, or
    nothing but the beginning of the first session. `float_min` is how many minutes of bench time it may begin later
    with all finished as planned, other hands-on work set aside; 0 on the critical chain.
    """

    task: int
    start: int
    end: int
    pushed: Literal["step", "place", "parts", "hands", "start"]
    by: int | None
    float_min: int
    critical: bool


def chain(tasks: Sequence[Task], links: Iterable[Link], sessions: Sessions, schedule: Schedule) -> tuple[Planned, ...]:
    """Tell of each step of a plan what pushes it, those that set the finish marked, in the order of their beginning.

    >>> from buildbook.reckon.sessions import list_schedule
    >>> steps, day = [Task(1, 60, 600), Task(2, 30), Task(3, 20)], [(0, 120), (1440, 1560)]
    >>> plan = list_schedule(steps, [Link(1, 2)], day)
    >>> [(one.task, one.pushed, one.float_min, one.critical) for one in chain(steps, [Link(1, 2)], day, plan)]
    [(1, 'start', 0, True), (3, 'hands', 70, False), (2, 'step', 0, True)]
    """
    work, bench = Work(tasks, links), BenchTime(sessions)
    if not work.tasks:
        return ()
    placed = _Placed(work, bench, schedule)
    latest = latest_ends(work, bench, schedule.finish)
    pushed = [placed.pushed(step) for step in range(len(work.tasks))]
    critical = set[int]()
    todo = [
        step for step, task in enumerate(work.tasks) if bench.end(placed.ends[step]) + task.wait_min == schedule.finish
    ]
    while todo:
        step = todo.pop()
        if step not in critical:
            critical.add(step)
            todo += [other for _, other in (pushed[step],) if other is not None]
    found = []
    for step, task in enumerate(work.tasks):
        what, other = pushed[step]
        by = None if other is None else work.tasks[other].id
        play = 0 if step in critical else max(0, latest[step] - placed.ends[step])
        start, end = bench.start(placed.starts[step]), bench.end(placed.ends[step])
        found.append(Planned(task.id, start, end, what, by, play, step in critical))
    return tuple(sorted(found, key=lambda one: (one.start, one.task)))


class _Placed:
    """A schedule in bench minutes."""

    def __init__(self, work: Work, bench: BenchTime, schedule: Schedule) -> None:
        self.work, self.bench = work, bench
        begun = {piece.task: piece.start for piece in reversed(schedule.pieces)}
        self.starts = [bench.before(begun[task.id]) for task in work.tasks]
        self.ends = [start + hands for start, hands in zip(self.starts, work.hands, strict=True)]
        self._of_end: dict[tuple[int, int], int] = {
            (work.tasks[step].worker, end): step for step, end in enumerate(self.ends)
        }
        self._at_place: dict[int, list[int]] = {}
        for step, task in enumerate(work.tasks):
            if task.place is not None:
                self._at_place.setdefault(task.place, []).append(step)

    def pushed(self, step: int) -> tuple[Literal["step", "place", "parts", "hands", "start"], int | None]:
        """What a step could not begin before, and which step that is, if any."""
        start, task = self.starts[step], self.work.tasks[step]
        for other, kind, wait in self.work.before[step]:
            if self._over(other, kind, wait) == start and start > 0:
                return "step", other
        for other in self._before_at_place(step):
            if self.bench.over(self.ends[other], self.work.tasks[other].wait_min) == start:
                return "place", other
        if task.release and self.bench.before(task.release) == start and start > 0:
            return "parts", None
        # What must be done in one session may have had to leave the rest of the session before it.
        busy = max((end for worker, end in self._of_end if worker == task.worker and end <= start), default=0)
        return ("hands", self._of_end[task.worker, busy]) if busy else ("start", None)

    def _over(self, step: int, kind: str, wait: int) -> int:
        if kind == "FS":
            return self.bench.over(self.ends[step], wait)
        return self.bench.before(self.bench.start(self.starts[step]) + wait) if wait else self.starts[step]

    def _before_at_place(self, step: int) -> Iterator[int]:
        place = self.work.tasks[step].place
        for other in self._at_place.get(place, ()) if place is not None else ():
            if other != step and self.work.tasks[other].wait_min and self.ends[other] <= self.starts[step]:
                yield other
