"""What is carried out: builds, and how far each step of them has got."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Text, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, later, link, whole, words


class Build(Row, table=True):
    """One run of a project: so many units of an assembly, with a place in the order of priority."""

    __tablename__ = "build"
    __table_args__ = (
        CheckConstraint("state IN ('planned', 'active', 'finished', 'dropped')", name="state_known"),
        at_least("units", 1),
        STRICT,
    )
    code: str = words(..., unique=True)
    project_id: int = link("project")
    assembly_id: int = link("assembly")
    units: int = whole(1)
    priority: int = whole(1)
    state: str = words("active")
    target_on: str = words()
    note: str = words()


class StepRun(Row, table=True):
    """How far a step has got in a build; no row means not begun.

    In hand, its clock runs since `resumed_at`, or stands still where that is empty; `minutes` is what was spent before.
    `signed` says what was checked at a hold point, `signed_by` by whom, and `early` that it was begun before what ought
    to come first.
    """

    __tablename__ = "step_run"
    __table_args__ = (
        UniqueConstraint("build_id", "step_id"),
        CheckConstraint("state IN ('in hand', 'waiting', 'done', 'dropped')", name="state_known"),
        STRICT,
    )
    build_id: int = link("build", index=False)
    step_id: int = link("step")
    state: str = words("done")
    started_at: str = words()
    finished_at: str = words()
    minutes: int | None = whole(None, nullable=True)
    resumed_at: str = later(Text, "")
    signed_at: str = later(Text, "")
    signed: str = later(Text, "")
    early: str = later(Text, "")
    signed_by: str = later(Text, "")
