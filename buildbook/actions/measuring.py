"""Test sheets: points with their limits, the steps that wait for them, and what was measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.formulas import change_formula, read_point_formula
from buildbook.actions.reading import read_code, read_count, read_text
from buildbook.actions.rows import OF_POINTS, cut_loose, put, remove, seek, taken, the
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting
from buildbook.store.read.measuring import PointNamed, find_point
from buildbook.store.read.naming import find_assembly, find_build, find_step
from buildbook.store.tables import Build, Reading, StepPoint, TestPoint
from buildbook.store.workshop import Workshop
from buildbook.trade.amounts import read_unit, unit_in
from buildbook.trade.limits import Limits, read_limits, read_measured, say_measured, within, write_limits
from buildbook.trade.plain import clean
from buildbook.trade.standards import standard_named

# What limits are called, in the singular, where they are not as they were seen.
LIMITS = "set_of_limits"


@dataclass(frozen=True, slots=True)
class NewPoint:
    """A point to be written down; `limits` as the trade writes them ("13 to 15 V", "4k7 5%", "max 0.1 ohm").

    Without a `unit`, the one that stands in the limits is meant. A `standard` of trade.standards gives limits where
    none are typed. A `formula` of parts, supplies and what it gives
    ("HT * R2 / (R1 + R2) where HT = 250 V 5 %") stands in place of limits; `spread` is "worst", "rss" or nothing.
    """

    code: str
    name: str = ""
    limits: str = ""
    unit: str = ""
    condition: str = ""
    caution: str = ""
    standard: str = ""
    formula: str = ""
    spread: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading that was taken: its number, the point, how it stands, and whether it is out of the limits."""

    number: int
    point: str
    said: str
    out: bool


def add_point(shop: Workshop, assembly: str, point: NewPoint) -> str:
    """Add a point at the end of the test sheet of an assembly and return its full name."""
    return add_points(shop, assembly, [point])[0]


def add_points(shop: Workshop, assembly: str, points: Sequence[NewPoint]) -> list[str]:
    """Add points at the end of the test sheet of an assembly, in one action, and return their full names."""
    home = find_assembly(shop, assembly)
    if not points:
        raise BadInput("No point was written down.", "None is given.", "Name one or more.")
    title = f"Test points {', '.join(clean(point.code).upper() for point in points)} on {home.path}"
    with action(shop, clean(title, limit=20_000)) as work:
        last = work.exec(select(func.max(TestPoint.position)).where(col(TestPoint.assembly_id) == home.id)).one() or 0
        for place, point in enumerate(points, last + 1):
            row = _point_row(point, home.id, place)
            row.formula, row.spread = read_point_formula(shop, home.id, home.project_id, point)
            if seek(work, TestPoint, assembly_id=home.id, code=row.code):
                raise taken("test point", f"{home.path}/{row.code}")
            put(work, row)
    return [f"{home.path}/{read_code(point.code, 'test point')}" for point in points]


def _point_row(point: NewPoint, assembly: int, position: int) -> TestPoint:
    code = read_code(point.code, "test point")
    standard = standard_named(point.standard) if clean(point.standard) else None
    typed = point.limits if standard is None or clean(point.limits) else standard.limits
    unit = _unit(point.unit, typed, code)
    limits = read_limits(typed, unit)
    return TestPoint(
        assembly_id=assembly,
        position=position,
        code=code,
        name=clean(point.name),
        unit=unit,
        nominal=limits.nominal,
        low=limits.low,
        high=limits.high,
        condition=read_text(point.condition, "condition"),
        caution=read_text(point.caution, "caution"),
        standard=standard.name if standard else "",
    )


def _unit(unit: str, limits: str, code: str) -> str:
    found = read_unit(unit) if clean(unit) else unit_in(limits)
    if not found:
        raise BadInput(f"{code} was not written down.", "It does not say in what it is measured.", "Give its unit.")
    return found


