"""Stores on the command line: what have I got, where is it, what is it spoken for?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli import printing, stores_change
from buildbook.cli.frame import AsJson, Db, PartKey, opened, place
from buildbook.cli.lists import stores_export, stores_import
from buildbook.cli.show import Column, filled, local_time, say, show, table

if TYPE_CHECKING:
    from buildbook.answers.cover_over_time import ArrivalRow
    from buildbook.answers.stores import Approval, SpokenFor, StockRow, Use, Where
    from buildbook.store.read.stores import LevelRow, MovementRow

app = place("What have I got, where is it, what is it spoken for?")
stores_change.add_to(app)
printing.add_stores(app)
app.command("import")(stores_import)
app.command("export")(stores_export)

OnlyOnHand = Annotated[bool, typer.Option("--on-hand", help="Only what lies somewhere.")]


def amount(qty: int, unit: str) -> str:
    """A quantity as the trade writes it."""
    from buildbook.trade.units import Unit, show_quantity

    return show_quantity(qty, Unit(unit))


@app.callback(invoke_without_command=True)
def stores(ctx: typer.Context, *, on_hand: OnlyOnHand = False, db: Db = None, as_json: AsJson = False) -> None:
    """Every part: what lies where, what is spoken for, what is free.

    \b
    Example:
      buildbook stores --on-hand
    """
    if not ctx.invoked_subcommand:
        print_stores("", db, only_on_hand=on_hand, as_json=as_json)


@app.command("list")
def list_stores(*, on_hand: OnlyOnHand = False, db: Db = None, as_json: AsJson = False) -> None:
    """Every part: the same as `stores` alone.

    \b
    Example:
      buildbook stores list
    """
    print_stores("", db, only_on_hand=on_hand, as_json=as_json)


@app.command("find")
def find(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="A value, name, bin or kind.")],
    *,
    on_hand: OnlyOnHand = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Find parts by value in any form (4k7, 4.7 kΩ, 4700), name, kind, package, maker's number or bin.

    \b
    Example:
      buildbook stores find 4k7
    """
    print_stores(text, db, only_on_hand=on_hand, as_json=as_json)


