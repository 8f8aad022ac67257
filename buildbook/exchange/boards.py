"""Parts lists in: a foreign list is understood row by row, matched to our parts, compared with ours, and applied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers import catalogue as known
from buildbook.answers.board import assembly_named
from buildbook.answers.form import count_of
from buildbook.errors import BadInput
from buildbook.exchange.described import Described
from buildbook.exchange.gathering import Asked, Gathering, Plan, refuse_unsettled
from buildbook.exchange.intake import Fault
from buildbook.reckon.difference import Difference, ListLine, difference
from buildbook.trade.refdes import join_refs, natural_key, read_refs
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.actions.incoming import Remembered
    from buildbook.actions.workshop import Workshop

PURPOSE = "parts list"
YES = frozenset(("yes", "y", "true", "1", "x", "fit", "fitted", "populate", "populated", "placed", "mounted", "ok"))
NO = frozenset(("no", "n", "false", "0", "-", "not fitted", "do not fit", "dnf", "dnp", "nofit", "no fit", "omit"))
MOST_LOSS_BP = 100_00


class Entry(NamedTuple):
    """One row of a list, understood as far as that goes without knowing the part."""

    row: int
    refs: tuple[str, ...]
    qty_text: str
    fitted: bool
    option: int | None
    loss_bp: int
    said: Described


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan together with what applying it needs."""

    path: Path
    plan: Plan
    difference: Difference
    remembered: Remembered


def prepare(shop: Workshop, path: Path, into: str, asked: Asked = Asked()) -> Prepared:  # noqa: B008 (frozen)
    """Understand a parts list and work out what taking it into an assembly would do.

    Raises BadInput when the file is no list at all, or when there is no such assembly.
    """
    home = assembly_named(shop, into)
    gathering = Gathering.begin(shop, path, PURPOSE, asked)
    options = known.options(shop, home.project)
    entries = []
    lines = []
    for row, cells in gathering.listed.rows:
        entry = read_entry(gathering, row, cells, options)
        if entry is None:
            continue
        entries.append(entry)
        part = gathering.part(row, entry.said, join_refs(entry.refs), entry.qty_text)
        line = read_line(gathering, entry, part, asked.trust) if part is not None else None
        if line is not None:
            lines.append(line)
    gathering.faults.extend(doubled(entries))
    changed = difference(known.present_lines(shop, home.id), merged(lines))
    did = [
        f"{count_of(len(changed.added), 'line')} new",
        f"{len(changed.gone)} gone",
        f"{len(changed.changed)} changed",
        f"{len(changed.same)} the same",
    ]
    plan = gathering.plan(home.path, did, in_words(changed, gathering))
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
        f"{done.changed} changed, {done.same} the same, {count_of(done.parts, 'new part')}."
    )


# --- one row ---------------------------------------------------------------------------------------------------------


def read_entry(gathering: Gathering, row: int, cells: Sequence[str], options: Mapping[str, int]) -> Entry | None:
    """Read one row; None, and faults, when something is wrong with it."""
    columns = gathering.listed.columns
    before = len(gathering.faults)
    refs: tuple[str, ...] = ()
    if text := columns.cell(cells, "ref").strip():
        try:
            refs = read_refs(text)
        except BadInput as error:
            gathering.fault(row, "ref", error.why)
    said = gathering.described(row, cells, refs[0] if refs else "")
    fitted = read_fitted(gathering, row, cells)
    option = read_option(gathering, row, columns.cell(cells, "option").strip(), options)
    loss_bp = read_loss(gathering, row, columns.cell(cells, "loss").strip())
    if said is None or len(gathering.faults) > before:
        return None
    return Entry(row, refs, columns.cell(cells, "qty").strip(), fitted, option, loss_bp, said)


def read_fitted(gathering: Gathering, row: int, cells: Sequence[str]) -> bool:
    """Whether the row is to be fitted: by a column that says so, or by one that says not."""
    for word, no in (("fitted", NO), ("not fitted", YES | {"dnf", "dnp", "do not fit", "not fitted"})):
        text = gathering.listed.columns.cell(cells, word).strip().casefold()
        if text in no:
            return False
        if text and text not in (YES if word == "fitted" else NO):
            gathering.fault(row, word, f"{text[:40]!r} is neither yes nor no.")
    return True


