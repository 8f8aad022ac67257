"""Open matters of deliveries on the screen: what came otherwise than ordered is settled; goods are given back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.tui.asking import Option
from buildbook.tui.buying_arrivals import bin_for, known_bins, last_bin
from buildbook.tui.buying_days import day_understood, read_day
from buildbook.tui.buying_orders import line_meant, order_meant
from buildbook.tui.buying_rows import money_cell
from buildbook.tui.desk import Desk, Left
from buildbook.tui.rows import Cell, Line, Row
from buildbook.tui.words import amount, day

if TYPE_CHECKING:
    from buildbook.actions.matters import Settled
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.matters import Matter
    from buildbook.answers.orders import OrderRow

STAND_IN = "stand-in"
# What each way of settling does, in a few words.
MEANS = {
    "reorder": "it is to come again",
    "as ordered": "it came after all",
    "credit": "it does not come, the money comes back",
    "written off": "it does not come, the money is gone",
    "accepted": "it goes into stock",
    "sent back": "it goes back",
}


def matter_row(matter: Matter, currency: str) -> Row:
    """One open matter: what came otherwise than ordered."""
    cells = (
        Cell("to settle", "warn"),
        matter.key,
        f"{matter.ref} {matter.supplier}",
        "",
        matter.said,
        money_cell(matter.worth_micros or 0, currency),
    )
    return Row(f"matter {matter.number}", cells, about=matter, hay=f"{matter.instead} {matter.what} {matter.note}")


def matter_of(row: Row) -> Matter | None:
    """The open matter that a row tells of, if it tells of one."""
    from buildbook.answers.matters import Matter

    return row.about if isinstance(row.about, Matter) else None


def matter_lines(matter: Matter) -> list[Line]:
    """What is known of a matter, and how it may be settled."""
    lines = [Line(f"{matter.what}: {matter.said}, since {day(matter.since[:10])}; order {matter.ref}")]
    lines += [Line(matter.note, "quiet")] if matter.note else []
    return [*lines, *(Line(f"{way}: {means(way, matter)}", "quiet") for way in matter.ways)]


def means(way: str, matter: Matter) -> str:
    """What a way of settling does to this matter."""
    if matter.what == "price":
        return {"accepted": "the price stands", "credit": "the difference comes back"}[way]
    return MEANS[way]


async def settle(desk: Desk) -> None:
    """Settle the matter that is selected: how, why, and where it goes or when it comes."""
    matter = matter_of(desk.row)
    if matter is None:
        raise Left
    options = [Option(way, way, means(way, matter)) for way in matter.ways]
    if matter.instead and "accepted" in matter.ways:
        at = 1 + matter.ways.index("accepted")
        options.insert(at, Option(STAND_IN, "accepted, as a stand-in", f"{matter.instead} may stand in from now on"))
    chosen = await desk.choose(f"{matter.key}, order {matter.ref}: {matter.said}. Settle it how?", options)
    stand_in = chosen == STAND_IN
    how = "accepted" if stand_in else chosen
    due = ""
    if how == "reorder":
        due = await desk.line("When is it to come? (4 Dec, 10 d; may be left empty)", check=day_understood, need=False)
    bin = await _bin_of(desk, matter) if how in ("accepted", "as ordered") and matter.what != "price" else ""
    reason = await desk.line("Why, or what was agreed?", need=stand_in)

    def act(shop: Workshop) -> Settled:
        from buildbook.actions import matters

        on = read_day(due) if due else ""
        return matters.settle(shop, matter.number, how, reason=reason, bin=bin or None, due_on=on, stand_in=stand_in)

    await desk.act(act, said=f"Settled {matter.key} of order {matter.ref}: {how}.")


async def _bin_of(desk: Desk, matter: Matter) -> str:
    """The bin where what is taken in lay last, else one that is named now."""
    key = matter.instead or matter.key
    return await desk.read(lambda shop: last_bin(shop, key)) or await bin_for(desk, [key])


async def give_back(desk: Desk) -> None:
    """Send goods of an order back to whoever sold them."""
    line = line_meant(desk)
    if line is None:
        line = await _came(desk)
    came = amount(line.received_qty, line.unit)
    many = await desk.line(f"Give back how many of {line.key}, order {line.ref}? ({came} came)", initial=came)
    known = await desk.read(known_bins)
    last = await desk.read(lambda shop: last_bin(shop, line.key))
    bin = await desk.line(f"Out of which bin do the {many} of {line.key} go?", initial=last, complete=known)
    reason = await desk.line("Why do they go back?")

    def act(shop: Workshop) -> int:
        from buildbook.actions import matters

        return matters.give_back(shop, line.ref, line.line, many, reason=reason, bin=bin)

    await desk.act(act, said=f"Given back {many} of {line.key}; to be settled.")


async def _came(desk: Desk) -> OrderRow:
    """The row of the selected order of which something came."""
    order = await order_meant(desk, "Goods of which order go back?")
    rows: Sequence[OrderRow] = [line for line in order.lines if line.received_qty]
    if not rows:
        desk.say(f"Nothing of order {order.ref} has come.")
        raise Left
    if len(rows) == 1:
        return rows[0]
    options = [Option(str(at), line.key, amount(line.received_qty, line.unit)) for at, line in enumerate(rows)]
    return rows[int(await desk.choose(f"What of order {order.ref} goes back?", options))]