def change_point(
    shop: Workshop,
    point: str,
    *,
    code: str | None = None,
    name: str | None = None,
    limits: str | None = None,
    unit: str | None = None,
    condition: str | None = None,
    caution: str | None = None,
    standard: str | None = None,
    formula: str | None = None,
    spread: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> str:
    """Change what is given of a point and return its full name; readings are held to the new limits from now on.

    New limits stand in place of a formula, and a formula in place of limits. In `expected`, `limits` are in words.
    Raises Forbidden when readings were taken in another unit.
    """
    known = find_point(shop, point)
    fields = {"name": name, "condition": condition, "caution": caution}
    with action(shop, f"Change test point {known.path}") as work:
        row = the(work, TestPoint, known.id)
        before = Limits(*known.worked.limits) if known.worked else Limits(row.nominal, row.low, row.high)
        shown = {**row.model_dump(), LIMITS: write_limits(before, row.unit)}
        seen = {LIMITS if name == "limits" else name: value for name, value in (expected or {}).items()}
        refuse_stale(f"Test point {known.path}", shown, seen)
        if code is not None:
            _rename(work, row, read_code(code, "test point"), known.path.rpartition("/")[0])
        new_unit = row.unit if unit is None else read_unit(unit)
        if new_unit != row.unit:
            _refuse_read(work, row.id or 0, known.path, "changed to another unit")
            if limits is None and before != Limits() and not row.formula:
                raise BadInput(f"{known.path} was not changed.", "Its limits are in another unit.", "Give them anew.")
            row.unit = new_unit
        if limits is not None:
            row.nominal, row.low, row.high = read_limits(limits, new_unit)
            row.formula, row.spread = "", ""
        change_formula(work, shop, row, formula, spread)
        for field, text in fields.items():
            if text is not None:
                setattr(row, field, clean(text) if field == "name" else read_text(text, field))
        if standard is not None:
            row.standard = standard_named(standard).name if clean(standard) not in ("", "-") else ""
        now = row.code
    return f"{known.path.rpartition('/')[0]}/{now}"


def _rename(work: Work, row: TestPoint, code: str, home: str) -> None:
    other = seek(work, TestPoint, assembly_id=row.assembly_id, code=code)
    if other is not None and other.id != row.id:
        raise taken("test point", f"{home}/{code}")
    row.code = code


def _refuse_read(work: Work, point: int, path: str, done: str) -> None:
    row = seek(work, Reading, point_id=point)
    if row is not None:
        raise Forbidden(f"{path} was not {done}.", f"A reading was taken there: {row.text}.", "It stays on record.")


def drop_point(shop: Workshop, point: str) -> None:
    """Take a point off its sheet, and free the steps that wait for it. Raises Forbidden once a reading was taken."""
    known = find_point(shop, point)
    with action(shop, f"Take test point {known.path} away") as work:
        _refuse_read(work, known.id, known.path, "taken away")
        cut_loose(work, OF_POINTS, [known.id])
        remove(work, the(work, TestPoint, known.id))


def read(shop: Workshop, build: str, point: str, text: str, *, unit_number: int = 1, note: str = "") -> Taken:
    """Write down what was measured at a point, of one unit of a build; it says how that stands against the limits.

    A reading that was wrong is taken back by undo, or taken again: the last one counts. Raises BadInput for what is no
    amount of the point's unit, for a point that is not in the build, and for a unit that the build does not have.
    """
    known = find_build(shop, build)
    tree = kitting.inside(shop.reads, known.assembly_id)
    at = find_point(shop, point, among=tree)
    if at.assembly_id not in tree:
        raise BadInput("The reading was not taken.", f"{at.path} is no part of {known.code}.", "Name another build.")
    limits = Limits(at.nominal, at.low, at.high)
    value, beyond = read_measured(text, at.unit, limits)
    said = say_measured(value, limits, at.unit, beyond=beyond)
    with action(shop, f"Read {at.path}{_of_unit(unit_number)}: {said}", build_id=known.id) as work:
        units = the(work, Build, known.id).units
        read_count(unit_number, f"as the unit of {known.code}", most=units)
        row = Reading(build_id=known.id, point_id=at.id, at=work.at, text=clean(text), value=value)
        row.unit_number, row.note = unit_number, read_text(note, "note")
        number = put(work, row)
    return Taken(number, at.path, said, not within(value, limits))


def _of_unit(number: int) -> str:
    return f", unit {number}" if number > 1 else ""


def hold_step_by_point(shop: Workshop, step: str | int, point: str) -> str:
    """Hold a step until a point has been read and keeps its limits, and return a sentence that says so."""
    known, at = find_step(shop, step), _near(shop, step, point)
    with action(shop, f"{known.name} waits for the reading {at.path}") as work:
        if seek(work, StepPoint, step_id=known.id, point_id=at.id) is None:
            put(work, StepPoint(step_id=known.id, point_id=at.id))
    return f"{known.name} is held until {at.path} has been read and keeps its limits."


def let_go_of_point(shop: Workshop, step: str | int, point: str) -> str:
    """No longer hold a step for a reading, and return a sentence that says so."""
    known, at = find_step(shop, step), _near(shop, step, point)
    with action(shop, f"{known.name} no longer waits for the reading {at.path}") as work:
        row = seek(work, StepPoint, step_id=known.id, point_id=at.id)
        if row is None:
            raise Forbidden(f"{known.name} does not wait for {at.path}.", "", "There is no such link.")
        remove(work, row)
    return f"{known.name} does not wait for {at.path} any more."


def _near(shop: Workshop, step: str | int, point: str) -> PointNamed:
    """The point of that name, that of the step's own assembly first."""
    return find_point(shop, point, among={find_step(shop, step).assembly_id})
