"""What came otherwise than ordered, and what is still to be settled of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.stores import part_named
from buildbook.store.read import deliveries as read
from buildbook.store.read.buying import orders
from buildbook.trade.deliveries import SETTLED_AS
from buildbook.trade.money import line_micros, show_money
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.store.read.deliveries import MatterRow
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Matter:
    """One difference between what was ordered and what came; `settled` is empty while it is open.

    `worth_micros` is what is at stake: the price of so many, or the difference of two prices; None where the price is
    not known. `ways` are the ways to settle it, the usual one first.
    """

    number: int
    ref: str
    supplier: str
    key: str
    unit: str
    what: str
    qty: int
    instead: str
    worth_micros: int | None
    since: str
    note: str
    ways: tuple[str, ...]
    settled: str
    settled_at: str
    reason: str
    said: str


@dataclass(frozen=True, slots=True)
class Matters(Answer):
    """The differences of deliveries, open ones first."""

    SCHEMA: ClassVar[str] = "buildbook.matters/1"
    currency: str
    rows: tuple[Matter, ...]


def matters(shop: Workshop, *, settled: bool = False) -> Matters:
    """What is to be settled of deliveries; with `settled` also what was."""
    currency = currency_of(shop)
    found = [_matter(row, currency) for row in read.matters(shop.reads)]
    still = [row for row in found if not row.settled]
    stake = sum(row.worth_micros or 0 for row in still)
    said = f"{count_of(len(still), 'open matter')}" + (
        f", {show_money(stake, currency)} {currency} at stake" if stake else ""
    )
    credit = sum(row.worth_micros or 0 for row in found if row.settled == "credit")
    if credit:
        said += f"; {show_money(credit, currency)} {currency} credited so far"
    return Matters(f"{said[:1].upper()}{said[1:]}.", currency, tuple(found if settled else still))


def _matter(row: MatterRow, currency: str) -> Matter:
    worth = _worth(row)
    return Matter(
        row.number, row.ref, row.supplier, row.key, row.unit, row.what, row.qty, row.instead, worth, row.since,
        row.note, SETTLED_AS[row.what], row.settled, row.settled_at, row.reason, said_of(row, currency),
    )  # fmt: skip


def _worth(row: MatterRow) -> int | None:
    """What is at stake, in millionths."""
    price = row.told_micros if row.what != "price" and row.told_micros is not None else row.price_micros
    if price is None:
        return None
    whole = line_micros(row.qty, price, row.per_qty)
    return whole - line_micros(row.qty, row.told_micros or 0, row.per_qty) if row.what == "price" else whole


def said_of(row: MatterRow, currency: str) -> str:
    """What happened: "3 of R-4K7 are R-47K", "20 too many", "the bill says 0.12 instead of 0.10"."""
    many = show_quantity(row.qty, Unit(row.unit))
    if row.what == "price":
        asked, agreed = (show_money(one or 0, currency) for one in (row.price_micros, row.told_micros))
        per = "" if row.per_qty == 1 else f" for {show_quantity(row.per_qty, Unit(row.unit))}"
        return f"{many} at {asked} instead of {agreed}{per}"
    if row.what == "replaced":
        return f"{many} replaced by {row.instead}"
    if row.what == "wrong":
        return f"{many} came as {row.instead}"
    return {
        "short": f"{many} did not come",
        "over": f"{many} too many came",
        "damaged": f"{many} came damaged",
        "returned": f"{many} given back",
    }[row.what]


def per_of(shop: Workshop, ref: str, part: str) -> int:
    """For how many base units the price of a part in an order is; 1 where the order has no row of it."""
    key = part_named(shop, part).key
    return next((row.per_qty for row in orders(shop.reads) if row.key == key and row.ref.lower() == ref.lower()), 1)
