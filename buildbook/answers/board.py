"""One section of a build: its parts list with where everything lies, and its checklist."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.boards import KitState, kit_state, none_made
from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import Standing, builds_that_count, find_build, stand
from buildbook.store.read import boards as read
from buildbook.store.read.boards import AssemblyRow, HeldRow, ListRow, StepRow
from buildbook.store.read.naming import find_assembly
from buildbook.store.read.snags import open_snags
from buildbook.store.read.standing import BuildRow, LineNeed
from buildbook.store.read.stores import part_keys
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.reckon.cover import Share
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class InBin:
    """So many in a bin."""

    bin: str
    qty: int


@dataclass(frozen=True, slots=True)
class StandInUse:
    """So many of another part, to be taken in place of the one wanted."""

    key: str
    qty: int


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of a parts list, and how it stands in the build.

    `state` is one of: give back (`surplus` of it is held and not needed), fitted, kitted, in the drawers, stand-in,
    coming, short, not fitted (by design), not chosen (its option is not), not needed (the build makes none of it).
    """

    line: int
    refs: str
    key: str
    kind: str
    name: str
    value: str
    package: str
    maker_number: str
    unit: str
    qty: int
    loss_bp: int
    option: str
    note: str
    state: str
    need: int
    fitted: int
    kitted: int
    from_drawers: int
    stand_ins: tuple[StandInUse, ...]
    coming: int
    due_on: str
    short: int
    on_hand: int
    bins: tuple[InBin, ...]
    surplus: int


@dataclass(frozen=True, slots=True)
class Board(Answer):
    """One section: its parts list, checklist and open snags, in one build (empty when no build needs it)."""

    SCHEMA: ClassVar[str] = "buildbook.board/1"
    build: str
    code: str
    name: str
    kind: str
    count: int
    kit: KitState
    lines: tuple[LineRow, ...]
    steps: tuple[StepRow, ...]
    snags: tuple[str, ...] = ()


def assembly_named(shop: Workshop, text: str, project_id: int = 0) -> AssemblyRow:
    """The assembly named PROJECT/CODE (PROJECT for its unit), or CODE where that is enough or at home in the project.

    Raises BadInput when there is none, naming the nearest, or more than one.
    """
    return read.assemblies(shop.reads)[find_assembly(shop, text, project_id=project_id).id]


def builds_making(shop: Workshop, code: str) -> list[str]:
    """The codes of the builds that make some of an assembly, the first in priority first.

    Raises BadInput as `assembly_named` does.
    """
    own = assembly_named(shop, code)
    standing = stand(shop, parts=())
    return [build.code for build in standing.builds if standing.counts.get((build.id, own.id))]


def board(shop: Workshop, code: str, build: str | None = None) -> Board:
    """The parts list and the checklist of one section, in the build named or the first that needs it."""
    known = builds_that_count(shop)
    meant = find_build(known, build)
    asked = meant if build else None
    own = assembly_named(shop, code, meant.project_id if meant else 0)
    listed = read.parts_list(shop.reads, own.id)
    parts = {row.part for row in listed}
    standing = stand(shop, closely=[one.id for one in known], parts=parts)
    chosen = asked or first_user(own, known, standing)
    pairs = standing.lines_of(chosen.id) if chosen else []
    own_pairs = [pair for pair in pairs if pair[0].assembly == own.id]
    needs = {need.line: (need, share) for need, share in own_pairs}
    lying = read.bins(shop.reads, parts)
    keys = part_keys(shop.reads, {other.part for _, share in own_pairs for other in share.stood_in})
    held = {row.line: row for row in read.held_lines(shop.reads, chosen.id)} if chosen else {}
    rows = tuple(line_row(row, needs.get(row.id), held.get(row.id), standing, lying, keys) for row in listed)
    steps = tuple(read.checklist(shop.reads, chosen.id if chosen else 0, own.id))
    count = standing.counts.get((chosen.id, own.id)) if chosen else None
    kit = kit_state(own_pairs, read.parts_in_bulk(shop.reads)) if count or not chosen else none_made(count)
    kit = replace(kit, surplus_lines=sum(1 for row in rows if row.surplus))
    faults = open_snags(shop.reads, chosen.id).get(own.id, []) if chosen else []
    return Board(
        sentence=board_sentence(own, kit, len(rows), steps, chosen, snags=len(faults)),
        build=chosen.code if chosen else "",
        code=own.path,
        name=own.name,
        kind=own.kind,
        count=count or 0,
        kit=kit,
        lines=rows,
        steps=steps,
        snags=tuple(f"{chosen.code if chosen else ''}/{one.number} {one.title}" for one in faults),
    )


