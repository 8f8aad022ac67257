"""The plan of orders on the command line, and what is wanted of it, for all verbs that order by it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, complete_builds, complete_parts, opened
from buildbook.cli.show import Column, filled, say, show, table

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.buying import ShortRow
    from buildbook.answers.order_plan import BillRow, NobodyRow, OrderPlanned, PlanRow
    from buildbook.answers.order_wishes import LeftOut, Wishes
    from buildbook.answers.ordering import OrderLine

Builds = Annotated[
    list[str] | None,
    typer.Option(
        "--builds", metavar="CODE", show_default=False, help="For these builds only.", autocompletion=complete_builds
    ),
]
GoalName = Annotated[
    str,
    typer.Option("--goal", metavar="GOAL", help="What counts first: cheapest, fewest, soonest or weighted."),
]
Only = Annotated[
    list[str] | None, typer.Option("--only", metavar="SUPPLIER", show_default=False, help="From these only.")
]
Not = Annotated[
    list[str] | None, typer.Option("--not", metavar="SUPPLIER", show_default=False, help="From none of these.")
]
AtMost = Annotated[str, typer.Option("--at-most", metavar="MONEY", show_default=False, help="Not over this sum.")]
By = Annotated[str, typer.Option("--by", metavar="DAY", show_default=False, help="All here by then (2027-03-14).")]
Keep = Annotated[bool, typer.Option("--keep", help="What lacks to the least stock as well.")]
PastDrafts = Annotated[bool, typer.Option("--past-drafts", help="As if nothing stood in drafts.")]
NoStandIns = Annotated[bool, typer.Option("--no-stand-ins", help="Buy no stand-ins.")]
ParcelWorth = Annotated[
    str,
    typer.Option("--parcel-worth", metavar="MONEY", show_default=False, help="What a parcel counts for when weighted."),
]
DayWorth = Annotated[
    str,
    typer.Option("--day-worth", metavar="MONEY", show_default=False, help="What a day counts for when weighted."),
]
Seconds = Annotated[float, typer.Option("--seconds", metavar="N", min=0, max=3600, help="How long to search at most.")]


def wishes_of(
    shop: Workshop,
    builds: list[str],
    goal: str = "cheapest",
    *,
    only: list[str] | None = None,
    without: list[str] | None = None,
    at_most: str = "",
    by: str = "",
    keep: bool = False,
    stand_ins: bool = True,
    parcel_worth: str = "",
    day_worth: str = "",
    past_drafts: bool = False,
) -> Wishes:
    """What was asked on the command line; several codes may stand in one word, parted by commas."""
    from buildbook.answers.offers import currency_of
    from buildbook.answers.order_wishes import Wishes
    from buildbook.trade.money import read_money

    currency = currency_of(shop)

    def money(text: str) -> int:
        return read_money(text, currency) if text else 0

    return Wishes(
        builds=codes(builds),
        goal=goal.strip().lower() if not (parcel_worth or day_worth) or goal != "cheapest" else "weighted",
        only=codes(only),
        without=codes(without),
        not_over_micros=money(at_most) if at_most else None,
        by=by,
        keep=keep,
        stand_ins=stand_ins,
        parcel_worth_micros=money(parcel_worth),
        day_worth_micros=money(day_worth),
        past_drafts=past_drafts,
    )


def codes(texts: list[str] | None) -> tuple[str, ...]:
    """Codes as typed.

    >>> codes(["curlew,WREN", "LINNET"])
    ('curlew', 'WREN', 'LINNET')
    """
    return tuple(code.strip() for text in texts or () for code in text.split(",") if code.strip())


def plan(
    *,
    goal: GoalName = "cheapest",
    only: Only = None,
    without: Not = None,
    at_most: AtMost = "",
    by: By = "",
    keep: Keep = False,
    builds: Builds = None,
    no_stand_ins: NoStandIns = False,
    past_drafts: PastDrafts = False,
    parcel_worth: ParcelWorth = "",
    day_worth: DayWorth = "",
    seconds: Seconds = 10,
    why: Annotated[
        str | None,
        typer.Option("--why", metavar="PART", help="Why from this supplier.", autocompletion=complete_parts),
    ] = None,
    naive: Annotated[
        bool, typer.Option("--naive", help="Each part where it alone is cheapest, postage aside.")
    ] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """What to order from whom, for all of it together: parcels, discounts, packs and price breaks reckoned in.

    \b
    Example:
      buildbook buying plan
      buildbook buying plan --goal fewest --not MILLLANE --keep
      buildbook buying plan --why U-LM337T
    """
    from buildbook.answers.order_plan import order_plan
    from buildbook.answers.order_why import why_supplier

    with opened(db) as shop:
        if naive:
            show_naive(shop, build, as_json=as_json)
            return
        wishes = wishes_of(
            shop, [*(builds or ()), *([build] if build else ())], goal, only=only, without=without, at_most=at_most,
            by=by, keep=keep, stand_ins=not no_stand_ins, parcel_worth=parcel_worth, day_worth=day_worth,
            past_drafts=past_drafts,
        )  # fmt: skip
        if why is not None:
            show(why_supplier(shop, why, wishes, seconds=seconds), as_json=as_json)
            return
        answer = order_plan(shop, wishes, seconds=seconds)
    show(answer, as_json=as_json)
    if not as_json:
        show_plan(answer)


def amount(qty: int, unit: str) -> str:
    """A quantity as the trade writes it; nothing for nothing."""
    from buildbook.trade.units import Unit, show_quantity

    return show_quantity(qty, Unit(unit)) if qty else ""


def order_columns(currency: str) -> list[Column[Any]]:
    """The columns of what to order."""
    from buildbook.trade.money import show_money, show_price

    def each(row: OrderLine) -> str:
        per = "" if row.per_qty == 1 else f" / {amount(row.per_qty, row.unit)}"
        return f"{show_price(row.price_micros, currency)}{per}"

    return [
        Column("order code", lambda row: row.order_code),
        Column("part", lambda row: row.key),
        Column("short", lambda row: amount(row.short, row.unit), right=True),
        Column("order", lambda row: amount(row.qty, row.unit), right=True),
        Column(f"price {currency}", each, right=True),
        Column(f"sum {currency}", lambda row: show_money(row.amount_micros, currency), right=True),
    ]


def show_plan(answer: OrderPlanned) -> None:
    """The orders by supplier, their bills, the naive ways beside, and what is not ordered."""
    from buildbook.answers.order_plan import draft_said, saving_said, spare_said

    for number, one in enumerate(answer.naive):
        say(saving_said(answer, one), apart=not number)
    columns: list[Column[PlanRow]] = [
        *order_columns(answer.currency),
        Column("in place of", lambda row: row.wanted if row.wanted != row.key else ""),
        Column("spare", lambda row: amount(row.spare, row.unit), right=True),
        Column("why", lambda row: row.why),
        Column("for", row_for, shrink=True),
    ]
    for bill in answer.bills:
        rows = [row for row in answer.rows if row.supplier == bill.supplier]
        table(filled(columns, rows), rows, heading=bill_said(answer, bill))
    for row in answer.rows:
        if row.spare:
            say(spare_said(row))
    for other in answer.stood_in:
        say(f"{other.key}: stand-ins on order cover it, so it is not ordered.")
    for drafted in answer.in_drafts:
        say(draft_said(drafted))
    nobody: list[Column[NobodyRow]] = [
        Column("not ordered", lambda row: row.key),
        Column("value", lambda row: row.value or row.name, shrink=True),
        Column("short", lambda row: amount(row.short, row.unit), right=True),
        Column("why", lambda row: row.why),
    ]
    table(nobody, answer.nobody)
    out: list[Column[LeftOut]] = [
        Column("offer left out", lambda row: f"{row.supplier} {row.order_code}".rstrip()),
        Column("part", lambda row: row.key),
        Column("why", lambda row: row.why),
    ]
    table(out, answer.left_out)


def row_for(row: PlanRow) -> str:
    """What a row is for: sections and designators, the least stock."""
    return "; ".join(filter(None, (row.refs, "least stock" if row.kept else "")))


def bill_said(answer: OrderPlanned, bill: BillRow) -> str:
    """ "QUAYSIDE, Quayside Spares: 12.40 EUR (goods 8.00, less 0.50, postage 4.90, tax 0.00)."""
    from buildbook.trade.money import show_money

    said = [f"goods {show_money(bill.goods_micros, answer.currency)}"]
    for word, micros in (
        ("less", bill.discount_micros),
        ("postage", bill.shipping_micros),
        ("tax", bill.tax_micros),
    ):
        said += [f"{word} {show_money(micros, answer.currency)}"] if micros else []
    more = f" ({', '.join(said)})" if len(said) > 1 else ""
    title = ", ".join(filter(None, (bill.supplier, bill.supplier_name)))
    return f"{title}: {show_money(bill.total_micros, answer.currency)} {answer.currency}{more}"


def show_naive(shop: Workshop, build: str | None, *, as_json: bool) -> None:
    """Each part where it alone is cheapest, as before anybody looks at parcels."""
    from buildbook.answers.ordering import to_order
    from buildbook.trade.money import show_money

    answer = to_order(shop, build)
    show(answer, as_json=as_json)
    if as_json:
        return
    columns: list[Column[OrderLine]] = [
        *order_columns(answer.currency),
        Column("for", lambda row: row.refs, shrink=True),
    ]
    for supplier in dict.fromkeys(row.supplier for row in answer.rows):
        rows = [row for row in answer.rows if row.supplier == supplier]
        sum_said = show_money(sum(row.amount_micros for row in rows), answer.currency)
        title = ", ".join(filter(None, (supplier, rows[0].supplier_name)))
        table(columns, rows, heading=f"{title}: {sum_said} {answer.currency}")
    nobody: list[Column[ShortRow]] = [
        Column("nobody offers", lambda row: row.key),
        Column("value", lambda row: row.value or row.name, shrink=True),
        Column("short", lambda row: amount(row.short, row.unit), right=True),
    ]
    table(nobody, answer.unpriced)