def read_option(gathering: Gathering, row: int, text: str, options: Mapping[str, int]) -> int | None:
    """The candidate answer that a row belongs to: QUESTION:ANSWER, or ANSWER alone where that is clear."""
    if not text:
        return None
    wanted = text.upper()
    found = [number for name, number in options.items() if wanted in (name.upper(), name.upper().partition(":")[2])]
    if len(found) == 1:
        return found[0]
    there = ", ".join(options) or "none"
    gathering.fault(row, "option", f"There is no option {text[:40]!r}; the project has {there}.")
    return None


def read_loss(gathering: Gathering, row: int, text: str) -> int:
    """An allowance for loss in 1/100 %, from `5`, `5 %` or `2.5%`."""
    plain = text.removesuffix("%").strip().replace(",", ".")
    if not plain:
        return 0
    whole, _, part = plain.partition(".")
    if not (whole.isascii() and whole.isdigit() and len(part) <= 2 and (part or "0").isdigit()):
        gathering.fault(row, "loss", f"{text[:40]!r} is no allowance in percent.")
        return 0
    loss_bp = int(whole) * 100 + int(part.ljust(2, "0"))
    if loss_bp > MOST_LOSS_BP:
        gathering.fault(row, "loss", f"{text[:40]} is more than 100 %.")
        return 0
    return loss_bp


def read_line(gathering: Gathering, entry: Entry, part: int, trust: str) -> ListLine | None:
    """The row as a line of ours. Pieces with designators must agree with them; lengths and such need not."""
    counted = len(entry.refs)
    unit = gathering.unit(part)
    qty: int | None = counted
    if entry.qty_text:
        qty = gathering.quantity(entry.row, "qty", entry.qty_text, unit)
        if qty is None:
            return None
    if qty == 0:
        said = "The quantity is nothing." if entry.qty_text else "It has neither a quantity nor a designator."
        gathering.fault(entry.row, "qty", said)
        return None
    if unit is Unit.PC and counted and qty != counted and trust != "qty":
        if trust != "refs":
            why = f"The quantity is {qty}, but {join_refs(entry.refs)} are {counted} (--trust refs or qty decides)."
            gathering.fault(entry.row, "qty", why)
            return None
        qty = counted
    return ListLine(None, part, qty or 0, entry.refs, entry.fitted, entry.said.note, entry.loss_bp, entry.option)


# --- the list as a whole ---------------------------------------------------------------------------------------------


def doubled(entries: Sequence[Entry]) -> list[Fault]:
    """A designator in two rows is at fault, unless the rows belong to different options."""
    seen: dict[tuple[str, int | None], int] = {}
    faults = []
    for entry in entries:
        for ref in entry.refs:
            earlier = seen.setdefault((ref, entry.option), entry.row)
            if earlier != entry.row:
                faults.append(Fault(entry.row, "designator", f"{ref} stands in row {earlier} already."))
    return faults


def merged(lines: Sequence[ListLine]) -> list[ListLine]:
    """Rows alike in all but quantity and designators are one line."""
    found: dict[ListLine, list[ListLine]] = {}
    for line in lines:
        found.setdefault(replace(line, qty=0, refs=()), []).append(line)
    return [
        replace(
            alike,
            qty=sum(line.qty for line in some),
            refs=tuple(sorted((ref for line in some for ref in line.refs), key=natural_key)),
        )
        for alike, some in found.items()
    ]


def in_words(changed: Difference, gathering: Gathering) -> list[str]:
    """What is added, gone and changed, line by line."""

    def named(line: ListLine) -> str:
        quantity = show_quantity(line.qty, gathering.unit(line.part))
        return f"{join_refs(line.refs) or quantity} {gathering.matching.key_of(line.part)}"

    said = [f"added: {named(line)}" for line in changed.added]
    said += [f"gone: {named(line)}" for line in changed.gone]
    said += [f"changed: {named(one.after)}: {', '.join(one.what)}" for one in changed.changed]
    return said
