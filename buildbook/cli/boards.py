"""Boards on the command line: which sections are done, kitted, short?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli import boards_change, boards_define, printing
from buildbook.cli.frame import AsJson, AssemblyCode, BuildCode, Db, opened, place
from buildbook.cli.lists import boards_export, boards_import
from buildbook.cli.show import Column, filled, say, show, table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from buildbook.answers.board import LineRow
    from buildbook.answers.boards import BoardRow
    from buildbook.answers.cost import BuildCost, CostRow
    from buildbook.store.read.boards import StepRow

app = place("Which sections are done, kitted, short?")
boards_define.add_to(app)
boards_change.add_to(app)
printing.add_boards(app)
app.command("import")(boards_import)
app.command("export")(boards_export)

TONES = {"done": "good", "fitted": "good", "kitted": "good", "short": "bad", "waits": "warn", "coming": "warn"}


@app.callback(invoke_without_command=True)
def boards(ctx: typer.Context, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """Which sections are done, kitted, short: the tree of each build planned or under way.

    \b
    Example:
      buildbook boards
    """
    if not ctx.invoked_subcommand:
        print_boards(build, db, as_json=as_json)


@app.command("list")
def list_boards(*, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """Which sections are done, kitted, short: the same as `boards` alone.

    \b
    Example:
      buildbook boards list --build CURLEW
    """
    print_boards(build, db, as_json=as_json)


def print_boards(build: str | None, db: Path | None, *, as_json: bool) -> None:
    """Print the tree of sections."""
    from buildbook.answers.boards import boards as all_boards

    with opened(db) as shop:
        answer = all_boards(shop, build)
    columns: list[Column[BoardRow]] = [
        Column("section", section),
        Column("name", lambda row: row.name if row.count < 2 else f"{row.count} x {row.name}", shrink=True),
        Column("state", board_state, tone=lambda row: TONES.get(row.state, "")),
        Column("fitted", lambda row: f"{row.kit.fitted} of {row.kit.need}" if row.kit.need else "", right=True),
        Column("kitted", partly_kitted, right=True),
        Column("steps", lambda row: f"{row.steps_done} of {row.steps}" if row.steps else "", right=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def section(row: BoardRow) -> str:
    """The code of a section, below what holds it; with its project where it is not at home in the build's own.

    The top of the tree bears the code of the build, before its own where the two are not the same.
    """
    project, slash, code = row.code.partition("/")
    short = code if slash and project == row.build else row.code
    if not row.depth:
        return short if row.code == row.build else f"{row.build}: {short}"
    return f"{'  ' * row.depth}{short}"


def partly_kitted(row: BoardRow) -> str:
    """How many pieces lie in a kit that is not whole yet."""
    return f"{row.kit.kitted}" if row.kit.kitted and row.state != "kitted" else ""


def board_state(row: BoardRow) -> str:
    """The state of a section, with what it is short of or waits for, and whether there is some to give back."""
    back = f", {row.kit.surplus_lines} to give back" if row.kit.surplus_lines else ""
    snags = f", {row.snags} snag{'s' if row.snags > 1 else ''} open" if row.snags and row.state != "snag open" else ""
    return f"{kit_words(row)}{snags}{back}"


def kit_words(row: BoardRow) -> str:
    """The state of a section, with what it is short of or waits for."""
    if row.state == "short":
        return f"short of {row.kit.short_lines}"
    if row.state == "waits":
        return f"waits for {row.kit.waiting_lines}" + (f", due {row.kit.due_on}" if row.kit.due_on else "")
    if row.state == "can be kitted" and row.kit.stood_in_lines:
        return f"can be kitted, {row.kit.stood_in_lines} by stand-ins"
    return row.state


@app.command("show")
def show_board(code: AssemblyCode, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """The parts list of one section, with where everything lies, and its checklist.

    \b
    Example:
      buildbook boards show CURLEW/IF
    """
    from buildbook.answers.board import board
    from buildbook.trade.units import Unit, show_quantity

    def amount(row: LineRow, qty: int) -> str:
        return show_quantity(qty, Unit(row.unit)) if qty else ""

    with opened(db) as shop:
        answer = board(shop, code, build)
    columns: list[Column[LineRow]] = [
        Column("ref", lambda row: row.refs, shrink=True),
        Column("part", lambda row: row.key),
        Column("value", lambda row: row.value or row.name, shrink=True),
        Column("need", lambda row: amount(row, row.need), right=True),
        Column("state", line_state, tone=lambda row: TONES.get(row.state, "")),
        Column("note", lambda row: "; ".join(filter(None, (row.option, row.note))), shrink=True),
    ]
    show(answer, filled(columns, answer.lines), rows=answer.lines, as_json=as_json)
    if not as_json:
        table(step_columns(), list(enumerate(answer.steps, 1)), heading="Checklist")
        for number, caution in enumerate(cautions(answer.steps)):
            say(caution, apart=not number)


def line_state(row: LineRow) -> str:
    """The state of a line: where it lies, how much is short, the stand-in, the day it waits for."""
    from buildbook.trade.units import Unit, show_quantity

    if row.state == "in the drawers":
        return "lies in " + ", ".join(f"{lies.bin}: {show_quantity(lies.qty, Unit(row.unit))}" for lies in row.bins)
    if row.state == "stand-in":
        return "stand-in " + ", ".join(use.key for use in row.stand_ins)
    if row.state == "coming" and row.due_on:
        return f"coming {row.due_on}"
    if row.state == "short":
        return f"short of {show_quantity(row.short, Unit(row.unit))}"
    return row.state


def cautions(steps: Sequence[StepRow]) -> list[str]:
    """What to mind, in full, each once, with the numbers of the steps that it goes with."""
    from buildbook.answers.form import join_words

    found: dict[str, list[str]] = {}
    for number, step in enumerate(steps, 1):
        if step.caution:
            found.setdefault(step.caution, []).append(f"{number}")
    return [
        f"Mind at step{'s' if len(numbers) > 1 else ''} {join_words(numbers)}: {caution}"
        for caution, numbers in found.items()
    ]


def step_columns() -> Sequence[Column[tuple[int, StepRow]]]:
    """Number, state and name of each step."""
    return [
        Column("", lambda row: f"{row[0]}", right=True),
        Column("state", lambda row: row[1].state or "to do"),
        Column("step", lambda row: row[1].name, shrink=True),
    ]


@app.command("cost")
def cost(
    *,
    at: Annotated[
        str, typer.Option("--at", metavar="UNITS", help="Numbers of units to reckon one unit at.")
    ] = "1,5,25",
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """What a build costs: spent, in the drawers, on order, still to spend; by section, kind and supplier.

    \b
    Example:
      buildbook boards cost --at 1,10
    """
    from buildbook.answers.cost import build_cost
    from buildbook.trade.units import Unit, show_quantity

    with opened(db) as shop:
        answer = build_cost(shop, build, read_units(at))
    show(answer, as_json=as_json)
    if as_json:
        return
    for heading, rows in (("section", answer.sections), ("kind", answer.kinds), ("supplier", answer.suppliers)):
        table(filled(cost_columns(answer, heading), rows), rows, heading=f"By {heading}, in {answer.currency}")
    money = money_in(answer.currency)
    table(
        [
            Column("units", lambda row: f"{row.units}", right=True),
            Column("one unit costs", lambda row: money(row.per_unit_micros), right=True),
            Column("to pay for all", lambda row: money(row.outlay_micros), right=True),
            Column("parts not in it", lambda row: f"{row.unpriced_parts}", right=True),
        ],
        answer.at_units,
        heading=f"If all of it were bought, in {answer.currency} (not in it: parts that nobody offers)",
    )
    table(
        [
            Column("part", lambda row: row.key),
            Column("name", lambda row: row.name, shrink=True),
            Column("quantity", lambda row: show_quantity(row.qty, Unit(row.unit)), right=True),
        ],
        answer.unpriced,
        heading="Without a price",
    )


def read_units(text: str) -> list[int]:
    """Numbers of units, as typed: "1,5,25"."""
    from buildbook.errors import BadInput

    pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
    if not pieces or not all(
        piece.isascii() and piece.isdigit() and 0 < int(piece) <= 1_000_000 for piece in pieces[:20]
    ):
        raise BadInput(f"{text[:40]} is no list of numbers of units.", "", "Write it as 1,5,25.")
    return [int(piece) for piece in pieces[:20]]


def money_in(currency: str):  # type: ignore[no-untyped-def]
    """A function that shows millionths of the currency, and nothing for nothing."""
    from buildbook.trade.money import show_money

    return lambda micros: show_money(micros, currency) if micros else ""


def cost_columns(answer: BuildCost, heading: str) -> Sequence[Column[CostRow]]:
    """What a share of the cost consists of."""
    money = money_in(answer.currency)
    return [
        Column(heading, lambda row: row.name, shrink=True),
        Column("spent", lambda row: money(row.spent), right=True),
        Column("in drawers", lambda row: money(row.in_stock), right=True),
        Column("on order", lambda row: money(row.ordered), right=True),
        Column("to spend", lambda row: money(row.to_spend), right=True),
        Column("in all", lambda row: money(row.total), right=True),
        Column("unpriced", lambda row: f"{row.unpriced_lines}" if row.unpriced_lines else "", right=True),
    ]


@app.command("could-make")
def could_make(code: AssemblyCode, *, db: Db = None, as_json: AsJson = False) -> None:
    """How many of a section, or of a whole unit, could be made now, and what one more would lack.

    \b
    Example:
      buildbook boards could-make CURLEW/AUDIO
    """
    from buildbook.answers.could_make import MissingRow
    from buildbook.answers.could_make import could_make as answer_for
    from buildbook.trade.units import Unit, show_quantity

    with opened(db) as shop:
        answer = answer_for(shop, code)
    columns: list[Column[MissingRow]] = [
        Column("part", lambda row: row.key),
        Column("value", lambda row: row.value or row.name, shrink=True),
        Column("lacks", lambda row: show_quantity(row.missing, Unit(row.unit)), right=True),
        Column("on hand", lambda row: show_quantity(row.on_hand, Unit(row.unit)), right=True),
        Column("free", lambda row: show_quantity(row.free, Unit(row.unit)), right=True),
    ]
    show(answer, columns, rows=answer.missing, as_json=as_json)
