"""Test sheets: does each board measure right?

Nothing here says that a thing is safe: it says what was read, and against which limits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.boards import walk
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.standing import builds_that_count, find_build
from buildbook.errors import BadInput
from buildbook.store.read import measuring as stored
from buildbook.store.read.boards import assemblies
from buildbook.store.read.formulas import Worked
from buildbook.store.read.kitting import inside
from buildbook.store.read.measuring import PointRow as Defined
from buildbook.store.read.measuring import ReadingRow
from buildbook.store.read.naming import find_assembly
from buildbook.store.read.naming import find_build as build_named
from buildbook.store.read.standing import BuildRow, builds, links
from buildbook.trade.limits import Limits, off_by, read_measured, say_measured, within, write_limits
from buildbook.trade.standards import source_of

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

TO_READ, WITHIN, OUT, READ = "to read", "within", "out", "read"


@dataclass(frozen=True, slots=True)
class PointRow:
    """One point of a test sheet, of one unit of a build, with its last reading.

    `point` is how it is named on the command line. Amounts are in SI units, `limits` says them in words. `state` is
    "to read", "within" or "out" of the limits, or "read" where there are none; `said` is the reading in words, `off`
    by how much it is above (or, less than nothing, below) the limits. `reading` is its number, 0 for none, `times` how
    often it was taken. `standard` is what asks for it, if one is named, and `source` where that stands.
    `held` names the steps that wait for it; `worked` is the formula that gives its limits, if any.
    """

    build: str
    assembly: str
    point: str
    code: str
    name: str
    unit: str
    nominal: float | None
    low: float | None
    high: float | None
    limits: str
    condition: str
    caution: str
    unit_number: int
    units: int
    state: str
    said: str
    reading: int
    value: float | None
    off: float
    text: str
    at: str
    note: str
    times: int
    held: tuple[str, ...]
    standard: str = ""
    source: str = ""
    worked: Worked | None = None


@dataclass(frozen=True, slots=True)
class Sheet(Answer):
    """The points of one test sheet or of all; those of a board stand before those of what it is built into."""

    SCHEMA: ClassVar[str] = "buildbook.sheet/1"
    rows: tuple[PointRow, ...]


def sheet(shop: Workshop, build: str | None = None, assembly: str | None = None) -> Sheet:
    """The test sheets of the build named, else of every build planned or under way; of one assembly when it is named.

    Raises BadInput for an unknown build or assembly.
    """
    rows = tuple(points(shop, build))
    if assembly is not None:
        home = find_assembly(shop, assembly, among=inside_of(shop, build))
        rows = tuple(row for row in rows if row.assembly == home.path)
        if not rows:
            return Sheet(f"{home.path} has no test points.", ())
    said = sheets_said(rows) or "no test point has been written down yet"
    return Sheet(f"{said[0].upper()}{said[1:]}.", rows)


def points(shop: Workshop, build: str | None = None) -> Iterator[PointRow]:
    """The points of those builds, board by board from the smallest up, each once for every unit."""
    sheets = stored.points(shop.reads)
    if not sheets:
        return
    wanted = _wanted(shop, build)
    known = assemblies(shop.reads)
    within_it: dict[int, list[int]] = {}
    for parent, child, _ in links(shop.reads):
        within_it.setdefault(parent, []).append(child)
    last = stored.last_readings(shop.reads, [one.id for one in wanted])
    held = stored.waiting_steps(shop.reads)
    for one in wanted:
        for number in from_the_bottom(walk(one.assembly_id, within_it, known)):
            for point in sheets.get(number, ()):
                waiting = tuple(held.get(point.id, ()))
                for unit in range(1, one.units + 1):
                    yield _point_row(one, point, unit, last.get((one.id, point.id, unit)), waiting)


def from_the_bottom(tree: Iterable[tuple[int, int]]) -> Iterator[int]:
    """The assemblies of a tree, given with their depths from the top down, each after those inside it.

    They are measured in that order: the boards first, then the unit that they are built into.

    >>> list(from_the_bottom([(1, 0), (2, 1), (3, 2), (4, 1)]))
    [3, 2, 4, 1]
    """
    above: list[tuple[int, int]] = []
    for number, depth in tree:
        while above and above[-1][1] >= depth:
            yield above.pop()[0]
        above.append((number, depth))
    yield from (number for number, _ in reversed(above))


def _wanted(shop: Workshop, build: str | None) -> tuple[BuildRow, ...]:
    if build is None:
        return builds_that_count(shop)
    one = find_build(builds(shop.reads), build)
    return (one,) if one else ()


def _point_row(
    build: BuildRow, point: Defined, unit_number: int, last: ReadingRow | None, held: tuple[str, ...]
) -> PointRow:
    limits = Limits(point.nominal, point.low, point.high)
    return PointRow(
        build=build.code,
        assembly=point.path,
        point=f"{point.path}/{point.code}",
        code=point.code,
        name=point.name,
        unit=point.unit,
        nominal=point.nominal,
        low=point.low,
        high=point.high,
        limits=write_limits(limits, point.unit),
        condition=point.condition,
        caution=point.caution,
        unit_number=unit_number,
        units=build.units,
        state=TO_READ if last is None else state_of(last.value, limits),
        said="" if last is None else _said(last, limits, point.unit),
        reading=last.id if last else 0,
        value=last.value if last else None,
        off=off_by(last.value, limits) if last else 0.0,
        text=last.text if last else "",
        at=last.at if last else "",
        note=last.note if last else "",
        times=last.times if last else 0,
        held=held,
        standard=point.standard,
        source=source_of(point.standard),
        worked=point.worked,
    )


def state_of(value: float, limits: Limits) -> str:
    """How a reading stands: "within" or "out" of its limits, or "read" where there are none."""
    if not limits.given:
        return READ
    return WITHIN if within(value, limits) else OUT


def _said(reading: ReadingRow, limits: Limits, unit: str) -> str:
    return say_measured(reading.value, limits, unit, beyond=beyond_of(reading.text, unit))


def beyond_of(text: str, unit: str) -> str:
    """Whether the instrument said that it is more (>) or less (<) than what stands there."""
    try:
        return read_measured(text, unit, Limits()).beyond
    except BadInput:
        return ""  # the unit of its point was changed by an undo since


def sheets_said(rows: Sequence[PointRow]) -> str:
    """How the test sheets stand: "9 of 24 points read, 1 out of limits"; nothing where there are none."""
    if not rows:
        return ""
    read, out = sum(row.state != TO_READ for row in rows), sum(row.state == OUT for row in rows)
    said = f"{read} of {count_of(len(rows), 'point')} read"
    said += f", {out} out of limits" if out else ""
    lost = sum(bool(formula_fault(row.worked)) for row in rows)
    return f"{said}, {count_of(lost, 'formula')} not worked out" if lost else said


def formula_fault(worked: Worked | None) -> str:
    """What stands in place of limits where a formula could not be worked out; nothing where it could."""
    return "formula not worked out" if worked and worked.fault else ""


def out_where(row: PointRow) -> str:
    """A snag's title from a reading: what was read where, and by how much it is out."""
    return f"{row.name or row.code}: {row.said}"


