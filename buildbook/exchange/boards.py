"""Parts lists in: a foreign list is understood row by row, matched to our parts, compared with ours, and applied."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers import catalogue as known
from buildbook.answers.board import assembly_named
from buildbook.answers.form import count_of
from buildbook.errors import BadInput
from buildbook.exchange.described import Described, says_not_fitted
from buildbook.exchange.gathering import Asked, Gathering, Plan, keeping_all, refuse_unsettled, skipped
from buildbook.exchange.matching import says_no_value
from buildbook.reckon.difference import Difference, ListLine, difference
from buildbook.trade.plain import quote
from buildbook.trade.refdes import join_refs, read_refs
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.actions.incoming import Remembered
    from buildbook.actions.workshop import Workshop

PURPOSE = "parts list"
_YES = ("yes", "y", "ja", "true", "1", "x", "✓", "✔", "*", "ok")
_NO = ("no", "n", "nein", "false", "0", "-")
_CROSSED = ("✗", "✘")
_FIT = ("fit", "fitted", "populate", "populated", "place", "placed", "mount", "mounted", "assemble", "assembled")
_LEFT = [f"{no} {word}" for no in ("not", "do not") for word in _FIT]
_LEAVE = ("dnf", "dnp", "dni", "dnm", "nofit", "no fit", "omit", "unpopulated", *_LEFT)
# What a cell says under a heading such as "Fitted", and what under one such as "DNF", where a cross is a mark.
_FITTED = {**dict.fromkeys(_YES + _FIT, True), **dict.fromkeys(_NO + _CROSSED + _LEAVE, False)}
_NOT_FITTED = {**dict.fromkeys(_NO + _FIT, True), **dict.fromkeys(_YES + _CROSSED + _LEAVE, False)}
SAYS_FITTED = {"fitted": _FITTED, "not fitted": _NOT_FITTED}
MOST_LOSS_BP = 100_00
# More pieces than that in one line are a slip of the keyboard.
MOST_PIECES = 1_000_000
ROOM = 60
NOTHING_CHANGED = Difference((), (), (), ())


class Entry(NamedTuple):
    """One row of a list, understood as far as that goes without knowing the part."""

    row: int
    ref_text: str
    refs: tuple[str, ...]
    qty_text: str
    fitted: bool
    option: int | None
    loss_bp: int
    note: str
    said: Described


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan together with what applying it needs."""

    path: Path
    plan: Plan
    difference: Difference
    remembered: Remembered


@keeping_all()
def prepare(shop: Workshop, path: Path, into: str, asked: Asked = Asked()) -> Prepared:  # noqa: B008 (frozen)
    """Understand a parts list and work out what taking it into an assembly would do.

    Raises BadInput when the file is no list at all, or when there is no such assembly.
    """
    home = assembly_named(shop, into)
    gathering = Gathering.begin(shop, path, PURPOSE, asked)
    options = known.options(shop, home.project)
    present = known.present_lines(shop, home.id)
    agreed = {(line.refs, line.qty) for line in present if line.refs}
    entries = []
    lines = []
    for row, cells in gathering.listed.rows:
        entry = read_entry(gathering, row, cells, options)
        if entry is None:
            continue
        entries.append(entry)
        more = "" if entry.fitted else ", not fitted"
        part = gathering.part(row, entry.said, entry.ref_text, entry.qty_text, more)
        line = read_line(gathering, entry, part, asked.trust, agreed) if part is not None else None
        if line is not None:
            lines.append(line)
    note_doubled(gathering, entries)
    if not gathering.settled:
        return Prepared(path, gathering.plan(home.path), NOTHING_CHANGED, gathering.remembered())
    new = merged(lines, present)
    changed = difference(present, new) if present else Difference(tuple(new), (), (), ())
    did = (
        f"{count_of(len(changed.added), 'new line')}, {len(changed.gone)} gone, "
        f"{len(changed.changed)} changed, {len(changed.same)} the same"
    )
    plan = gathering.plan(home.path, did, list(in_words(changed, gathering)) if present else [])
    return Prepared(path, plan, changed, gathering.remembered())


