"""What a price is for: a piece, a metre, a hundred, a pack. Never guessed where a part is not counted in pieces."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.trade.money import read_money
from buildbook.trade.plain import quote
from buildbook.trade.units import Unit, read_quantity, read_unit

if TYPE_CHECKING:
    from buildbook.exchange.gathering import Gathering
    from buildbook.exchange.intake import Listed

PACK = ("pack", "bag", "reel", "box")
_STROKE = re.compile(r"/|\bper\b", re.IGNORECASE)


def check_currency(listed: Listed, currency: str) -> None:
    """Raise BadInput when a heading says that the prices are in another currency than the workshop's."""
    for price in listed.columns.prices:
        if not is_money(f"1 {price.currency}", currency):
            raise BadInput(
                f"{quote(listed.path.name, limit=80)} was not read in.",
                f"Its prices are in {price.currency.upper()}, and the workshop counts in {currency}.",
                "Work them out in the workshop's currency first.",
            )


def is_money(text: str, currency: str) -> bool:
    """Whether a text is an amount in that currency.

    >>> is_money("1 £", "GBP"), is_money("1 USD", "GBP")
    (True, False)
    """
    try:
        return read_money(text, currency) >= 0
    except BadInput:
        return False


def read_price(gathering: Gathering, row: int, word: str, text: str, currency: str = "") -> tuple[int, str] | None:
    """A price in millionths of `currency` (else of the workshop's), and what stands behind a stroke (`0.42 / m`).

    None, and a fault, when it is no price.
    """
    amount, *basis = _STROKE.split(text, 1)
    try:
        return read_money(amount.strip(), currency or gathering.currency), "".join(basis).strip()
    except BadInput as error:
        gathering.fault(row, word, error.why)
        return None


def read_basis(gathering: Gathering, row: int, text: str, unit: Unit, pack_qty: int | None = None) -> int | None:
    """The quantity that a price is for, in base units: from `100`, `1 m`, `m`, `kg`, `pack`; by default a piece.

    None, and a fault, when it is not clear: a length, mass or volume without a basis has no price.
    """
    plain = (text or gathering.listed.columns.basis).strip().casefold()
    if not plain:
        if unit is Unit.PC:
            return 1
        why = "The price does not say for how much it is (such as 1 m, 500 g, or pack)."
        gathering.fault(row, "price per", why)
        return None
    if plain in PACK and pack_qty:
        return pack_qty
    try:
        qty = read_quantity(f"1 {plain}" if read_unit(plain) else plain, unit)
    except BadInput as error:
        gathering.fault(row, "price per", error.why)
        return None
    if qty < 1:
        gathering.fault(row, "price per", "A price for nothing is no price.")
        return None
    return qty
