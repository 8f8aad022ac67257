"""The rows of Buying: what to order from a supplier, an order, a part that is short; and the lines below each."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from buildbook.tui.rows import Cell, Column, Line, Row, table_lines
from buildbook.tui.words import amount, day

if TYPE_CHECKING:
    from buildbook.answers.buying import ShortRow
    from buildbook.answers.order_plan import BillRow, OrderPlanned, PlanRow
    from buildbook.answers.order_sum import OrderSum
    from buildbook.answers.orders import OrderRow

# Orders of which nothing is to come any more.
CLOSED = ("received", "cancelled")


class Plan(NamedTuple):
    """What to order from one supplier, and his bill for it."""

    supplier: str
    name: str
    lines: tuple[PlanRow, ...]
    currency: str
    bill: BillRow

    @property
    def micros(self) -> int:
        """What it all costs, with postage and tax, less the discount."""
        return self.bill.total_micros


class Placed(NamedTuple):
    """One order with its rows."""

    ref: str
    supplier: str
    name: str
    state: str
    lines: tuple[OrderRow, ...]
    currency: str
    whole: OrderSum | None = None

    @property
    def standing(self) -> str:
        """The state in a word; an order under way that the supplier has confirmed is "confirmed"."""
        confirmed = self.state == "placed" and self.whole is not None and self.whole.confirmed_on
        return "confirmed" if confirmed else self.state

    @property
    def to_come(self) -> tuple[OrderRow, ...]:
        """The rows of which something is still to come."""
        return () if self.state != "placed" else tuple(line for line in self.lines if line.received_qty < line.qty)

    @property
    def due_on(self) -> str:
        """The day when the first of what is to come is due."""
        return min((line.due_on for line in self.to_come if line.due_on), default="")


def columns(currency: str) -> tuple[Column, ...]:
    """One column for what stands in the row, whatever it is."""
    return (
        Column("state"),
        Column("of", shrink=True, least=10),
        Column("value, name", shrink=True, least=10),
        Column("short", right=True),
        Column("what next", shrink=True, least=25),
        Column(currency, right=True),
    )


def plans(answer: OrderPlanned) -> list[Plan]:
    """What to order, by supplier."""
    bills = {bill.supplier: bill for bill in answer.bills}
    sellers = groupby(answer.rows, key=lambda row: (row.supplier, row.supplier_name))
    return [Plan(code, name, tuple(lines), answer.currency, bills[code]) for (code, name), lines in sellers]


def placed(
    rows: Sequence[OrderRow], names: dict[str, str], currency: str, sums: Sequence[OrderSum] = ()
) -> list[Placed]:
    """The orders, that which is due first at the top, those of no known day and drafts after them, the closed last."""
    wholes = {one.ref: one for one in sums}
    by_ref: dict[str, list[OrderRow]] = {}
    for row in rows:
        by_ref.setdefault(row.ref, []).append(row)
    found = [
        Placed(
            ref,
            lines[0].supplier,
            names.get(lines[0].supplier, ""),
            lines[0].state,
            tuple(lines),
            currency,
            wholes.get(ref),
        )
        for ref, lines in by_ref.items()
    ]
    return sorted(found, key=lambda one: (one.state in CLOSED, one.state == "drafted", not one.due_on, one.due_on))


def plan_row(plan: Plan) -> Row:
    """What to order from one supplier."""
    from buildbook.answers.form import count_of

    money = money_cell(plan.micros, plan.currency)
    cells = (
        Cell("to order", "warn"),
        plan.supplier,
        plan.name,
        "",
        f"order {count_of(len(plan.lines), 'part')}",
        money,
    )
    hay = " ".join(f"{line.key} {line.order_code}" for line in plan.lines)
    return Row(f"to order {plan.supplier}", cells, about=plan, hay=hay)


def plan_lines(plan: Plan) -> list[Line]:
    """What is ordered of each part, at what price, what for, each line known to the verbs; the bill; what is over."""
    from buildbook.answers.order_plan import spare_said
    from buildbook.trade.money import show_money

    rows = [
        [
            line.order_code,
            line.key,
            amount(line.qty, line.unit),
            price_said(line.price_micros, line.per_qty, line.unit, plan.currency),
            show_money(line.amount_micros, plan.currency),
            f"for {line.wanted}" if line.wanted != line.key else "",
            amount(line.spare, line.unit) if line.spare else "",
            line.refs,
        ]
        for line in plan.lines
    ]
    headings = ["order code", "part", "order", "price", plan.currency, "stands in", "spare", "for"]
    table = table_lines(headings, rows, right=[2, 3, 4, 6])
    lines = [table[0], *(line._replace(about=own) for line, own in zip(table[1:], plan.lines, strict=True))]
    spares = [Line(spare_said(line), "quiet") for line in plan.lines if line.spare]
    return [*lines, *bill_lines(plan), *spares]


def bill_lines(plan: Plan) -> list[Line]:
    """What comes to the goods or goes off them; nothing where nothing does."""
    from buildbook.trade.money import show_money

    bill = plan.bill
    terms = (("discount", -bill.discount_micros), ("postage", bill.shipping_micros), ("tax", bill.tax_micros))
    said = [f"{word} {show_money(micros, plan.currency)}" for word, micros in terms if micros]
    goods = show_money(bill.goods_micros, plan.currency)
    whole = f"{show_money(bill.total_micros, plan.currency)} {plan.currency}"
    return [Line(f"goods {goods}, {', '.join(said)}: {whole} in all")] if said else []


def placed_row(order: Placed) -> Row:
    """One order."""
    from buildbook.answers.form import count_of
    from buildbook.trade.money import line_micros

    total = sum(line_micros(one.qty, one.price_micros, one.per_qty) for one in order.lines if one.price_micros)
    quiet = "quiet" if order.state in CLOSED else ""
    if quiet:
        said = count_of(len(order.lines), "part")
    elif order.state == "drafted":
        said = f"not placed yet, {count_of(len(order.lines), 'part')}"
    else:
        due = f"due {day(order.due_on)}" if order.due_on else "no day known"
        said = f"{due}, {count_of(len(order.to_come), 'part')}"
    cells = (
        Cell(order.standing, quiet or ("warn" if order.state == "drafted" else "good")),
        order.ref,
        order.supplier,
        "",
        Cell(said, sort=order.due_on),
        money_cell(total, order.currency),
    )
    hay = " ".join([order.name, *(f"{line.key} {line.order_code}" for line in order.lines)])
    return Row(f"order {order.ref}", cells, quiet, about=order, hay=hay)


def placed_lines(order: Placed) -> list[Line]:
    """The rows of an order, each known to the verbs; and when it was placed."""
    rows = [
        [
            line.key,
            line.order_code,
            amount(line.qty, line.unit),
            amount(line.came_qty, line.unit) if line.came_qty else "",
            price_said(line.price_micros, line.per_qty, line.unit, order.currency),
            due_of(line),
        ]
        for line in order.lines
    ]
    table = table_lines(["part", "order code", "ordered", "came", "price", "due"], rows, right=[2, 3, 4])
    lines = [table[0], *(line._replace(about=own) for line, own in zip(table[1:], order.lines, strict=True))]
    return [*lines, *beside_lines(order), Line(how_far(order), "quiet")]


def due_of(line: OrderRow) -> str:
    """When a row of an order is due, or that all of it is here but what is not coming."""
    if line.received_qty < line.qty:
        return day(line.due_on)
    return f"{amount(line.not_coming_qty, line.unit)} not coming" if line.not_coming_qty else "all here"


def how_far(order: Placed) -> str:
    """How far an order is: "placed 16 Nov with TERN, confirmed 18 Nov"."""
    if order.state == "drafted":
        return f"drafted for {order.supplier}, not placed yet"
    on = order.whole.confirmed_on if order.whole else ""
    return f"placed {day(order.lines[0].placed_on)} with {order.supplier}{f', confirmed {day(on)}' if on else ''}"


def beside_lines(order: Placed) -> list[Line]:
    """What an order costs beside the goods; nothing where nothing does."""
    from buildbook.trade.money import show_money

    whole = order.whole
    if whole is None or whole.total_micros == whole.goods_micros:
        return []
    terms = (("discount", -whole.discount_micros), ("postage", whole.shipping_micros), ("tax", whole.tax_micros))
    said = [f"{word} {show_money(micros, order.currency)}" for word, micros in terms if micros]
    total = f"{show_money(whole.total_micros, order.currency)} {order.currency}"
    return [Line(f"goods {show_money(whole.goods_micros, order.currency)}, {', '.join(said)}: {total} in all")]


def short_row(row: ShortRow, line: PlanRow | None, currency: str, nobody: str | None = None) -> Row:
    """One part that the drawers do not cover; `line` is what to order of it, else `nobody` says why not."""
    state, said = part_said(row, line, nobody)
    tone = {"short": "bad", "covered": "quiet"}.get(state, "")
    cells = (
        Cell(state, tone),
        row.key,
        row.value or row.name,
        Cell(amount(row.short, row.unit) if row.short else "", "bad", row.short),
        Cell(said, "warn" if row.short and line is None else ""),
        money_cell(line.amount_micros, currency) if line else "",
    )
    return Row(f"part {row.key}", cells, about=row, hay=f"{row.kind} {row.name}")


def part_said(row: ShortRow, line: PlanRow | None, nobody: str | None) -> tuple[str, str]:
    """The state of a part that the drawers do not cover, and what comes next."""
    if row.short and line:
        other = f" {line.key}" if line.key != row.key else ""
        return "short", f"{amount(line.qty, line.unit)}{other} from {line.supplier}"
    if row.short:
        return "short", "not in the plan" if nobody is None else nobody
    if row.coming:
        due = f"due {day(row.due_on)}" if row.due_on else "no day known"
        return "coming", f"{due}, {amount(row.coming, row.unit)}"
    return "covered", f"{amount(row.stood_in, row.unit)} by stand-ins"


def price_said(micros: int | None, per_qty: int, unit: str, currency: str) -> str:
    """A price and for how much it is, where that is not one: "3.42 per 20"."""
    from buildbook.trade.money import show_price

    if micros is None:
        return ""
    return show_price(micros, currency) + ("" if per_qty == 1 else f" per {amount(per_qty, unit)}")


def money_cell(micros: int, currency: str) -> Cell:
    """A sum of money; nothing for nothing."""
    from buildbook.trade.money import show_money

    return Cell(show_money(micros, currency) if micros else "", sort=micros)