def print_stores(text: str, db: Path | None, *, only_on_hand: bool, as_json: bool) -> None:
    """Print parts."""
    from buildbook.answers.stores import stores as all_stores

    with opened(db) as shop:
        answer = all_stores(shop, text, only_on_hand=only_on_hand)

    columns: list[Column[StockRow]] = [
        Column("part", lambda row: row.key),
        Column("value", lambda row: row.value or row.name, shrink=True),
        Column("on hand", lambda row: amount(row.on_hand, row.unit), right=True),
        Column("spoken for", lambda row: amount(row.spoken_for, row.unit) if row.spoken_for else "", right=True),
        Column("free", lambda row: amount(row.free, row.unit) if row.free else "", right=True),
        Column("coming", lambda row: amount(row.coming, row.unit) if row.coming else "", right=True),
        Column("keep", lambda row: amount(row.keep_qty, row.unit) if row.keep_qty else "", right=True),
        Column("lies in", lambda row: ", ".join(name for name, _ in row.bins), shrink=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


@app.command("where")
def where(
    part: PartKey,
    *,
    last: Annotated[int, typer.Option("--last", min=0, max=10_000, help="How many movements to show.")] = 10,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """One part: its bins, the builds it is spoken for, where it is used, its stand-ins, its last movements.

    \b
    Example:
      buildbook stores where V-ECH81
    """
    from buildbook.answers.stores import where as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, part, limit=last)
    show(answer, as_json=as_json)
    if not as_json:
        print_where(answer)


def print_where(answer: Where) -> None:
    """What it is worth, and the tables below."""
    unit = answer.unit
    if answer.on_hand:
        say(worth(answer))

    def some(qty: int) -> str:
        return amount(qty, unit) if qty else ""

    table(filled(builds_of(unit), answer.builds), answer.builds)
    uses: list[Column[Use]] = [
        Column("used in", lambda row: row.assembly),
        Column("ref", lambda row: row.refs, shrink=True),
        Column("quantity", lambda row: some(row.qty), right=True),
        Column("", whether_used),
    ]
    table(filled(uses, answer.uses), answer.uses)
    approvals: list[Column[Approval]] = [
        Column("stand-ins", lambda row: f"it may replace {row.key}" if row.serves else f"{row.key} may replace it"),
        Column("reason", lambda row: row.reason, shrink=True),
        Column("on hand", lambda row: amount(row.on_hand, unit), right=True),
        Column("free", lambda row: amount(row.free, unit), right=True),
    ]
    table(approvals, answer.stand_ins)
    for number, coming in enumerate(answer.coming):
        say(f"Coming: {coming}.", apart=not number)
    moves: list[Column[MovementRow]] = [
        Column("when", lambda row: local_time(row.at)),
        Column("what", lambda row: row.kind),
        Column("bin", lambda row: row.bin, shrink=True),
        Column("in bin", lambda row: more_or_less(row.bin_qty, unit), right=True),
        Column("in kit", lambda row: more_or_less(row.kit_qty, unit), right=True),
        Column("on board", lambda row: more_or_less(row.fit_qty, unit), right=True),
        Column("for", whose, shrink=True),
        Column("note", lambda row: row.note, shrink=True),
    ]
    table(filled(moves, answer.movements), answer.movements)


@app.command("cover")
def cover(part: PartKey, *, db: Db = None, as_json: AsJson = False) -> None:
    """One part over time: what lay there after each change, what is coming, and for which builds it is wanted.

    \b
    Example:
      buildbook stores cover V-ECH81
    """
    from buildbook.answers.cover_over_time import cover_over_time

    with opened(db) as shop:
        answer = cover_over_time(shop, part)
    changes: list[Column[LevelRow]] = [
        Column("when", lambda row: local_time(row.at)),
        Column("what", lambda row: row.kind, shrink=True),
        Column("change", lambda row: more_or_less(row.change, answer.unit), right=True),
        Column("on hand", lambda row: amount(row.on_hand, answer.unit), right=True),
    ]
    show(answer, changes, as_json=as_json)
    if as_json:
        return
    arrivals: list[Column[ArrivalRow]] = [
        Column("coming", lambda row: "no day known" if not row.due_on else row.due_on),
        Column("", lambda row: "overdue" if row.overdue else ""),
        Column("quantity", lambda row: amount(row.qty, answer.unit), right=True),
        Column("then on hand", lambda row: amount(row.then, answer.unit), right=True),
        Column("order", lambda row: row.order),
        Column("supplier", lambda row: row.supplier, shrink=True),
    ]
    table(filled(arrivals, answer.arrivals), answer.arrivals)
    table(filled(builds_of(answer.unit), answer.builds), answer.builds)


def builds_of(unit: str) -> list[Column[SpokenFor]]:
    """What each build takes of a part."""

    def some(qty: int) -> str:
        return amount(qty, unit) if qty else ""

    return [
        Column("for build", lambda row: row.build),
        Column("need", lambda row: some(row.need) or "as a stand-in", right=True),
        Column("fitted", lambda row: some(row.fitted), right=True),
        Column("kitted", lambda row: some(row.kitted), right=True),
        Column("spoken for", lambda row: some(row.spoken_for), right=True),
        Column("by stand-ins", lambda row: some(row.stood_in), right=True),
        Column("coming", lambda row: some(row.coming), right=True),
        Column("short", lambda row: some(row.short), right=True),
    ]


def more_or_less(qty: int, unit: str) -> str:
    """A change of a quantity with its sign; nothing for none."""
    return f"{'+' if qty > 0 else '-'}{amount(abs(qty), unit)}" if qty else ""


def worth(answer: Where) -> str:
    """What all that lies of a part is worth, at what it cost."""
    from buildbook.trade.money import show_money

    unpriced = "" if not answer.unpriced_qty else f"{amount(answer.unpriced_qty, answer.unit)} without a price"
    if answer.unpriced_qty == answer.on_hand:
        return f"{unpriced[0].upper()}{unpriced[1:]}."
    money = f"Worth {show_money(answer.worth_micros, answer.currency)} {answer.currency}"
    return f"{money}, {unpriced}." if unpriced else f"{money}."


def whether_used(row: Use) -> str:
    """Why a place in a parts list does not count, if it does not."""
    if not row.fitted:
        return "not fitted"
    return f"only with {row.option}" if row.option and not row.chosen else ""


def whose(row: MovementRow) -> str:
    """For which section a part was moved, and for which build where that is not plain."""
    if row.assembly.partition("/")[0] == row.build:
        return row.assembly
    return " ".join(filter(None, (row.build, row.assembly)))
