"""The answers to a question side by side on the screen, and the combinations of several: places within Checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.plots_screen import plot_options
from buildbook.tui.rows import Cell, Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.combine import Combine, ComboRow
    from buildbook.answers.weigh import OptionWeighed, Weigh

NOT_WEIGHED = "What an answer is worth to you is not weighed."


class Options(Place):
    """The candidate answers of one question, each with what it brings; enter settles the question with it."""

    KEY: ClassVar[str] = "5"
    NAME: ClassVar[str] = "Side by side"
    QUESTION: ClassVar[str] = "What would each answer bring?"
    FOLDS: ClassVar[bool] = False

    def __init__(self, question: str) -> None:
        self.question = question

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The answers as everything stands now."""
        from buildbook.answers.weigh import weigh

        answer = weigh(shop, self.question)
        columns = (
            Column("answer"),
            Column("so far", shrink=True, least=14),
            Column("to spend", right=True),
            Column("work", right=True),
            Column("fullest limit", shrink=True, least=8),
            Column("board", right=True, rank=1),
            Column("likely done", rank=2),
        )
        rows = [option_row(answer, row) for row in answer.rows]
        remark = f"Differences are those to {answer.against}. {NOT_WEIGHED} y: the arithmetic. esc: back."
        return View(answer.sentence, columns, rows, remark, at=answer.against)

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What was taken from what, and every limit."""
        return row.fold or ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the build by which the answers are weighed."""
        return {"build": weighed(row)[0].build}


def weighed(row: Row) -> tuple[Weigh, OptionWeighed]:
    """The question and the answer of a row."""
    return cast("tuple[Weigh, OptionWeighed]", row.about)


def option_row(answer: Weigh, row: OptionWeighed) -> Row:
    """One answer, with the arithmetic below it."""
    from buildbook.answers.finish import day
    from buildbook.answers.weigh import differing
    from buildbook.answers.weigh_said import limit_said, verdict, why_lines
    from buildbook.trade.area import show_area
    from buildbook.trade.moments import minutes_of
    from buildbook.trade.money import show_money
    from buildbook.trade.units import show_minutes

    telling = set(differing(answer.rows))
    fullest = max((one for one in row.limits if one.code in telling), key=lambda one: one.percent or 0, default=None)
    limit = f"{fullest.code.partition('/')[2]} {limit_said(fullest)}" if fullest else ""
    done = minutes_of(row.likely)
    cells = (
        Cell(f"{row.code}{' (chosen)' if row.chosen else ''}", "head" if row.chosen else ""),
        Cell(verdict(row), "bad" if row.breaks else "good" if row.unbeaten else "quiet"),
        Cell(show_money(row.to_spend_micros, answer.currency), sort=row.to_spend_micros),
        Cell(show_minutes(row.minutes) if row.minutes else "none", sort=row.minutes),
        Cell(limit, "bad" if row.breaks else "", fullest.percent if fullest else None),
        Cell(show_area(row.area_um2) if row.area_um2 else "", sort=row.area_um2),
        day(done) if done is not None else "",
    )
    fold = (Line(row.name, "head"), *map(Line, why_lines(answer, row)))
    return Row(row.code, cells, fold=fold, about=(answer, row), hay=row.name)


async def take(desk: Desk) -> None:
    """Settle the question with the selected answer, for a reason."""
    answer, row = weighed(desk.row)
    reason = await desk.line(f"{answer.asks} {row.code}, because:")

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.settle(shop, answer.project, answer.question, row.code, reason)

    await desk.act(act, said=lambda chosen: f"Chosen for {answer.project}: {chosen}.")


Options.verbs = (
    Verb("enter", "settle", "settle the question with this answer, with the reason", take),
    Verb("=", "plot", "draw the answers side by side", plot_options, on_row=False),
)


class Combinations(Place):
    """Every combination of the answers to the open questions of a project: those that nothing beats first."""

    KEY: ClassVar[str] = "5"
    NAME: ClassVar[str] = "Combinations"
    QUESTION: ClassVar[str] = "Which answers go together?"

    def __init__(self, project: str) -> None:
        self.project = project

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The combinations as everything stands now."""
        from buildbook.answers.checks import checks
        from buildbook.answers.combine import combine
        from buildbook.errors import BadInput

        rows = checks(shop).rows
        codes = [f"{row.project}/{row.code}" for row in rows if row.project == self.project and row.state == "open"]
        if not codes:
            return View(f"No question of {self.project} is open.", (), (), "esc: back.")
        try:
            answer = combine(shop, codes)
        except BadInput as error:
            return View(str(error), (), (), "esc: back.")
        columns = (
            Column("answers", shrink=True, least=20),
            Column("so far", shrink=True, least=14),
            Column("to spend", right=True),
            Column("work", right=True),
            Column("board", right=True, rank=1),
            Column("short", right=True, rank=2),
        )
        more = answer.combinations - len(answer.rows)
        hidden = f"{more} more are not listed. " if more else ""
        return View(
            answer.sentence,
            columns,
            [combo_row(answer, row) for row in answer.rows],
            f"{hidden}{NOT_WEIGHED} esc: back.",
        )

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What it comes to, and what it breaks."""
        return row.fold or ()


def combo_row(answer: Combine, row: ComboRow) -> Row:
    """One combination, with what it brings below it."""
    from buildbook.answers.combine import combo_said
    from buildbook.trade.area import show_area
    from buildbook.trade.money import show_money
    from buildbook.trade.units import show_minutes

    verdict = ", ".join(row.breaks) or ("beaten by none" if row.unbeaten else "beaten")
    answers = " ".join(row.answers)
    cells = (
        answers,
        Cell(verdict, "bad" if row.breaks else "good" if row.unbeaten else "quiet"),
        Cell(show_money(row.to_spend_micros, answer.currency), sort=row.to_spend_micros),
        Cell(show_minutes(row.minutes) if row.minutes else "none", sort=row.minutes),
        Cell(show_area(row.area_um2) if row.area_um2 else "", sort=row.area_um2),
        Cell(str(row.short or ""), sort=row.short),
    )
    fold = [Line(f"{combo_said(row, answer.currency)}, beyond taking no answer to any of them.")]
    fold += [Line(one, "bad") for one in row.breaks]
    fold += [Line(f"{row.unpriced} lines have no price: they are in no sum.", "warn")] if row.unpriced else []
    fold += [Line(f"{row.unplaced} pieces are of unknown area.", "quiet")] if row.unplaced else []
    return Row(answers, cells, fold=tuple(fold), about=row)


# --- verbs of Checks -------------------------------------------------------------------------------------------------


async def weigh(desk: Desk) -> None:
    """Open the answers of the selected question side by side."""
    project, code = getattr(desk.row.about, "project", ""), getattr(desk.row.about, "code", "")
    if type(desk.row.about).__name__ != "ChoiceRow":
        desk.say("Only the answers to a question are laid side by side.")
        return
    from buildbook.answers.weigh import weigh as ask

    # Asked once before, so that a question that cannot be weighed says why on the list that it stands on.
    await desk.read(lambda shop: ask(shop, f"{project}/{code}"))
    desk.go_in(Options(f"{project}/{code}"))


async def combine(desk: Desk) -> None:
    """Open the combinations of the open questions of the selected row's project."""
    project = getattr(desk.row.about, "project", "")
    if not project:
        desk.say("Select a question of the project whose questions are meant.")
        return
    desk.go_in(Combinations(project))
