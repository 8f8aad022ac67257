"""How many could be made now, which sections could be kitted now, and what one more unit would need."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.board import assembly_named
from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import Standing, exploded, stand
from buildbook.reckon.cover import Want
from buildbook.reckon.explode import Contains, Demand, explode
from buildbook.reckon.makeable import limiting_parts, most_units
from buildbook.store.read import standing as read
from buildbook.store.read.stores import parts_by_number

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

LIMIT = 10_000


@dataclass(frozen=True, slots=True)
class MissingRow:
    """A part that stops the next unit: so many more of it would be needed."""

    key: str
    name: str
    value: str
    unit: str
    missing: int
    on_hand: int
    free: int


@dataclass(frozen=True, slots=True)
class CouldMake(Answer):
    """How many units of an assembly could be made: from all that lies there, and from what no build has spoken for.

    `missing` is what one more than `from_free` would lack.
    """

    SCHEMA: ClassVar[str] = "buildbook.could-make/1"
    code: str
    from_all: int
    from_free: int
    missing: tuple[MissingRow, ...]


def could_make(shop: Workshop, code: str) -> CouldMake:
    """How many units of an assembly, with all that is inside it, could be made now.

    Once from everything in the drawers, as if no build needed any of it, and once from what is free after every build
    has taken its share; and what one more of those would need. At most 10,000 are tried.
    """
    own = assembly_named(shop, code)
    links = [Contains(*link) for link in read.links(shop.reads)]
    # Those of it that stand ready-made are made already: the question is how many more.
    shelf = {assembly: n for assembly, n in read.ready_made(shop.reads).items() if assembly != own.id}
    stand_ins = read.stand_ins(shop.reads)
    standing = stand(shop)
    free_shelf = left_on(shop, shelf, standing)

    def wants_for(units: int, shelf: Mapping[int, int]) -> Sequence[Want]:
        net = explode([Demand(0, own.id, units)], links, shelf).net
        counts = [(0, 0, assembly, n) for (_, assembly), n in net.items() if n]
        needs = read.needs_by_part(shop.reads, counts)
        return [Want(need.part, need.part, need.need) for need in needs]

    def from_free_shelf(units: int) -> Sequence[Want]:
        return wants_for(units, free_shelf)

    from_all = most_units(lambda units: wants_for(units, shelf), standing.on_hand, stand_ins, limit=LIMIT)
    from_free = most_units(from_free_shelf, standing.free, stand_ins, limit=LIMIT)
    lacking = limiting_parts(from_free_shelf, standing.free, stand_ins, units=from_free)
    parts = parts_by_number(shop.reads, {missing.part for missing in lacking})
    rows = tuple(
        MissingRow(
            key=parts[missing.part].key,
            name=parts[missing.part].name,
            value=parts[missing.part].value,
            unit=parts[missing.part].unit,
            missing=missing.qty,
            on_hand=standing.on_hand.get(missing.part, 0),
            free=standing.free.get(missing.part, 0),
        )
        for missing in lacking
    )
    needy = wants_for(1, {})
    said = sentence(own.path, from_all, from_free, rows) if needy else f"{own.path} needs no parts."
    return CouldMake(said, own.path, from_all, from_free, rows)


def left_on(shop: Workshop, shelf: Mapping[int, int], standing: Standing) -> dict[int, int]:
    """What stays of the ready-made on the shelf when every build has taken its share."""
    demands = [Demand(build.id, build.assembly_id, build.units) for build in standing.builds]
    taken: Counter[int] = Counter()
    for (_, assembly), n in exploded(shop, demands).ready_made_used.items():
        taken[assembly] += n
    return {assembly: n - taken[assembly] for assembly, n in shelf.items()}


def sentence(path: str, from_all: int, from_free: int, rows: Sequence[MissingRow]) -> str:
    """ "CURLEW/AUDIO: 2 could be made from all that is there, none from what is free; one more lacks 3 parts."""
    if from_free == LIMIT:
        return f"{path}: {LIMIT} or more could be made now."
    if from_all == from_free:
        said = f"{path}: {from_all or 'none'} could be made now"
    else:
        said = f"{path}: {from_all} could be made from all that is there, {from_free or 'none'} from what is free"
    return f"{said}; one more lacks {count_of(len(rows), 'part')}." if rows else f"{said}."
