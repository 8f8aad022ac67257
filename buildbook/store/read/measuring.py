"""The rows behind the test sheets: points with their limits, readings, snags and tries; and what their names mean."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from buildbook.errors import BadInput
from buildbook.store.read.boards import PATH
from buildbook.store.read.formulas import Worked, worked_out
from buildbook.store.read.naming import unclear, unknown
from buildbook.trade.plain import fold, quote

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


class PointNamed(NamedTuple):
    """A test point; `path` is its name: the assembly's, and its own code. A formula, worked out, gives its limits."""

    id: int
    code: str
    assembly_id: int
    path: str
    name: str
    unit: str
    nominal: float | None
    low: float | None
    high: float | None
    worked: Worked | None = None


# Index: the unique one of test_point; points are few beside parts.
NAMED = f"""
    SELECT t.id, t.code, t.assembly_id, {PATH} || '/' || t.code, t.name, t.unit, t.nominal, t.low, t.high,
           p.code || '/' || a.code || '/' || t.code
      FROM test_point AS t JOIN assembly AS a ON a.id = t.assembly_id JOIN project AS p ON p.id = a.project_id
"""
BY_CODE = f"{NAMED} WHERE lower(t.code) = ? ORDER BY 4"
POINT_PATHS = f"""
    SELECT {PATH} || '/' || t.code
      FROM test_point AS t JOIN assembly AS a ON a.id = t.assembly_id JOIN project AS p ON p.id = a.project_id
"""


def seek_points(reads: sqlite3.Connection, text: str, among: Collection[int] = ()) -> list[PointNamed]:
    """The points named PROJECT/ASSEMBLY/CODE, or a tail of that; of several, those in the assemblies `among`."""
    wanted = fold(text)
    found = []
    for *row, full in reads.execute(BY_CODE, (wanted.rpartition("/")[2],)):
        point = PointNamed(*row)
        if any(f"/{fold(name)}".endswith(f"/{wanted}") for name in (point.path, full)):
            found.append(point)
    return [point for point in found if point.assembly_id in among] or found


def find_point(shop: Workshop, text: str, *, among: Collection[int] = ()) -> PointNamed:
    """The one point of that name; BadInput when there is none, or more than one."""
    found = seek_points(shop.reads, text, among)
    if not found:
        raise unknown("test point", text, (path for (path,) in shop.reads.execute(POINT_PATHS)))
    if len(found) > 1:
        raise unclear("test point", text, [point.path for point in found])
    return _limited(found[0], worked_out(shop.reads))


_Point = TypeVar("_Point", "PointNamed", "PointRow")


def _limited(point: _Point, worked: dict[int, Worked]) -> _Point:
    """The point with the limits that its formula gives, where it has one."""
    if point.id not in worked:
        return point
    nominal, low, high = worked[point.id].limits
    return point._replace(nominal=nominal, low=low, high=high, worked=worked[point.id])


class PointRow(NamedTuple):
    """A point of an assembly's test sheet, its limits in SI units."""

    id: int
    assembly: int
    path: str
    position: int
    code: str
    name: str
    unit: str
    nominal: float | None
    low: float | None
    high: float | None
    condition: str
    caution: str
    standard: str
    worked: Worked | None = None


# Index: the unique one of test_point.
POINTS = f"""
    SELECT t.id, t.assembly_id, {PATH}, t.position, t.code, t.name, t.unit, t.nominal, t.low, t.high, t.condition,
           t.caution, t.standard
      FROM test_point AS t JOIN assembly AS a ON a.id = t.assembly_id JOIN project AS p ON p.id = a.project_id
     ORDER BY t.assembly_id, t.position, t.id
"""


def points(reads: sqlite3.Connection) -> dict[int, list[PointRow]]:
    """The test sheet of each assembly that has one."""
    found: dict[int, list[PointRow]] = {}
    worked = worked_out(reads)
    for row in reads.execute(POINTS):
        found.setdefault(row[1], []).append(_limited(PointRow(*row), worked))
    return found


class ReadingRow(NamedTuple):
    """A reading of one unit of a build; `text` is what was typed, `value` the same in SI units; `times` how often."""

    id: int
    build: int
    point: int
    unit_number: int
    at: str
    text: str
    value: float
    note: str
    times: int


# Index: ix_reading_build_id. The last one written counts, as it does for the steps that it holds.
LAST = """
    SELECT r.id, r.build_id, r.point_id, r.unit_number, r.at, r.text, r.value, r.note, l.times
      FROM (SELECT max(id) AS id, count(*) AS times FROM reading
             WHERE build_id IN (SELECT value FROM json_each(?)) GROUP BY build_id, point_id, unit_number) AS l
      JOIN reading AS r ON r.id = l.id
"""


def last_readings(reads: sqlite3.Connection, builds: Iterable[int]) -> dict[tuple[int, int, int], ReadingRow]:
    """The last reading by build, point and unit."""
    rows = map(ReadingRow._make, reads.execute(LAST, (json.dumps(list(builds)),)))
    return {(row.build, row.point, row.unit_number): row for row in rows}


# Index: ix_reading_point_id.
HISTORY = """
    SELECT id, build_id, point_id, unit_number, at, text, value, note, 1 FROM reading
     WHERE point_id = ? AND build_id = ? AND unit_number = ? ORDER BY id DESC
"""


