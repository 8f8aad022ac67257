"""Checks on the screen: is the design inside its limits, what is to be decided, and does each board measure right?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from buildbook.tui import checks_banks as banks
from buildbook.tui import checks_contacts as contacts
from buildbook.tui import checks_points as points
from buildbook.tui import checks_questions as questions
from buildbook.tui import checks_ratings as ratings
from buildbook.tui import checks_snags as snags
from buildbook.tui import checks_supply as supply
from buildbook.tui import checks_weigh as weighing
from buildbook.tui.checks_kind import Kind
from buildbook.tui.checks_make import make
from buildbook.tui.checks_value import value
from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.plots_screen import plot_checks
from buildbook.tui.rows import Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop


class Checks(Place):
    """The questions of the design, the supplies, the contacts, the test points board by board, the snags."""

    KEY: ClassVar[str] = "5"
    NAME: ClassVar[str] = "Checks"
    QUESTION: ClassVar[str] = "Is the design inside its limits, and does each board measure right?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every question, every supply, all contacts, every point, every snag."""
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
        rows += contacts.contacts_rows(answer.contacts)
        rows += ratings.rating_rows(answer.ratings, answer.rated_boards)
        rows += banks.bank_rows(answer.banks)
        rows += points.point_rows(answer.points, {row.key for row in rows})
        rows += snags.snag_rows(answer.snags)
        remark = answer.beyond if rows else f"Ask a question of the design with +. {answer.beyond}"
        return View(answer.sentence, columns, rows, remark)

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What stands below a row, as its kind tells it."""
        return kind_of(row).unfold(shop, row)

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The arithmetic behind a row; the reason that was given, the tries."""
        return kind_of(row).why(row)

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note on a point is about its board, and one on a snag about its build."""
        return kind_of(row).note_about(row)


KINDS = (
    questions.KIND,
    supply.KIND,
    contacts.KIND,
    ratings.KIND,
    ratings.BOARD_KIND,
    banks.KIND,
    points.KIND,
    snags.KIND,
)


def kind_of(row: Row | None) -> Kind:
    """What the keys do with a row; with none, they are about the questions."""
    return next((kind for kind in KINDS if row and kind.shows(row)), questions.KIND)


async def go_on(desk: Desk) -> None:
    """Settle the question, load the supply or the contacts, read the point, add a try to the snag."""
    await kind_of(desk.row).go_on(desk)


async def put_off(desk: Desk) -> None:
    """Put the question off; take the point, the supply or the contacts away."""
    await kind_of(desk.row).put_off(desk)


async def reopen(desk: Desk) -> None:
    """Open the question or the snag again; change a load of the supply."""
    await kind_of(desk.row).reopen(desk)


async def change(desk: Desk) -> None:
    """Change the limits of the point, the supply or the contacts; the parts of the snag; what a part is made for."""
    await kind_of(desk.row).change(desk)


async def add(desk: Desk) -> None:
    """Another of what is selected: a test point, a snag, a load on a supply, a function of contacts; or a question."""
    await kind_of(desk.frame.panel.list.selected).add(desk)


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
    Verb(
        "o", "open again", "open the question or the snag again, with the reason; change a load", reopen, on_row=False
    ),
    Verb(
        "v",
        "change",
        "change the limits of the point or the supply, the parts of the snag",
        change,
        on_row=False,
        foot=False,
    ),
    Verb("+", "new", "ask a new question; on a point or a snag, another one", add, on_row=False),
    Verb("i", "value", "say what a value or the colour bands of a resistor mean", value, on_row=False),
    Verb("V", "make", "meet a wanted value from the drawers", make, on_row=False, foot=False),
    Verb("=", "plots", "draw headroom and readings; of a point, its history", plot_checks, on_row=False, foot=False),
    Verb("", "bears", "say what the parts of a line bear in their place", ratings.state_any, on_row=False, foot=False),
    Verb("", "rated", "say what a part is made for", ratings.rate_any, on_row=False, foot=False),
    Verb("w", "weigh", "lay the answers to the question side by side", weighing.weigh, on_row=False, foot=False),
    Verb("W", "combine", "weigh all combinations of the open questions", weighing.combine, on_row=False, foot=False),
    Verb("", "point", "write a test point down", points.new_point, on_row=False, foot=False),
)
