"""Checks on the command line, the history of a test point over all builds and units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, Db, opened
from buildbook.cli.show import Column, filled, local_time, show

if TYPE_CHECKING:
    from buildbook.answers.point_history import PastReading

Point = Annotated[
    str, typer.Argument(metavar="POINT", show_default=False, help="Its code, ASSEMBLY/CODE or PROJECT/ASSEMBLY/CODE.")
]


def columns(rows: Sequence[PastReading]) -> list[Column[PastReading]]:
    """When, of what, what was read, how far inside its limits."""
    several = any(row.unit_number > 1 for row in rows)
    found: list[Column[PastReading]] = [
        Column("when", lambda row: local_time(row.at, day=True)),
        Column("build", lambda row: row.build),
        Column("unit", lambda row: str(row.unit_number) if several else "", right=True),
        Column("reading", lambda row: row.said),
        Column("margin", lambda row: "" if row.margin is None else f"{row.margin * 100:.3g} %", right=True),
        Column("note", lambda row: row.note, shrink=True),
    ]
    return filled(found, rows)


def history(point: Point, *, db: Db = None, as_json: AsJson = False) -> None:
    """What a test point read over all builds and units: mean, spread, lowest and highest, how near its limits.

    \b
    Example:
      buildbook checks history WREN/AMP/NOISE
    """
    from buildbook.answers.point_history import point_history

    with opened(db) as shop:
        answer = point_history(shop, point)
    show(answer, columns(answer.rows), as_json=as_json)
