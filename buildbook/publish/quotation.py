"""The quotation for a customer: what a build costs, what it is offered for, and what is not in it.

It is one page, unless so many parts have no price that their names go on to the next.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from buildbook.answers.form import count_of, join_words
from buildbook.errors import BadInput
from buildbook.publish.document import Block, Document, Facts, Heading, Table, Text
from buildbook.trade.money import show_money
from buildbook.trade.plain import clean
from buildbook.trade.plain import quote as quoted
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.answers.quote import Quotation
    from buildbook.publish.document import Paper

NOT_IN_IT = "Carriage, duties and taxes are not in it."
TO_WRITE_IN = "______________________________"
_FEW = 12  # parts without a price are named in a sentence up to here, in a table of their own beyond


@dataclass(frozen=True, slots=True)
class Terms:
    """What the quotation says besides its figures; days are of ISO 8601, and what is empty is left to write in."""

    day: str
    valid_until: str = ""
    customer: str = ""
    maker: str = ""


def terms_of(day: str, valid_until: str = "", customer: str = "", maker: str = "") -> Terms:
    """The terms as they were typed. Raises BadInput for what is no day, or one before that of the prices.

    >>> terms_of("2026-11-14", "20270131", " Mill  Lane ").valid_until
    '2027-01-31'
    """
    try:
        until = date.fromisoformat(valid_until.strip()).isoformat() if valid_until.strip() else ""
    except ValueError:
        raise BadInput(f"{quoted(valid_until)} is no day.", "", "Write it as 2027-01-31.") from None
    if until and until < day:
        what, why = "The quotation was not written.", f"It would be valid until {until}, and its prices are of {day}."
        raise BadInput(what, why, "Give a later day.")
    return Terms(day, until, clean(customer, what="name"), clean(maker, what="name"))


def quotation_page(quote: Quotation, terms: Terms, *, paper: Paper = "a4") -> Document:
    """The quotation as a page to print."""
    units = count_of(quote.units, "unit")
    facts = (
        ("For", terms.customer or TO_WRITE_IN),
        ("By", terms.maker or TO_WRITE_IN),
        ("What", f"{quote.name or quote.build} ({quote.build}), {units}"),
        ("Prices as of", terms.day or TO_WRITE_IN),
        ("Valid until", terms.valid_until or TO_WRITE_IN),
        ("Currency", f"{quote.currency} (ISO 4217)"),
    )
    blocks: list[Block] = [Facts(facts), Heading("Price"), price_table(quote), *left_out(quote), Text(NOT_IN_IT)]
    blocks.append(Text(f"\nDate and signature {TO_WRITE_IN}{TO_WRITE_IN}"))
    if len(quote.unpriced) > _FEW:
        rows = tuple((row.key, row.name, show_quantity(row.qty, Unit(row.unit))) for row in quote.unpriced)
        table = Table(("part", "name", "quantity"), rows, right=(2,), shares=(35, 50, 15))
        blocks += [Heading("Not in the price, for want of one"), table]
    return Document("Quotation", f"{quote.name or quote.build}, {units}", terms.day, tuple(blocks), paper)


def price_table(quote: Quotation) -> Table:
    """Cost, margin and price, each below what it is made of."""

    def row(name: str, told: str, micros: int) -> tuple[str, str, str]:
        return name, told, show_money(micros, quote.currency)

    share = f"{quote.margin_bp / 100:g} % of the price" if quote.margin_bp else "what rounding up brings"
    rows = [row("Parts", "", quote.parts_micros), ("Labour", *labour(quote))]
    if quote.consumables_micros:
        rows.append(row("Consumables", "solder, sleeving, paint and the like", quote.consumables_micros))
    rows.append(row("Cost", "", quote.cost_micros))
    sums = [len(rows) - 1]
    if quote.margin_micros:
        rows.append(row("Margin", share, quote.margin_micros))
    rows.append(row("Price", count_of(quote.units, "unit"), quote.price_micros))
    sums.append(len(rows) - 1)
    if quote.units > 1:
        rows.append(row("Price of one unit", "", quote.each_micros))
    return Table(("", "", quote.currency), tuple(rows), right=(2,), shares=(30, 50, 20), sums=tuple(sums))


def left_out(quote: Quotation) -> list[Block]:
    """What the price does not hold, named in full: nothing is left out in silence."""
    blocks: list[Block] = []
    if quote.unpriced:
        named = ", ".join(f"{row.key} ({show_quantity(row.qty, Unit(row.unit))})" for row in quote.unpriced)
        parts = count_of(len(quote.unpriced), "part")
        said = f"{parts}: {named}" if len(quote.unpriced) <= _FEW else f"the {parts} named at the end"
        blocks.append(Text(f"Not in it, for want of a price: {said}.", "warning"))
    if quote.open_questions:
        many = "s" if len(quote.open_questions) > 1 else ""
        named = join_words(list(quote.open_questions))
        blocks.append(Text(f"Not in it: what hangs on the open question{many} {named}.", "warning"))
    if quote.labour_minutes and not quote.rate_micros:
        said = f"Not in it: the labour of {hours(quote.labour_minutes)}, as no price of an hour was given."
        blocks.append(Text(said, "warning"))
    return blocks


def labour(quote: Quotation) -> tuple[str, str]:
    """The hours with their price, and what they come to."""
    if not quote.labour_minutes:
        return "", show_money(0, quote.currency)
    if not quote.rate_micros:
        return f"{hours(quote.labour_minutes)}, no price of an hour", "not in it"
    rate = show_money(quote.rate_micros, quote.currency)
    return f"{hours(quote.labour_minutes)} at {rate} an hour", show_money(quote.labour_micros, quote.currency)


def hours(minutes: int) -> str:
    """Time as it is charged: in hours, never in days, which no two people take for the same.

    >>> hours(3595), hours(120), hours(40)
    ('59 h 55 min', '2 h', '40 min')
    """
    whole, rest = divmod(minutes, 60)
    return " ".join([f"{whole} h"] * bool(whole) + [f"{rest} min"] * bool(rest or not whole))