def history(reads: sqlite3.Connection, point: int, build: int, unit_number: int) -> list[ReadingRow]:
    """All readings of one point, of one unit of a build, the newest first."""
    return [ReadingRow._make(row) for row in reads.execute(HISTORY, (point, build, unit_number))]


# Index: ix_reading_point_id.
EVERY = """
    SELECT b.code, r.unit_number, r.at, r.text, r.value, r.note
      FROM reading AS r JOIN build AS b ON b.id = r.build_id
     WHERE r.point_id = ? ORDER BY r.id DESC
"""


class ReadAnywhere(NamedTuple):
    """A reading of a point, whatever the build and the unit."""

    build: str
    unit_number: int
    at: str
    text: str
    value: float
    note: str


def every_reading(reads: sqlite3.Connection, point: int) -> list[ReadAnywhere]:
    """All readings of one point over all builds and units, the newest first."""
    return [ReadAnywhere._make(row) for row in reads.execute(EVERY, (point,))]


# Index: the unique one of step_point.
WAITING = """
    SELECT h.point_id, s.name FROM step_point AS h JOIN step AS s ON s.id = h.step_id
       AND (s.option_id IS NULL OR s.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
     ORDER BY h.point_id, s.position, s.id
"""


def waiting_steps(reads: sqlite3.Connection) -> dict[int, list[str]]:
    """The names of the steps that wait for each point."""
    found: dict[int, list[str]] = {}
    for point, name in reads.execute(WAITING):
        found.setdefault(point, []).append(name)
    return found


class SnagRow(NamedTuple):
    """A fault of a build; `about` names the step or the assembly, and the reading that showed it is told in full."""

    id: int
    build_id: int
    build: str
    number: int
    title: str
    state: str
    opened_at: str
    closed_at: str
    cause: str
    about: str
    reading_id: int | None
    point: str
    unit: str
    nominal: float | None
    low: float | None
    high: float | None
    text: str
    value: float | None
    point_id: int = 0


# Indexes: the unique one of snag; primary keys of the rest.
SNAGS = f"""
    SELECT s.id, s.build_id, b.code, s.number, s.title, s.state, s.opened_at, s.closed_at, s.cause,
           coalesce({PATH} || coalesce(', ' || w.name, ''), ''), s.reading_id,
           coalesce(t.code, ''), coalesce(t.unit, ''), t.nominal, t.low, t.high, coalesce(r.text, ''), r.value,
           coalesce(t.id, 0)
      FROM snag AS s JOIN build AS b ON b.id = s.build_id
      LEFT JOIN reading AS r ON r.id = s.reading_id LEFT JOIN test_point AS t ON t.id = r.point_id
      LEFT JOIN step AS w ON w.id = s.step_id
      LEFT JOIN assembly AS a ON a.id = coalesce(s.assembly_id, w.assembly_id, t.assembly_id)
      LEFT JOIN project AS p ON p.id = a.project_id
     ORDER BY s.state <> 'open', s.opened_at DESC, s.id DESC
"""


def snags(reads: sqlite3.Connection) -> list[SnagRow]:
    """Every snag, the open ones first, the newest of each kind first."""
    worked = worked_out(reads)
    found = [SnagRow._make(row) for row in reads.execute(SNAGS)]
    for place, row in enumerate(found):
        if row.point_id in worked:
            nominal, low, high = worked[row.point_id].limits
            found[place] = row._replace(nominal=nominal, low=low, high=high)
    return found


class TryRow(NamedTuple):
    """One attempt at a snag, and what it showed."""

    at: str
    tried: str
    showed: str
    minutes: int | None
    joints: int


TRIES = "SELECT snag_id, at, tried, showed, minutes, joints FROM snag_try ORDER BY snag_id, id"


def tries(reads: sqlite3.Connection) -> dict[int, list[TryRow]]:
    """What was tried at each snag, the first attempt first."""
    found: dict[int, list[TryRow]] = {}
    for snag, *row in reads.execute(TRIES):
        found.setdefault(snag, []).append(TryRow._make(row))
    return found


class SnagNamed(NamedTuple):
    """A snag, of which build, and its state."""

    id: int
    build_id: int
    build: str
    number: int
    title: str
    state: str


NAMED_SNAGS = """
    SELECT s.id, s.build_id, b.code, s.number, s.title, s.state FROM snag AS s JOIN build AS b ON b.id = s.build_id
"""


def find_snag(shop: Workshop, text: str, *, build: str | None = None) -> SnagNamed:
    """The snag named BUILD/NUMBER, or NUMBER of the build given, or NUMBER alone where that is enough."""
    home, _, number = fold(text).replace(" ", "/").rpartition("/")
    home = home or fold(build or "")
    known = [SnagNamed._make(row) for row in shop.reads.execute(f"{NAMED_SNAGS} ORDER BY b.code, s.number")]
    found = [one for one in known if str(one.number) == number and home in ("", fold(one.build))]
    if len(found) == 1:
        return found[0]
    if found:
        raise unclear("snag", text, [f"{one.build}/{one.number} ({one.title})" for one in found])
    still_open = [f"{one.build}/{one.number} ({one.title})" for one in known if one.state == "open"]
    why = f"Open are {', '.join(still_open)}." if still_open else "None is open."
    raise BadInput(f"There is no snag {quote(text)[1:-1]}.", why, "Name one by its number, such as 3 or CURLEW/3.")
