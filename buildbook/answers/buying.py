"""Buying: what must I buy, from whom, for how much?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.board import assembly_named
from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import Lacking, Standing, builds_that_count, find_build, stand, stand_together
from buildbook.store.read import boards as read_boards
from buildbook.store.read import standing as read
from buildbook.store.read.standing import LineNeed, Named, PartNeed

if TYPE_CHECKING:
    from buildbook.reckon.cover import Share
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class ShortRow:
    """One part that the drawers do not cover: need = fitted + kitted + spoken_for + stood_in + coming + short.

    (Where a build holds more than it needs, fitted and kitted count only as far as they are needed.) `spoken_for` is
    what the builds asked about take of what is on hand; `free` is what nobody has taken. `keep_short` is
    what lacks beside that to the least stock, where it is asked for.
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
    keep_short: int = 0


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
        own = assembly_named(shop, assembly, chosen.project_id if chosen else 0)
    if chosen or own:
        parts = {row.part for row in read_boards.parts_list(shop.reads, own.id)} if own else None
        standing = stand(shop, closely=[chosen.id] if chosen else [one.id for one in known], parts=parts)
        pairs = [
            (need, share)
            for need, share in zip(standing.needs, standing.shares, strict=True)
            if isinstance(need, LineNeed)
            and (chosen is None or need.build == chosen.id)
            and (own is None or need.assembly == own.id)
        ]
        rows = short_rows(shop, pairs, standing)
    else:
        rows = whole_rows(shop, stand_together(shop))
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
    return in_order(short_row(part, lacking[part.id], standing) for part in read.named(shop.reads, lacking))


def short_row(part: Named, pairs: Sequence[tuple[PartNeed | LineNeed, Share]], standing: Standing) -> ShortRow:
    """One part's row: the sum of its needs, and of what they get."""
    need = sum(need.need for need, _ in pairs)
    fitted = sum(min(need.fitted, need.need) for need, _ in pairs)
    want = sum(share.qty for _, share in pairs)
    dues = [due for _, share in pairs for due in share.coming]
    return ShortRow(
        *part,
        need=need,
        fitted=fitted,
        kitted=need - fitted - want,
        on_hand=standing.on_hand.get(part.id, 0),
        spoken_for=sum(share.own for _, share in pairs),
        free=standing.free.get(part.id, 0),
        stood_in=sum(other.qty for _, share in pairs for other in share.stood_in),
        coming=sum(due.qty for due in dues),
        due_on="" if any(not due.when for due in dues) else max((due.when for due in dues), default=""),
        short=sum(share.short for _, share in pairs),
    )


def whole_rows(shop: Workshop, lacking: Iterable[Lacking]) -> tuple[ShortRow, ...]:
    """The rows for all builds together: they take all that lies of a part, and leave nothing free."""
    by_part = {one.part: one for one in lacking}
    rows = []
    for part in read.named(shop.reads, by_part):
        _, need, fitted, kitted, own, stood_in, coming, due_on, lacks = by_part[part.id]
        rows.append(ShortRow(*part, need, fitted, kitted, own, own, 0, stood_in, coming, due_on, lacks))
    return in_order(rows)


def in_order(rows: Iterable[ShortRow]) -> tuple[ShortRow, ...]:
    """The short ones first, then those that are waited for; parts of a kind by value text, then key."""
    return tuple(sorted(rows, key=lambda row: (row.short == 0, row.coming == 0, row.kind, row.value, row.key)))


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
