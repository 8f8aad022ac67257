"""What can be done now: the state of every step of a build, and all that holds the ones that are held.

Times are whole minutes, moments are minutes since 1970-01-01 00:00 UTC, so that neither time zone nor summer time moves
them.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

READY, IN_HAND, WAITING, HELD, DONE, DROPPED = "ready", "in hand", "waiting", "held", "done", "dropped"
BEHIND = (DONE, DROPPED)
# What a step says that occupies nothing while it waits.
NOTHING = "nothing"

# What holds a step. The first five are worked out here; the others are told by the caller.
BEFORE = "before"  # a step that must be done
BEGUN = "begun"  # a step that must be begun
UNSIGNED = "unsigned"  # a hold point that is done, and whose check is not signed
NO_CHECK = "no check"  # it is the first power, and no safety check stands before it
WAIT = "wait"  # a wait after a step is not over
TAKEN = "taken"  # the place is taken by something that dries, cures, soaks, cools or charges
PARTS = "parts"  # a line is not kitted
QUESTION = "question"  # a question is open
UNREAD = "unread"  # a reading is not taken
OUT = "out"  # a reading is out of limits


class Step(NamedTuple):
    """A step: its assembly, the wait after it, and what it occupies while it waits (None: nothing)."""

    id: int
    assembly: int
    wait_low_min: int = 0
    wait_high_min: int = 0
    hold_point: bool = False
    occupies: Hashable = None


class Run(NamedTuple):
    """How far a step has got: in hand, done or dropped; when it was begun and finished, and whether it is signed."""

    state: str
    started: int | None = None
    finished: int | None = None
    signed: bool = False


class Need(NamedTuple):
    """A step that must be done (FS) or begun (SS) before another, with the least wait between in minutes."""

    step: int
    before: int
    link: str = "FS"
    wait_min: int = 0


class Reason(NamedTuple):
    """What holds a step: its kind, the number of the step (or line, question, point), and when it is over, if known."""

    kind: str
    number: int
    until: int | None = None


class Standing(NamedTuple):
    """How a step stands. `until` is when a wait may be ended, `best` when it is recommended to end it.

    A step whose wait may be ended counts as done; `best` is then still told while it lies ahead. Of a step in hand the
    reasons say what should have come before it.
    """

    state: str
    reasons: tuple[Reason, ...] = ()
    until: int | None = None
    best: int | None = None


def readiness(
    checklists: Iterable[Sequence[Step]],
    runs: Mapping[int, Run],
    needs: Mapping[int, Sequence[Need]],
    holds: Mapping[int, Sequence[Reason]],
    now: int,
) -> dict[int, Standing]:
    """How each step of a build stands.

    `needs` are those of each step, as `by_step` has them; one that names a step beyond the checklists is left aside. A
    checklist in which no step needs another is worked from the top down: a step is held by the first above it that is
    not behind, and by unsigned hold points above it.

    >>> mask, prime = Step(1, 7), Step(2, 7, wait_low_min=1440, wait_high_min=1440, occupies=7)
    >>> readiness([[mask, prime]], {}, {}, {}, now=0)[2]
    Standing(state='held', reasons=(Reason(kind='before', number=1, until=None),), until=None, best=None)
    """
    lists = [list(one) for one in checklists]
    steps = {step.id: step for one in lists for step in one}
    found = {number: behind(steps[number], run, now) for number, run in runs.items() if number in steps}
    taken = places_taken(steps, found)
    for one in lists:
        before = {
            step.id: [need for need in needs[step.id] if need.before in steps] for step in one if step.id in needs
        }
        from_above = not any(before.values())
        above: list[Reason] = []
        for step in one:
            known = found.get(step.id)
            if known is None or known.state == IN_HAND:
                held = list(above)
                for need in before.get(step.id, ()):
                    held += unmet(need, steps, runs, found, now)
                if taken:
                    named = {(reason.number, reason.until) for reason in held}
                    held += [one for one in in_the_way(step, taken) if (one.number, one.until) not in named]
                met = {one.number for one in held if one.kind in (BEFORE, UNSIGNED)}
                held += [one for one in holds.get(step.id, ()) if one.kind != UNSIGNED or one.number not in met]
                state = IN_HAND if known else HELD if held else READY
                known = found[step.id] = Standing(state, tuple(held))
            # Below a step that is not begun, another one adds nothing.
            if from_above and (step.id in runs or not above or above[-1].kind != BEFORE):
                above += passed_on(step, runs.get(step.id), known, above)
    return found


def by_step(needs: Iterable[Need]) -> dict[int, list[Need]]:
    """What each step needs before it."""
    found: dict[int, list[Need]] = {}
    for need in needs:
        found.setdefault(need.step, []).append(need)
    return found


def behind(step: Step, run: Run, now: int) -> Standing:
    """How a step stands that was begun, as far as it tells by itself.

    A moment that lies ahead, since the clock was set back, counts as now: a wait is never longer than it was to be.
    """
    if run.state != DONE or run.finished is None or not step.wait_high_min:
        return Standing(run.state)
    finished = min(run.finished, now)
    until, best = finished + step.wait_low_min, finished + step.wait_high_min
    if now < until:
        return Standing(WAITING, (), until, best)
    return Standing(DONE, (), None, best if now < best else None)


def places_taken(steps: Mapping[int, Step], found: Mapping[int, Standing]) -> dict[Hashable, list[Reason]]:
    """The places that are taken by what waits, with what it is and until when."""
    taken: dict[Hashable, list[Reason]] = {}
    for number, standing in found.items():
        place = steps[number].occupies
        if standing.state == WAITING and place is not None:
            taken.setdefault(place, []).append(Reason(TAKEN, number, standing.until))
    return taken


def in_the_way(step: Step, taken: Mapping[Hashable, Sequence[Reason]]) -> Iterator[Reason]:
    """What takes the assembly of a step, or the place that its own wait would need."""
    yield from taken.get(step.assembly, ())
    if step.occupies != step.assembly:
        yield from taken.get(step.occupies, ())


def unmet(
    need: Need, steps: Mapping[int, Step], runs: Mapping[int, Run], found: Mapping[int, Standing], now: int
) -> list[Reason]:
    """Why a step may not follow another yet; nothing when it may."""
    run = runs.get(need.before)
    if need.link == "SS":
        if run is None:
            return [Reason(BEGUN, need.before)]
        until = 0 if run.started is None else min(run.started, now) + need.wait_min
        return [Reason(WAIT, need.before, until)] if now < until else []
    if run is None or run.state not in BEHIND:
        return [Reason(BEFORE, need.before)]
    if run.state == DROPPED:
        return []
    held = [Reason(UNSIGNED, need.before)] if steps[need.before].hold_point and not run.signed else []
    until = found[need.before].until or 0
    if run.finished is not None:
        until = max(until, min(run.finished, now) + need.wait_min)
    return [*held, Reason(WAIT, need.before, until)] if now < until else held


def passed_on(step: Step, run: Run | None, standing: Standing, above: Sequence[Reason]) -> Iterator[Reason]:
    """What a step adds to what holds those below it in a checklist that is worked from the top down."""
    if run is None or run.state not in BEHIND:
        if all(reason.kind != BEFORE for reason in above):
            yield Reason(BEFORE, step.id)
        return
    if run.state == DONE and step.hold_point and not run.signed:
        yield Reason(UNSIGNED, step.id)
    if standing.state == WAITING:
        yield Reason(WAIT, step.id, standing.until)
