"""The readings behind the plots: every one of a build, and the last one of a point in each build."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from typing import NamedTuple


class TakenRow(NamedTuple):
    """A reading of one unit of a build, in SI units; `point` is the number of its test point."""

    build: str
    point: int
    unit_number: int
    at: str
    value: float


# Indexes: the unique one of build's code, ix_reading_build_id.
OF_BUILDS = """
    SELECT b.code, r.point_id, r.unit_number, r.at, r.value
      FROM build AS b JOIN reading AS r ON r.build_id = b.id
     WHERE b.code IN (SELECT value FROM json_each(?)) ORDER BY r.id
"""


def of_builds(reads: sqlite3.Connection, builds: Iterable[str]) -> list[TakenRow]:
    """All readings of those builds, in the order in which they were taken."""
    return [TakenRow._make(row) for row in reads.execute(OF_BUILDS, (json.dumps(list(builds)),))]


# Indexes: ix_reading_point_id, primary keys. The last one written counts, as it does on the test sheet.
LAST_OF_POINT = """
    SELECT b.code, r.point_id, r.unit_number, r.at, r.value
      FROM (SELECT max(id) AS id FROM reading WHERE point_id = ? GROUP BY build_id, unit_number) AS l
      JOIN reading AS r ON r.id = l.id JOIN build AS b ON b.id = r.build_id
     ORDER BY r.at, r.id
"""


def last_of_point(reads: sqlite3.Connection, point: int) -> list[TakenRow]:
    """The last reading of a point in each unit of each build, the oldest first."""
    return [TakenRow._make(row) for row in reads.execute(LAST_OF_POINT, (point,))]