class OldReading(NamedTuple):
    """One reading of a point, as it stands against the limits of today."""

    at: str
    said: str
    note: str


def history(shop: Workshop, row: PointRow) -> list[OldReading]:
    """All readings of a point, of that unit of that build, the newest first."""
    at = stored.find_point(shop, row.point)
    limits = Limits(at.nominal, at.low, at.high)
    found = stored.history(shop.reads, at.id, build_named(shop, row.build).id, row.unit_number)
    return [OldReading(one.at, _said(one, limits, at.unit), one.note) for one in found]


def point_meant(shop: Workshop, text: str, build: str | None = None, unit_number: int = 1) -> PointRow:
    """The row of a point, by its name, of the one build that has it; BadInput when that is not clear."""
    known = stored.find_point(shop, text, among=inside_of(shop, build))
    rows = [row for row in points(shop, build) if row.point == known.path and row.unit_number == unit_number]
    if len(rows) == 1:
        return rows[0]
    if rows:
        codes = join_words([row.build for row in rows])
        raise BadInput(f"It is not clear which build is meant by {known.path}.", f"{codes} have it.", "Name --build.")
    raise BadInput(f"{known.path} is in no build that was asked for.", "", "Name its build, and a unit that it makes.")


def inside_of(shop: Workshop, build: str | None) -> set[int]:
    """The assemblies of those builds, at any depth."""
    return {one for known in _wanted(shop, build) for one in inside(shop.reads, known.assembly_id)}
