"""What goes into a calendar: sessions with what to do in each, waits that run meanwhile, deliveries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.bench import waiting
from buildbook.answers.form import Answer, count_of
from buildbook.answers.plan import Left, builds_meant, in_priority, said_of, what_is_left
from buildbook.answers.until import local
from buildbook.errors import BadInput
from buildbook.reckon.calendar import DAY_MIN
from buildbook.reckon.sessions import Schedule, list_schedule
from buildbook.store.read.buying import orders
from buildbook.trade.moments import moment_of

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

WEEKS, MOST_WEEKS = 8, 520
SESSION, WAIT, DELIVERY = "session", "wait", "delivery"
OVER = {"dry": "dries", "cure": "cures", "soak": "soaks", "cool": "cools", "charge": "charges"}


class AgendaRow(NamedTuple):
    """One entry. `start` and `end` are moments (UTC), or for a delivery its day and the day after.

    `uid` stays the same from one time to the next as long as it is the same session, step or order. `lines` say more;
    `alarm` has the end told.
    """

    kind: str
    uid: str
    start: str
    end: str
    summary: str
    lines: tuple[str, ...]
    alarm: bool


@dataclass(frozen=True, slots=True)
class Agenda(Answer):
    """Sessions, waits and deliveries of the weeks to come, in the order of time."""

    SCHEMA: ClassVar[str] = "buildbook.agenda/1"
    asked_at: str
    rows: tuple[AgendaRow, ...]
    assumed: tuple[str, ...]


def agenda(shop: Workshop, build: str | None = None, *, weeks: int = WEEKS) -> Agenda:
    """What to do when in the weeks to come, for a build or for all that count; waits that run, and those to come.

    Raises BadInput for an unknown build, and for less than a week or more than 520.
    """
    if not 1 <= weeks <= MOST_WEEKS:
        raise BadInput("The calendar was not made.", f"It can be for 1 to {MOST_WEEKS} weeks.", "Give fewer weeks.")
    builds, aside = builds_meant(shop, build)
    left = what_is_left(shop, builds)
    last = left.now + weeks * 7 * DAY_MIN
    rows: list[AgendaRow] = []
    if left.tasks:
        tasks = left.at_delivery()
        order = in_priority(left, tasks, left.sessions)
        schedule = list_schedule(tasks, left.links, left.sessions, order=order)
        rows += _sessions(left, schedule, last)
        rows += _waits_to_come(left, schedule, last)
    rows += _running(shop, left)
    rows += _deliveries(shop)
    rows.sort(key=lambda row: (row.start, row.uid))
    counts = [sum(row.kind == kind for row in rows) for kind in (SESSION, WAIT, DELIVERY)]
    words = [count_of(count, kind) for count, kind in zip(counts, (SESSION, WAIT), strict=False)]
    words.append(count_of(counts[2], "delivery", "deliveries"))
    said = f"{', '.join(words)} in the next {count_of(weeks, 'week')}."
    return Agenda(said[0].upper() + said[1:], moment_of(left.now), tuple(rows), (*said_of(left), *aside))


def _sessions(left: Left, schedule: Schedule, last: int) -> Iterator[AgendaRow]:
    for start, end in left.sessions:
        pieces = [piece for piece in schedule.pieces if start <= piece.start < end]
        if start >= last or not pieces:
            continue
        names = [left.todo[piece.task].name for piece in pieces]
        more = f" and {len(names) - 2} more" if len(names) > 2 else ""
        lines = []
        for piece in pieces:
            todo = left.todo[piece.task]
            caution = f" ({todo.caution})" if todo.caution else ""
            lines.append(f"{local(piece.start):%H:%M} {todo.place} {todo.name}{caution}")
        yield AgendaRow(
            SESSION,
            f"session-{start}",
            moment_of(start),
            moment_of(end),
            f"Bench: {', '.join(names[:2])}{more}",
            tuple(lines),
            alarm=False,
        )


def _waits_to_come(left: Left, schedule: Schedule, last: int) -> Iterator[AgendaRow]:
    ends = {piece.task: piece.end for piece in schedule.pieces}
    for task, end in ends.items():
        todo = left.todo[task]
        if todo.wait_low_min and end < last:
            uid = f"wait-{todo.build}-{todo.step}"
            until = end + todo.wait_low_min
            said = f"Planned: {todo.place}, left alone until then."
            yield AgendaRow(
                WAIT, uid, moment_of(end), moment_of(until), f"{todo.name}: leave it alone", (said,), alarm=True
            )


def _running(shop: Workshop, left: Left) -> Iterator[AgendaRow]:
    codes = {build.code for build in left.builds}
    for one in waiting(shop):
        if one.build in codes:
            said = f"{one.name} {OVER.get(one.kind, 'waits')}"
            uid, start, end = f"wait-{one.build}-{one.step}", moment_of(left.now), moment_of(one.until)
            yield AgendaRow(WAIT, uid, start, end, said, (f"Build {one.build}; it may be ended then.",), alarm=True)


def _deliveries(shop: Workshop) -> Iterator[AgendaRow]:
    """One entry for all that an order brings on one day."""
    coming: dict[tuple[str, str, str], list[str]] = {}
    for row in orders(shop.reads):
        if row.state == "placed" and row.due_on and row.received_qty < row.qty:
            coming.setdefault((row.due_on, row.ref, row.supplier), []).append(row.key)
    for (due, ref, supplier), keys in coming.items():
        after = (date.fromisoformat(due) + timedelta(days=1)).isoformat()
        summary, lines = f"Delivery {ref} from {supplier}", tuple(dict.fromkeys(keys))
        yield AgendaRow(DELIVERY, f"delivery-{ref}-{due}", due, after, summary, lines, alarm=False)
