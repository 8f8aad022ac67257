"""What an assembly is made of: the lines of its parts list, one by one or a whole list at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.counting import LARGE_AT_LEAST, LINE_AT_MOST, LOSS_AT_MOST_BP, refuse_too_many
from buildbook.actions.incoming import NOTHING, NewPart, Remembered, make_parts, remember
from buildbook.actions.reading import read_count, read_qty, read_text
from buildbook.actions.rows import OF_LINES, change, cut_loose, put, remove, the
from buildbook.actions.seen import refuse_stale
from buildbook.errors import Forbidden
from buildbook.reckon.difference import Difference, ListLine
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting
from buildbook.store.read.naming import find_assembly, find_line, find_option, find_part
from buildbook.store.tables import Line, Part
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean
from buildbook.trade.refdes import join_refs, read_refs


def add_line(
    shop: Workshop,
    assembly: str,
    part: str,
    qty: int | str | None = None,
    refs: str = "",
    *,
    fitted: bool = True,
    loss_bp: int = 0,
    option: str | None = None,
    note: str = "",
) -> int:
    """Add a line at the end of a parts list and return its number.

    Without a quantity there are as many as designators, or one. `loss_bp` is the allowance for loss in 1/100 %; with an
    option (QUESTION:ANSWER of the assembly's project) the line counts only while that answer is chosen.
    """
    home, known = find_assembly(shop, assembly), find_part(shop, part)
    designators = read_refs(refs)
    row = Line(assembly_id=home.id, part_id=known.id, refs=join_refs(designators), fitted=int(fitted))
    row.qty = max(1, len(designators)) if qty is None else read_line_qty(qty, known.unit)
    row.loss_bp = read_loss(loss_bp)
    row.option_id = find_option(shop, home.project_id, option).id if option else None
    row.note = read_text(note, "note")
    with action(shop, f"Add {known.key} to {home.path}") as work:
        row.position = last_position(work, home.id) + 1
        number = put(work, row)
        _refuse_too_much(work, row)
        return number


def read_line_qty(qty: int | str, unit: str) -> int:
    """The quantity of a line, in base units."""
    return read_qty(qty, unit, most=LINE_AT_MOST)


def _refuse_too_much(work: Work, row: Line) -> None:
    """Only a very large line costs a look at all that the builds make."""
    if row.qty * (10_000 + row.loss_bp) > LARGE_AT_LEAST:
        refuse_too_many(work)


def change_line(
    shop: Workshop,
    line: str | int,
    *,
    part: str | None = None,
    qty: int | str | None = None,
    refs: str | None = None,
    fitted: bool | None = None,
    loss_bp: int | None = None,
    option: str | None = None,
    note: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> int:
    """Change what is given of a line, named by its number or such as IF/R12; an empty option takes it away.

    Its part cannot change for another counted in another unit while a build holds parts for it.
    """
    known = find_line(shop, line)
    new = find_part(shop, part or known.part)
    project = find_assembly(shop, known.path).project_id
    with action(shop, f"Change {known.part} in {known.path}") as work:
        row = the(work, Line, known.id)
        if expected:
            refuse_stale(f"Line {known.id}", seen_of(work, row), expected, find_part(shop, known.part).unit)
        if new.unit != find_part(shop, known.part).unit and (holders := kitting.holders_of_line(shop.reads, known.id)):
            raise held(f"The part of line {known.id} was not changed.", holders)
        change(
            row,
            part_id=new.id,
            qty=None if qty is None else read_line_qty(qty, new.unit),
            refs=None if refs is None else join_refs(read_refs(refs)),
            fitted=None if fitted is None else int(fitted),
            loss_bp=None if loss_bp is None else read_loss(loss_bp),
            note=None if note is None else read_text(note, "note"),
        )
        if option is not None:
            row.option_id = find_option(shop, project, option).id if option else None
        _refuse_too_much(work, row)
    return known.id


# Index: the primary keys.
OPTION = """
    SELECT c.code || ':' || o.code FROM choice_option AS o JOIN choice AS c ON c.id = o.choice_id WHERE o.id = ?
"""


def seen_of(work: Work, row: Line) -> dict[str, Any]:
    """A line by the names of what may be changed of it: its part by key, its option as QUESTION:ANSWER."""
    option = work.run(OPTION, (row.option_id,)).scalar() if row.option_id else ""
    return {**row.model_dump(), "part": the(work, Part, row.part_id).key, "option": option}


def drop_line(shop: Workshop, line: str | int) -> None:
    """Take a line out of a parts list. Raises Forbidden while a build holds, or has lost, parts for it."""
    known = find_line(shop, line)
    with action(shop, f"Take {known.part} off the list of {known.path}") as work:
        if holders := kitting.holders_of_line(shop.reads, known.id):
            raise held(f"{known.part} was not taken off the list of {known.path}.", holders)
        cut_loose(work, OF_LINES, [known.id])
        remove(work, the(work, Line, known.id))


class Applied(NamedTuple):
    """What a list that came in did: parts made, lines added, taken off, changed and left."""

    parts: int
    added: int
    gone: int
    changed: int
    same: int


def apply_list(
    shop: Workshop,
    assembly: str,
    difference: Difference,
    *,
    new_parts: Sequence[NewPart] = (),
    title: str = "",
    remembered: Remembered = NOTHING,
) -> Applied:
    """Bring the parts list of an assembly to what the difference says, all at once.

    Parts of `new_parts` have no number yet: in the difference -1 means the first of them, -2 the second, and so on.
    Raises Forbidden when a line that goes is held by a build, and when the list has been changed meanwhile.
    """
    home = find_assembly(shop, assembly)
    with action(shop, clean(title) or f"Take in the parts list of {home.path}") as work:
        made = make_parts(work, new_parts)
        remember(work, remembered)
        rows = {row.id: row for row in work.exec(select(Line).where(col(Line.assembly_id) == home.id))}
        for before in difference.gone:
            row = _unchanged(rows.get(before.line), before)
            if holders := kitting.holders_of_line(shop.reads, row.id or 0):
                raise held(f"The list of {home.path} was not taken in: {before_refs(before)} would go.", holders)
            cut_loose(work, OF_LINES, [row.id or 0])
            work.delete(row)
        for changed in difference.changed:
            row = _unchanged(rows.get(changed.before.line), changed.before)
            change(row, **_fields(changed.after, made))
            row.option_id = changed.after.option
        last = last_position(work, home.id)
        new = [
            {"assembly_id": home.id, "position": last + place, **_fields(line, made)}
            for place, line in enumerate(difference.added, 1)
        ]
        work.insert_many(Line, new)
        refuse_too_many(work)
    return Applied(
        len(made), len(difference.added), len(difference.gone), len(difference.changed), len(difference.same)
    )


def before_refs(line: ListLine) -> str:
    """How a line is named to people: by its designators, or by its number."""
    return join_refs(line.refs) or f"line {line.line}"


def _unchanged(row: Line | None, before: ListLine) -> Line:
    """The row, after making sure that it still is what the difference took it for."""
    if row is None or (row.part_id, row.qty, row.option_id) != (before.part, before.qty, before.option):
        raise Forbidden(
            "The list was not taken in.", "The present list has been changed meanwhile.", "Compare the two again."
        )
    return row


def _fields(line: ListLine, made: Sequence[int]) -> dict[str, Any]:
    return {
        "part_id": made[-line.part - 1] if line.part < 0 else line.part,
        "qty": read_count(line.qty, "of a part", most=LINE_AT_MOST),
        "refs": join_refs(line.refs),
        "fitted": int(line.fitted),
        "loss_bp": read_loss(line.loss_bp),
        "option_id": line.option,
        "note": read_text(line.note, "note"),
    }


def read_loss(loss_bp: int) -> int:
    """An allowance for loss, in 1/100 %."""
    return read_count(loss_bp, "hundredths of a per cent", least=0, most=LOSS_AT_MOST_BP)


def last_position(work: Work, assembly: int) -> int:
    """The position of the last line of an assembly; 0 when it has none."""
    return work.exec(select(func.max(Line.position)).where(col(Line.assembly_id) == assembly)).one() or 0


def held(what: str, holders: Sequence[str]) -> Forbidden:
    """The error for a line that builds hold parts for."""
    return Forbidden(what, f"Parts for it are held by {' and '.join(holders)}.", "Give them back to the drawers first.")
