"""Orders on the command line: drafted from the plan or by hand, changed, placed, confirmed, moved; how a sum comes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from buildbook.cli.buying_plan import (
    AtMost,
    By,
    GoalName,
    Keep,
    NoStandIns,
    Not,
    Only,
    PastDrafts,
    wishes_of,
)
from buildbook.cli.frame import AsJson, BuildCode, Db, opened
from buildbook.cli.show import Column, filled, say, show, table

if TYPE_CHECKING:
    from buildbook.actions.drafts import Beside
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.order_sum import OrderSum, SumRow
    from buildbook.answers.orders import Orders

Ref = Annotated[str, typer.Argument(metavar="ORDER", show_default=False, help="The reference of the order.")]
Lines = Annotated[
    list[str] | None,
    typer.Option(
        "--line", metavar="PART=QTY[@PRICE]", show_default=False, help='"C-100N=20@0.12", "W-RED=5 m@3.20/10 m".'
    ),
]
Discount = Annotated[str | None, typer.Option(metavar="MONEY", show_default=False, help="What comes off the goods.")]
Postage = Annotated[str | None, typer.Option(metavar="MONEY", show_default=False, help="What the parcel costs.")]
Tax = Annotated[str | None, typer.Option(metavar="MONEY", show_default=False, help="The tax on all of it.")]
Due = Annotated[str | None, typer.Option("--due", metavar="DAY", show_default=False, help="When it is due.")]
Note = Annotated[str | None, typer.Option("--note", metavar="TEXT", show_default=False, help="A remark.")]
_LINE = re.compile(r"(?P<part>.+)=(?P<qty>[^=@]+)(@(?P<price>[^=@/]+)(/(?P<per>[^=@/]+))?)?")


def add_to(app: typer.Typer) -> None:
    """Add the verbs to the place."""
    app.command("draft")(draft)
    app.command("change")(change)
    app.command("confirm")(confirm)
    app.command("move")(move)
    app.command("sum")(sum_of)


class LineTyped(NamedTuple):
    """A row of an order as typed: the quantity as written, the price in millionths for `per_qty` base units."""

    part: str
    qty: str
    price_micros: int | None
    per_qty: int


def read_lines(shop: Workshop, texts: Iterable[str]) -> list[LineTyped]:
    """Each PART=QTY[@PRICE[/PER]]; the price for one piece, or for so much as is said."""
    from buildbook.answers.offers import currency_of
    from buildbook.answers.ordering import unit_of
    from buildbook.errors import BadInput
    from buildbook.trade.money import read_money
    from buildbook.trade.units import read_quantity

    currency, found = currency_of(shop), []
    for text in texts:
        parts = _LINE.fullmatch(text.strip())
        if parts is None:
            raise BadInput(f"{text[:60]!r} was not understood.", "", "Write PART=QTY@PRICE, such as C-100N=20@0.12.")
        price, per = parts["price"], parts["per"]
        per_qty = read_quantity(per, unit_of(shop, parts["part"])) if per else 1
        micros = read_money(price, currency) if price else None
        found.append(LineTyped(parts["part"].strip(), parts["qty"].strip(), micros, per_qty))
    return found


def draft(
    ref: Annotated[str, typer.Argument(metavar="[ORDER]", show_default=False, help="Its reference.")] = "",
    *,
    supplier: Annotated[
        str, typer.Option("--supplier", metavar="SUPPLIER", show_default=False, help="By hand, with this one.")
    ] = "",
    line: Lines = None,
    due: Due = None,
    note: Note = None,
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
) -> None:
    """Draft what the plan says, one order with each supplier; or one by hand. A draft is not coming until it is placed.

    What stands in drafts already is not drafted again.

    \b
    Example:
      buildbook buying draft
      buildbook buying draft QS-1211 --supplier QUAYSIDE --line R-4K7-0.6W=20@0.05
    """
    from buildbook.actions import drafts
    from buildbook.actions.buying import OrderLine
    from buildbook.answers.form import count_of, join_words
    from buildbook.answers.order_plan import SECONDS, order_plan
    from buildbook.answers.orders import orders
    from buildbook.errors import BadInput

    if line and not supplier:
        raise BadInput("Nothing was drafted.", "A draft by hand is with one supplier.", "Name it with --supplier.")
    with opened(db) as shop:
        if line:
            from buildbook.answers.ordering import unit_of
            from buildbook.trade.units import read_quantity

            lines = [
                OrderLine(one.part, read_quantity(one.qty, unit_of(shop, one.part)), one.price_micros, one.per_qty)
                for one in read_lines(shop, line)
            ]
            refs: Sequence[str] = [drafts.draft_order(shop, ref, supplier, lines, due_on=due or "", note=note or "")]
        else:
            wishes = wishes_of(
                shop, [build] if build else [], goal, only=[*(only or ()), *([supplier] if supplier else ())],
                without=without, at_most=at_most, by=by, keep=keep, stand_ins=not no_stand_ins,
                past_drafts=past_drafts,
            )  # fmt: skip
            planned = order_plan(shop, wishes, seconds=SECONDS)
            wanted: dict[str, list[OrderLine]] = {}
            for row in planned.rows:
                ordered = OrderLine(row.key, row.qty, row.price_micros, row.per_qty, row.order_code)
                wanted.setdefault(row.supplier, []).append(ordered)
            if not wanted:
                raise BadInput("Nothing was drafted.", planned.sentence, "")
            if ref and len(wanted) > 1:
                raise BadInput("Nothing was drafted.", f"{len(wanted)} suppliers share the plan.", "Give no reference.")
            if ref:
                seller, lines = next(iter(wanted.items()))
                refs = [drafts.draft_order(shop, ref, seller, lines, due_on=due or "", note=note or "")]
            else:
                refs = drafts.draft_orders(shop, wanted)
        answer = orders(shop)
    say(f"Drafted {count_of(len(refs), 'order')}: {join_words(list(refs))}.")
    show_sums(answer, refs)


def show_sums(answer: Orders, refs: Sequence[str] = ()) -> None:
    """The sums of these orders, or of all that are open, in the workshop's currency."""
    from buildbook.trade.money import show_money

    rows = [one for one in answer.sums if (one.ref in refs if refs else one.state in ("drafted", "placed"))]

    def money(micros: int | None) -> str:
        return "not known" if micros is None else show_money(micros, answer.currency) if micros else ""

    columns: list[Column[OrderSum]] = [
        Column("order", lambda row: row.ref),
        Column("state", lambda row: "confirmed" if row.confirmed_on and row.state == "placed" else row.state),
        Column("goods", lambda row: money(row.goods_micros), right=True),
        Column("discount", lambda row: money(-row.discount_micros), right=True),
        Column("postage", lambda row: money(row.shipping_micros), right=True),
        Column("tax", lambda row: money(row.tax_micros), right=True),
        Column("in all", lambda row: money(row.total_micros), right=True),
        Column("reckoned", lambda row: row.basis, shrink=True),
    ]
    table(filled(columns, rows), rows)


