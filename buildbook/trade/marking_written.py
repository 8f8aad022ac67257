"""How an amount is written: the house form (4k7), the mark of IEC 60062 (4K7), and with its SI unit (4.7 kΩ)."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from buildbook.trade.marking import plain_digits


class _Scale(NamedTuple):
    power: int
    letter: str
    unit: str


# A millifarad, and a milliohm in letters, are in doubt when read, so they are never written.
_SCALES = {
    "R": (_Scale(9, "G", "GΩ"), _Scale(6, "M", "MΩ"), _Scale(3, "k", "kΩ"), _Scale(0, "R", "Ω")),
    "C": (_Scale(0, "F", "F"), _Scale(-6, "u", "µF"), _Scale(-9, "n", "nF"), _Scale(-12, "p", "pF")),
    "L": (_Scale(0, "H", "H"), _Scale(-3, "m", "mH"), _Scale(-6, "u", "µH"), _Scale(-9, "n", "nH")),
}
_MOST_DECIMALS = 3  # behind a letter; a longer tail keeps its point


def house_form(amount: Decimal, kind: str) -> str:
    """Write an amount (ohm, farad, henry, by `kind` R, C, L) with a letter for its point.

    >>> house_form(Decimal(4700), "R"), house_form(Decimal("100e-9"), "C"), house_form(Decimal(0), "R")
    ('4k7', '100n', '0R')
    """
    whole, part, scale = _scaled(amount, kind)
    return f"{whole}{scale.letter}{part}" if len(part) <= _MOST_DECIMALS else f"{whole}.{part}{scale.letter}"


def letter_code(amount: Decimal, kind: str) -> str:
    """Write an amount as it is marked on parts. Source: IEC 60062.

    >>> letter_code(Decimal(1000), "R"), letter_code(Decimal("0.47"), "R"), letter_code(Decimal("4.7e-9"), "C")
    ('1K0', 'R47', '4n7')
    """
    whole, part, scale = _scaled(amount, kind)
    letter = scale.letter.replace("k", "K")
    if len(part) > _MOST_DECIMALS:
        return f"{whole}.{part}{letter}"
    if not part and amount and len(whole) == 1:
        part = "0"
    return f"{'' if whole == '0' and part else whole}{letter}{part}"


def spelled(amount: Decimal, kind: str) -> str:
    """Write an amount with its SI unit.

    >>> spelled(Decimal(4700), "R"), spelled(Decimal("22e-6"), "C")
    ('4.7 kΩ', '22 µF')
    """
    if kind == "R" and 0 < amount < Decimal("0.1"):
        return f"{plain_digits(amount.scaleb(3))} mΩ"
    whole, part, scale = _scaled(amount, kind)
    return f"{whole}.{part} {scale.unit}" if part else f"{whole} {scale.unit}"


def _scaled(amount: Decimal, kind: str) -> tuple[str, str, _Scale]:
    """Give the digits before and behind the point, and what they count."""
    scales = _SCALES[kind]
    fitting = (scale for scale in scales if amount and amount.adjusted() >= scale.power)
    scale = next(fitting, scales[-1])
    whole, _, part = plain_digits(amount.scaleb(-scale.power)).partition(".")
    if scale.letter == "F":
        part = part or "0"  # 47F alone could also be 47 pF of 1 %
    return whole, part, scale
