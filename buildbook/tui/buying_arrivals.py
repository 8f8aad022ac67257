"""Deliveries on the screen: a row or a whole order in full at a key, or short, at another price, in another bin."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from buildbook.errors import BadInput
from buildbook.tui.asking import Option
from buildbook.tui.buying_orders import line_meant, own, read_one_price, shown_orders
from buildbook.tui.buying_rows import Placed, price_said
from buildbook.tui.desk import Desk, Left
from buildbook.tui.words import amount, day

if TYPE_CHECKING:
    from buildbook.actions.deliveries import Received
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.orders import OrderRow

# "18 at 3.50 in G2": a bin may have any name, so the last " in " counts, and only before a price or at the end.
_CAME = re.compile(
    r"(?P<qty>.+?)(?:\s+(?:at|@)\s+(?P<price>.+?))?(?:\s+in\s+(?P<bin>\S.*))?", re.IGNORECASE | re.DOTALL
)
# "2 damaged", "3 short", "5 over", "1 as R-47K"
_ODD = re.compile(r"(?P<qty>.+?)\s+(?:(?P<what>short|over|damaged)|(?:came\s+)?as\s+(?P<part>\S+))", re.IGNORECASE)
MOVEMENTS = 200
STILL, NEVER = "still", "never"


class Came(NamedTuple):
    """What came of a row of an order: how much, at which price for how much, into which bin ("" where it lay last).

    `odd` is what came otherwise than ordered.
    """

    qty: int
    price_micros: int | None
    per_qty: int
    bin: str
    odd: tuple[OddCame, ...] = ()


class OddCame(NamedTuple):
    """So much that was short, over, damaged, or wrong: `instead` came."""

    what: str
    qty: int
    instead: str


def read_came(text: str, line: OrderRow, currency: str) -> Came:
    """What came, as typed: `18`, `18 at 3.50`, `18 at 3.50 per 20 in G2`. What is not said is as ordered.

    What came otherwise follows after commas: `16, 2 damaged, 2 as R-47K`. Raises BadInput for more than is to come, and
    for what is no quantity or no price.
    """
    from buildbook.trade.units import Unit, read_quantity

    text, odd = _read_odd(text, line)
    found = _CAME.fullmatch(text)
    to_come = line.qty - line.received_qty - sum(one.qty for one in odd if one.what != "over")
    qty = to_come if odd and not text else read_quantity(found["qty"] if found else text, Unit(line.unit))
    if qty < (0 if odd else 1):
        raise BadInput("Nothing came, so nothing is received.", "", "Esc leaves it; d takes the row off the order.")
    if qty > to_come:
        more, due = amount(qty - to_come, line.unit), amount(to_come, line.unit)
        raise BadInput(f"{more} more than is to come.", "", f"Receive {due} here, and the rest by itself in Stores.")
    price, per_qty = line.price_micros, line.per_qty
    if found and found["price"]:
        price, per_qty = read_one_price(found["price"], line, currency)
    return Came(qty, price, per_qty, (found["bin"] or "").strip() if found else "", odd)


def _read_odd(text: str, line: OrderRow) -> tuple[str, tuple[OddCame, ...]]:
    """What came in order, as typed, and what came otherwise."""
    from buildbook.trade.units import Unit, read_quantity

    plain, odd = [], []
    for clause in re.split(r",\s+", text.strip()):
        if found := _ODD.fullmatch(clause.strip()):
            qty = read_quantity(found["qty"], Unit(line.unit))
            odd.append(OddCame((found["what"] or "wrong").casefold(), qty, found["part"] or ""))
        else:
            plain.append(clause)
    return ", ".join(plain).strip(), tuple(odd)


def show_came(line: OrderRow, currency: str, bin: str) -> str:
    """All that is to come of a row, as `read_came` reads it."""
    price = price_said(line.price_micros, line.per_qty, line.unit, currency)
    said = amount(line.qty - line.received_qty, line.unit) + (f" at {price}" if price else "")
    return said + (f" in {bin}" if bin else "")


def came_said(came: Came, line: OrderRow, currency: str) -> str:
    """How it is understood what came: "18 of 20, at 3.50 per 20 instead of 3.42, into G2"."""
    to_come = line.qty - line.received_qty
    few = came.qty < to_come
    said = [f"{amount(came.qty, line.unit)} of {amount(to_come, line.unit)}" if few else "all that is to come"]
    price = price_said(came.price_micros, came.per_qty, line.unit, currency)
    was = price_said(line.price_micros, line.per_qty, line.unit, currency)
    if price != was:
        said.append(f"at {price} instead of {was}" if was else f"at {price}")
    said += [f"into {came.bin}"] if came.bin else []
    said += [
        f"{amount(one.qty, line.unit)} {f'came as {one.instead}' if one.instead else one.what}" for one in came.odd
    ]
    return ", ".join(said)


# --- what is meant ---------------------------------------------------------------------------------------------------


class Meant(NamedTuple):
    """An order, and the row of it that came; no row means all of it."""

    order: Placed
    line: OrderRow | None


def candidates(desk: Desk) -> list[Meant]:
    """All that may have come: each order in full, then its rows, what is due first at the top."""
    found = []
    for order in shown_orders(desk):
        rows = [Meant(order, line) for line in order.to_come]
        found += [Meant(order, None), *rows] if len(rows) != 1 else rows
    return [one for one in found if one.order.to_come]


def known_already(desk: Desk) -> Meant | None:
    """What the selection says came: the line of an order, an order, or a part that only one order brings."""
    line, about = line_meant(desk), own(desk)
    if line is not None:
        order = next(order for order in shown_orders(desk) if order.ref == line.ref)
        return Meant(order, line)
    if isinstance(about, Placed):
        return Meant(about, about.to_come[0] if len(about.to_come) == 1 else None)
    key = getattr(about, "key", "")
    bringing = [one for one in candidates(desk) if key and one.line and one.line.key == key]
    return bringing[0] if len(bringing) == 1 else None


async def choose_arrival(desk: Desk, found: Sequence[Meant]) -> Meant:
    """Which of what is under way came."""
    if not found:
        desk.say("Nothing is to come: no order is under way.")
        raise Left
    options = [Option(str(at), meant_said(one), due_said(one)) for at, one in enumerate(found)]
    return found[int(await desk.choose("What came?", options))]


def meant_said(one: Meant) -> str:
    """An order in full, or a row of it."""
    if one.line is None:
        return f"{one.order.ref} in full"
    return f"{one.order.ref} {one.line.key}, {amount(one.line.qty - one.line.received_qty, one.line.unit)}"


def due_said(one: Meant) -> str:
    """From whom, and when it is due."""
    from buildbook.answers.form import count_of

    on = one.line.due_on if one.line else one.order.due_on
    parts = "" if one.line else f"{count_of(len(one.order.to_come), 'part')} from "
    return f"{parts}{one.order.name or one.order.supplier}, {f'due {day(on)}' if on else 'no day known'}"


# --- verbs -----------------------------------------------------------------------------------------------------------


async def receive(desk: Desk) -> None:
    """Take in all that is to come of an order or of a row of it, each part into the bin where it lay last."""
    order, line = known_already(desk) or await choose_arrival(desk, candidates(desk))
    if not order.to_come:
        desk.say(f"Order {order.ref} is {order.state}: nothing of it is to come.")
        return
    if line is not None and line.received_qty >= line.qty:
        desk.say(f"All of {line.key} of order {order.ref} is here.")
        return
    rows = [line] if line else list(order.to_come)
    homeless = await desk.read(lambda shop: without_bin(shop, rows))
    bin = await bin_for(desk, homeless) if homeless else ""

    def act(shop: Workshop) -> Received:
        from buildbook.actions.deliveries import receive_order

        only = open_of(rows, in_question(shop, order.ref)) if line else None
        return receive_order(shop, order.ref, bins=dict.fromkeys(homeless, bin), lines=only)

    what = line.key if line else f"all of order {order.ref}"
    await desk.act(act, said=lambda done: f"Received {what}; {rest_said(done)}.")


def in_question(shop: Workshop, ref: str) -> Counter[str]:
    """How many of each part of an order came and are in question: they are neither stock nor to come."""
    from buildbook.actions.order_rows import IN_QUESTION
    from buildbook.answers.matters import matters

    found: Counter[str] = Counter()
    for one in matters(shop).rows:
        if one.ref == ref and one.what in IN_QUESTION:
            found[one.key] += one.qty
    return found


def open_of(rows: Sequence[OrderRow], less: Mapping[str, int]) -> dict[str, int | str]:
    """What is to come of each part in these rows, less what is in question of it."""
    found: Counter[str] = Counter()
    for row in rows:
        found[row.key] += row.qty - row.received_qty
    return {key: qty - less.get(key, 0) for key, qty in found.items() if qty > less.get(key, 0)}


def rest_said(done: Received) -> str:
    """What is still to come of the order."""
    return "nothing of it is to come any more" if done.state == "received" else "the rest is still to come"


def without_bin(shop: Workshop, rows: Sequence[OrderRow]) -> list[str]:
    """The parts among these rows that never lay in a bin."""
    return [key for key in dict.fromkeys(row.key for row in rows) if not last_bin(shop, key)]


def last_bin(shop: Workshop, key: str) -> str:
    """The bin into which a part was put last, else one that holds it; nothing when it never lay in one."""
    from buildbook.answers.stores import where

    answer = where(shop, key, limit=MOVEMENTS)
    put = (one.bin for one in answer.movements if one.bin and one.bin_qty > 0)
    return next(put, answer.bins[0][0] if answer.bins else "")


async def bin_for(desk: Desk, keys: Sequence[str]) -> str:
    """The bin for parts that never lay in one."""
    from buildbook.answers.form import join_words

    known = await desk.read(known_bins)
    return await desk.line(f"{join_words(list(keys))} never lay in a bin. Into which bin?", complete=known)


def known_bins(shop: Workshop) -> list[str]:
    """Every bin that holds something."""
    from buildbook.answers.stores import stores

    return sorted({name for row in stores(shop).rows for name, _ in row.bins})


async def receive_short(desk: Desk) -> None:
    """Take in fewer than ordered, at another price, or into another bin."""
    lines = [one for one in candidates(desk) if one.line]
    known = known_already(desk)
    if known and known.line is None:
        lines = [one for one in lines if one.order is known.order]
    meant = known if known and known.line else await choose_arrival(desk, lines)
    order, line = meant.order, meant.line
    if line is None or line.received_qty >= line.qty:
        desk.say("All of it is here.")
        return
    bin = await desk.read(lambda shop: last_bin(shop, line.key))
    bins = await desk.read(known_bins)

    def check(text: str) -> str:
        return came_said(read_came(text, line, order.currency), line, order.currency)

    def complete(text: str) -> list[str]:
        begun, sign, name = text.rpartition(" in ")
        return [f"{begun}{sign}{one}" for one in bins if one.casefold().startswith(name.casefold())] if sign else []

    initial = show_came(line, order.currency, bin)
    text = await desk.line(
        f"What came of {line.key}, order {order.ref}? (such as {initial}, 2 damaged, 1 short, 3 over, 1 as OTHER-PART)",
        initial=initial,
        check=check,
        complete=complete,
    )
    came = read_came(text, line, order.currency)
    into = came.bin or bin or await bin_for(desk, [line.key])
    missing = line.qty - line.received_qty - came.qty - sum(one.qty for one in came.odd if one.what != "over")
    rest = STILL
    if missing:
        left = amount(missing, line.unit)
        options = [Option(STILL, "Still to come"), Option(NEVER, "Not coming any more", "taken off the order")]
        rest = await desk.choose(f"And the other {left}?", options)

    def act(shop: Workshop) -> None:
        from buildbook.actions import deliveries

        changed = (came.price_micros, came.per_qty) != (line.price_micros, line.per_qty)
        prices = {line.key: deliveries.Price(came.price_micros or 0, came.per_qty)} if changed else None
        given_up = [line.line] if rest == NEVER else []
        odd = [deliveries.Odd(one.what, line.key, one.qty, one.instead) for one in came.odd]
        lines = {line.key: came.qty} if came.qty else {}
        deliveries.receive_order(shop, order.ref, into, lines=lines, prices=prices, given_up=given_up, odd=odd)

    what = came_said(came._replace(bin=into), line, order.currency)
    await desk.act(act, said=f"Received of {line.key}: {what}.")
