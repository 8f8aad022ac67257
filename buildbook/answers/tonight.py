"""What to do tonight: the next session, or the time at hand, filled step by step, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.bench_time import session_said
from buildbook.answers.form import Answer, count_of
from buildbook.answers.parcels import parcel_said
from buildbook.answers.plan import Left, builds_meant, in_priority, said_of, what_is_left
from buildbook.answers.until import clock_time
from buildbook.errors import BadInput
from buildbook.reckon.calendar import DAY_MIN, Session
from buildbook.reckon.sessions import Task
from buildbook.reckon.tonight import Tonight as Chosen
from buildbook.reckon.tonight import TonightStep
from buildbook.reckon.tonight import tonight as choose
from buildbook.trade.moments import moment_of
from buildbook.trade.units import show_minutes

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

LONGEST_SEARCH_S = 600


class TonightRow(NamedTuple):
    """A step of the session: when, and why now (`why` is critical, overnight or fits; `reason` says it in words).

    `minutes` are those of this session; `part` says that the step goes on in another. `first` is what must be done
    before it at once, such as to kit its section.
    """

    build: str
    step: int
    place: str
    name: str
    state: str
    start: str
    end: str
    minutes: int
    part: bool
    wait_min: int
    why: str
    reason: str
    first: str
    one_way: bool
    caution: str


class NotTonightRow(NamedTuple):
    """A step that could be done but for something that is not there: what that is, and what would release it."""

    build: str
    step: int
    place: str
    name: str
    what: str
    release: str


@dataclass(frozen=True, slots=True)
class Tonight(Answer):
    """What to do in one session, in order. `gap` is how far the plan behind it can be from the best, None if unknown.

    `finish` is when all would be done if each step took what is likely; what nobody knows is left aside in it.
    """

    SCHEMA: ClassVar[str] = "buildbook.tonight/1"
    start: str
    end: str
    rows: tuple[TonightRow, ...]
    not_tonight: tuple[NotTonightRow, ...]
    assumed: tuple[str, ...]
    finish: str
    gap: float | None


def tonight(shop: Workshop, build: str | None = None, *, minutes: int | None = None, improve_s: float = 0) -> Tonight:
    """What to do in the next session, or with the minutes at hand from now on, for a build or for all that count.

    The quick plan answers at once; with `improve_s` seconds a better one is searched for, each build by itself. Raises
    BadInput for no time at hand or more than a day, and for an unknown build.
    """
    if minutes is not None and not 0 < minutes <= DAY_MIN:
        raise BadInput("The session was not planned.", "It can last 1 minute to 24 hours.", "Give the time at hand.")
    if not 0 <= improve_s <= LONGEST_SEARCH_S:
        raise BadInput("No better plan was searched.", f"That takes 0 to {LONGEST_SEARCH_S} seconds.", "Give fewer.")
    builds, aside = builds_meant(shop, build)
    left = what_is_left(shop, builds)
    session = left.sessions[0] if minutes is None else Session(left.now, left.now + minutes)
    if not left.tasks:
        said = "Nothing is left to do." if builds else "No build is planned or under way."
        return Tonight(said, moment_of(session.start), moment_of(session.end), (), (), said_of(left), "", None)
    # What nobody knows the end of is not there tonight, and thought to be there from the next session on.
    tasks = left.at_delivery(unknown_from=session.end)
    order, gap = (in_priority(left, tasks, left.sessions), None) if not improve_s else _improved(left, tasks, improve_s)
    chosen = choose(tasks, left.links, left.sessions, now=left.now, minutes=minutes, order=order)
    rows = tuple(_row(left, one) for one in chosen.steps)
    lacking = tuple(_not_tonight(left, chosen))
    return Tonight(
        _sentence(left, chosen, lacking),
        moment_of(chosen.session.start),
        moment_of(chosen.session.end),
        rows,
        lacking,
        (*said_of(left), *aside),
        moment_of(chosen.finish),
        gap,
    )


def _improved(left: Left, tasks: Sequence[Task], seconds: float) -> tuple[list[int], float]:
    """The order of the best plan found in so many seconds, shared out among the builds, and the largest gap."""
    from buildbook.reckon.planning import plan

    order: list[int] = []
    gaps = [0.0]
    for build in left.builds:
        own = left.of_build(build.code)
        some = [task for task in tasks if task.id in own]
        links = [link for link in left.links if link.after in own]
        best = plan(some, links, left.sessions, time_limit_s=seconds / len(left.builds))
        order += best.schedule.order
        gaps.append(best.gap)
    return order, max(gaps)


def _row(left: Left, one: TonightStep) -> TonightRow:
    todo = left.todo[one.task]
    minutes = one.end - one.start
    return TonightRow(
        build=todo.build,
        step=todo.step,
        place=todo.place,
        name=todo.name,
        state=todo.state,
        start=moment_of(one.start),
        end=moment_of(one.end),
        minutes=minutes,
        part=minutes < todo.hands.likely,
        wait_min=todo.wait_low_min,
        why=one.why,
        reason=one.reason,
        first=todo.first,
        one_way=todo.one_way,
        caution=todo.caution,
    )


def _not_tonight(left: Left, chosen: Chosen) -> list[NotTonightRow]:
    """The steps that nothing else holds after what is done tonight but what is not known, or comes only later."""
    begun = {one.task for one in chosen.steps}
    after = {link.after for link in left.links if link.before not in begun}
    session = chosen.session
    late: dict[int, list[tuple[str, str]]] = {
        task: [(one.what, one.release) for one in found] for task, found in left.unknown.items()
    }
    for parcel in left.ranges.deliveries:
        if parcel.when.likely > session.start:
            named = left.parcels[parcel.id]
            when = f"Receive it; it is thought to come {clock_time(parcel.when.likely, left.now)}."
            for task in parcel.tasks:
                late.setdefault(task, []).append((f"parts: {parcel_said(named)}", when))
    return [
        NotTonightRow(left.todo[task].build, left.todo[task].step, left.todo[task].place, left.todo[task].name, *what)
        for task in left.todo
        if task in late and task not in after
        for what in late[task]
    ]


def _sentence(left: Left, chosen: Chosen, lacking: Sequence[NotTonightRow]) -> str:
    when = session_said(chosen.session, left.now)
    length = chosen.session.end - chosen.session.start
    spent = sum(one.end - one.start for one in chosen.steps)
    said = f"{when[0].upper()}{when[1:]}: "
    if chosen.steps:
        said += f"{count_of(len(chosen.steps), 'step')}, {show_minutes(spent)} of {show_minutes(length)}"
    else:
        said += "nothing can be done; what is left waits for something, or takes longer at one stretch"
    overnight = [left.todo[one.task].name for one in chosen.steps if one.why == "overnight"]
    if overnight:
        said += f"; overnight: {', '.join(overnight)}"
    if lacking:
        said += (
            f"; {count_of(len({(one.build, one.step) for one in lacking}), 'step')} not tonight, for what is missing"
        )
    return said + "."
