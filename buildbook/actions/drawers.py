"""Out of which bin each part is taken, and how far, when a build takes no more than it has spoken for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from buildbook.reckon.reserve import Reserve
from buildbook.store.read import kitting, standing
from buildbook.store.read.kitting import InBin, Need
from buildbook.store.workshop import Workshop


class Take(NamedTuple):
    """So many base units of a part for a line, out of a bin; no bin means out of the kit. All by their numbers."""

    line: int
    part: int
    bin: int | None
    qty: int


class Drawers:
    """The bins, emptiest first, getting emptier as parts are taken from them.

    `most` limits what may be taken, for (part wanted, part taken); without it, all that lies there may.
    """

    def __init__(
        self,
        bins: Mapping[int, Sequence[InBin]],
        stand_ins: Mapping[int, Sequence[int]],
        most: Mapping[tuple[int, int], int] | None = None,
    ) -> None:
        self._bins = {part: list(places) for part, places in bins.items()}
        self._stand_ins = stand_ins
        self._most = None if most is None else dict(most)

    def take_all(self, wanted: Iterable[tuple[Need, int]]) -> tuple[list[Take], tuple[tuple[int, int], ...]]:
        """What can be taken for each line, and what is short; stand-ins only with what no line wants for itself."""
        takes: list[Take] = []
        lacks = []
        for need, qty in wanted:
            left = self._take(takes, need, need.part, qty)
            if left:
                lacks.append((need, left))
        short = []
        for need, left in lacks:
            for part in self._stand_ins.get(need.part, ()):
                left = self._take(takes, need, part, left) if left else 0
            if left:
                short.append((need.line, left))
        return takes, tuple(short)

    def left_for_others(self, needs: Iterable[Need], short: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
        """What of the short lies in the drawers all the same, by line."""
        parts = {need.line: need.part for need in needs}
        lying = {part: sum(place.qty for place in places) for part, places in self._bins.items()}
        left = []
        for line, qty in short:
            part = parts[line]
            if many := min(qty, lying.get(part, 0)):
                lying[part] -= many
                left.append((line, many))
        return tuple(left)

    def _take(self, takes: list[Take], need: Need, part: int, qty: int) -> int:
        """Take up to `qty` of a part and return how many are lacking."""
        allowed = qty if self._most is None else min(qty, self._most.get((need.part, part), 0))
        to_take = allowed
        while to_take and (bins := self._bins.get(part)):
            chosen = next((place for place in bins if place.qty >= to_take), bins[-1])
            many = min(to_take, chosen.qty)
            takes.append(Take(need.line, part, chosen.bin, many))
            to_take -= many
            bins.remove(chosen)
            if chosen.qty > many:
                bins.append(InBin(part, chosen.bin, chosen.qty - many))
                bins.sort(key=lambda place: (place.qty, place.bin))
        taken = allowed - to_take
        if self._most is not None and taken:
            self._most[need.part, part] -= taken
        return qty - taken


def open_drawers(shop: Workshop, parts: Iterable[int], reserve: Reserve | None, *, stand_ins: bool) -> Drawers:
    """The bins of these parts, and of what may stand in for them."""
    own = set(parts)
    approved = standing.stand_ins(shop.reads) if stand_ins else {}
    alts = {part: approved[part] for part in own if part in approved}
    bins = kitting.bins(shop.reads, own.union(*alts.values()))
    return Drawers(bins, alts, reserve.most if reserve else None)


def who_has_the_rest(needs: Iterable[Need], left: Iterable[tuple[int, int]], reserve: Reserve | None) -> list[str]:
    """The builds that have spoken for what was left, in their order."""
    parts = {need.line: need.part for need in needs}
    found = [code for line, _ in left for code in (reserve.others.get(parts[line], ()) if reserve else ())]
    return list(dict.fromkeys(found))
