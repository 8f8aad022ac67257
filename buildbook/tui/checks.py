"""Checks on the screen: is the design inside its limits, what is to be decided, and does each board measure right?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui import checks_points as points
from buildbook.tui import checks_questions as questions
from buildbook.tui import checks_snags as snags
from buildbook.tui import checks_supply as supply
from buildbook.tui.checks_make import make
from buildbook.tui.checks_value import value
from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.measuring import PointRow
    from buildbook.answers.snags import SnagRow
    from buildbook.answers.supply import SupplyLine


class Checks(Place):
    """The questions of the design, the supplies, the test points board by board, the snags with the open ones first."""

    KEY: ClassVar[str] = "5"
    NAME: ClassVar[str] = "Checks"
    QUESTION: ClassVar[str] = "Is the design inside its limits, and does each board measure right?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every question, every supply, every point, every snag."""
        from buildbook.answers.checks import checks

        answer = checks(shop, build)
        columns = (
            Column("state"),
            Column("which", shrink=True, least=12),
            Column("in words", shrink=True, least=36),
            Column("answer, limits", shrink=True, least=9, rank=1),
        )
        rows = [questions.choice_row(row) for row in answer.rows]
        rows += supply.supply_rows(answer.supplies)
        rows += points.point_rows(answer.points, {row.key for row in rows})
        rows += snags.snag_rows(answer.snags)
        remark = answer.beyond if rows else f"Ask a question of the design with +. {answer.beyond}"
        return View(answer.sentence, columns, rows, remark)

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The readings of a point; questions and snags bring their lines along."""
        if not points.is_point(row):
            return row.fold or ()
        from buildbook.answers.measuring import history

        one = cast("PointRow", row.about)
        return points.point_lines(one, history(shop, one))

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """How the reading stands against the limits; the reason that was given, the tries."""
        if supply.is_supply(row):
            return supply.supply_why(cast("SupplyLine", row.about))
        return points.point_why(cast("PointRow", row.about)) if points.is_point(row) else row.fold or ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note on a point is about its board, and one on a snag about its build."""
        if points.is_point(row):
            point = cast("PointRow", row.about)
            return {"assembly": point.assembly, "build": point.build}
        return {"build": cast("SnagRow", row.about).build} if snags.is_snag(row) else {}


async def go_on(desk: Desk) -> None:
    """Settle the question, load the supply, read the point, add a try to the snag."""
    row = desk.row
    if points.is_point(row):
        await points.take(desk)
    elif supply.is_supply(row):
        await supply.add_load(desk)
    elif snags.is_snag(row):
        await snags.add_try(desk)
    else:
        await questions.settle(desk)


async def put_off(desk: Desk) -> None:
    """Put the question off; take the point or the supply away."""
    row = desk.row
    if points.is_point(row):
        await points.drop_point(desk, cast("PointRow", row.about))
    elif supply.is_supply(row):
        await supply.drop_supply(desk)
    elif snags.is_snag(row):
        desk.say("A snag stays on record; c closes it, with its cause.")
    else:
        await questions.shelve(desk)


async def reopen(desk: Desk) -> None:
    """Open the question or the snag again."""
    row = desk.row
    if snags.is_snag(row):
        await snags.reopen(desk, cast("SnagRow", row.about))
    elif points.is_point(row):
        desk.say("A point is read again with space; the last reading counts.")
    elif supply.is_supply(row):
        desk.say("A supply is always open to new loads: space writes one down.")
    else:
        await questions.reopen(desk)


async def change(desk: Desk) -> None:
    """Change the limits of the point, or that of the supply."""
    row = desk.row
    if points.is_point(row):
        await points.change_limits(desk, cast("PointRow", row.about))
    elif supply.is_supply(row):
        await supply.change_limit(desk)
    else:
        desk.say("Only a test point or a supply has limits to be changed.")


async def add(desk: Desk) -> None:
    """Another of what is selected: a test point, a snag, a load on a supply, or else a question."""
    row = desk.frame.panel.list.selected
    if row and points.is_point(row):
        await points.new_point(desk, cast("PointRow", row.about))
    elif row and snags.is_snag(row):
        await snags.open_snag(desk)
    elif row and supply.is_supply(row):
        await supply.add_load(desk)
    else:
        await questions.ask(desk)


async def first_point(desk: Desk) -> None:
    """Write a test point down, of any board."""
    await points.new_point(desk, None)


# None of them is listed below every row: what goes with a question, a point or a snag stands there by itself.
Checks.verbs = (
    Verb(
        "space",
        "next",
        "settle the question, load the supply, take the reading, add a try to the snag",
        go_on,
        on_row=False,
    ),
    Verb("M", "read", "record a reading of the point, and of those after it", points.take, on_row=False),
    Verb("X", "snag", "open a snag, from the reading that is out of limits", snags.open_snag, on_row=False),
    Verb("T", "try", "add a try to the snag, or to the one opened last", snags.add_try, on_row=False),
    Verb("c", "close", "close the snag, with its cause", snags.close_snag, on_row=False, foot=False),
    Verb(
        "d",
        "put off",
        "put the question off, with the reason; take the point or the supply away",
        put_off,
        on_row=False,
    ),
    Verb("o", "open again", "open the question or the snag again, with the reason", reopen, on_row=False),
    Verb("v", "change", "change the limits of the point or the supply", change, on_row=False, foot=False),
    Verb("+", "new", "ask a new question; on a point or a snag, another one", add, on_row=False),
    Verb("i", "value", "say what a value or the colour bands of a resistor mean", value, on_row=False),
    Verb("V", "make", "meet a wanted value from the drawers", make, on_row=False, foot=False),
    Verb("", "point", "write a test point down", first_point, on_row=False, foot=False),
)
