"""Lines of a parts list split in two, joined again, and put in another place."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from sqlmodel import col, select

from buildbook.actions.lists import held, read_line_qty
from buildbook.actions.reading import read_count
from buildbook.actions.rows import OF_LINES, cut_loose, remove, the
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains, Demand, explode, line_need
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting
from buildbook.store.read.naming import find_line, find_part
from buildbook.store.tables import Line, Part, StepLine, Stress
from buildbook.store.workshop import Workshop
from buildbook.trade.refdes import join_refs, read_refs


def split_line(shop: Workshop, line: str | int, some: str | int) -> int:
    """Put some of a line into a line of its own directly below, and return its number.

    `some` are designators of the line ("R3, R7"), with their share of the quantity, or a quantity (3, "200 mm") of a
    line without designators. What builds hold stays with the first line; raises Forbidden when it would be more than
    they need for what is left.
    """
    known = find_line(shop, line)
    unit = find_part(shop, known.part).unit
    with action(shop, f"Split {known.part} in {known.path}") as work:
        row = the(work, Line, known.id)
        part = _part_of(row, some, unit)
        row.qty -= part.qty
        row.refs = join_refs([ref for ref in read_refs(row.refs) if ref not in part.refs])
        _refuse_held(work, row)
        fields = row.model_dump(exclude={"id"}) | {"qty": part.qty, "refs": join_refs(part.refs)}
        (number,) = work.insert_many(Line, [fields])
        _fit_with(work, number, known.id)
        _bear_with(work, number, known.id)
        in_order = _in_order(work, row.assembly_id)
        in_order.remove(number)
        in_order.insert(in_order.index(known.id) + 1, number)
        _put_in_order(work, in_order)
    return number


class _Some(NamedTuple):
    refs: tuple[str, ...]
    qty: int


def _part_of(row: Line, some: str | int, unit: str) -> _Some:
    """What is split off: some designators with their share, or a quantity, and never all of it."""
    places = read_refs(row.refs)
    if isinstance(some, int) or not some.strip()[:1].isalpha():
        if places:
            raise BadInput(
                "The line was not split.",
                f"It has designators: {join_refs(places)}.",
                "Say which of them, such as R1, R4-R6.",
            )
        return _Some((), _less_than(read_line_qty(some, unit), row.qty))
    refs = read_refs(some)
    if missing := [ref for ref in refs if ref not in places]:
        raise BadInput("The line was not split.", f"{join_refs(missing)} is not in it.", "Check the designators.")
    if row.qty % len(places):
        raise BadInput(
            "The line was not split.",
            f"Its quantity of {row.qty} is not spread evenly over {len(places)} designators.",
            "Change the quantity first.",
        )
    _less_than(len(refs), len(places))
    return _Some(refs, row.qty // len(places) * len(refs))


def _less_than(part: int, whole: int) -> int:
    if part >= whole:
        raise BadInput("The line was not split.", "Nothing of it would be left.", "Name fewer.")
    return part


HELD = """
    SELECT h.build_id, b.code, b.assembly_id, b.units, sum(h.kitted + h.fitted)
      FROM holding AS h JOIN build AS b ON b.id = h.build_id WHERE h.line_id = ? GROUP BY h.build_id
"""


def _refuse_held(work: Work, row: Line) -> None:
    """Raise Forbidden when a build holds more than it needs for what is left of a line, all choices counted."""
    work.flush()
    links = [Contains(*link) for link in work.run(kitting.ALL_LINKS)]
    for build, code, assembly, units, many in work.run(HELD, (row.id,)).all():
        count = explode([Demand(build, assembly, units)], links).gross.get((build, row.assembly_id), 0)
        if many > line_need(count, row.qty, row.loss_bp):
            raise Forbidden(
                "The line was not split.",
                f"Build {code} holds {many} for it, more than is left of it.",
                "Give some back to the drawers first, or split off fewer.",
            )


def join_lines(shop: Workshop, line: str | int, other: str | int) -> int:
    """Add another line of the same list and part to a line, and return its number; the other line goes.

    Raises Forbidden when the two differ in more than quantity, designators and note, or a build holds (or has lost)
    parts for the one that goes.
    """
    first, second = find_line(shop, line), find_line(shop, other)
    with action(shop, f"Join {first.part} in {first.path}") as work:
        row, gone = the(work, Line, first.id), the(work, Line, second.id)
        if first.id == second.id or _kind_of(row) != _kind_of(gone):
            raise Forbidden(
                "The lines were not joined.",
                "They are not two lines of one list with the same part, answer, loss and mark of what is fitted.",
                "Make them alike first.",
            )
        if holders := kitting.holders_of_line(shop.reads, second.id):
            raise held("The lines were not joined.", holders)
        unit = the(work, Part, row.part_id).unit
        row.qty = read_line_qty(row.qty + gone.qty, unit)
        row.refs = join_refs([*read_refs(row.refs), *read_refs(gone.refs)])
        row.note = "\n".join(dict.fromkeys(note for note in (row.note, gone.note) if note))
        _fit_with(work, first.id, second.id)
        _bear_with(work, first.id, second.id)
        cut_loose(work, OF_LINES, [second.id])
        remove(work, gone)
    return first.id


def _fit_with(work: Work, line: int, model: int) -> None:
    """The steps that fit one line fit the other too."""
    steps = {
        tie: work.exec(select(StepLine.step_id).where(col(StepLine.line_id) == tie)).all() for tie in (line, model)
    }
    work.insert_many(StepLine, [{"step_id": step, "line_id": line} for step in steps[model] if step not in steps[line]])


def _bear_with(work: Work, line: int, model: int) -> None:
    """The parts of one line bear what those of the other do too; of one sort, the larger counts."""
    own = {row.what: row for row in work.exec(select(Stress).where(col(Stress.line_id) == line))}
    for other in work.exec(select(Stress).where(col(Stress.line_id) == model)).all():
        row = own.get(other.what)
        if row is None:
            work.add(Stress(line_id=line, what=other.what, micro=other.micro, note=other.note))
        elif row.micro < other.micro:
            row.micro, row.note = other.micro, other.note
    work.flush()


def _kind_of(row: Line) -> tuple[int, int, int | None, int, int]:
    return row.assembly_id, row.part_id, row.option_id, row.loss_bp, row.fitted


def move_line(shop: Workshop, line: str | int, position: int) -> int:
    """Give a line its place (1 is first) in its list, and return its number; the others make room."""
    known = find_line(shop, line)
    place = read_count(position, "as place")
    with action(shop, f"Move {known.part} in {known.path} to place {place}") as work:
        in_order = _in_order(work, the(work, Line, known.id).assembly_id)
        in_order.remove(known.id)
        in_order.insert(place - 1, known.id)
        _put_in_order(work, in_order)
    return known.id


def _in_order(work: Work, assembly: int) -> list[int]:
    """The lines of an assembly by number, as the list shows them."""
    statement = "SELECT id FROM line WHERE assembly_id = ? ORDER BY position, id"
    return [row[0] for row in work.run(statement, (assembly,))]


def _put_in_order(work: Work, lines: Iterable[int]) -> None:
    work.change_many(Line, {number: {"position": place} for place, number in enumerate(lines, 1)})
