"""Buying: what must I buy, from whom, for how much?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.board import find_assembly
from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import Standing, builds_that_count, find_build, stand, stand_together
from buildbook.store.read import boards as read_boards
from buildbook.store.read.standing import LineNeed, PartNeed
from buildbook.store.read.stores import PartRow, parts_by_number

if TYPE_CHECKING:
    from buildbook.reckon.cover import Share
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class ShortRow:
    """One part that the drawers do not cover: need = fitted + kitted + spoken_for + stood_in + coming + short.

    (Where a build holds more than it needs, fitted and kitted count only as far as they are needed.) `spoken_for` is
    what the builds asked about take of what is on hand; `free` is what nobody has taken.
    """

    part: int
    key: str
    kind: str
    name: str
    value: str
    package: str
    unit: str
    need: int
    fitted: int
    kitted: int
    on_hand: int
    spoken_for: int
    free: int
    stood_in: int
    coming: int
    due_on: str
    short: int


@dataclass(frozen=True, slots=True)
class Shortage(Answer):
    """What is short, and what is only waited for, most wanted first."""

    SCHEMA: ClassVar[str] = "buildbook.short/1"
    scope: str
    rows: tuple[ShortRow, ...]


def short(shop: Workshop, build: str | None = None, assembly: str | None = None) -> Shortage:
    """What the drawers do not cover by themselves: for one build, for one section, or for everything.

    Every build takes its share in the order of priority, whatever is asked about.
    """
    known = builds_that_count(shop)
    chosen = find_build(known, build) if build else None
    own = None
    if assembly is not None:
        assemblies = read_boards.assemblies(shop.reads)
        own = find_assembly(assemblies.values(), assembly, chosen.project if chosen else "")
    if own:
        parts = {row.part for row in read_boards.parts_list(shop.reads, own.id)}
        standing = stand(shop, closely=[one.id for one in ([chosen] if chosen else known)], parts=parts)
    else:
        standing = stand(shop, closely=[chosen.id]) if chosen else stand_together(shop)
    pairs = [
        (need, share)
        for need, share in zip(standing.needs, standing.shares, strict=True)
        if (chosen is None or need.build == chosen.id)
        and (own is None or (isinstance(need, LineNeed) and need.assembly == own.id))
    ]
    rows = short_rows(shop, pairs, standing)
    scope = own.path if own else chosen.code if chosen else "all builds"
    return Shortage(short_sentence(scope, rows), scope, rows)


def short_rows(
    shop: Workshop, pairs: Iterable[tuple[PartNeed | LineNeed, Share]], standing: Standing
) -> tuple[ShortRow, ...]:
    """Sum up per part the needs that the part's own stock does not cover."""
    by_part: dict[int, list[tuple[PartNeed | LineNeed, Share]]] = {}
    for pair in pairs:
        by_part.setdefault(pair[1].part, []).append(pair)
    lacking = {part: some for part, some in by_part.items() if any(share.own < share.qty for _, share in some)}
    parts = parts_by_number(shop.reads, lacking)
    rows = [short_row(parts[part], some, standing) for part, some in lacking.items()]
    # Parts of a kind by value text, then key.
    rows.sort(key=lambda row: (row.short == 0, row.coming == 0, row.kind, row.value, row.key))
    return tuple(rows)


def short_row(part: PartRow, pairs: list[tuple[PartNeed | LineNeed, Share]], standing: Standing) -> ShortRow:
    """One part's row: the sum of its needs and shares."""
    need = fitted = want = own = stood_in = coming = lacking = 0
    dues: list[str] = []
    for one, share in pairs:
        need += one.need
        fitted += min(one.fitted, one.need)
        want += one.want
        own += share.own
        lacking += share.short
        if share.stood_in:
            stood_in += sum(other.qty for other in share.stood_in)
        if share.coming:
            coming += sum(due.qty for due in share.coming)
            dues += [due.when for due in share.coming]
    return ShortRow(
        part=part.id,
        key=part.key,
        kind=part.kind,
        name=part.name,
        value=part.value,
        package=part.package,
        unit=part.unit,
        need=need,
        fitted=fitted,
        kitted=need - fitted - want,
        on_hand=standing.on_hand.get(part.id, 0),
        spoken_for=own,
        free=standing.free.get(part.id, 0),
        stood_in=stood_in,
        coming=coming,
        due_on="" if "" in dues else max(dues, default=""),
        short=lacking,
    )


def short_sentence(scope: str, rows: tuple[ShortRow, ...]) -> str:
    """ "All builds: 14 parts short, 3 more covered by stand-ins, 2 on order (last due 2026-12-04)."""
    lacking = [row for row in rows if row.short]
    waiting = [row for row in rows if row.coming and not row.short]
    stood_in = [row for row in rows if not row.short and not row.coming]
    said = [f"{count_of(len(lacking), 'part')} short" if lacking else "nothing is short"]
    if waiting:
        last = "" if any(not row.due_on for row in waiting) else max(row.due_on for row in waiting)
        said.append(f"{len(waiting)} on order" + (f" (last due {last})" if last else ""))
    if stood_in:
        said.append(f"{len(stood_in)} covered by stand-ins")
    return f"{scope[:1].upper()}{scope[1:]}: {', '.join(said)}."
