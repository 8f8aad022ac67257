"""On what terms a supplier sells, on the screen: shown below what is ordered from him, and changed one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from buildbook.errors import BadInput
from buildbook.tui.asking import Check, Option
from buildbook.tui.buying_offers import any_supplier
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Line

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.suppliers import SupplierLine

# What is asked, by the name that the action knows it by.
WORDS = {
    "shipping": 'what a parcel costs, such as "6.90, 4.90 from 50, free from 80"',
    "least": "the least order he takes",
    "discount": 'discount on all of an order, such as "5 % from 100"',
    "tax": "tax added to the goods, in %",
    "tax_on_shipping": "whether shipping is taxed likewise",
    "lead_days": "days until it comes",
    "standing": "preferred, banned or neither",
    "currency": "the currency of his prices and terms (ISO 4217)",
}
SHORT = {
    "shipping": "parcel",
    "least": "least order",
    "discount": "discount",
    "tax": "tax",
    "tax_on_shipping": "tax on shipping",
    "lead_days": "days",
    "standing": "standing",
    "currency": "currency",
}
EITHER = {"tax_on_shipping": ("yes", "no"), "standing": ("preferred", "banned", "neither")}


def terms_lines(shop: Workshop, supplier: str) -> list[Line]:
    """The terms of a supplier in a line; enter changes them."""
    from buildbook.answers.suppliers import suppliers

    own = next((row for row in suppliers(shop).rows if row.code == supplier), None)
    return [Line(f"terms of {supplier}: {own.said}", "quiet", "T")] if own else []


def kept(own: SupplierLine) -> dict[str, str]:
    """What is known of the terms, as it is typed."""
    return {
        "shipping": own.shipping,
        "least": own.least,
        "discount": own.discount,
        "tax": f"{own.tax_bp / 100:g} %" if own.tax_bp else "",
        "tax_on_shipping": "yes" if own.tax_on_shipping else "no",
        "lead_days": "" if own.lead_days is None else f"{own.lead_days}",
        "standing": own.standing or "neither",
        "currency": own.currency,
    }


def read_term(name: str, text: str, currency: str) -> Any:
    """What was typed, as the action takes it. Raises BadInput for what is not understood."""
    from buildbook.trade.money import minor_decimals, read_money
    from buildbook.trade.terms import read_discount, read_percent, read_shipping

    if name == "tax_on_shipping":
        return text == "yes"
    if name == "standing":
        return "" if text == "neither" else text
    if name == "lead_days" and text and not text.isdecimal():
        raise BadInput("That is no number of days.", "", "Give a whole number, or nothing.")
    if name == "currency":
        minor_decimals(text.strip().upper())
    if name == "shipping":
        read_shipping(text, currency)
    if name == "discount":
        read_discount(text, currency)
    if name == "least":
        read_money(text or "0", currency)
    if name == "tax":
        read_percent(text or "0")
    return text


def term_check(name: str, currency: str) -> Check:
    """Checks a term while it is typed, and says how it is understood."""

    def check(text: str) -> str | None:
        from buildbook.trade.terms import read_shipping, show_shipping

        read_term(name, text, currency)
        return show_shipping(read_shipping(text, currency), currency) if name == "shipping" else None

    return check


async def change_terms(desk: Desk) -> None:
    """Change a term of the supplier of the row or line, else of one that is named."""
    from buildbook.answers.suppliers import suppliers

    row = desk.frame.panel.list.selected if desk.shown else None
    code = next(
        (str(found) for about in (desk.about, row and row.about) if (found := getattr(about, "supplier", ""))), ""
    )
    code = code or await any_supplier(desk, "The terms of which supplier?")
    own = next(one for one in (await desk.read(suppliers)).rows if one.code == code)
    now = kept(own)
    options = [Option(name, SHORT[name], now[name] or "none") for name in WORDS]
    name = await desk.choose(f"{code}: change what?", options)
    if name in EITHER:
        text = await desk.choose(f"{code}: {WORDS[name]}?", EITHER[name], at=now[name])
    else:
        check = term_check(name, own.currency)
        text = await desk.line(f"{code}, {WORDS[name]}:", initial=now[name], check=check, need=False)
    value = read_term(name, text, own.currency)

    def act(shop: Workshop) -> str:
        from buildbook.actions.terms import set_terms

        return set_terms(shop, code, **{name: value})

    await desk.act(act, said=f"{code}, {SHORT[name]}: {text or 'none'}.")
