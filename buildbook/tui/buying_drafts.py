"""Orders on the screen from draft to confirmed: drafted from the plan, placed, confirmed, moved; how a sum comes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.tui.buying_days import day_understood, read_day, today
from buildbook.tui.buying_orders import line_meant, order_meant, own, plan_meant, plan_said
from buildbook.tui.buying_rows import Placed
from buildbook.tui.desk import Desk, Left
from buildbook.tui.rows import Line, heading, table_lines
from buildbook.tui.words import day

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

DAYS = "(4 Dec, 10 d, 2 weeks)"


async def draft(desk: Desk) -> None:
    """Keep what the plan says for a supplier as a draft: it is not coming, and not planned again."""
    plan = await plan_meant(desk, "Draft the order with whom?")

    def act(shop: Workshop) -> str:
        from buildbook.actions.buying import OrderLine
        from buildbook.actions.drafts import draft_order

        lines = [OrderLine(line.key, line.qty, line.price_micros, line.per_qty, line.order_code) for line in plan.lines]
        return draft_order(shop, "", plan.supplier, lines)

    made = await desk.act(act, said=lambda made: f"Drafted order {made} with {plan.supplier}: {plan_said(plan)}.")
    desk.go("Buying", select=f"order {made}")


async def place_draft(desk: Desk, order: Placed) -> None:
    """Place a draft: it is coming from now on."""
    due = await desk.line(
        f"Place order {order.ref}. When should it arrive? {DAYS[:-1]}; may be left empty)",
        initial=order.lines[0].due_on,
        check=day_understood,
        need=False,
    )

    def act(shop: Workshop) -> str:
        from buildbook.actions import drafts

        return drafts.place_draft(shop, order.ref, placed_on=today().isoformat(), due_on=read_day(due) if due else "")

    await desk.act(act, said=f"Placed order {order.ref} with {order.supplier}.")


async def confirm(desk: Desk) -> None:
    """Note that the supplier has confirmed an order, and for which day."""
    order = await order_meant(desk, "Which order is confirmed?")
    if order.state != "placed":
        desk.say(f"Order {order.ref} is {order.state}: only an order under way can be confirmed.")
        raise Left
    due = await desk.line(
        f"Order {order.ref} is confirmed. For which day? {DAYS}", initial=order.due_on, check=day_understood, need=False
    )
    on = read_day(due) if due else ""

    def act(shop: Workshop) -> str:
        from buildbook.actions import drafts

        # The day that stands there already is nobody's news: days of single rows stay.
        moved = on if on != order.due_on else ""
        return drafts.confirm_order(shop, order.ref, on=today().isoformat(), due_on=moved)

    await desk.act(act, said=f"Order {order.ref} is confirmed{f', due {day(on)}' if on else ''}.")


async def move(desk: Desk) -> None:
    """Move the day on which an order is due, or the row of it under the cursor."""
    line = line_meant(desk)
    order = await order_meant(desk, "Move which order?")
    what = f"{line.key} of order {order.ref}" if line else f"Order {order.ref}"
    due = await desk.line(
        f"{what} is due when? {DAYS}", initial=line.due_on if line else order.due_on, check=day_understood
    )
    on = read_day(due)

    def act(shop: Workshop) -> str:
        from buildbook.actions import drafts

        return drafts.move_order(shop, order.ref, on, line.line if line else "")

    await desk.act(act, said=lambda before: f"{what} is due {day(on)} now, before {day(before) or 'on no day known'}.")


def sum_lines(shop: Workshop, ref: str) -> list[Line]:
    """How the sum of an order comes about."""
    from buildbook.answers.order_sum import order_sum
    from buildbook.trade.money import show_money

    answer = order_sum(shop, ref)
    rows = [[row.what, row.said, show_money(row.micros, answer.currency)] for row in answer.rows]
    return [heading(answer.sentence), *table_lines(["what", "how", answer.currency], rows, right=[2])]


def is_draft(desk: Desk) -> bool:
    """Whether the selected row is an order that is drafted only."""
    about = own(desk)
    return isinstance(about, Placed) and about.state == "drafted"
