"""The terms of a supplier as the trade writes them: "6.90, 4.90 from 50, free from 80", "5 % from 100"."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import pairwise
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.money import read_money, show_money
from buildbook.trade.plain import clean, quote

FULL_BP = 10_000
LANDINGS = ("no", "yes", "without tax")
MOST_RATE = Decimal(10**6)
_FROM = re.compile(r"(.+?)\s+(?:from|over|above)\s+(.+)", re.IGNORECASE)

Steps = tuple[tuple[int, int], ...]


class Shipping(NamedTuple):
    """What a parcel costs, in millionths: flat, other from a value of the goods on, nothing from another on."""

    flat_micros: int = 0
    steps: Steps = ()
    free_from_micros: int | None = None


def read_shipping(text: str, currency: str) -> Shipping:
    """Read what a parcel costs, in millionths of `currency`; nothing typed is nothing to pay.

    Raises BadInput for what is no amount, for a value named twice, and when it is free before the last step.

    >>> read_shipping("6.90, 4.90 from 50, free from 80", "EUR")
    Shipping(flat_micros=6900000, steps=((50000000, 4900000),), free_from_micros=80000000)
    """
    flat = 0
    free: int | None = None
    steps: dict[int, int] = {}
    for place, piece in enumerate(_pieces(text)):
        found = _FROM.fullmatch(piece)
        if not found:
            if place:
                raise _refused("shipping", f"{quote(piece)} does not say from which value on.")
            flat = 0 if piece.lower() in ("free", "none") else read_money(piece, currency)
            continue
        start = read_money(found[2], currency)
        if found[1].lower() == "free":
            if free is not None:
                raise _refused("shipping", "It is free from two values on.")
            free = start
        else:
            _add(steps, start, read_money(found[1], currency), "shipping")
    if free is not None and steps and max(steps) >= free:
        raise _refused("shipping", "It is free before its last step.")
    return Shipping(flat, tuple(sorted(steps.items())), free)


def read_discount(text: str, currency: str) -> Steps:
    """Read a discount on the whole of an order: pairs of the value it begins at and basis points, rising.

    Raises BadInput for what is no percentage from 0 to 100, a value named twice, and one that falls as the value rises.

    >>> read_discount("5 % from 100, 8 % from 250", "EUR")
    ((100000000, 500), (250000000, 800))
    """
    steps: dict[int, int] = {}
    for piece in _pieces(text):
        found = _FROM.fullmatch(piece)
        share, start = (found[1], read_money(found[2], currency)) if found else (piece, 0)
        _add(steps, start, read_percent(share), "discount")
    rising = sorted(steps.items())
    if any(later < earlier for (_, earlier), (_, later) in pairwise(rising)):
        raise _refused("discount", "It falls as the value rises.")
    return tuple(rising)


def read_percent(text: str) -> int:
    """A percentage from 0 to 100, with two decimals at most, in basis points.

    >>> read_percent("19 %"), read_percent("5,5")
    (1900, 550)
    """
    plain = clean(text).removesuffix("%").strip().replace(",", ".")
    if not re.fullmatch(r"\d{1,3}(\.\d{1,2})?", plain) or Decimal(plain) > 100:
        raise _refused("percentage", f"{quote(text)} is not from 0 to 100 %, with two decimals at most.")
    return int(Decimal(plain) * 100)


def read_rate(text: str) -> str:
    """What one unit of a foreign currency is worth, as an exact decimal: above nought, a million at most.

    >>> read_rate("0,8613"), read_rate("1.10")
    ('0.8613', '1.1')
    """
    plain = clean(text).replace(",", ".")
    rate = Decimal(plain) if re.fullmatch(r"\d{1,7}(\.\d{1,10})?", plain) else Decimal(0)
    if not 0 < rate <= MOST_RATE:
        raise _refused("rate", f"{quote(text)} is no number above nought with ten decimals at most.")
    return f"{rate.normalize():f}"


def read_landing(text: str) -> str:
    """Whether what arrives is worth its share of postage, discount and tax: one of LANDINGS.

    >>> read_landing("Yes"), read_landing("without  tax")
    ('yes', 'without tax')
    """
    plain = " ".join(clean(text).lower().split())
    if plain not in LANDINGS:
        raise BadInput(f"{quote(text)} was not taken.", "", f"Say one of: {', '.join(LANDINGS)}.")
    return plain


def show_shipping(shipping: Shipping, currency: str) -> str:
    """Write shipping as it is read.

    >>> show_shipping(Shipping(6_900_000, ((50_000_000, 4_900_000),), 80_000_000), "EUR")
    '6.90, 4.90 from 50.00, free from 80.00'
    """
    said = [show_money(shipping.flat_micros, currency)] if shipping.flat_micros or shipping.steps else []
    said += [f"{show_money(micros, currency)} from {show_money(start, currency)}" for start, micros in shipping.steps]
    if shipping.free_from_micros is not None:
        said.append(f"free from {show_money(shipping.free_from_micros, currency)}")
    return ", ".join(said) or "free"


def show_discount(steps: Steps, currency: str) -> str:
    """Write a discount as it is read.

    >>> show_discount(((0, 200), (100_000_000, 550)), "EUR")
    '2 %, 5.5 % from 100.00'
    """
    return ", ".join(
        f"{bp / 100:g} % from {show_money(start, currency)}" if start else f"{bp / 100:g} %" for start, bp in steps
    )


def _pieces(text: str) -> list[str]:
    """The pieces between commas and semicolons; a comma with a figure on both sides is a decimal one."""
    return [piece.strip() for piece in re.split(r";|,(?!\d)", clean(text)) if piece.strip()]


def _add(steps: dict[int, int], start: int, amount: int, what: str) -> None:
    if start in steps:
        raise _refused(what, "One value is named twice.")
    steps[start] = amount


def _refused(what: str, why: str) -> BadInput:
    mend = {
        "shipping": 'Write it such as "6.90, 4.90 from 50, free from 80".',
        "discount": 'Write it such as "5 % from 100, 8 % from 250".',
        "rate": "Write what one of it is worth here, such as 0.8613.",
    }.get(what, "Write it such as 19 %.")
    return BadInput(f"The {what} was not understood.", why, mend)
