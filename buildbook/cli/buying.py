"""Buying on the command line: what must I buy, from whom, for how much?"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli import buying_cost, buying_deliveries, buying_orders, buying_out, buying_terms
from buildbook.cli.buying_plan import AtMost, By, GoalName, Keep, NoStandIns, Not, Only, wishes_of
from buildbook.cli.buying_plan import plan as buying_plan
from buildbook.cli.frame import AsJson, BuildCode, Db, PartKey, complete_assemblies, complete_parts, opened, place
from buildbook.cli.lists import buying_import
from buildbook.cli.show import Column, filled, say, show

if TYPE_CHECKING:
    from buildbook.answers.buying import ShortRow
    from buildbook.answers.orders import OrderRow
    from buildbook.answers.why import Term

app = place("What must I buy, from whom, for how much?")
buying_terms.add_to(app)
buying_deliveries.add_to(app)
buying_orders.add_to(app)
buying_out.add_to(app)
buying_cost.add_to(app)
app.command("import-offers")(buying_import)
app.command("plan")(buying_plan)

Ref = Annotated[str, typer.Argument(metavar="ORDER", show_default=False, help="The reference of the order.")]
Supplier = Annotated[str, typer.Argument(metavar="SUPPLIER", show_default=False, help="The supplier's code.")]


def amount(qty: int, unit: str) -> str:
    """A quantity as the trade writes it; nothing for nothing."""
    from buildbook.trade.units import Unit, show_quantity

    return show_quantity(qty, Unit(unit)) if qty else ""


@app.callback(invoke_without_command=True)
def buying(ctx: typer.Context, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """What is short, over all builds planned or under way.

    \b
    Example:
      buildbook buying
    """
    if not ctx.invoked_subcommand:
        print_short(build, None, db, as_json=as_json)


@app.command("short")
def short(
    *,
    of: Annotated[
        str | None,
        typer.Option("--of", metavar="ASSEMBLY", help="Only for this section.", autocompletion=complete_assemblies),
    ] = None,
    why: Annotated[
        str | None,
        typer.Option("--why", metavar="PART", help="The arithmetic for this part.", autocompletion=complete_parts),
    ] = None,
    keep: Annotated[bool, typer.Option("--keep", help="What lacks to the least stock as well.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """What is short: of everything, for one build, for one section; or why a part is short, term by term.

    \b
    Example:
      buildbook buying short --build CURLEW
      buildbook buying short --why V-ECH81
      buildbook buying short --keep
    """
    if why is None:
        print_short(build, of, db, keep=keep, as_json=as_json)
        return
    from buildbook.answers.why import why as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, why, build)
    show(answer, as_json=as_json)
    if not as_json:
        for said in ([reckoning(term) for term in answer.terms], answer.remarks):
            for number, one in enumerate(said):
                say(one, apart=not number)


def reckoning(term: Term) -> str:
    """One term in a sentence: "CURLEW/HARN W8: 1 x 1.1 m = 1.1 m, 500 mm from the drawers: 600 mm short."."""
    place = f"{term.assembly} {term.refs}".rstrip()
    at_home = term.assembly.partition("/")[0] == term.build
    return f"{place if at_home else f'{place} for {term.build}'}: {term.said}."


def print_short(build: str | None, of: str | None, db: Path | None, *, keep: bool = False, as_json: bool) -> None:
    """Print what is short."""
    from buildbook.answers.buying import short as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, build, of)
        if keep:
            from buildbook.answers.least_stock import with_least_stock

            answer = with_least_stock(shop, answer)
    columns: list[Column[ShortRow]] = [
        Column("part", lambda row: row.key),
        Column("value", lambda row: row.value or row.name, shrink=True),
        Column("need", lambda row: amount(row.need, row.unit), right=True),
        Column(
            "short", lambda row: amount(row.short, row.unit), right=True, tone=lambda row: "bad" if row.short else ""
        ),
        Column("to keep", lambda row: amount(row.keep_short, row.unit), right=True),
        Column("covered", covered),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def covered(row: ShortRow) -> str:
    """What of the need is there, or on its way: "4 kitted, 18 in drawers, 6 coming 2026-12-02"."""
    shares = (
        (row.fitted, "fitted"),
        (row.kitted, "kitted"),
        (row.spoken_for, "in drawers"),
        (row.stood_in, "by stand-ins"),
        (row.coming, f"coming {row.due_on}".rstrip()),
    )
    return ", ".join(f"{amount(qty, row.unit)} {how}" for qty, how in shares if qty)


@app.command("offers")
def offers(part: PartKey, *, db: Db = None, as_json: AsJson = False) -> None:
    """What the suppliers ask for one part: packs, least quantities, price breaks.

    \b
    Example:
      buildbook buying offers V-ECH81
    """
    from buildbook.answers.offered import OfferRow, offered
    from buildbook.trade.money import show_price

    with opened(db) as shop:
        answer = offered(shop, part)

    abroad = any(row.currency != answer.currency for row in answer.rows)

    def prices(row: OfferRow) -> str:
        breaks = [f"{amount(qty, answer.unit)}+ at {show_price(micros, row.currency)}" for qty, micros in row.breaks]
        return ", ".join(breaks) + ("" if row.per_qty == 1 else f" for {amount(row.per_qty, answer.unit)}")

    columns: list[Column[OfferRow]] = [
        Column("supplier", lambda row: row.supplier),
        Column("order code", lambda row: row.order_code),
        Column("money", lambda row: row.currency if row.currency != answer.currency else ""),
        Column(f"prices {answer.currency}" if not abroad else "prices", prices, shrink=True),
        Column("pack", lambda row: amount(row.pack_qty, answer.unit), right=True),
        Column("least", lambda row: amount(row.min_qty, answer.unit), right=True),
        Column("multiples", lambda row: amount(row.multiple_qty or 0, answer.unit), right=True),
        Column("seen", lambda row: "" if row.seen_qty is None else f"{row.seen_qty}", right=True),
        Column("days", lambda row: "" if row.lead_days is None else f"{row.lead_days}", right=True),
        Column("valid until", lambda row: row.valid_until),
        Column("standing", lambda row: row.standing),
        Column("not counted", lambda row: row.left_out, shrink=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


@app.command("look")
def look(part: PartKey, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """Before buying, in one look: free stock, stand-ins, what makes the value, who could lend it, orders, offers.

    \b
    Example:
      buildbook buying look W-RG174
    """
    from buildbook.answers.before_buying import BeforeRow, before_buying

    with opened(db) as shop:
        answer = before_buying(shop, part, build)
    columns: list[Column[BeforeRow]] = [
        Column("how", lambda row: row.what),
        Column("what", lambda row: row.said, shrink=True),
    ]
    show(answer, columns, as_json=as_json)


@app.command("orders")
def orders(*, db: Db = None, as_json: AsJson = False) -> None:
    """The orders, those under way first: what has come and what is still coming.

    \b
    Example:
      buildbook buying orders
    """
    from buildbook.answers.orders import orders as all_orders

    with opened(db) as shop:
        answer = all_orders(shop)
    columns: list[Column[OrderRow]] = [
        Column("order", lambda row: row.ref),
        Column("supplier", lambda row: row.supplier),
        Column("state", lambda row: row.state),
        Column("due", lambda row: row.due_on),
        Column("part", lambda row: row.key),
        Column("order code", lambda row: row.order_code, shrink=True),
        Column("ordered", lambda row: amount(row.qty, row.unit), right=True),
        Column("received", lambda row: amount(row.came_qty, row.unit), right=True),
        Column("not coming", lambda row: amount(row.not_coming_qty, row.unit), right=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)
    if not as_json:
        buying_orders.show_sums(answer)


@app.command("supplier")
def supplier(
    code: Supplier,
    *,
    name: Annotated[str, typer.Option("--name", metavar="TEXT", help="The full name.")] = "",
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="A remark.")] = "",
    db: Db = None,
) -> None:
    """Make a supplier known.

    \b
    Example:
      buildbook buying supplier QUAYSIDE --name "Quayside Spares"
    """
    from buildbook.actions.buying import new_supplier

    with opened(db, create=True) as shop:
        say(f"New supplier {new_supplier(shop, code, name, note)}.")


@app.command("place")
def place_order(
    ref: Ref,
    supplier: Annotated[
        str, typer.Argument(metavar="[SUPPLIER]", show_default=False, help="With whom; nobody for a draft.")
    ] = "",
    *,
    file: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="FILE", help="An order list, as `buying export` writes it; else what the plan says."
        ),
    ] = None,
    due: Annotated[str, typer.Option("--due", metavar="DAY", help="When it should arrive (2027-03-14).")] = "",
    placed: Annotated[
        str, typer.Option("--placed", metavar="DAY", help="When it was placed; today when not said.")
    ] = "",
    goal: GoalName = "cheapest",
    only: Only = None,
    without: Not = None,
    at_most: AtMost = "",
    by: By = "",
    keep: Keep = False,
    no_stand_ins: NoStandIns = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Note an order as placed: a draft; or, with a supplier named, what the plan says, or what stands in a file.

    Wished for in the same words, the plan is the one that `buying plan` shows.

    \b
    Example:
      buildbook buying place Q-1042 QUAYSIDE --due 2027-02-12
      buildbook buying place ML-77 MILLLANE --not POSTAL
    """
    from buildbook.actions.buying import OrderLine as Ordered
    from buildbook.actions.buying import place_order as act
    from buildbook.answers.form import count_of
    from buildbook.answers.order_plan import SECONDS, order_plan
    from buildbook.answers.ordering import supplier_named
    from buildbook.errors import BadInput

    if not supplier:
        buying_orders.place_draft(db, ref, placed or today(), due)
        return
    with opened(db) as shop:
        seller = supplier_named(shop, supplier)
        if file is not None:
            from buildbook.exchange.buying import read_order

            lines = read_order(shop, file, supplier)
        else:
            wishes = wishes_of(
                shop, [build] if build else [], goal, only=only, without=without, at_most=at_most,
                by=by, keep=keep, stand_ins=not no_stand_ins,
            )  # fmt: skip
            planned = order_plan(shop, wishes, seconds=SECONDS)
            rows = [row for row in planned.rows if row.supplier == seller]
            lines = tuple(Ordered(row.key, row.qty, row.price_micros, row.per_qty, row.order_code) for row in rows)
        if not lines:
            raise BadInput(f"There is nothing to order from {seller}.", "", "See `buildbook buying plan`.")
        made = act(shop, ref, supplier, lines, placed_on=placed or today(), due_on=due)
    say(f"Placed order {made} with {seller}: {count_of(len(lines), 'part')}.")


@app.command("cancel")
def cancel(ref: Ref, *, db: Db = None) -> None:
    """Cancel an order; what has come of it stays.

    \b
    Example:
      buildbook buying cancel PF-0419
    """
    from buildbook.actions.buying import cancel_order

    with opened(db) as shop:
        say(f"Cancelled order {cancel_order(shop, ref)}.")


def today() -> str:
    """This day, as the calendar on the wall has it."""
    return datetime.now().astimezone().date().isoformat()
