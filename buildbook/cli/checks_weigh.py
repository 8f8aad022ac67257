"""Checks on the command line: the answers to a question side by side, and the combinations of several."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, ChoiceCode, Db, complete_choices, opened
from buildbook.cli.show import Column, filled, say, show, table

if TYPE_CHECKING:
    from buildbook.answers.combine import ComboRow
    from buildbook.answers.weigh_said import Laid

SHOWN = 20


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    app.command("weigh")(weigh)
    app.command("combine")(combine)


def weigh(
    question: ChoiceCode,
    *,
    full: Annotated[bool, typer.Option("--full", help="The arithmetic of each answer as well.")] = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Lay the candidate answers of a question side by side: money, parts, limits, board area, hours, the finish.

    Each is taken for a moment, the other questions held as they are; nothing is written. Differences are those to the
    answer chosen now, or to the first. Limits are those written down; local codes decide.

    \b
    Example:
      buildbook checks weigh CURLEW/RECT
    """
    from buildbook.answers.weigh import weigh as weighed

    with opened(db) as shop:
        answer = weighed(shop, question)
    show(answer, as_json=as_json)
    if as_json:
        return
    from buildbook.answers.weigh_said import laid, why_lines

    def column(place: int, code: str) -> Column[Laid]:
        return Column(
            code,
            lambda line: line.cells[place],
            shrink=True,
            tone=lambda line: "warn" if line.warns and line.warns[place] else "",
        )

    columns: list[Column[Laid]] = [Column("", lambda line: line.name)]
    columns += [column(place, row.code) for place, row in enumerate(answer.rows)]
    table(columns, laid(answer))
    for row in answer.rows if full else ():
        say("\n".join([f"{row.code}, {row.name}", *(f"  {line}" for line in why_lines(answer, row))]), apart=True)


def combine(
    questions: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[QUESTION]...",
            show_default=False,
            help="The questions; all open ones where none is named.",
            autocompletion=complete_choices,
        ),
    ] = None,
    *,
    every: Annotated[bool, typer.Option("--all", help="Those beaten or struck out as well.")] = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Weigh every combination of the answers to several questions: which break a limit, which no other beats.

    Weighed by money, work, board area and the load on each supply. Nothing is written.

    \b
    Example:
      buildbook checks combine RECT METER
    """
    from buildbook.answers.combine import combine as combined

    with opened(db) as shop:
        answer = combined(shop, questions or ())
    show(answer, as_json=as_json)
    if as_json:
        return
    from buildbook.trade.area import show_area
    from buildbook.trade.money import show_money
    from buildbook.trade.units import show_minutes

    shown = [row for row in answer.rows if every or row.unbeaten] if answer.left else list(answer.rows)
    columns: list[Column[ComboRow]] = [
        Column("answers", lambda row: " ".join(row.answers), shrink=True),
        Column("to spend", lambda row: show_money(row.to_spend_micros, answer.currency), right=True),
        Column("work", lambda row: show_minutes(row.minutes), right=True),
        Column("board", lambda row: show_area(row.area_um2) if row.area_um2 else "", right=True),
        Column("short", lambda row: str(row.short or ""), right=True),
        Column("no price", lambda row: str(row.unpriced or ""), right=True),
        Column("so far", standing, shrink=True, tone=lambda row: "warn" if row.breaks else ""),
    ]
    table(filled(columns, shown[:SHOWN]), shown[:SHOWN])
    hidden = answer.combinations - len(shown[:SHOWN])
    if hidden:
        say(
            f"{hidden} more are not shown{'' if every else '; --all shows those that are beaten or struck out'}.",
            apart=True,
        )


def standing(row: ComboRow) -> str:
    """Whether a combination is struck out and why, is beaten, or is left."""
    return ", ".join(row.breaks) or ("beaten by none" if row.unbeaten else "beaten")