def apply(shop: Workshop, prepared: Prepared) -> str:
    """Take the list in, as one action; return what was done in a sentence.

    Raises BadInput while a row is at fault or a question is open.
    """
    from buildbook.actions.lists import apply_list

    name, plan = prepared.path.name, prepared.plan
    refuse_unsettled(prepared.path, plan)
    done = apply_list(
        shop,
        plan.into,
        prepared.difference,
        new_parts=plan.new_parts,
        title=f"Take {name} into {plan.into}",
        remembered=prepared.remembered,
    )
    return (
        f"Took {name} into {plan.into}: {count_of(done.added, 'line')} added, {done.gone} gone, "
        f"{done.changed} changed, {done.same} the same, {count_of(done.parts, 'new part')}{skipped(plan)}."
    )


# --- one row ---------------------------------------------------------------------------------------------------------


def read_entry(gathering: Gathering, row: int, cells: Sequence[str], options: Mapping[str, int]) -> Entry | None:
    """Read one row; None, and faults, when something is wrong with it, or when it fits nothing that it names."""
    columns = gathering.listed.columns
    before = len(gathering.faults)
    refs: tuple[str, ...] = ()
    ref_text = columns.cell(cells, "ref")
    if ref_text:
        try:
            refs = read_refs(ref_text)
        except BadInput as error:
            gathering.fault(row, "ref", error.why)
    said = gathering.described(row, cells, refs[0] if refs else "")
    note = gathering.note(row, cells) if "note" in columns.places else ""
    fitted = read_fitted(gathering, row, cells)
    option = read_option(gathering, row, cells, options) if "option" in columns.places else None
    loss_bp = read_loss(gathering, row, cells) if "loss" in columns.places else 0
    if said is None or len(gathering.faults) > before:
        return None
    if fitted is None:
        fitted = not (said.not_fitted or (note and says_not_fitted(note)))
    if not fitted and (not said.names_a_part or says_no_value(said)):
        gathering.left_out(row, ref_text, note, "no part, not fitted")
        return None
    return Entry(row, ref_text, refs, columns.cell(cells, "qty"), fitted, option, loss_bp, note, said)


def read_fitted(gathering: Gathering, row: int, cells: Sequence[str]) -> bool | None:
    """Whether the row is to be fitted, by a column that says so or by one that says not; None when neither does."""
    found = None
    places = gathering.listed.columns.places
    for word, says_fitted in SAYS_FITTED.items():
        if word not in places or not (text := cells[places[word]]):
            continue
        found = says_fitted.get(text.casefold())
        if found is None:
            gathering.fault(row, word, f"{quote(text)} is neither yes nor no.")
        if not found:
            return found
    return found


def read_option(gathering: Gathering, row: int, cells: Sequence[str], options: Mapping[str, int]) -> int | None:
    """The candidate answer that a row belongs to: QUESTION:ANSWER, or ANSWER alone where that is clear."""
    text = gathering.listed.columns.cell(cells, "option")
    if not text:
        return None
    wanted = text.upper()
    found = [number for name, number in options.items() if wanted in (name.upper(), name.upper().partition(":")[2])]
    if len(found) == 1:
        return found[0]
    there = ", ".join(options) or "none"
    gathering.fault(row, "option", f"There is no option {quote(text)}; the project has {there}.")
    return None


def read_loss(gathering: Gathering, row: int, cells: Sequence[str]) -> int:
    """An allowance for loss in 1/100 %, from `5`, `5 %` or `2.5%`."""
    text = gathering.listed.columns.cell(cells, "loss")
    if not text:
        return 0
    whole, _, part = text.removesuffix("%").strip().replace(",", ".").partition(".")
    if not ((whole + part).isascii() and whole.isdigit() and len(part) <= 2 and (part or "0").isdigit()):
        gathering.fault(row, "loss", f"{quote(text)} is no allowance in percent, such as 5 or 2.5 %.")
        return 0
    loss_bp = int(whole[:6]) * 100 + int(part.ljust(2, "0"))
    if loss_bp > MOST_LOSS_BP:
        gathering.fault(row, "loss", f"{quote(text)} is more than 100 %.")
        return 0
    return loss_bp


