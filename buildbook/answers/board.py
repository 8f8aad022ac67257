"""One section of a build: its parts list with where everything lies, and its checklist."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.boards import KitState, kit_state
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.standing import Standing, builds_that_count, find_build, stand
from buildbook.errors import BadInput
from buildbook.store.read import boards as read
from buildbook.store.read.boards import AssemblyRow, ListRow, StepRow
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

    `state` is one of: fitted, kitted, in the drawers, stand-in, coming, short, not fitted (by design), not chosen (its
    option is not), not needed (the build makes none of this section).
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


@dataclass(frozen=True, slots=True)
class Board(Answer):
    """One section: its parts list and its checklist, in one build (empty when no build needs it)."""

    SCHEMA: ClassVar[str] = "buildbook.board/1"
    build: str
    code: str
    name: str
    kind: str
    count: int
    kit: KitState
    lines: tuple[LineRow, ...]
    steps: tuple[StepRow, ...]


def find_assembly(assemblies: Iterable[AssemblyRow], text: str, project: str = "") -> AssemblyRow:
    """The assembly named PROJECT/CODE (PROJECT for its unit), or CODE where only one has it, or the one in `project`.

    Raises BadInput when there is none, or more than one.
    """
    known = list(assemblies)
    wanted = text.strip().upper()
    found = [row for row in known if wanted in row.names]
    at_home = [row for row in found if row.project == project]
    in_full = [row for row in found if wanted in row.names[:2]]
    for meant in (at_home, in_full, found):
        if len(meant) == 1:
            return meant[0]
    if found:
        paths = join_words([row.path for row in found])
        raise BadInput(f"{text} is not clear.", f"There are {paths}.", "Name one of them in full.")
    from difflib import get_close_matches

    near = get_close_matches(wanted, [name for row in known for name in row.names], 1)
    mend = f"Did you mean {near[0]}?" if near else "See `buildbook boards list`."
    raise BadInput(f"There is no assembly {text}.", "", mend)


def assembly_named(shop: Workshop, code: str) -> AssemblyRow:
    """The assembly of that name; raises BadInput as `find_assembly` does."""
    return find_assembly(read.assemblies(shop.reads).values(), code)


def board(shop: Workshop, code: str, build: str | None = None) -> Board:
    """The parts list and the checklist of one section, in the build named or the first that needs it."""
    asked = find_build(builds_that_count(shop), build)
    own = find_assembly(read.assemblies(shop.reads).values(), code, asked.project if asked else "")
    listed = read.parts_list(shop.reads, own.id)
    parts = {row.part for row in listed}
    known = builds_that_count(shop)
    standing = stand(shop, closely=[one.id for one in known], parts=parts)
    chosen = asked or first_user(own, known, standing)
    pairs = standing.lines_of(chosen.id) if chosen else []
    own_pairs = [pair for pair in pairs if pair[0].assembly == own.id]
    needs = {need.line: (need, share) for need, share in own_pairs}
    lying = read.bins(shop.reads, parts)
    keys = part_keys(shop.reads, {other.part for _, share in own_pairs for other in share.stood_in})
    rows = tuple(line_row(row, needs.get(row.id), standing, lying, keys) for row in listed)
    steps = tuple(read.checklist(shop.reads, chosen.id if chosen else 0, own.id))
    kit = kit_state(own_pairs, read.parts_in_bulk(shop.reads))
    return Board(
        sentence=sentence(own, kit, steps, chosen),
        build=chosen.code if chosen else "",
        code=own.path,
        name=own.name,
        kind=own.kind,
        count=standing.counts.get((chosen.id, own.id), 0) if chosen else 0,
        kit=kit,
        lines=rows,
        steps=steps,
    )


def first_user(own: AssemblyRow, known: Iterable[BuildRow], standing: Standing) -> BuildRow | None:
    """The build that the section is looked at for: one of its own project before one of another."""
    users = [build for build in known if standing.counts.get((build.id, own.id))]
    at_home = [build for build in users if build.project == own.project]
    return next(iter(at_home or users), None)


def line_row(
    row: ListRow,
    pair: tuple[LineNeed, Share] | None,
    standing: Standing,
    lying: Mapping[int, list[tuple[str, int]]],
    keys: Mapping[int, str],
) -> LineRow:
    """One line with its figures in the build; zeros where it does not count."""
    need, share = pair or (LineNeed(0, 0, row.id, row.part, 0, 0, 0, 0), None)
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
        state=line_state(row, need, share),
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


def sentence(own: AssemblyRow, kit: KitState, steps: tuple[StepRow, ...], build: BuildRow | None) -> str:
    """ "CURLEW/IF, IF board: waits for 1 line, due 2026-12-04; 4 of 38 pieces fitted; 2 of 9 steps done."."""
    title = f"{own.path}, {own.name}" if own.name else own.path
    if build is None:
        return f"{title}: no build needs it; {count_of(kit.lines, 'line')}, {count_of(len(steps), 'step')}."
    due = f", due {kit.due_on}" if kit.due_on else ""
    words = {
        "short": f"{count_of(kit.short_lines, 'line')} short",
        "waits": f"waits for {count_of(kit.waiting_lines, 'line')}{due}",
        "no parts": "no parts",
    }
    said = [words.get(kit.word, kit.word)]
    if kit.need:
        said.append(f"{kit.fitted} of {kit.need} fitted, {kit.kitted} kitted")
    if steps:
        said.append(
            f"{sum(step.state in ('done', 'dropped') for step in steps)} of {count_of(len(steps), 'step')} done"
        )
    return f"{title} for {build.code}: {'; '.join(said)}."


def lacking_in_words(shop: Workshop, short: Iterable[tuple[int, int]]) -> list[str]:
    """So much of such a part for such a line, in words: "2 of C-100N-630V (C4, C5)"."""
    lacking = list(short)
    rows = {row[0]: row[1:] for row in read.named_lines(shop.reads, [line for line, _ in lacking])}
    said = []
    for line, qty in lacking:
        key, refs, unit = rows[line]
        said.append(f"{show_quantity(qty, Unit(unit))} of {key}" + (f" ({refs})" if refs else ""))
    return said
