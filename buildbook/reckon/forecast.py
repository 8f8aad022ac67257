"""When it will be finished: not a date but its chances, what drives them, and what would bring it nearer.

Each time is drawn many times between its low and its high (PERT-beta, Malcolm, Roseboom, Clark and Fazar, "Application
of a technique for research and development program evaluation", 1959, with the likely time counted four times). All
draws go through the list scheduler at once, in the order of the likely plan; a builder who finds a step held up takes
the next one, so idle stretches are filled by later steps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

from buildbook.errors import BadInput
from buildbook.reckon.calendar import BenchTime, too_little
from buildbook.reckon.pace import LAMBDA, Range, Ranges
from buildbook.reckon.sessions import Link, Sessions, Task, Work, list_schedule

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints: TypeAlias = NDArray[np.int64]

IDLE_KEPT = 3
"""How many idle stretches of a pair of hands are remembered, the longest ones, when draws are placed."""

_NEVER = 1 << 40
_BITS = 32
_FEWER = 2_000
_What: TypeAlias = Literal["hands", "wait", "delivery"]
_SEEDS: Mapping[_What, int] = MappingProxyType({"hands": 1, "wait": 2, "delivery": 3})


class Driver(NamedTuple):
    """What drives the finish: by how many minutes it would come sooner, on average, if this one took its low."""

    what: _What
    id: int
    gain_min: int


@dataclass(frozen=True, slots=True)
class Forecast:
    """The finish: `likely` in half of the draws or sooner (P50), `safe` in nine of ten (P90), as instants.

    `chance` is that of the target, 0 to 1, None without one. `percentiles` are P0 to P100, for a curve of chances.
    """

    likely: int
    safe: int
    chance: float | None
    percentiles: tuple[int, ...]
    drivers: tuple[Driver, ...]


class Gain(NamedTuple):
    """How many minutes sooner the likely (P50) and the safe finish (P90) come; below 0 if later."""

    likely_min: int
    safe_min: int


@dataclass(frozen=True, slots=True)
class Draws:
    """Drawn minutes of each step in a row, and the drawn instant of each delivery; a column is a draw."""

    hands: Ints
    waits: Ints
    due: Ints


def forecast(
    tasks: Sequence[Task],
    links: Sequence[Link],
    sessions: Sessions,
    ranges: Ranges,
    *,
    target: int | None = None,
    order: Sequence[int] | None = None,
    draws: int = 10_000,
    seed: int = 1,
    most_drivers: int = 8,
) -> Forecast:
    """Foretell the finish from so many draws; the steps are taken in the `order` given, else as the list schedule does.

    What drives it is found in two rounds: those that go together with the finish most (correlation over all draws),
    then each of them at its low, all else as drawn. Raises BadInput where the bench time is not enough for every draw.

    >>> alone = forecast([Task(1, 60)], [], [(0, 600)], Ranges({1: Range(60, 60, 60)}), target=60, draws=10)
    >>> alone.likely, alone.safe, alone.chance, alone.drivers
    (60, 60, 1.0, ())
    """
    import numpy as np

    work = Work(tasks, links)
    if not tasks or draws < 1:
        raise BadInput("The finish was not foretold.", "There is nothing to do." if draws > 0 else "Nothing is drawn.")
    rows = _Rows(work, links, BenchTime(sessions), ranges, _likely_order(work, links, sessions, ranges, order))
    drawn = draw(tasks, ranges, draws, seed)
    finish = rows.finish(drawn)
    percentiles = tuple(int(at) for at in np.quantile(finish, np.linspace(0, 1, 101), method="inverted_cdf"))
    chance = None if target is None else float(np.mean(finish <= target))
    drivers = _drivers(rows, drawn, finish, most_drivers)
    return Forecast(percentiles[50], percentiles[90], chance, percentiles, drivers)


def gain(
    tasks: Sequence[Task],
    links: Sequence[Link],
    sessions: Sessions,
    ranges: Ranges,
    *,
    shelve: Iterable[int] = (),
    sooner: Mapping[int, int] = MappingProxyType({}),
    draws: int = 2_000,
    seed: int = 1,
) -> Gain:
    """Tell what it would gain to shelve these steps, or to have these deliveries by the instants given at the latest.

    What was before a shelved step is then before what was after it. All else is drawn alike on both sides.

    >>> gain([Task(1, 60), Task(2, 30)], [Link(1, 2)], [(0, 600)], Ranges(), shelve=[1], draws=5)
    Gain(likely_min=60, safe_min=60)
    """
    open_hours = BenchTime(sessions).sessions
    now = forecast(tasks, links, open_hours, ranges, draws=draws, seed=seed, most_drivers=0)
    less, less_links = without(tasks, links, shelve)
    hurried = [
        parcel._replace(when=Range(*(min(when, sooner.get(parcel.id, when)) for when in parcel.when)))
        for parcel in ranges.deliveries
    ]
    then_ranges = replace(ranges, deliveries=hurried)
    if not less:
        start = open_hours[0].start
        return Gain(now.likely - start, now.safe - start)
    then = forecast(less, less_links, open_hours, then_ranges, draws=draws, seed=seed, most_drivers=0)
    return Gain(now.likely - then.likely, now.safe - then.safe)


def without(
    tasks: Sequence[Task], links: Sequence[Link], shelved: Iterable[int]
) -> tuple[tuple[Task, ...], tuple[Link, ...]]:
    """Leave steps out; what was before such a step is then before what was after it.

    >>> without([Task(1, 5), Task(2, 5), Task(3, 5)], [Link(1, 2, wait_min=9), Link(2, 3)], [2])[1]
    (Link(before=1, after=3, kind='FS', wait_min=9),)
    """
    gone = set(shelved)
    left = list(dict.fromkeys(links))
    for step in gone:
        before = [link for link in left if link.after == step]
        after = [link.after for link in left if link.before == step]
        left = [link for link in left if step not in (link.before, link.after)]
        left += [link._replace(after=other) for link in before for other in after]
    return tuple(task for task in tasks if task.id not in gone), tuple(dict.fromkeys(left))


def draw(tasks: Sequence[Task], ranges: Ranges, draws: int, seed: int) -> Draws:
    """Draw all times. Each has randomness of its own by its number, so that other steps change nothing about it."""
    import numpy as np

    hands = [_beta("hands", t.id, ranges.hands.get(t.id) or Range(*[t.minutes] * 3), draws, seed) for t in tasks]
    waits = [_beta("wait", t.id, ranges.waits.get(t.id) or Range(*[t.wait_min] * 3), draws, seed) for t in tasks]
    due = [_beta("delivery", parcel.id, parcel.when, draws, seed) for parcel in ranges.deliveries]
    return Draws(
        np.maximum(1, np.array(hands, np.int64).reshape(-1, draws)),
        np.array(waits, np.int64).reshape(-1, draws),
        np.array(due, np.int64).reshape(-1, draws),
    )


def place_draws(
    tasks: Sequence[Task],
    links: Sequence[Link],
    sessions: Sessions,
    ranges: Ranges,
    order: Sequence[int],
    drawn: Draws,
) -> Ints:
    """Tell the finish of each draw, the steps placed in this order: as `place_in_order` would, one draw at a time."""
    work = Work(tasks, links)
    places = work.sorted_by([{task: at for at, task in enumerate(order)}[task.id] for task in tasks])
    return _Rows(work, links, BenchTime(sessions), ranges, places).finish(drawn)


def _beta(what: _What, number: int, estimate: Range, draws: int, seed: int) -> Ints:
    import numpy as np

    low, likely, high = estimate
    if low == high:
        return np.full(draws, low, np.int64)
    chance = np.random.default_rng((seed, _SEEDS[what], number))
    first = 1 + LAMBDA * (likely - low) / (high - low)
    share = chance.beta(first, LAMBDA + 2 - first, draws)
    return np.rint(low + share * (high - low)).astype(np.int64)


def _likely_order(
    work: Work, links: Sequence[Link], sessions: Sessions, ranges: Ranges, order: Sequence[int] | None
) -> list[int]:
    if order is None:
        due = {task: parcel.when.likely for parcel in ranges.deliveries for task in parcel.tasks}
        likely = [
            replace(
                task,
                minutes=ranges.hands[task.id].likely if task.id in ranges.hands else task.minutes,
                wait_min=ranges.waits[task.id].likely if task.id in ranges.waits else task.wait_min,
                release=max(task.release, due.get(task.id, task.release)),
            )
            for task in work.tasks
        ]
        order = list_schedule(likely, links, sessions).order
    rank = {task: position for position, task in enumerate(order)}
    return work.sorted_by([rank.get(task.id, len(rank)) for task in work.tasks])


def _drivers(rows: _Rows, drawn: Draws, finish: Ints, most: int) -> tuple[Driver, ...]:
    import numpy as np

    if not most:
        return ()
    about = finish - finish.mean()
    found: list[tuple[float, _What, int]] = []
    sides: tuple[tuple[_What, Ints], ...] = (("hands", drawn.hands), ("wait", drawn.waits), ("delivery", drawn.due))
    for what, times in sides:
        spread = times.std(axis=1) if len(times) else np.zeros(0)
        for row in np.flatnonzero(spread):
            together = float(about @ (times[row] - times[row].mean())) / float(spread[row])
            found.append((-abs(together), what, int(row)))
    few = Draws(drawn.hands[:, :_FEWER], drawn.waits[:, :_FEWER], drawn.due[:, :_FEWER])
    usual = float(rows.finish(few).mean())
    drivers = []
    for _, what, at in sorted(found)[: 2 * most]:
        sooner = usual - float(rows.finish(rows.at_low(few, what, at)).mean())
        if round(sooner) > 0:
            drivers.append(Driver(what, rows.number(what, at), round(sooner)))
    return tuple(sorted(drivers, key=lambda driver: (-driver.gain_min, driver.what, driver.id))[:most])


class _Rows:
    """The steps in an order, ready to place many draws at once: a row is a step, a column a draw."""

    def __init__(
        self, work: Work, links: Iterable[Link], bench: BenchTime, ranges: Ranges, order: Sequence[int]
    ) -> None:
        import numpy as np

        if not bench.starts:
            raise too_little()
        self._work, self._ranges, self._order, self._bench = work, ranges, order, bench
        self._begins, self._lengths = np.array(bench.starts), np.array(bench.lengths)
        self._longest = max(bench.lengths)
        self._offsets, self._total = np.array(bench.offsets), bench.total
        # For every bench minute, up to the end of the last: where the next session begins, and the instants at which
        # what starts there starts and what ends there ends.
        own = np.repeat(np.arange(len(bench.starts)), bench.lengths)
        self._next = self._offsets[np.append(own, own[-1]) + 1]
        shift = self._begins - self._offsets[:-1]
        minutes = np.arange(bench.total + 1)
        self._start = minutes + shift[np.append(own, own[-1])]
        self._end = minutes + shift[np.append(own[0], own)]
        self._needs: list[list[Link]] = [[] for _ in work.tasks]
        for link in links:
            self._needs[work.at[link.after]].append(link)
        self._parcels: list[list[int]] = [[] for _ in work.tasks]
        for row, parcel in enumerate(ranges.deliveries):
            for task in parcel.tasks:
                if task in work.at:
                    self._parcels[work.at[task]].append(row)

    def number(self, what: _What, row: int) -> int:
        """The number of a step or of a delivery."""
        return self._ranges.deliveries[row].id if what == "delivery" else self._work.tasks[row].id

    def at_low(self, drawn: Draws, what: _What, row: int) -> Draws:
        """The same draws, but one time is its low in all of them."""
        number = self.number(what, row)
        if what == "hands":
            hands = drawn.hands.copy()
            hands[row] = max(1, self._ranges.hands[number].low)
            return replace(drawn, hands=hands)
        if what == "wait":
            waits = drawn.waits.copy()
            waits[row] = self._ranges.waits[number].low
            return replace(drawn, waits=waits)
        due = drawn.due.copy()
        due[row] = self._ranges.deliveries[row].when.low
        return replace(drawn, due=due)

    def finish(self, drawn: Draws) -> Ints:
        """Place all draws and tell the finish of each."""
        import numpy as np

        starts, ends = np.zeros_like(drawn.hands), np.zeros_like(drawn.hands)
        finish = np.zeros(drawn.hands.shape[1], np.int64)
        free: dict[int, Ints] = {}
        hands = {task.worker: _ManyHands(drawn.hands.shape[1]) for task in self._work.tasks}
        for step in self._order:
            task, minutes, wait = self._work.tasks[step], drawn.hands[step], drawn.waits[step]
            ready = self._ready(step, drawn, starts, ends)
            if task.place in free:
                ready = np.maximum(ready, free[task.place])
            starts[step] = start = hands[task.worker].take(ready, minutes, None if task.splittable else self._in_one)
            ends[step] = end = start + minutes
            if (end > self._total).any():
                raise too_little()
            finish = np.maximum(finish, self._end[end] + wait)
            if task.place is not None:
                free[task.place] = self._over(end, wait)
        return finish

    def _ready(self, step: int, drawn: Draws, starts: Ints, ends: Ints) -> Ints:
        import numpy as np

        ready = np.full(drawn.hands.shape[1], self._bench.before(self._work.tasks[step].release))
        for row in self._parcels[step]:
            ready = np.maximum(ready, self._before(drawn.due[row]))
        for before, _, kind, least in self._needs[step]:
            other = self._work.at[before]
            if kind == "FS":
                over = self._over(ends[other], np.maximum(drawn.waits[other], least))
            else:
                over = self._before(self._start[starts[other]] + least) if least else starts[other]
            ready = np.maximum(ready, over)
        return ready

    def _over(self, ends: Ints, wait: Ints) -> Ints:
        import numpy as np

        if not wait.any():
            return ends
        over: Ints = np.where(wait > 0, self._before(self._end[ends] + wait), ends)
        return over

    def _before(self, instants: Ints) -> Ints:
        """Count the bench minutes before instants."""
        import numpy as np

        at = np.maximum(self._begins.searchsorted(instants, side="right") - 1, 0)
        since = np.minimum(instants - self._begins[at], self._lengths[at])
        before: Ints = self._offsets[at] + np.maximum(since, 0)
        return before

    def _in_one(self, start: Ints, minutes: Ints) -> Ints:
        """Move starts on until the work ends in the session in which it starts, where it fits into any."""
        while True:
            cut = (minutes <= self._longest) & (start < self._total)
            cut &= start + minutes > self._next[start]
            if not cut.any():
                return start
            start[cut] = self._next[start[cut]]


class _ManyHands:
    """The idle stretches of one pair of hands in many draws; the first row is the one without an end."""

    def __init__(self, draws: int) -> None:
        import numpy as np

        self._since = np.zeros((1 + IDLE_KEPT, draws), np.int64)
        self._until = np.zeros((1 + IDLE_KEPT, draws), np.int64)
        self._until[0] = _NEVER
        self._each = np.arange(draws)

    def take(self, ready: Ints, minutes: Ints, in_one: Callable[[Ints, Ints], Ints] | None) -> Ints:
        """Take the first stretch from `ready` on that is long enough, within one session if `in_one` tells how."""
        import numpy as np

        rows = slice(None) if (self._until[1:] > ready).any() else slice(1)
        start = np.maximum(self._since[rows], ready)
        if in_one:
            start = in_one(start, minutes)
        start = np.where(start + minutes <= self._until[rows], start, _NEVER)
        row = start.argmin(axis=0)
        taken: Ints = start[row, self._each]
        idle = self._since[row, self._each]
        self._since[row, self._each] = taken + minutes
        longer = np.flatnonzero(taken > idle)
        if len(longer):
            self._remember(longer, idle[longer], taken[longer])
        return taken

    def _remember(self, draws: Ints, since: Ints, until: Ints) -> None:
        """Keep a stretch in the place of the shortest kept, the earliest of those, where it is longer."""
        kept_since, kept_until = self._since[1:], self._until[1:]
        lengths = kept_until[:, draws] - kept_since[:, draws]
        row = ((lengths << _BITS) + kept_since[:, draws]).argmin(axis=0)
        longer = until - since > lengths.min(axis=0)
        at = (row[longer], draws[longer])
        kept_since[at] = since[longer]
        kept_until[at] = until[longer]