def beside_of(shop: Workshop, discount: str | None, postage: str | None, tax: str | None) -> Beside:
    """What is said of the bill beside the goods."""
    from buildbook.actions.drafts import Beside
    from buildbook.answers.offers import currency_of
    from buildbook.trade.money import read_money

    currency = currency_of(shop)
    return Beside(*(None if text is None else read_money(text or "0", currency) for text in (discount, postage, tax)))


def change(
    ref: Ref,
    *,
    line: Lines = None,
    off: Annotated[
        list[str] | None, typer.Option("--off", metavar="PART", show_default=False, help="Take it off the order.")
    ] = None,
    discount: Discount = None,
    postage: Postage = None,
    tax: Tax = None,
    by_terms: Annotated[
        bool, typer.Option("--by-terms", help="Discount, postage and tax as the supplier's terms have them.")
    ] = False,
    due: Due = None,
    note: Note = None,
    db: Db = None,
) -> None:
    """Change a draft or an order under way by hand: quantities, prices, rows, discount, postage, tax.

    \b
    Example:
      buildbook buying change QS-1204 --line R-1K-0.6W=30@0.05 --off R-100R-0.6W --postage 3.90
    """
    from buildbook.actions.drafts import AS_TERMS, RowChange, alter_order
    from buildbook.errors import BadInput

    by_hand = (discount, postage, tax) != (None, None, None)
    if by_terms and by_hand:
        raise BadInput("Nothing was changed.", "Both --by-terms and a sum are said.", "Say one of them.")
    with opened(db) as shop:
        beside = beside_of(shop, discount, postage, tax) if by_hand else AS_TERMS if by_terms else None
        rows = [RowChange(*one) for one in read_lines(shop, line or ())]
        made = alter_order(shop, ref, lines=rows, off=off or (), beside=beside, due_on=due, note=note)
        said = summed(shop, made)
    say(f"Changed order {made}. {said}")