def first_user(own: AssemblyRow, known: Iterable[BuildRow], standing: Standing) -> BuildRow | None:
    """The build that the section is looked at for: one that makes it, of its own project before one of another."""
    counts = {build: standing.counts.get((build.id, own.id)) for build in known}
    users = [build for build, count in counts.items() if count]
    # Where all of it is ready-made, the build that takes it off the shelf.
    users = users or [build for build, count in counts.items() if count is not None]
    at_home = [build for build in users if build.project == own.project]
    return next(iter(at_home or users), None)


def line_row(
    row: ListRow,
    pair: tuple[LineNeed, Share] | None,
    held: HeldRow | None,
    standing: Standing,
    lying: Mapping[int, list[tuple[str, int]]],
    keys: Mapping[int, str],
) -> LineRow:
    """One line with its figures in the build; zeros where it does not count, but for what is held all the same."""
    kitted, fitted = (held.kitted, held.fitted) if held else (0, 0)
    need, share = pair or (LineNeed(0, 0, row.id, row.part, 0, fitted, kitted, 0), None)
    surplus = max(0, kitted + fitted - need.need)
    return LineRow(
        line=row.id,
        refs=row.refs,
        key=row.key,
        kind=row.kind,
        name=row.name,
        value=row.value,
        package=row.package,
        maker_number=row.maker_number,
        unit=row.unit,
        qty=row.qty,
        loss_bp=row.loss_bp,
        option=row.option,
        note=row.note,
        state="give back" if surplus else line_state(row, need, share),
        need=need.need,
        fitted=need.fitted,
        kitted=need.kitted,
        from_drawers=share.own if share else 0,
        stand_ins=tuple(StandInUse(keys[other.part], other.qty) for other in share.stood_in) if share else (),
        coming=sum(due.qty for due in share.coming) if share else 0,
        due_on=standing.due(share) if share else "",
        short=share.short if share else 0,
        on_hand=standing.on_hand.get(row.part, 0),
        bins=tuple(InBin(name, qty) for name, qty in lying.get(row.part, ())),
        surplus=surplus,
    )


def line_state(row: ListRow, need: LineNeed, share: Share | None) -> str:
    """The one word for a line."""
    if not row.fitted:
        return "not fitted"
    if share is None:
        return "not needed" if row.chosen else "not chosen"
    if not need.want:
        return "fitted" if need.fitted >= need.need else "kitted"
    if share.short:
        return "short"
    if share.coming:
        return "coming"
    return "stand-in" if share.stood_in else "in the drawers"


def board_sentence(
    own: AssemblyRow, kit: KitState, listed: int, steps: tuple[StepRow, ...], build: BuildRow | None, *, snags: int = 0
) -> str:
    """ "CURLEW/IF, IF board: waits for 1 line, due 2026-12-04; 4 of 38 fitted, 2 kitted; 2 of 9 steps done."."""
    title = f"{own.path}, {own.name}" if own.name else own.path
    if build is None:
        return f"{title}: no build needs it; {count_of(listed, 'line')}, {count_of(len(steps), 'step')}."
    if build.code != own.project:
        title += f", for {build.code}"
    due = f", due {kit.due_on}" if kit.due_on else ""
    words = {
        "fitted": f"all {kit.need} fitted",
        "short": f"{count_of(kit.short_lines, 'line')} short",
        "waits": f"waits for {count_of(kit.waiting_lines, 'line')}{due}",
    }
    said = [words.get(kit.word, kit.word)]
    if kit.need and kit.word != "fitted":
        said.append(f"{kit.fitted} of {kit.need} fitted" + (f", {kit.kitted} kitted" if kit.kitted else ""))
    if kit.surplus_lines:
        said.append(f"{count_of(kit.surplus_lines, 'line')} to give back")
    if steps:
        done = sum(step.state in ("done", "dropped") for step in steps)
        said.append(f"{done} of {count_of(len(steps), 'step')} done")
    said += [f"{count_of(snags, 'snag')} open"] if snags else []
    return f"{title}: {'; '.join(said)}."


def lacking_in_words(shop: Workshop, short: Iterable[tuple[int, int]]) -> list[str]:
    """So much of such a part for such a line, in words: "2 of C-100N-630V (C4, C5)"."""
    lacking = list(short)
    lines = read.named_lines(shop.reads, [line for line, _ in lacking])
    said = []
    for number, qty in lacking:
        line = lines[number]
        said.append(f"{show_quantity(qty, Unit(line.unit))} of {line.key}" + (f" ({line.refs})" if line.refs else ""))
    return said
