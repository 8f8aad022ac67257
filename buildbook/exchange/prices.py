"""What a price is for: a piece, a metre, a hundred, a pack. Never guessed where a part is not counted in pieces."""

from __future__ import annotations

from buildbook.errors import BadInput
from buildbook.exchange.gathering import Gathering
from buildbook.trade.money import read_money
from buildbook.trade.units import Unit, read_quantity, read_unit

PACK = ("pack", "bag", "reel", "box")


def read_price(gathering: Gathering, row: int, word: str, text: str, currency: str) -> tuple[int, str] | None:
    """A price in millionths, and what is written behind a stroke (`0.42 / m`); None, and a fault, when it is none."""
    amount, _, basis = text.partition("/")
    try:
        return read_money(amount.strip(), currency), basis.strip()
    except BadInput as error:
        gathering.fault(row, word, error.why)
        return None


def read_basis(gathering: Gathering, row: int, text: str, unit: Unit, pack_qty: int | None = None) -> int | None:
    """The quantity that a price is for, in base units: from `100`, `1 m`, `m`, `kg`, `pack`; by default a piece.

    None, and a fault, when it is not clear: a length, mass or volume without a basis has no price.
    """
    plain = text.strip().casefold()
    if not plain:
        if unit is Unit.PC:
            return 1
        gathering.fault(row, "price per", "The price does not say for how much it is (such as 1 m, 500 g, or pack).")
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
