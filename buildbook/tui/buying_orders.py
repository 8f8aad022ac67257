"""Orders on the screen: placing one from the plan, changing days and rows, cancelling, writing one out to a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from buildbook.errors import BadInput, Stale
from buildbook.tui.asking import Option
from buildbook.tui.buying_days import day_understood, read_day, today
from buildbook.tui.buying_rows import CLOSED, Placed, Plan, price_said
from buildbook.tui.desk import Desk, Left
from buildbook.tui.files import target_of, target_understood
from buildbook.tui.words import amount, day

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.orders import OrderRow

ALL = "all suppliers"


def shown_plans(desk: Desk) -> list[Plan]:
    """What to order from each supplier, as the list has it."""
    return [row.about for row in desk.frame.panel.list.rows if isinstance(row.about, Plan)]


def shown_orders(desk: Desk) -> list[Placed]:
    """The orders, as the list has them."""
    return [row.about for row in desk.frame.panel.list.rows if isinstance(row.about, Placed)]


def own(desk: Desk) -> object:
    """What the selected row tells of, if one is selected."""
    row = desk.frame.panel.list.selected
    return row.about if row else None


def own_supplier(desk: Desk) -> str:
    """The supplier of the plan that is selected, or of the plan in which the part selected stands."""
    about = own(desk)
    if isinstance(about, Plan):
        return about.supplier
    key = getattr(about, "key", "")
    return next((plan.supplier for plan in shown_plans(desk) if key in {line.key for line in plan.lines}), "")


async def plan_meant(desk: Desk, question: str) -> Plan:
    """The plan selected, or one that is chosen now."""
    about = own(desk)
    if isinstance(about, Plan):
        return about
    found = shown_plans(desk)
    if not found:
        desk.say("There is nothing to order.")
        raise Left
    options = [Option(plan.supplier, plan.supplier, f"{plan.name}, {plan_said(plan)}") for plan in found]
    chosen = await desk.choose(question, options, at=own_supplier(desk))
    return next(plan for plan in found if plan.supplier == chosen)


def plan_said(plan: Plan) -> str:
    """How much is ordered from one supplier: "3 parts for 8.24 EUR"."""
    from buildbook.answers.form import count_of
    from buildbook.trade.money import show_money

    return f"{count_of(len(plan.lines), 'part')} for {show_money(plan.micros, plan.currency)} {plan.currency}"


async def place(desk: Desk) -> None:
    """Note down that what the plan says has been ordered from its supplier."""
    plan = await plan_meant(desk, "Order from whom?")
    taken = {order.ref.casefold() for order in shown_orders(desk)}

    def free(text: str) -> str | None:
        if text.strip().casefold() in taken:
            raise BadInput(f"There is an order {text.strip()[:40]}.", "", "Choose another reference.")
        return None

    ref = await desk.line(
        f"Order {plan_said(plan)} from {plan.supplier}. Its reference?",
        initial=next_ref(plan.supplier, taken),
        check=free,
    )
    due = await desk.line(
        f"When should {ref} arrive? (4 Dec, 10 d, 2 weeks; may be left empty)", check=day_understood, need=False
    )

    def act(shop: Workshop) -> str:
        from buildbook.actions import buying

        lines = [
            buying.OrderLine(line.key, line.qty, line.price_micros, line.per_qty, line.order_code)
            for line in plan.lines
        ]
        due_on = read_day(due) if due else ""
        return buying.place_order(shop, ref, plan.supplier, lines, placed_on=today().isoformat(), due_on=due_on)

    made = await desk.act(act, said=lambda made: f"Placed order {made} with {plan.supplier}: {plan_said(plan)}.")
    desk.go("Buying", select=f"order {made}")


def next_ref(supplier: str, taken: set[str]) -> str:
    """A reference that no order has: the supplier and a number.

    >>> next_ref("POSTAL", {"postal-1"})
    'POSTAL-2'
    """
    number = 1
    while f"{supplier}-{number}".casefold() in taken:
        number += 1
    return f"{supplier}-{number}"


# --- changing --------------------------------------------------------------------------------------------------------


async def order_meant(desk: Desk, question: str) -> Placed:
    """The order selected, or one under way that is chosen now."""
    about = own(desk)
    if isinstance(about, Placed):
        return about
    found = [order for order in shown_orders(desk) if order.state not in CLOSED]
    if not found:
        desk.say("No order is under way.")
        raise Left
    options = [Option(one.ref, one.ref, f"{one.name}, due {day(one.due_on) or 'on no day known'}") for one in found]
    chosen = await desk.choose(question, options)
    return next(order for order in found if order.ref == chosen)


def line_meant(desk: Desk) -> OrderRow | None:
    """The row of an order on whose line the cursor stands."""
    from buildbook.answers.orders import OrderRow

    return desk.about if isinstance(desk.about, OrderRow) else None


async def change(desk: Desk) -> None:
    """Change the days of an order, or the day, quantity or price of the row selected."""
    line = line_meant(desk)
    order = await order_meant(desk, "Change which order?")
    if line is None:
        await change_days(desk, order)
    else:
        await change_line(desk, order, line)


async def change_days(desk: Desk, order: Placed) -> None:
    """Change when an order is due, or when it was placed."""
    now = {"due_on": order.due_on or order.lines[0].due_on, "placed_on": order.lines[0].placed_on}
    words = {"due_on": "due", "placed_on": "placed"}
    options = [Option(name, words[name], day(now[name]) or "not known") for name in words]
    name = await desk.choose(f"Order {order.ref}: change what?", options)
    text = await desk.line(
        f"Order {order.ref}, {words[name]} (4 Dec, 10 d, 2 weeks):", initial=now[name], check=day_understood, need=False
    )
    on = read_day(text) if text else ""

    def act(shop: Workshop) -> None:
        from buildbook.actions import buying

        refuse_stale_days(shop, order.lines)
        fields: dict[str, Any] = {name: on}
        buying.change_order(shop, order.ref, **fields)

    await desk.act(act, said=f"Order {order.ref}, {words[name]}: {day(on) or 'not known'}.")


async def change_line(desk: Desk, order: Placed, line: OrderRow) -> None:
    """Change the day, the quantity or the price of a row of an order."""
    unit, currency = line.unit, order.currency
    now = {
        "due_on": line.due_on,
        "qty": amount(line.qty, unit),
        "price": price_said(line.price_micros, line.per_qty, unit, currency),
    }
    words = {"due_on": "due", "qty": "ordered", "price": f"price in {currency}"}
    options = [
        Option(name, words[name], (day(now[name]) if name == "due_on" else now[name]) or "not known") for name in words
    ]
    name = await desk.choose(f"{line.key} of order {order.ref}: change what?", options)

    def check(text: str) -> str | None:
        fields = fields_of(name, text, line, currency)
        if name == "due_on":
            return day_understood(text)
        return None if name == "qty" and unit == "pc" else ", ".join(field_said(fields, unit, currency))

    text = await desk.line(
        f"{line.key} of order {order.ref}, {words[name]}:", initial=now[name], check=check, need=name != "due_on"
    )

    def act(shop: Workshop) -> None:
        from buildbook.actions import buying

        fields = fields_of(name, text, line, currency)
        expected = {one: getattr(line, one) for one in fields if one != "due_on"}
        if name == "due_on":
            refuse_stale_days(shop, [line])
        buying.change_order_line(shop, order.ref, line.line, expected=expected, **fields)

    await desk.act(act, said=f"{line.key} of order {order.ref}, {words[name]}: {text or 'not known'}.")


def fields_of(name: str, text: str, line: OrderRow, currency: str) -> dict[str, Any]:
    """What was typed for a row of an order, by the names that the action knows."""
    from buildbook.trade.units import Unit, read_quantity

    if name == "due_on":
        return {"due_on": read_day(text) if text else ""}
    if name == "price":
        micros, per_qty = read_one_price(text, line, currency)
        return {"price_micros": micros, "per_qty": per_qty}
    qty = read_quantity(text, Unit(line.unit))
    if qty < max(1, line.received_qty):
        came = amount(line.received_qty, line.unit)
        raise BadInput(f"{came} of it came already." if line.received_qty else "It must be 1 or more.")
    return {"qty": qty}


def read_one_price(text: str, line: OrderRow, currency: str) -> tuple[int, int]:
    """A price and for how much it is; for as much as was ordered at, when that is not said.

    Raises BadInput for what is no price.
    """
    from buildbook.trade.money import read_money
    from buildbook.tui.buying_offers import read_per

    price, _, per = text.replace("/", " per ").partition(" per ")
    return read_money(price, currency), read_per(per, line.unit) if per.strip() else line.per_qty


def field_said(fields: dict[str, Any], unit: str, currency: str) -> list[str]:
    """How a quantity or a price is understood."""
    if "qty" in fields:
        return [f"that is {amount(fields['qty'], unit)}"]
    micros, per_qty = fields["price_micros"], fields["per_qty"]
    return [f"{amount(per_qty, unit)} for {price_said(micros, 1, unit, currency)} {currency}"]


def refuse_stale_days(shop: Workshop, seen: list[OrderRow] | tuple[OrderRow, ...]) -> None:
    """Raise Stale, telling both days, when somebody else has changed them since they were seen."""
    from buildbook.answers.orders import orders

    now = {row.line: row for row in orders(shop).rows}
    for line in seen:
        is_now = now.get(line.line)
        if is_now is not None and is_now.due_on != line.due_on:
            raise Stale(
                f"Order {line.ref} was not changed.",
                f"{line.key} is due {day(is_now.due_on) or 'on no day known'} now, "
                f"you saw {day(line.due_on) or 'no day'}.",
                "Look again.",
            )


async def strike(desk: Desk) -> None:
    """Take away what the cursor stands on: an offer, a row of an order, or a whole order."""
    from buildbook.answers.offered import OfferRow
    from buildbook.tui.buying_offers import drop_offer

    if isinstance(desk.about, OfferRow):
        await drop_offer(desk, desk.about, str(getattr(own(desk), "key", "")))
        return
    line = line_meant(desk)
    order = await order_meant(desk, "Cancel which order?")

    def act(shop: Workshop) -> None:
        from buildbook.actions import buying

        if line is not None:
            buying.drop_order_line(shop, order.ref, line.line)
        else:
            buying.cancel_order(shop, order.ref)

    await desk.act(act, said=f"{line.key} is off order {order.ref}." if line else f"Cancelled order {order.ref}.")


# --- writing an order out --------------------------------------------------------------------------------------------


async def write_out(desk: Desk) -> None:
    """Write the order selected into a file, or what to order: of one supplier, or of all."""
    order = own(desk)
    if isinstance(order, Placed):
        await write_to_file(desk, [], order.ref)
        return
    found = shown_plans(desk)
    if not found:
        desk.say("There is nothing to order, so nothing to write out.")
        return
    supplier = found[0].supplier
    if len(found) > 1:
        options = [Option(plan.supplier, plan.supplier, f"{plan.name}, {plan_said(plan)}") for plan in found]
        options.append(Option(ALL, "All", f"{len(found)} suppliers in one file"))
        supplier = await desk.choose("Write out the order to whom?", options, at=own_supplier(desk) or supplier)
    await write_to_file(desk, [plan for plan in found if supplier in (ALL, plan.supplier)])


async def write_to_file(desk: Desk, plans: list[Plan], ref: str = "") -> None:
    """Write these plans, or the order of that reference, with the columns remembered for each supplier."""
    name = ref.replace("/", "-") or (plans[0].supplier if len(plans) == 1 else "")
    target = await desk.line(
        "Write the order to which file? (.csv, .xlsx, or .txt to paste)",
        initial=f"order-{name}.csv" if name else "orders.csv",
        check=file_understood,
    )

    def write(shop: Workshop) -> int:
        from buildbook.answers.order_out import columns_of, order_out, plan_out
        from buildbook.answers.ordering import ToOrder
        from buildbook.exchange.orders_out import Written, write_out

        lines = tuple(line for plan in plans for line in plan.lines)
        orders = (order_out(shop, ref),) if ref else plan_out(ToOrder("", plans[0].currency, 0, lines, ()))
        path = target_of(target)
        to_paste = path.suffix.casefold() == ".txt"
        lists = [Written(one.name, columns_of(shop, one.supplier, to_paste=to_paste), (one,)) for one in orders]
        write_out(lists, path)
        return sum(len(one.rows) for one in orders)

    many = await desk.read(write)
    desk.say(f"{many} row{'' if many == 1 else 's'} written to {target}.")


def file_understood(text: str) -> str | None:
    """A hint where a file of that name would be replaced; refuses what is neither CSV nor XLSX nor text."""
    if target_of(text).suffix.casefold() not in (".csv", ".xlsx", ".txt"):
        raise BadInput("An order is written as .csv, .xlsx or .txt.", "", "Let the name end so.")
    return target_understood(text)
