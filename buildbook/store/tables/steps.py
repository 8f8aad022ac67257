"""The steps of a project: work, waits, what each comes after, and what else holds it."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Text, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, later, link, whole, words, yes_or_no


class Step(Row, table=True):
    """A piece of work: hands-on minutes, then perhaps an unattended wait.

    `occupies` is what is taken while it waits: the assembly where it is empty, nothing at all where it says so, or a
    place by its name, such as the oven. `wait_kind` is the kind of wait in the trade's words: dry, cure, soak, cool,
    charge. `checks` are what a signature at a hold point confirms, one on each line. A step that comes with a candidate
    answer counts while that is the chosen one.
    """

    __tablename__ = "step"
    __table_args__ = (
        CheckConstraint("0 <= low_min AND low_min <= likely_min AND likely_min <= high_min", name="minutes_in_order"),
        CheckConstraint("0 <= wait_low_min AND wait_low_min <= wait_high_min", name="wait_in_order"),
        yes_or_no("one_way"),
        yes_or_no("hold_point"),
        STRICT,
    )
    assembly_id: int = link("assembly")
    position: int = whole(0)
    name: str = words(...)
    work: str = words()
    low_min: int = whole(0)
    likely_min: int = whole(0)
    high_min: int = whole(0)
    wait_low_min: int = whole(0)
    wait_high_min: int = whole(0)
    one_way: int = whole(0)
    hold_point: int = whole(0)
    caution: str = words()
    wait_kind: str = later(Text, "")
    occupies: str = later(Text, "")
    tools: str = later(Text, "")
    checks: str = later(Text, "")
    option_id: int | None = link("choice_option", optional=True)


class StepNeed(Row, table=True):
    """What must be done (FS) or begun (SS) before a step, with the least wait between."""

    __tablename__ = "step_need"
    __table_args__ = (
        UniqueConstraint("step_id", "needs_id"),
        CheckConstraint("step_id <> needs_id", name="not_itself"),
        CheckConstraint("link IN ('FS', 'SS')", name="link_known"),
        at_least("wait_min", 0),
        STRICT,
    )
    step_id: int = link("step", index=False)
    needs_id: int = link("step")
    link: str = words("FS")
    wait_min: int = whole(0)


class StepLine(Row, table=True):
    """A line of the parts list that a step fits: the step is held until it is kitted."""

    __tablename__ = "step_line"
    __table_args__ = (UniqueConstraint("step_id", "line_id"), STRICT)
    step_id: int = link("step", index=False)
    line_id: int = link("line")


class StepQuestion(Row, table=True):
    """An open question that holds a step."""

    __tablename__ = "step_question"
    __table_args__ = (UniqueConstraint("step_id", "choice_id"), STRICT)
    step_id: int = link("step", index=False)
    choice_id: int = link("choice")


class StepPoint(Row, table=True):
    """A test point whose reading must be taken, and within limits, before a step."""

    __tablename__ = "step_point"
    __table_args__ = (UniqueConstraint("step_id", "point_id"), STRICT)
    step_id: int = link("step", index=False)
    point_id: int = link("test_point")


class StepWaived(Row, table=True):
    """A pair of steps whose natural order does not matter here."""

    __tablename__ = "step_waived"
    __table_args__ = (UniqueConstraint("step_id", "before_id"), STRICT)
    step_id: int = link("step", index=False)
    before_id: int = link("step")
    reason: str = words()
