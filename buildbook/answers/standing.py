"""Where every build stands with its parts: the one computation that Boards, Stores and Buying all read from.

The builds that are planned or under way are exploded together, the first in priority first, and covered together from
one set of drawers. A build that is looked at closely is covered line by line, the others part by part; the totals are
the same.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.reckon.cover import Arrival, Cover, Share, Want, cover
from buildbook.reckon.explode import Contains, Demand, explode
from buildbook.store.read import standing as read
from buildbook.store.read.standing import BuildRow, ComingRow, LineNeed, PartNeed

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

COUNTING = ("planned", "active")


@dataclass(frozen=True, slots=True)
class Standing:
    """The needs of all builds in the order of priority, and what each gets; `needs` and `shares` run side by side."""

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
        pairs = zip(self.needs, self.shares, strict=True)
        return [(need, share) for need, share in pairs if isinstance(need, LineNeed) and need.build == build]

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

    `closely` names builds to be covered line by line. `parts` limits the work to these parts, and to those that can
    stand in for them or share a stand-in with them. `extra` are more units asked for, after all builds.
    """
    reads = shop.reads
    builds = builds_that_count(shop)
    demands = [Demand(build.id, build.assembly_id, build.units) for build in builds]
    links = [Contains(*link) for link in read.links(reads)]
    exploded = explode([*demands, *extra], links, read.ready_made(reads))
    stand_ins = read.stand_ins(reads)
    rank = {build: place for place, build in enumerate(dict.fromkeys(demand.build for demand in [*demands, *extra]))}
    counts = [(rank[build], build, assembly, n) for (build, assembly), n in exploded.net.items() if n]
    near = [count for count in counts if count[1] in closely]
    by_line = read.needs_by_line(reads, near) if near else []
    some = None if parts is None else within_reach(parts, stand_ins)
    if some is not None:
        by_line = [need for need in by_line if need.part in some]
    elif closely:
        some = within_reach({need.part for need in by_line}, stand_ins)
    far = [count for count in counts if count[1] not in closely]
    by_part = read.needs_by_part(reads, far, some) if far else []
    needs: list[PartNeed | LineNeed] = [*by_line, *by_part]
    needs.sort(key=lambda need: rank[need.build])
    on_hand = read.on_hand(reads, some)
    coming = [row for row in read.coming(reads) if some is None or row.part in some]
    covered = share_out(needs, on_hand, stand_ins, coming)
    return Standing(
        builds=builds,
        counts=exploded.net,
        needs=tuple(needs),
        shares=covered.shares,
        on_hand=on_hand,
        free=covered.free,
        stand_ins=stand_ins,
        coming={row.line: row for row in coming},
        coming_free=covered.coming_free,
    )


def share_out(
    needs: Sequence[PartNeed | LineNeed],
    on_hand: Mapping[int, int],
    stand_ins: Mapping[int, Sequence[int]],
    coming: Iterable[ComingRow],
) -> Cover:
    """Cover the needs, in their order, from the drawers and from what is coming."""
    arrivals: dict[int, list[Arrival]] = {}
    for row in coming:
        arrivals.setdefault(row.part, []).append(Arrival(row.when or "", row.qty, row.line))
    wants = [Want(place, need.part, need.want) for place, need in enumerate(needs)]
    return cover(wants, on_hand, stand_ins, arrivals)


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
