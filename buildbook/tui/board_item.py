"""What a row of Boards is about: a section of a build, one of its lines, or one of its steps."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, cast

from buildbook.tui.rows import Row

if TYPE_CHECKING:
    from buildbook.answers.board import LineRow
    from buildbook.answers.boards import BoardRow
    from buildbook.store.read.boards import StepRow

BEHIND = ("done", "dropped")
# The states of a line that something can be fitted for now.
FITTABLE = ("kitted", "in the drawers", "stand-in")


class Section(NamedTuple):
    """A section by its full name (PROJECT/CODE), in a build; the build is empty where none needs the section."""

    build: str
    code: str


class Item(NamedTuple):
    """What a row is about; of `whole`, `line` and `step` one is there at most. `place` names a step as the log does."""

    section: Section
    whole: BoardRow | None = None
    line: LineRow | None = None
    step: StepRow | None = None
    place: str = ""


def item_of(row: Row) -> Item:
    """What a row is about."""
    return cast(Item, row.about)


def line_name(line: LineRow) -> str:
    """A line as people name it: by its designators and its part, or by its part alone."""
    return f"{line.refs} {line.key}" if line.refs else line.key


def line_key(number: int) -> str:
    """How the row of a line is known again."""
    return f"line {number}"


def step_key(number: int) -> str:
    """How the row of a step is known again."""
    return f"step {number}"
