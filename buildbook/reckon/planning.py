"""The best plan that can be found, and how far it can be from the best there is.

The model lives on bench minutes, the sessions laid end to end, so that hands-on work has a fixed length. A wait runs by
the true clock; the bench minute at which it is over is a piecewise linear function of the one at which it begins, and
that is told to the solver exactly. Solved with CP-SAT, starting from the list schedule, which it never makes worse.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Event, Thread
from typing import TYPE_CHECKING, Any

from buildbook.reckon.calendar import BenchTime, Straight, over_pieces
from buildbook.reckon.sessions import (
    Link,
    Schedule,
    Sessions,
    Task,
    Work,
    earliest_starts,
    latest_ends,
    list_schedule,
    place_in_order,
    schedule_of,
    soonest_finish,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ortools.sat.python.cp_model import CpModel, IntVar, LinearExprT

OnBetter = Callable[[Schedule], None]
_STOP_ASKED_EVERY_S = 0.05


@dataclass(frozen=True, slots=True)
class Plan:
    """A schedule, the instant before which nobody could finish, and whether both are the same.

    `gap` is how much of the time from the first session to the finish might be saved at most: 0.01 is 1 %.
    """

    schedule: Schedule
    bound: int
    proven: bool
    gap: float


def plan(
    tasks: Sequence[Task],
    links: Sequence[Link],
    sessions: Sessions,
    *,
    time_limit_s: float = 20,
    solvers: int = 4,
    stop: Callable[[], bool] | None = None,
    on_better: OnBetter | None = None,
) -> Plan:
    """Plan the steps as well as can be done within the time limit, with so many solvers at once.

    `on_better` is called with the list schedule at once, then with each better one, from another thread; `stop` is
    asked many times a second, and ends the search when it says so. Raises BadInput as `list_schedule` does.

    >>> best = plan([Task(1, 30), Task(2, 30, wait_min=200)], [], [(0, 60)])
    >>> best.schedule.order, best.schedule.finish, best.proven
    ((2, 1), 230, True)
    """
    work, bench = Work(tasks, links), BenchTime(sessions)
    first = list_schedule(tasks, links, bench.sessions)
    if on_better:
        on_better(first)
    if not tasks:
        return Plan(first, first.finish, proven=True, gap=0)
    bound = soonest_finish(work, bench, first.finish)
    if bound < first.finish and time_limit_s > 0:
        # No work can lie behind the finish of the first answer, so no session behind it is told to the solver.
        in_time = BenchTime((start, min(end, first.finish)) for start, end in bench.sessions if start < first.finish)
        search = _Search(work, in_time, first, bound)
        bound = max(bound, search.run(time_limit_s, solvers, stop, on_better))
        first = search.best
    gap = max(0, first.finish - bound) / max(1, first.finish - bench.starts[0])
    return Plan(first, min(bound, first.finish), proven=bound >= first.finish, gap=gap)


class _Search:
    """One search: the model, the best schedule so far, and the bound."""

    def __init__(self, work: Work, bench: BenchTime, first: Schedule, bound: int) -> None:
        from ortools.sat.python import cp_model

        self._cp = cp_model
        self._work, self._bench, self.best = work, bench, first
        self._model: CpModel = cp_model.CpModel()
        begun = {piece.task: piece.start for piece in reversed(first.pieces)}
        self._hint = [bench.before(begun[task.id]) for task in work.tasks]
        self._earliest = earliest_starts(work, bench)
        self._latest = latest_ends(work, bench, first.finish)
        self._starts = [self._start(step) for step in range(len(work.tasks))]
        self._add_hands()
        self._add_needs()
        self._add_places()
        self._add_finish(bound)

    def run(
        self, time_limit_s: float, solvers: int, stop: Callable[[], bool] | None, on_better: OnBetter | None
    ) -> int:
        """Search, and return the bound that was proven."""
        search = self

        class Found(self._cp.CpSolverSolutionCallback):  # type: ignore[misc, name-defined]
            def on_solution_callback(self) -> None:
                search._keep([self.value(start) for start in search._starts], on_better)

        solver = self._cp.CpSolver()
        solver.parameters.max_time_in_seconds = time_limit_s
        solver.parameters.num_workers = solvers
        solver.parameters.random_seed = 1
        # Trying out each choice beforehand took longer than the search itself, and found next to nothing.
        solver.parameters.cp_model_probing_level = 0
        with halted_when(stop, solver.stop_search):
            status = solver.solve(self._model, Found())
        if status == self._cp.UNKNOWN:
            return 0
        return round(solver.best_objective_bound)

    def _keep(self, starts: Sequence[int], on_better: OnBetter | None) -> None:
        """Keep a better schedule, with all moved together as far as the order allows."""
        order = self._work.sorted_by(starts)
        better = schedule_of(self._work, self._bench, place_in_order(self._work, self._bench, order))
        if better.finish < self.best.finish:
            self.best = better
            if on_better:
                on_better(better)

    def _start(self, step: int) -> IntVar:
        task, hands, bench = self._work.tasks[step], self._work.hands[step], self._bench
        low, high = self._earliest[step], self._latest[step] - hands
        spans = [(low, high)]
        if not task.splittable and hands <= max(bench.lengths):
            spans = [
                (max(low, offset), min(high, offset + length - hands))
                for offset, length in zip(bench.offsets, bench.lengths, strict=False)
                if max(low, offset) <= min(high, offset + length - hands)
            ]
        domain = self._cp.Domain.from_intervals(spans)
        start = self._model.new_int_var_from_domain(domain, f"start of {task.id}")
        self._model.add_hint(start, self._hint[step])
        return start

    def _add_hands(self) -> None:
        of_worker: dict[int, list[Any]] = {}
        for step, task in enumerate(self._work.tasks):
            span = self._model.new_fixed_size_interval_var(self._starts[step], self._work.hands[step], f"{task.id}")
            of_worker.setdefault(task.worker, []).append(span)
        for spans in of_worker.values():
            self._model.add_no_overlap(spans)

    def _add_needs(self) -> None:
        self._over: dict[tuple[int, str, int], LinearExprT] = {}
        for after, needs in enumerate(self._work.before):
            for before, kind, wait in needs:
                self._model.add(self._starts[after] >= self._when_over(before, kind, wait))

    def _when_over(self, step: int, kind: str, wait: int) -> LinearExprT:
        """The bench minute at which a wait is over that runs from the end of a step (FS) or its start (SS)."""
        known = (step, kind, wait)
        if known not in self._over:
            more = self._work.hands[step] if kind == "FS" else 0
            since = self._starts[step] + more
            self._over[known] = self._waited(step, more, wait, since) if wait else since
        return self._over[known]

    def _waited(self, step: int, more: int, wait: int, since: LinearExprT) -> IntVar:
        low, high = self._earliest[step] + more, self._latest[step] - self._work.hands[step] + more
        pieces = over_pieces(self._bench, low, high, wait, after_end=more > 0)
        reached = [piece.by + (0 if piece.flat else piece.since) for piece in pieces]
        highest = pieces[-1].by + (0 if pieces[-1].flat else pieces[-1].until)
        over = self._model.new_int_var(min(reached), highest, f"over {step} {wait}")
        hint = self._hint[step] + more
        for piece, chosen in self._one_of(pieces, since, hint):
            to = piece.by + (0 if piece.flat else since)
            self._model.add(over == to).only_enforce_if(chosen)
            if piece.since <= hint <= piece.until:
                self._model.add_hint(over, piece.by + (0 if piece.flat else hint))
        return over

    def _one_of(self, pieces: Sequence[Straight], minute: LinearExprT, hint: int) -> Iterator[tuple[Straight, IntVar]]:
        """A choice for each piece, exactly one of which is true: that in which the minute lies."""
        choices = []
        for piece in pieces:
            chosen = self._model.new_bool_var("")
            self._model.add_linear_constraint(minute, piece.since, piece.until).only_enforce_if(chosen)
            self._model.add_hint(chosen, piece.since <= hint <= piece.until)
            choices.append(chosen)
        self._model.add_exactly_one(choices)
        return zip(pieces, choices, strict=True)

    def _add_places(self) -> None:
        at_place: dict[int, list[int]] = {}
        for step, task in enumerate(self._work.tasks):
            if task.place is not None:
                at_place.setdefault(task.place, []).append(step)
        for place, steps in at_place.items():
            workers = {self._work.tasks[step].worker for step in steps}
            if len(steps) == 1 or (len(workers) == 1 and not any(self._work.tasks[step].wait_min for step in steps)):
                continue
            spans = []
            for step in steps:
                over = self._when_over(step, "FS", self._work.tasks[step].wait_min)
                size = self._model.new_int_var(0, self._bench.total, "")
                end = self._hint[step] + self._work.hands[step]
                self._model.add_hint(size, self._bench.over(end, self._work.tasks[step].wait_min) - self._hint[step])
                span = self._model.new_interval_var(self._starts[step], size, over, f"{step} at {place}")
                spans.append(span)
            self._model.add_no_overlap(spans)

    def _add_finish(self, bound: int) -> None:
        """The finish by the true clock: of the last work, and of each wait that nothing waits for."""
        bench, work = self._bench, self._work
        finish = self._model.new_int_var(bound, self.best.finish, "finish")
        self._model.add_hint(finish, self.best.finish)
        last = self._model.new_int_var(1, bench.total, "last")
        hint = max(start + hands for start, hands in zip(self._hint, work.hands, strict=True))
        self._model.add_hint(last, hint)
        for start, hands in zip(self._starts, work.hands, strict=True):
            self._model.add(last >= start + hands)
        self._finish_after(finish, last, (1, bench.total), 0, hint)
        for step, task in enumerate(work.tasks):
            if task.wait_min and not any(need.kind == "FS" for need in work.after[step]):
                hands = work.hands[step]
                low, high = self._earliest[step] + hands, self._latest[step]
                self._finish_after(
                    finish, self._starts[step] + hands, (low, high), task.wait_min, self._hint[step] + hands
                )
        self._model.minimize(finish)

    def _finish_after(self, finish: IntVar, end: LinearExprT, span: tuple[int, int], wait: int, hint: int) -> None:
        pieces = []
        for offset, length, start in zip(self._bench.offsets, self._bench.lengths, self._bench.starts, strict=False):
            low, high = max(span[0], offset + 1), min(span[1], offset + length)
            if low <= high:
                pieces.append(Straight(low, high, start - offset + wait, flat=False))
        for piece, chosen in self._one_of(pieces, end, hint):
            self._model.add(finish >= end + piece.by).only_enforce_if(chosen)


@contextmanager
def halted_when(stop: Callable[[], bool] | None, halt: Callable[[], None]) -> Iterator[None]:
    """Ask `stop` again and again from another thread while the search runs, and halt the search when it says so."""
    over = Event()

    def ask() -> None:
        while stop and not over.wait(_STOP_ASKED_EVERY_S):
            if stop():
                halt()
                return

    asking = Thread(target=ask, daemon=True)
    asking.start()
    try:
        yield
    finally:
        over.set()
        asking.join()
