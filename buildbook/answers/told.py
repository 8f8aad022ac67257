"""What happened in an episode, gathered: the facts that its draft is written from, and nothing in words yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.bench import Bench, Made, bench, now_of, standings
from buildbook.answers.log import episode_meant
from buildbook.answers.measuring import OUT, beyond_of, state_of
from buildbook.answers.offers import currency_of
from buildbook.answers.standing import COUNTING
from buildbook.reckon.readiness import BEHIND
from buildbook.store.read import draft as read
from buildbook.store.read import filming
from buildbook.store.read import order as read_order
from buildbook.store.read.kitting import inside
from buildbook.store.read.measuring import points
from buildbook.store.read.standing import BuildRow, builds
from buildbook.trade.limits import Limits, say_measured

if TYPE_CHECKING:
    from buildbook.store.read.filming import EpisodeNamed
    from buildbook.store.read.order import Order
    from buildbook.store.workshop import Workshop


class StepTold(NamedTuple):
    """A step that was finished or left out in the span."""

    id: int
    section: str
    name: str
    state: str
    finished_at: str
    minutes: int | None


class ReadingTold(NamedTuple):
    """The last reading of a point in the span, said against its limits as they stand; whether it is `out` of them."""

    id: int
    name: str
    said: str
    out: bool
    note: str


@dataclass(frozen=True, slots=True)
class Told:
    """The facts of one episode; `next` is the Bench's answer where the story goes on from here."""

    build: BuildRow
    episode: EpisodeNamed
    former: EpisodeNamed | None
    currency: str
    steps: tuple[StepTold, ...]
    steps_total: int
    done_before: int
    done_after: int
    readings: tuple[ReadingTold, ...]
    snags: tuple[read.SnagTold, ...]
    tries: tuple[read.TryTold, ...]
    decided: tuple[read.Decided, ...]
    notes: tuple[read.NoteTold, ...]
    came: tuple[read.CameRow, ...]
    ordered: tuple[read.OrderedRow, ...]
    fitted: tuple[read.FittedRow, ...]
    taken_micros: int
    taken_pieces: int
    next: Bench | None

    @property
    def minutes(self) -> int:
        """The minutes written down of steps finished and tries made in the span."""
        return sum(one.minutes or 0 for one in self.steps) + sum(one.minutes or 0 for one in self.tries)


def told(shop: Workshop, number: int | None = None, build: str | None = None) -> Told:
    """The facts of an episode; without a number the open one, or else the last. Raises BadInput as `episode` does."""
    meant = episode_meant(shop, number, build)
    home = next(one for one in builds(shop.reads) if one.id == meant.build_id)
    known = filming.episodes_of(shop.reads, home.id)
    at = next(place for place, one in enumerate(known) if one.id == meant.id)
    here = known[at]
    span = read.Span(home.id, here.opened_at, here.closed_at)
    found = read_order.order(shop.reads)
    made = next(standings(shop, (home,), found, now_of(shop)))
    tree = inside(shop.reads, home.assembly_id)
    worth, pieces = read.taken(shop.reads, span)
    goes_on = at == len(known) - 1 and home.state in COUNTING
    return Told(
        build=home,
        episode=here,
        former=known[at - 1] if at else None,
        currency=currency_of(shop),
        steps=_steps(made, found, span),
        steps_total=len(made.standing),
        done_before=_behind(made, found, span.opened),
        done_after=_behind(made, found, span.closed),
        readings=_readings(shop, span, home.units),
        snags=tuple(read.snags(shop.reads, span)),
        tries=tuple(read.tries(shop.reads, span)),
        decided=tuple(read.decided(shop.reads, span, home.project_id)),
        notes=tuple(read.notes(shop.reads, span)),
        came=tuple(read.came(shop.reads, span, tree)),
        ordered=tuple(read.ordered(shop.reads, span, tree)),
        fitted=tuple(read.fitted(shop.reads, span)),
        taken_micros=worth,
        taken_pieces=pieces,
        next=bench(shop, home.code) if goes_on else None,
    )


def _steps(made: Made, found: Order, span: read.Span) -> tuple[StepTold, ...]:
    """The steps finished or left out in the span, in the order in which that happened."""
    rows = []
    for home in made.tree:
        for step in found.lists.get(home.id, ()):
            run = found.runs.get((span.build, step.id))
            if run and run.state in BEHIND and span.opened <= run.finished_at <= (span.closed or "9999"):
                rows.append(StepTold(step.id, home.name, step.name, run.state, run.finished_at, run.minutes))
    return tuple(sorted(rows, key=lambda row: row.finished_at))


def _behind(made: Made, found: Order, until: str) -> int:
    """How many steps were behind the build at a moment; now where it is empty, as the Bench counts them."""
    return sum(
        standing.state in BEHIND and (not until or found.runs[made.build.id, step].finished_at <= until)
        for step, standing in made.standing.items()
    )


def _readings(shop: Workshop, span: read.Span, units: int) -> tuple[ReadingTold, ...]:
    known = {point.id: point for rows in points(shop.reads).values() for point in rows}
    rows = []
    for one in read.readings(shop.reads, span):
        point = known[one.point]
        name = f"{one.name}, unit {one.unit_number}" if units > 1 else one.name
        limits = Limits(point.nominal, point.low, point.high)
        said = say_measured(one.value, limits, one.unit, beyond=beyond_of(one.text, one.unit))
        rows.append(ReadingTold(one.id, name, said, state_of(one.value, limits) == OUT, one.note))
    return tuple(rows)
