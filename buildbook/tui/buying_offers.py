"""Offers on the screen: the price breaks as the trade writes them, edited where they stand; and new suppliers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from buildbook.errors import BadInput
from buildbook.tui.asking import Option
from buildbook.tui.buying_rows import Placed, Plan
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Line
from buildbook.tui.words import amount, day

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.offered import Offered, OfferRow
    from buildbook.tui.asking import Check

_PER = re.compile(r"^(?P<prices>.*?)\s*(?:/|\bper\b)\s*(?P<per>[^/]+)$", re.IGNORECASE)
# A comma parts two prices only where a quantity and its colon follow: "1: 0,42, 10: 0,36".
_NEXT = re.compile(r"[;,]\s*(?=[^;,:]+:)")
NEW = "new"


class Prices(NamedTuple):
    """Pairs of an ordered quantity and the price from there on, in millionths, of `per_qty` base units."""

    breaks: tuple[tuple[int, int], ...]
    per_qty: int = 1


def read_prices(text: str, unit: str, currency: str) -> Prices:
    """Price breaks as typed; at a price a metre, a bare 10 is ten metres. A price alone counts from one on.

    Raises BadInput for what is no price, two prices for one quantity, and a price of something not counted in pieces
    that does not say for how much it is.

    >>> read_prices("1: 0.42, 10: 0.36", "pc", "EUR")
    Prices(breaks=((1, 420000), (10, 360000)), per_qty=1)
    >>> read_prices("1: 0,93; 10: 0,84 per m", "mm", "EUR")
    Prices(breaks=((1, 930000), (10000, 840000)), per_qty=1000)
    """
    from buildbook.trade.money import read_money

    found = _PER.match(text)
    per_qty = read_per(found["per"], unit) if found else 1
    if not found and unit != "pc":
        raise refused("It does not say for how much a price is.", "Write it behind, such as `per 1 m` or `per 100 g`.")
    breaks: dict[int, int] = {}
    for one in _NEXT.split(found["prices"] if found else text):
        start, colon, price = one.rpartition(":")
        from_qty = read_start(start, unit, per_qty) if colon else 1
        if from_qty in breaks:
            raise refused(f"There are two prices from {amount(from_qty, unit)} on.", "Give one for each quantity.")
        breaks[from_qty] = read_money(price, currency)
    return Prices(tuple(sorted(breaks.items())), per_qty)


def read_per(text: str, unit: str) -> int:
    """For how much a price is: `20`, `1 m`, `m`."""
    from buildbook.trade.units import Unit, read_quantity, read_unit

    qty = read_quantity(f"1 {text}" if read_unit(text.strip()) else text, Unit(unit))
    if qty < 1:
        raise refused("A price for nothing is no price.", "Say for how much it is.")
    return qty


def read_start(text: str, unit: str, per_qty: int) -> int:
    """The quantity from which a price counts: `10`, `10+`, `5 m`."""
    from buildbook.trade.units import Unit, read_quantity

    plain = text.strip().rstrip("+ ")
    qty = read_quantity(plain, Unit(unit))
    if qty < 1:
        raise refused("A price counts from 1 or more.", "Write it as 1: 0.42, 10: 0.36.")
    return qty * per_qty if unit != "pc" and plain.isdecimal() and qty > 1 else qty


def refused(why: str, mend: str) -> BadInput:
    """Why price breaks cannot be taken."""
    return BadInput("These are no prices yet.", why, mend)


def show_prices(breaks: Sequence[tuple[int, int]], per_qty: int, unit: str, currency: str) -> str:
    """Price breaks as `read_prices` reads them back unchanged.

    >>> show_prices([(1, 420_000), (10, 360_000)], 1, "pc", "EUR")
    '1: 0.42, 10: 0.36'
    >>> show_prices([(1, 935_000), (5000, 840_000)], 1000, "mm", "EUR")
    '1: 0.935, 5 m: 0.84 per 1 m'
    """
    from buildbook.trade.money import show_price

    said = ", ".join(f"{start_said(qty, unit)}: {show_price(micros, currency)}" for qty, micros in breaks)
    return said if unit == "pc" and per_qty == 1 else f"{said} per {amount(per_qty, unit)}"


def start_said(qty: int, unit: str) -> str:
    """The quantity from which a price counts; the least there is has no unit."""
    return "1" if qty == 1 else amount(qty, unit)


def prices_understood(unit: str, currency: str) -> Check:
    """Checks price breaks while they are typed, and says what they come to."""

    def check(text: str) -> str:
        from buildbook.trade.money import line_micros, show_money

        read = read_prices(text, unit, currency)
        worked = []
        for qty, micros in (read.breaks[0], *read.breaks[1:][-1:]):
            many = max(qty, read.per_qty)
            cost = show_money(line_micros(many, micros, read.per_qty), currency)
            worked.append(f"{amount(many, unit)} for {cost} {currency}")
        rising = any(later > former for (_, former), (_, later) in zip(read.breaks, read.breaks[1:], strict=False))
        return ", ".join(worked) + ("; mind that it gets dearer for more" if rising else "")

    return check


# --- the offers of a part --------------------------------------------------------------------------------------------


def offer_lines(answer: Offered) -> list[Line]:
    """The offers of a part, on each of which enter changes it."""
    if not answer.rows:
        return [Line("Nobody offers it; v writes an offer down.", "warn")]
    return [Line("offers", "head"), *(Line(offer_said(one, answer), verb="v", about=one) for one in answer.rows)]


def offer_said(one: OfferRow, answer: Offered) -> str:
    """One offer in a line: "QUAYSIDE Q2651  1: 0.892, 10: 0.75; packs of 10; 3 days"."""
    money = one.currency or answer.currency
    prices = show_prices(one.breaks, one.per_qty, answer.unit, money)
    prices += f" {money}" if money != answer.currency else ""
    said = [f"{one.supplier} {one.order_code}".strip() + f"  {prices}"]
    said += [f"packs of {amount(one.pack_qty, answer.unit)}"] if one.pack_qty > 1 else []
    said += [f"at least {amount(one.min_qty, answer.unit)}"] if one.min_qty > one.pack_qty else []
    said += [f"{one.lead_days} days"] if one.lead_days is not None else []
    said += (
        [f"multiples of {amount(one.multiple_qty, answer.unit)}"] if one.multiple_qty and one.multiple_qty > 1 else []
    )
    said += [f"{amount(one.seen_qty, answer.unit) or 'none'} seen there"] if one.seen_qty is not None else []
    said += [f"until {day(one.valid_until)}"] if one.valid_until else []
    said += [one.standing] if one.standing else []
    said += [f"NOT COUNTED: {one.left_out}"] if one.left_out else []
    return "; ".join(said)


async def offers(desk: Desk) -> None:
    """Change an offer of the part, or write down a new one."""
    from buildbook.answers.offered import OfferRow, offered

    key = await part_meant(desk)
    answer = await desk.read(lambda shop: offered(shop, key))
    own = desk.about if isinstance(desk.about, OfferRow) else None
    if own is None and answer.rows:
        options = [Option(str(at), offer_said(one, answer)) for at, one in enumerate(answer.rows)]
        options.append(Option(NEW, "a new offer"))
        chosen = await desk.choose(f"Which offer of {answer.key}?", options)
        own = answer.rows[int(chosen)] if chosen != NEW else None
    if own is None:
        await new_offer(desk, answer)
    else:
        await change_offer(desk, own, answer)


async def add_offer(desk: Desk) -> None:
    """Write down a new offer of the part."""
    from buildbook.answers.offered import offered

    key = await part_meant(desk)
    await new_offer(desk, await desk.read(lambda shop: offered(shop, key)))


async def part_meant(desk: Desk) -> str:
    """The part of the selected row or line, else one that is typed."""
    about = desk.frame.panel.list.selected.about if desk.shown and desk.frame.panel.list.selected else None
    if key := getattr(desk.about, "key", "") or getattr(about, "key", ""):
        return str(key)
    if isinstance(about, (Plan, Placed)) and len(about.lines) == 1:
        return about.lines[0].key
    return await any_part(desk, "Offers of which part?", about.lines if isinstance(about, (Plan, Placed)) else ())


async def any_part(desk: Desk, question: str, near: Sequence[object] = ()) -> str:
    """A part that is typed, those near at hand offered first."""
    from buildbook.answers.catalogue import known_parts
    from buildbook.answers.stores import part_named

    known = [row.key for row in await desk.read(known_parts)]
    first = [str(getattr(one, "key", "")) for one in near]
    key = await desk.line(question, initial=first[0] if first else "", complete=list(dict.fromkeys([*first, *known])))
    return await desk.read(lambda shop: part_named(shop, key).key)


async def any_supplier(desk: Desk, question: str) -> str:
    """A supplier that is typed or chosen."""
    from buildbook.answers.offered import suppliers

    known = await desk.read(suppliers)
    if not known:
        return await new_supplier(desk)
    return await desk.choose(question, [Option(code, code, name) for code, name in known])


async def new_offer(desk: Desk, answer: Offered) -> None:
    """Write down an offer of a part: who, under what code, at what prices."""
    supplier = await any_supplier(desk, f"Who offers {answer.key}?")
    code = await desk.line(f"Order code of {answer.key} at {supplier} (may be left empty):", need=False)
    example = "1: 0.42, 10: 0.36" if answer.unit == "pc" else f"1: 0.42, {amount(10_000, answer.unit)}: 0.36"
    per = "" if answer.unit == "pc" else f" per {amount(1000, answer.unit)}"
    text = await desk.line(
        f"Prices in {answer.currency}, such as {example}{per}:",
        check=prices_understood(answer.unit, answer.currency),
    )
    read = read_prices(text, answer.unit, answer.currency)

    def act(shop: Workshop) -> int:
        from buildbook.actions import offers

        return offers.set_offer(shop, supplier, answer.key, code, breaks=read.breaks, per_qty=read.per_qty)

    await desk.act(act, said=f"{supplier} offers {answer.key}: {text}.")


async def change_offer(desk: Desk, own: OfferRow, answer: Offered) -> None:
    """Change what an offer says, one field at a time; what somebody else has changed meanwhile is not overwritten."""
    unit, currency = answer.unit, own.currency or answer.currency
    now = {
        "prices": show_prices(own.breaks, own.per_qty, unit, currency),
        "pack_qty": amount(own.pack_qty, unit),
        "min_qty": amount(own.min_qty, unit),
        "lead_days": "" if own.lead_days is None else f"{own.lead_days} d",
        "valid_until": own.valid_until,
    }
    words = {
        "prices": f"prices in {currency}",
        "pack_qty": "sold in packs of",
        "min_qty": "at least",
        "lead_days": "days to wait",
        "valid_until": "valid until",
    }
    called = f"{own.supplier} {own.order_code}".strip()
    options = [Option(name, words[name], now[name] or "not known") for name in words]
    options.append(Option("drop", "take the offer away"))
    name = await desk.choose(f"{answer.key} from {called}: change what?", options)
    if name == "drop":
        await drop_offer(desk, own, answer.key)
        return
    text = await desk.line(
        f"{answer.key} from {called}, {words[name]}:",
        initial=now[name],
        check=prices_understood(unit, currency) if name == "prices" else field_check(name, unit),
        need=name not in ("lead_days", "valid_until"),
    )

    def act(shop: Workshop) -> int:
        from buildbook.actions import offers

        fields = field_of(name, text, unit, currency)
        expected = {one: getattr(own, one) for one in fields}
        return offers.set_offer(shop, own.supplier, answer.key, own.order_code, expected=expected, **fields)

    await desk.act(act, said=f"{answer.key} from {called}, {words[name]}: {text or 'not known'}.")


def field_of(name: str, text: str, unit: str, currency: str) -> dict[str, Any]:
    """What was typed for a field of an offer, by the names that the action knows."""
    from buildbook.trade.units import Unit, read_quantity
    from buildbook.tui.buying_days import read_day, read_days

    if name == "prices":
        read = read_prices(text, unit, currency)
        return {"breaks": read.breaks, "per_qty": read.per_qty}
    if name == "lead_days":
        return {name: read_days(text) if text else ""}
    if name == "valid_until":
        return {name: read_day(text) if text else ""}
    return {name: read_quantity(text, Unit(unit))}


def field_check(name: str, unit: str) -> Check:
    """Checks a field of an offer while it is typed, and says how it is understood."""

    def check(text: str) -> str | None:
        value = field_of(name, text, unit, "")[name]
        if name == "valid_until":
            return day(value)
        if name == "lead_days":
            return f"{value} days from the order to the door"
        if not value:
            raise BadInput("It must be 1 or more.")
        return None if unit == "pc" else f"that is {amount(value, unit)}"

    return check


async def drop_offer(desk: Desk, own: OfferRow, key: str) -> None:
    """Take an offer away."""

    def act(shop: Workshop) -> None:
        from buildbook.actions import offers

        offers.drop_offer(shop, own.supplier, key, own.order_code)

    await desk.act(act, said=f"{own.supplier} does not offer {key} any more.")


async def add_supplier(desk: Desk) -> None:
    """Write a supplier down."""
    await new_supplier(desk)


async def new_supplier(desk: Desk) -> str:
    """Write a supplier down, and return the code."""
    from buildbook.actions.reading import read_code

    code = await desk.line(
        "Code of the new supplier, short and in capitals:",
        check=lambda text: f"it will be {read_code(text, 'supplier')}",
    )
    name = await desk.line(f"Full name of {code.upper()} (may be left empty):", need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import buying

        return buying.new_supplier(shop, code, name)

    return await desk.act(act, said=lambda made: f"New supplier {made}.")
