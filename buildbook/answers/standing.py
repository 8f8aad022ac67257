"""Where every build stands with its parts: the one computation that Boards, Stores and Buying all read from.

The builds that are planned or under way are exploded together, the first in priority first, and covered together from
one set of drawers. A build that is looked at closely is covered line by line, the others part by part, those that
follow each other summed up where it makes no difference; the totals are the same.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.cover import Arrival, Cover, Share, Want, cover, totals
from buildbook.reckon.explode import Contains, Demand, Exploded, explode
from buildbook.store.read import standing as read
from buildbook.store.read.standing import BuildRow, ComingRow, LineNeed, PartNeed

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

COUNTING = ("planned", "active")


@dataclass(frozen=True, slots=True)
class Standing:
    """The needs of all builds in the order of priority, and what each gets; `needs` and `shares` run side by side.

    Within a build they go by part. `on_hand` and `free` hold the parts that were looked at, as far as any lie there.
    """

    builds: tuple[BuildRow, ...]
    counts: Mapping[tuple[int, int], int]
    needs: tuple[PartNeed | LineNeed, ...]
    shares: tuple[Share, ...]
    on_hand: Mapping[int, int]
    free: Mapping[int, int]
    stand_ins: Mapping[int, Sequence[int]]
    coming: Mapping[int, ComingRow]
    coming_free: Mapping[int, int]

    def lines_of(self, build: int) -> list[tuple[LineNeed, Share]]:
        """The lines of a build that is looked at closely, each with its share."""
        return self.lines_by_build().get(build, [])

    def lines_by_build(self) -> dict[int, list[tuple[LineNeed, Share]]]:
        """The lines of every build that is looked at closely, each with its share."""
        found: dict[int, list[tuple[LineNeed, Share]]] = {}
        for need, share in zip(self.needs, self.shares, strict=True):
            if isinstance(need, LineNeed):
                found.setdefault(need.build, []).append((need, share))
        return found

    def due(self, share: Share) -> str:
        """The day on which the last of what is coming for a want arrives; empty when nothing is, or no day is known."""
        return max((due.when for due in share.coming), default="")


def builds_that_count(shop: Workshop) -> tuple[BuildRow, ...]:
    """The builds planned or under way, the first in priority first."""
    return tuple(build for build in read.builds(shop.reads) if build.state in COUNTING)


def find_build(builds: Iterable[BuildRow], code: str | None) -> BuildRow | None:
    """The build of that code; without a code the only one, or None when there are several or none.

    Raises BadInput for an unknown code, naming those there are.
    """
    known = list(builds)
    if code is None:
        return known[0] if len(known) == 1 else None
    for build in known:
        if build.code == code.strip().upper():
            return build
    codes = ", ".join(build.code for build in known) or "none yet"
    raise BadInput(f"There is no build {code}.", f"Builds planned or under way: {codes}.", "Name one of them.")


def stand(
    shop: Workshop, *, closely: Collection[int] = (), parts: Collection[int] | None = None, extra: Sequence[Demand] = ()
) -> Standing:
    """Explode and cover all builds that count.

    `closely` names builds to be covered line by line; the others are then summed up where it makes no difference.
    `parts` limits the work to these parts, and to those that can stand in for them or share a stand-in with them.
    `extra` are more units asked for, after all builds.
    """
    reads = shop.reads
    builds = builds_that_count(shop)
    demands = [*(Demand(build.id, build.assembly_id, build.units) for build in builds), *extra]
    net = exploded(shop, demands).net
    counts = ranked(net, demands)
    stand_ins = read.stand_ins(reads)
    some = None if parts is None else within_reach(parts, stand_ins)
    near = [count for count in counts if count[1] in closely]
    by_line = read.needs_by_line(reads, near, some) if near else []
    if some is None and closely:
        some = within_reach({need.part for need in by_line}, stand_ins)
    far = [count for count in counts if count[1] not in closely]
    by_part = needs_from_afar(shop, far, some, stand_ins, {count[0] for count in near})
    # By part within a build, so that whoever is looked at closely gets the same stand-ins as from afar.
    needs: list[PartNeed | LineNeed] = [*by_line, *by_part]
    needs.sort(key=lambda need: (need.rank, need.part))
    return covered(shop, builds, net, needs, stand_ins, some)


class Lacking(NamedTuple):
    """A part that its own stock does not cover: what all builds need of it together, and what they get.

    need = fitted + kitted + own + stood_in + coming + short, and `own` is all that lies there. `due_on` is the day on
    which the last of what is coming arrives, empty when nothing is or no day is known.
    """

    part: int
    need: int
    fitted: int
    kitted: int
    own: int
    stood_in: int
    coming: int
    due_on: str
    short: int


def stand_together(shop: Workshop) -> list[Lacking]:
    """Explode and cover all builds that count, summed up to one; only the parts that their own stock does not cover.

    The figures of each part are those that `stand` gives all builds together, had much faster.
    """
    reads = shop.reads
    demands = [Demand(build.id, build.assembly_id, build.units) for build in builds_that_count(shop)]
    counts = ranked(exploded(shop, demands).net, demands)
    stand_ins = read.stand_ins(reads)
    rows = {row.part: row for row in read.lacks(reads, counts)}
    lacking = [row for row in rows.values() if row.want > row.on_hand]
    # Only where stand-ins may be contested does it matter which build comes first.
    helped = {row.part for row in lacking if row.part in stand_ins}
    reach = within_reach(helped, stand_ins)
    coming = arrivals(row for row in read.coming(reads) if row.part in rows)
    wants = [Want(0, part, rows[part].want) for part in coming.keys() | reach if part in rows and part not in helped]
    wants += [Want(0, need.part, need.want) for need in read.needs_by_part(reads, counts, helped)]
    covered = totals(wants, read.on_hand(reads, coming.keys() | reach), stand_ins, coming)
    found = []
    for part, need, fitted, kitted, want, own in lacking:
        total = covered.get(part)
        if total is None:
            # No stand-in, no order: whatever does not lie there is short.
            found.append(Lacking(part, need, fitted, kitted, own, 0, 0, "", want - own))
        else:
            due_on = last_day(coming[part], total.coming) if total.coming else ""
            found.append(Lacking(part, need, fitted, kitted, own, total.stood_in, total.coming, due_on, total.short))
    return found


def left_free(shop: Workshop) -> dict[int, int]:
    """What no build that counts needs of each part that lies in the drawers: the `free` of `stand`, had much faster."""
    reads = shop.reads
    demands = [Demand(build.id, build.assembly_id, build.units) for build in builds_that_count(shop)]
    counts = ranked(exploded(shop, demands).net, demands)
    stand_ins = read.stand_ins(reads)
    on_hand = read.on_hand(reads)
    wanted = {need.part: need.want for need in read.needs_by_part(reads, [(0, *count[1:]) for count in counts])}
    free = {part: max(0, qty - wanted.get(part, 0)) for part, qty in on_hand.items()}
    # Only where stand-ins may be contested does it matter which build comes first.
    helped = {part for part in stand_ins if wanted.get(part, 0) > on_hand.get(part, 0)}
    reach = within_reach(helped, stand_ins)
    wants = [Want(0, part, wanted[part]) for part in reach - helped if part in wanted]
    wants += [Want(0, need.part, need.want) for need in read.needs_by_part(reads, counts, helped)]
    shared = totals(wants, {part: on_hand[part] for part in reach if part in on_hand}, stand_ins)
    return free | {part: total.free for part, total in shared.items() if part in on_hand}


def last_day(coming: Iterable[Arrival], qty: int) -> str:
    """The day on which the last of so many arrives, the earliest being used first; empty when it is not known."""
    day = ""
    for arrival in sorted(coming, key=lambda arrival: (not arrival.when, arrival.when)):
        if qty <= 0:
            break
        day, qty = arrival.when, qty - arrival.qty
    return day


def exploded(shop: Workshop, demands: Sequence[Demand]) -> Exploded:
    """How many of each assembly the demands come to, as the choices stand, using what lies ready-made."""
    return explode(demands, [Contains(*link) for link in read.links(shop.reads)], read.ready_made(shop.reads))


def ranked(net: Mapping[tuple[int, int], int], demands: Iterable[Demand]) -> list[read.Count]:
    """How many of each assembly each build has to make, with the place of the build in the order of priority."""
    rank = {build: place for place, build in enumerate(dict.fromkeys(demand.build for demand in demands))}
    return [(rank[build], build, assembly, n) for (build, assembly), n in net.items() if n]


def needs_from_afar(
    shop: Workshop,
    counts: Sequence[read.Count],
    parts: Collection[int] | None,
    stand_ins: Mapping[int, Sequence[int]],
    between: Collection[int],
) -> list[PartNeed]:
    """What builds need part by part; those that follow each other between the ranks `between` are summed up to one.

    For a part that has stand-ins each build remains on its own, since they may be contested.
    """
    if not counts:
        return []
    if parts is None or not between:
        return read.needs_by_part(shop.reads, counts, parts)
    helped = stand_ins.keys() & set(parts)
    marks = sorted(between)
    together = [([-1, *marks][bisect(marks, rank)], build, assembly, n) for rank, build, assembly, n in counts]
    return [
        *(read.needs_by_part(shop.reads, counts, helped) if helped else ()),
        *read.needs_by_part(shop.reads, together, set(parts) - helped),
    ]


def covered(
    shop: Workshop,
    builds: tuple[BuildRow, ...],
    counts: Mapping[tuple[int, int], int],
    needs: Sequence[PartNeed | LineNeed],
    stand_ins: Mapping[int, Sequence[int]],
    parts: Collection[int] | None,
) -> Standing:
    """Cover the needs from what lies there and what is coming of these parts (of all, when None)."""
    on_hand = read.on_hand(shop.reads, parts)
    coming = [row for row in read.coming(shop.reads) if parts is None or row.part in parts]
    shared = share_out(needs, on_hand, stand_ins, coming)
    return Standing(
        builds=builds,
        counts=counts,
        needs=tuple(needs),
        shares=shared.shares,
        on_hand=on_hand,
        free=shared.free,
        stand_ins=stand_ins,
        coming={row.line: row for row in coming},
        coming_free=shared.coming_free,
    )


def share_out(
    needs: Sequence[PartNeed | LineNeed],
    on_hand: Mapping[int, int],
    stand_ins: Mapping[int, Sequence[int]],
    coming: Iterable[ComingRow],
) -> Cover:
    """Cover the needs, in their order, from the drawers and from what is coming."""
    wants = [Want(place, need.part, need.want) for place, need in enumerate(needs)]
    return cover(wants, on_hand, stand_ins, arrivals(coming))


def arrivals(coming: Iterable[ComingRow]) -> dict[int, list[Arrival]]:
    """What is on order, per part."""
    found: dict[int, list[Arrival]] = {}
    for row in coming:
        found.setdefault(row.part, []).append(Arrival(row.when or "", row.qty, row.line))
    return found


def within_reach(parts: Collection[int], stand_ins: Mapping[int, Sequence[int]]) -> set[int]:
    """The parts, their stand-ins, and every part that competes for one of those stand-ins."""
    served: dict[int, list[int]] = {}
    for part, alts in stand_ins.items():
        for alt in alts:
            served.setdefault(alt, []).append(part)
    reached = set(parts)
    todo = list(parts)
    while todo:
        part = todo.pop()
        for other in (*stand_ins.get(part, ()), *served.get(part, ())):
            if other not in reached:
                reached.add(other)
                todo.append(other)
    return reached