def summed(shop: Workshop, ref: str) -> str:
    """The sum of an order in a sentence."""
    from buildbook.answers.order_sum import order_sum

    return order_sum(shop, ref).sentence


def place_draft(db: Path | None, ref: str, placed_on: str, due_on: str) -> None:
    """Place a draft."""
    from buildbook.actions.drafts import place_draft as act

    with opened(db) as shop:
        made = act(shop, ref, placed_on=placed_on, due_on=due_on)
        said = summed(shop, made)
    say(f"Placed order {made}; it is coming. {said}")


def confirm(
    ref: Ref,
    *,
    on: Annotated[
        str, typer.Option("--on", metavar="DAY", show_default=False, help="When it was confirmed; today if not said.")
    ] = "",
    due: Due = None,
    line: Annotated[
        list[str] | None,
        typer.Option("--line", metavar="PART=DAY", show_default=False, help="When this part is due, if another day."),
    ] = None,
    discount: Discount = None,
    postage: Postage = None,
    tax: Tax = None,
    db: Db = None,
) -> None:
    """Note that the supplier has confirmed an order: for which day, and what it costs beside the goods.

    \b
    Example:
      buildbook buying confirm TW-2611 --on 2026-11-18 --due 2026-12-04 --line L-CHOKE-10H=2026-12-11
    """
    from buildbook.actions.drafts import confirm_order

    with opened(db) as shop:
        beside = beside_of(shop, discount, postage, tax)
        made = confirm_order(
            shop, ref, on=on or today(), due_on=due or "", lines=dict(read_days(line or ())), beside=beside
        )
        said = summed(shop, made)
    say(f"Order {made} is confirmed. {said}")


def today() -> str:
    """This day, as the calendar on the wall has it."""
    from datetime import datetime

    return datetime.now().astimezone().date().isoformat()


def read_days(texts: Iterable[str]) -> Iterable[tuple[str, str]]:
    """Each PART=DAY as typed."""
    from buildbook.errors import BadInput

    for text in texts:
        part, _, day = text.rpartition("=")
        if not part or not day:
            raise BadInput(f"{text[:60]!r} was not understood.", "", "Write PART=DAY, such as C-100N=2027-03-14.")
        yield part, day


def move(
    ref: Ref,
    day: Annotated[str, typer.Argument(metavar="DAY", show_default=False, help="When it is due now (2027-03-14).")],
    part: Annotated[
        str, typer.Argument(metavar="[PART]", show_default=False, help="Only this part of it, else all.")
    ] = "",
    *,
    db: Db = None,
) -> None:
    """Move the day on which an order, or one part of it, is due; the log keeps the day before.

    \b
    Example:
      buildbook buying move TW-2611 2026-12-11
      buildbook buying move TW-2611 2026-12-18 L-CHOKE-10H
    """
    from buildbook.actions.drafts import move_order

    with opened(db) as shop:
        before = move_order(shop, ref, day, part)
    what = f"{part.upper()} of order {ref}" if part else f"Order {ref}"
    say(f"{what} is due {day} now, before {before or 'on no day known'}.")


def sum_of(ref: Ref, *, db: Db = None, as_json: AsJson = False) -> None:
    """How the sum of an order comes about: goods, discount, postage, tax; also in the supplier's own currency.

    \b
    Example:
      buildbook buying sum TW-2611
    """
    from buildbook.answers.order_sum import order_sum
    from buildbook.trade.money import show_money

    with opened(db) as shop:
        answer = order_sum(shop, ref)
    columns: list[Column[SumRow]] = [
        Column("what", lambda row: row.what),
        Column("how", lambda row: row.said, shrink=True),
        Column(answer.currency, lambda row: show_money(row.micros, answer.currency), right=True),
        Column(
            answer.foreign_currency,
            lambda row: "" if row.foreign_micros is None else show_money(row.foreign_micros, answer.foreign_currency),
            right=True,
        ),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)