def read_line(
    gathering: Gathering, entry: Entry, part: int, trust: str, agreed: Container[tuple[tuple[str, ...], int]]
) -> ListLine | None:
    """The row as a line of ours. Pieces must be as many as their designators; lengths and such need not.

    `agreed` are designators and quantities that differ in the present list already: those are taken as they are.
    """
    counted = len(entry.refs)
    pieces = gathering.unit(part) is Unit.PC
    qty: int | None = counted
    if entry.qty_text:
        qty = gathering.quantity(entry.row, "qty", entry.qty_text, part)
        if qty is None:
            return None
    if qty == 0 and counted and not entry.fitted:
        qty = counted  # what is not fitted is often counted as nothing
    why = wrong_with(qty or 0, entry, pieces=pieces)
    if pieces and counted and qty != counted and not why and trust != "qty" and (entry.refs, qty) not in agreed:
        if trust != "refs":
            why = f"The quantity is {qty}, but {shorten(entry.ref_text)} makes {counted} (--trust refs or qty decides)."
        qty = counted
    if why:
        gathering.fault(entry.row, "qty", why)
        return None
    return ListLine(None, part, qty or 0, entry.refs, entry.fitted, entry.note, entry.loss_bp, entry.option)


def wrong_with(qty: int, entry: Entry, *, pieces: bool) -> str:
    """What cannot be about a quantity by itself."""
    if qty == 0:
        return "The quantity is nothing." if entry.qty_text else "It has neither a quantity nor a designator."
    if pieces and qty > MOST_PIECES:
        return f"{qty:,} pieces are more than any board takes ({MOST_PIECES:,} at most)."
    return ""


# --- the list as a whole ---------------------------------------------------------------------------------------------


def note_doubled(gathering: Gathering, entries: Sequence[Entry]) -> None:
    """A designator in two rows is at fault, unless the rows belong to different options."""
    seen: dict[tuple[str, int | None], int] = {}
    for entry in entries:
        twice: dict[int, list[str]] = {}
        for ref in entry.refs:
            earlier = seen.setdefault((ref, entry.option), entry.row)
            if earlier != entry.row:
                twice.setdefault(earlier, []).append(ref)
        for earlier, refs in twice.items():
            verb = "stands" if len(refs) == 1 else "stand"
            gathering.fault(entry.row, "ref", f"{shorten(join_refs(refs))} {verb} in row {earlier} already.")


def merged(lines: Sequence[ListLine], present: Sequence[ListLine]) -> list[ListLine]:
    """Rows with designators that are alike in all else are one line, unless they are apart in the present list.

    So a list with one row a designator comes back as the lines that it was written from.
    """
    home = {(ref, line.part, line.option): line.line for line in present for ref in line.refs}
    stands = [home.get((line.refs[0], line.part, line.option)) if line.refs else None for line in lines]
    alike = [(line.part, line.fitted, line.note, line.loss_bp, line.option) for line in lines]
    # What stands nowhere yet goes with the first that is alike.
    first = {sort: place for sort, place in zip(reversed(alike), reversed(stands), strict=True) if place is not None}
    found: dict[object, list[ListLine]] = {}
    for number, (line, sort, place) in enumerate(zip(lines, alike, stands, strict=True)):
        found.setdefault((sort, place or first.get(sort)) if line.refs else number, []).append(line)
    return [some[0] if len(some) == 1 else as_one(some) for some in found.values()]


def as_one(lines: Sequence[ListLine]) -> ListLine:
    """Several lines, alike in all but quantity and designators, in one."""
    refs = tuple(chain.from_iterable(line.refs for line in lines))
    return replace(lines[0], qty=sum(line.qty for line in lines), refs=refs)


def in_words(changed: Difference, gathering: Gathering) -> Iterable[str]:
    """What is added, gone and changed, line by line."""

    def named(line: ListLine) -> str:
        quantity = show_quantity(line.qty, gathering.unit(line.part))
        return f"{join_refs(line.refs) or quantity} {gathering.matching.key_of(line.part)}"

    yield from (f"added: {named(line)}" for line in changed.added)
    yield from (f"gone: {named(line)}" for line in changed.gone)
    yield from (f"changed: {named(one.after)}: {', '.join(one.what)}" for one in changed.changed)


def shorten(refs: str) -> str:
    """Designators, as far as they have room in a sentence."""
    return refs if len(refs) <= ROOM else f"{refs[:ROOM]}..."
