"""What is defined: projects, assemblies, parts lists, choices and steps."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index, UniqueConstraint, text

from buildbook.store.tables.base import STRICT, Row, at_least, link, whole, words, yes_or_no


class Project(Row, table=True):
    """A thing designed."""

    __tablename__ = "project"
    __table_args__ = (at_least("consumables_bp", 0), STRICT)
    code: str = words(..., unique=True)
    name: str = words()
    consumables_bp: int = whole(0)
    note: str = words()


class Assembly(Row, table=True):
    """A node of the product tree: board, case, panel, harness or unit."""

    __tablename__ = "assembly"
    __table_args__ = (
        UniqueConstraint("project_id", "code"),
        CheckConstraint("kind IN ('board', 'case', 'panel', 'harness', 'unit')", name="kind_known"),
        at_least("ready_made", 0),
        STRICT,
    )
    project_id: int = link("project", index=False)
    code: str = words(...)
    name: str = words()
    kind: str = words("board")
    position: int = whole(0)
    ready_made: int = whole(0)
    note: str = words()


class Choice(Row, table=True):
    """A design question with candidate answers."""

    __tablename__ = "choice"
    __table_args__ = (
        UniqueConstraint("project_id", "code"),
        CheckConstraint("state IN ('open', 'chosen', 'shelved')", name="state_known"),
        STRICT,
    )
    project_id: int = link("project", index=False)
    code: str = words(...)
    question: str = words()
    state: str = words("open")
    reason: str = words()


class Option(Row, table=True):
    """One candidate answer; while it is the chosen one, its lines and assemblies count."""

    __tablename__ = "choice_option"
    __table_args__ = (
        UniqueConstraint("choice_id", "code"),
        yes_or_no("chosen"),
        Index("one_chosen_option", "choice_id", unique=True, sqlite_where=text("chosen = 1")),
        STRICT,
    )
    choice_id: int = link("choice", index=False)
    code: str = words(...)
    name: str = words()
    chosen: int = whole(0)


class Contains(Row, table=True):
    """An assembly inside another, so many times."""

    __tablename__ = "contains"
    __table_args__ = (
        Index("contained_once", "parent_id", "child_id", text("coalesce(option_id, 0)"), unique=True),
        CheckConstraint("parent_id <> child_id", name="not_inside_itself"),
        at_least("qty", 1),
        STRICT,
    )
    parent_id: int = link("assembly", index=False)
    child_id: int = link("assembly")
    qty: int = whole(1)
    option_id: int | None = link("choice_option", optional=True)


class Line(Row, table=True):
    """One row of an assembly's parts list."""

    __tablename__ = "line"
    __table_args__ = (
        at_least("qty", 1),
        at_least("loss_bp", 0),
        yes_or_no("fitted"),
        # They hold all that a count of needs looks at, so that it never turns to the rows themselves.
        Index("line_of_assembly", "assembly_id", "part_id", "qty", "loss_bp", "fitted", "option_id"),
        Index("line_of_part", "part_id", "assembly_id", "qty", "loss_bp", "fitted", "option_id"),
        STRICT,
    )
    assembly_id: int = link("assembly", index=False)
    part_id: int = link("part", index=False)
    position: int = whole(0)
    qty: int = whole(1)
    refs: str = words()
    fitted: int = whole(1)
    loss_bp: int = whole(0)
    option_id: int | None = link("choice_option", optional=True)
    note: str = words()
