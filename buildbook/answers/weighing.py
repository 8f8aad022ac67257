"""What a build comes to as its questions are answered: money, pieces short, hands-on time, room on its boards.

`figures` works it out for the whole build, or only for a `Scope` of it: the parts, assemblies and lines that hang on
some questions. What hangs on others, or on none, is the same however those are answered; so the scopes add up.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.cost import cost_lines, prices_coming
from buildbook.answers.offers import offers_for
from buildbook.answers.standing import Standing, builds_that_count, stand, within_reach
from buildbook.reckon.average import Pile
from buildbook.reckon.cost import cost
from buildbook.store.read import buying, choices
from buildbook.store.read.standing import BuildRow, stand_ins
from buildbook.store.read.stores import PartRow, parts_by_number

if TYPE_CHECKING:
    from buildbook.reckon.purchase import Offer
    from buildbook.store.workshop import Workshop


class Figures(NamedTuple):
    """What a build, or a scope of it, comes to; money in millionths, area in square micrometres for all its units.

    `parts_micros` is what the parts still to be got are worth, those in the drawers and on order included; `to_spend`
    what must still be bought. `unpriced` counts lines without a price, `unplaced` pieces of unknown area.
    """

    to_spend_micros: int
    parts_micros: int
    unpriced: int
    short: int
    minutes: int
    area_um2: int
    unplaced: int

    def less(self, other: Figures) -> Figures:
        """What is more than in the other."""
        return Figures(*(mine - theirs for mine, theirs in zip(self, other, strict=True)))


class Scope(NamedTuple):
    """A share of a build: these parts with all that may stand in for them, assemblies with their steps, lines."""

    parts: frozenset[int]
    assemblies: frozenset[int]
    lines: frozenset[int]


@dataclass(frozen=True, slots=True)
class Prices:
    """What parts cost, read once: names, worth of the stock, offers, and what is on order."""

    parts: Mapping[int, PartRow]
    piles: Mapping[int, Pile]
    offers: Mapping[int, Sequence[Offer]]
    coming: Mapping[int, tuple[int | None, int]]


def prices(shop: Workshop, parts: Collection[int]) -> Prices:
    """The prices of these parts."""
    piles = {row.part: Pile(*row[1:]) for row in buying.piles(shop.reads, parts)}
    return Prices(parts_by_number(shop.reads, parts), piles, offers_for(shop, parts), prices_coming(shop))


def build_of(shop: Workshop, project_id: int) -> BuildRow | None:
    """The build of a project by which its questions are weighed: the first in priority that is planned or under way."""
    return next((one for one in builds_that_count(shop) if one.project_id == project_id), None)


def figures(shop: Workshop, build: BuildRow, known: Prices, scope: Scope | None = None) -> Figures:
    """What the build, or a scope of it, comes to as the questions stand in this workshop."""
    standing = stand(shop, closely=[build.id], parts=None if scope is None else scope.parts)
    return figures_of(shop, build, known, standing, scope)


def figures_of(
    shop: Workshop, build: BuildRow, known: Prices, standing: Standing, scope: Scope | None = None
) -> Figures:
    """The same from a standing worked out already."""
    pairs = standing.lines_of(build.id)
    if scope is not None:
        pairs = [pair for pair in pairs if pair[0].part in scope.parts]
    now = cost(cost_lines(pairs, (), known.parts, known.coming), known.piles, known.offers).money
    made = {assembly: n for (number, assembly), n in standing.counts.items() if number == build.id}
    homes = made if scope is None else [one for one in made if one in scope.assemblies]
    minutes = buying.minutes(shop.reads) if homes else {}
    room, unplaced = _room(shop, made, None if scope is None else scope.lines)
    return Figures(
        to_spend_micros=now.to_spend,
        parts_micros=now.parts_micros,
        unpriced=now.unpriced_lines,
        short=sum(share.short for _, share in pairs),
        minutes=sum(minutes.get(home, 0) * made[home] for home in homes),
        area_um2=room,
        unplaced=unplaced,
    )


def _room(shop: Workshop, made: Mapping[int, int], lines: Collection[int] | None) -> tuple[int, int]:
    """The area that parts take, and the pieces of which it is not known."""
    area = unknown = 0
    if lines is not None and not lines:
        return 0, 0
    for row in choices.placed(shop.reads, made):
        if lines is None or row.line in lines:
            pieces = row.qty * made[row.assembly]
            area += pieces * (row.area_um2 or 0)
            unknown += pieces if row.area_um2 is None else 0
    return area, unknown


def scopes(shop: Workshop, questions: Collection[int]) -> dict[frozenset[int], Scope]:
    """What hangs on these questions, by all those of them on which it hangs; parts that hang on none are left out.

    Parts that may stand in for each other, or share a stand-in, hang on the same questions.
    """
    found = choices.hanging(shop.reads)
    homes = _on_which(found.links, questions)
    nothing: frozenset[int] = frozenset()
    lines: dict[frozenset[int], set[int]] = {}
    part_on: dict[int, frozenset[int]] = {}
    for line, home, part, choice in found.lines:
        hangs = homes.get(home, nothing) | ({choice} & set(questions))
        if hangs:
            lines.setdefault(hangs, set()).add(line)
            part_on[part] = part_on.get(part, nothing) | hangs
    works = dict(homes)
    for home, choice in found.steps:
        if choice in questions:
            works[home] = works.get(home, nothing) | {choice}
    parts = _together(part_on, stand_ins(shop.reads))
    keys = {*lines, *works.values(), *parts}
    return {
        key: Scope(
            frozenset(parts.get(key, ())),
            frozenset(home for home, hangs in works.items() if hangs == key),
            frozenset(lines.get(key, ())),
        )
        for key in sorted(filter(None, keys), key=sorted)
    }


def _on_which(links: Iterable[tuple[int, int, int]], questions: Collection[int]) -> dict[int, frozenset[int]]:
    """The questions on which the number of each assembly hangs: of its own links, and of all above it."""
    above: dict[int, set[int]] = {}
    below: dict[int, list[int]] = {}
    for parent, child, choice in links:
        below.setdefault(parent, []).append(child)
        if choice in questions:
            above.setdefault(child, set()).add(choice)
    todo = list(above)
    while todo:
        home = todo.pop()
        for child in below.get(home, ()):
            if not above[home] <= above.setdefault(child, set()):
                above[child] |= above[home]
                todo.append(child)
    return {home: frozenset(hangs) for home, hangs in above.items()}


def _together(
    part_on: Mapping[int, frozenset[int]], alike: Mapping[int, Sequence[int]]
) -> dict[frozenset[int], set[int]]:
    """Parts by the questions on which they hang, each with all within its reach."""
    found: dict[frozenset[int], set[int]] = {}
    seen: set[int] = set()
    for part in part_on:
        if part not in seen:
            reach = within_reach({part}, alike)
            seen |= reach
            hangs = frozenset[int]().union(*(part_on.get(one, frozenset()) for one in reach))
            found.setdefault(hangs, set()).update(reach)
    return found
