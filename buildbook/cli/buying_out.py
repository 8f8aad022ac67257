"""Orders out on the command line: written to files or as text to paste, with the columns that a supplier wants."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.buying_plan import AtMost, By, GoalName, Keep, NoStandIns, Not, Only, PastDrafts, wishes_of
from buildbook.cli.frame import AsJson, BuildCode, Db, opened
from buildbook.cli.show import Column, print_json, say, show

if TYPE_CHECKING:
    from buildbook.answers.order_out import ColumnSetRow


def add_to(app: typer.Typer) -> None:
    """Add the verbs to the place."""
    app.command("export")(export)
    app.command("columns")(columns)


def export(
    target: Annotated[
        Path,
        typer.Argument(metavar="PLACE", help="A .csv, .xlsx or .txt file for all, or a folder for a file a supplier."),
    ] = Path("."),
    *,
    order: Annotated[
        list[str] | None,
        typer.Option("--order", metavar="ORDER", show_default=False, help="This order instead of the plan."),
    ] = None,
    form: Annotated[
        str,
        typer.Option(
            "--as", metavar="FORM", show_default=False, help="csv, xlsx, text or tabs, the last two to paste."
        ),
    ] = "",
    named: Annotated[
        str, typer.Option("--columns", metavar="NAME", show_default=False, help="With this set of columns.")
    ] = "",
    goal: GoalName = "cheapest",
    only: Only = None,
    without: Not = None,
    at_most: AtMost = "",
    by: By = "",
    keep: Keep = False,
    no_stand_ins: NoStandIns = False,
    past_drafts: PastDrafts = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Write the parts to order, by supplier, or orders that are there; safe to open in a spreadsheet.

    Wished for in the same words, they are those of `buying plan`. Text goes to the terminal when no place is named.

    \b
    Example:
      buildbook buying export orders.xlsx
      buildbook buying export --as text --order TW-2611
    """
    from buildbook.answers.order_out import columns_of, order_out, plan_out
    from buildbook.answers.order_plan import SECONDS, order_plan, to_order_of
    from buildbook.errors import BadInput
    from buildbook.exchange.orders_out import TEXTS, Written, as_text, write_out

    to_paste = form in TEXTS or target.suffix.casefold() == ".txt"
    with opened(db) as shop:
        if order:
            said, orders = "", tuple(order_out(shop, ref) for ref in order)
        else:
            wishes = wishes_of(
                shop, [build] if build else [], goal, only=only, without=without, at_most=at_most,
                by=by, keep=keep, stand_ins=not no_stand_ins, past_drafts=past_drafts,
            )  # fmt: skip
            answer = to_order_of(order_plan(shop, wishes, seconds=SECONDS))
            said, orders = answer.sentence, plan_out(answer)
        lists = [Written(one.name, columns_of(shop, one.supplier, named, to_paste=to_paste), (one,)) for one in orders]
    if not lists and as_json:
        print_json(answer)
        return
    if not lists:
        raise BadInput("Nothing was written.", said, "")
    if to_paste and target == Path("."):
        for number, one in enumerate(lists):
            say(f"{one.name}:", apart=bool(number))
            typer.echo(as_text(one, tabs=form == "tabs"), nl=False)
        return
    written = write_out(lists, target, form)
    if as_json and not order:
        print_json(answer)
        return
    if said:
        say(said)
    for path in written:
        say(f"Wrote {path}")


def columns(
    name: Annotated[str, typer.Argument(metavar="[NAME]", show_default=False, help="The name of a set.")] = "",
    wanted: Annotated[
        str, typer.Argument(metavar="[COLUMNS]", show_default=False, help="Columns, parted by commas.")
    ] = "",
    *,
    supplier: Annotated[
        str, typer.Option("--supplier", metavar="SUPPLIER", show_default=False, help="Used for this one from now on.")
    ] = "",
    drop: Annotated[bool, typer.Option("--drop", help="Forget the set of that name.")] = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The columns that orders are written out with: the sets there are; or keep a set under a name, or forget it.

    \b
    Example:
      buildbook buying columns
      buildbook buying columns web-form order_code,qty,refs --supplier QUAYSIDE
    """
    from buildbook.actions.column_sets import drop_columns, keep_columns
    from buildbook.answers.order_out import known_sets
    from buildbook.errors import BadInput

    with opened(db) as shop:
        if drop:
            say(f"Forgot the columns {drop_columns(shop, name)}.")
            return
        if name and wanted:
            kept = keep_columns(shop, name, wanted, supplier)
            say(f"Kept the columns {kept}" + (f" for {supplier.upper()}." if supplier else "."))
            return
        answer = known_sets(shop)
    if name:
        raise BadInput(f"No columns are named for {name[:40]}.", answer.sentence, "")
    shown: list[Column[ColumnSetRow]] = [
        Column("name", lambda row: row.name),
        Column("supplier", lambda row: row.supplier),
        Column("columns", lambda row: row.columns, shrink=True),
    ]
    show(answer, shown, as_json=as_json)
