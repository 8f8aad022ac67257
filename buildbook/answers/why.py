"""Why a figure is what it is: the arithmetic behind need, cover and shortage of one part, term by term."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer
from buildbook.answers.standing import Standing, builds_that_count, find_build, stand
from buildbook.answers.stores import part_named
from buildbook.store.read import boards as read_boards
from buildbook.store.read import stores as read
from buildbook.store.read.standing import LineNeed
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.reckon.cover import Share
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Term:
    """One line that needs the part: `count` sections times `qty`, plus the allowance for loss, is `need`."""

    build: str
    assembly: str
    refs: str
    count: int
    qty: int
    loss_bp: int
    need: int
    fitted: int
    kitted: int
    from_drawers: int
    stood_in: int
    coming: int
    short: int
    said: str


@dataclass(frozen=True, slots=True)
class Why(Answer):
    """Every term behind the shortage of a part, over all builds in the order of priority."""

    SCHEMA: ClassVar[str] = "buildbook.why/1"
    key: str
    unit: str
    on_hand: int
    free: int
    terms: tuple[Term, ...]
    remarks: tuple[str, ...]


def why(shop: Workshop, part: str, build: str | None = None) -> Why:
    """Where the need for a part comes from and what covers it; of all builds, or of one after those before it.

    Raises BadInput for an unknown part or build.
    """
    row = part_named(shop, part)
    known = builds_that_count(shop)
    chosen = find_build(known, build) if build else None
    standing = stand(shop, closely=[one.id for one in known], parts={row.id})
    codes = {one.id: one.code for one in standing.builds}
    assemblies = read_boards.assemblies(shop.reads)
    used = {line.line: line for line in read.used_in(shop.reads, row.id)}
    terms = []
    for need, share in zip(standing.needs, standing.shares, strict=True):
        if not isinstance(need, LineNeed) or need.part != row.id or (chosen and need.build != chosen.id):
            continue
        count = standing.counts[need.build, need.assembly]
        terms.append(term(need, share, used[need.line], count, codes[need.build], assemblies[need.assembly].path, row))
    lacking = sum(one.short for one in terms)
    return Why(
        sentence=why_sentence(row, terms, lacking, standing),
        key=row.key,
        unit=row.unit,
        on_hand=standing.on_hand.get(row.id, 0),
        free=standing.free.get(row.id, 0),
        terms=tuple(terms),
        remarks=tuple(remarks(shop, row, standing)),
    )


def term(
    need: LineNeed, share: Share, line: read.UsedRow, count: int, build: str, path: str, part: read.PartRow
) -> Term:
    """One term with its arithmetic in words."""
    unit = Unit(part.unit)
    fitted = min(need.fitted, need.need)
    kitted = need.need - fitted - need.want
    stood_in = sum(other.qty for other in share.stood_in)
    coming = sum(due.qty for due in share.coming)
    loss = f" + {line.loss_bp / 100:g} % for loss" if line.loss_bp else ""
    said = f"{count} x {show_quantity(line.qty, unit)}{loss} = {show_quantity(need.need, unit)}"
    for qty, word in (
        (fitted, "fitted"),
        (kitted, "kitted"),
        (share.own, "from the drawers"),
        (stood_in, "by stand-ins"),
        (coming, "coming"),
    ):
        if qty:
            said += f", {show_quantity(qty, unit)} {word}"
    if share.short:
        said += f": {show_quantity(share.short, unit)} short"
    return Term(
        build=build,
        assembly=path,
        refs=line.refs,
        count=count,
        qty=line.qty,
        loss_bp=line.loss_bp,
        need=need.need,
        fitted=fitted,
        kitted=kitted,
        from_drawers=share.own,
        stood_in=stood_in,
        coming=coming,
        short=share.short,
        said=said,
    )


def why_sentence(part: read.PartRow, terms: list[Term], lacking: int, standing: Standing) -> str:
    """ "V-ECH81: 4 needed, 2 fitted, 1 of 1 on hand; 1 short."""
    unit = Unit(part.unit)
    if not terms:
        return f"{part.key}: no build needs it; {show_quantity(standing.on_hand.get(part.id, 0), unit)} on hand."

    def total(name: str) -> str:
        return show_quantity(sum(getattr(one, name) for one in terms), unit)

    said = f"{part.key}: {total('need')} needed"
    on_hand = show_quantity(standing.on_hand.get(part.id, 0), unit)
    for name, word in (
        ("fitted", "fitted"),
        ("kitted", "kitted"),
        ("from_drawers", f"of {on_hand} on hand"),
        ("stood_in", "by stand-ins"),
        ("coming", "coming"),
    ):
        if any(getattr(one, name) for one in terms):
            said += f", {total(name)} {word}"
    return f"{said}; {f'{show_quantity(lacking, unit)} short' if lacking else 'nothing is short'}."


def remarks(shop: Workshop, part: read.PartRow, standing: Standing) -> list[str]:
    """The stand-ins with what is free of them, and the orders that are under way, in words."""
    unit = Unit(part.unit)
    said = []
    approvals = [row for row in read.approvals(shop.reads, part.id) if row.part == part.id]
    others = read.parts_by_number(shop.reads, {row.alt for row in approvals})
    for row in approvals:
        other = others[row.alt]
        free = show_quantity(standing.free.get(row.alt, 0), Unit(other.unit))
        reason = f" ({row.reason})" if row.reason else ""
        said.append(
            f"{other.key} may stand in{reason}: {show_quantity(other.on_hand, Unit(other.unit))} on hand, {free} free."
        )
    for order in standing.coming.values():
        if order.part == part.id:
            due = f"due {order.when}" if order.when else "no day known"
            said.append(f"Order {order.ref} from {order.supplier} brings {show_quantity(order.qty, unit)}, {due}.")
    return said
