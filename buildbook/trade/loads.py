"""What a load draws, as the trade writes it: "2 x 300 mA, 50 %", "LED 2 V, 1k", "relay 300 ohm", "heater ECC83"."""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, Decimal
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade import heaters
from buildbook.trade.amounts import quantity
from buildbook.trade.plain import clean, quote

MICRO = 1_000_000
FULL_BP = 10_000
MOST = 10_000
LARGEST = 10**6
_MANY = re.compile(r"([0-9]{1,6})\s*[x×*]\s*(.+)", re.IGNORECASE)
_DUTY = re.compile(r"[\s,;]+(?:on for\s+)?([0-9]+(?:[.,][0-9]+)?)\s*%$", re.IGNORECASE)
_PART = re.compile(r"(led|relay|coil|heater)\b\s*(.*)", re.IGNORECASE)


class Draws(NamedTuple):
    """So many loads: microamps or microwatts of each, neither where it is not known; `remark` says how it was found."""

    qty: int = 1
    current_ua: int | None = None
    power_uw: int | None = None
    duty_bp: int = FULL_BP
    remark: str = ""


def read_draws(text: str, supply_uv: int) -> Draws:
    """Read what a load draws from a supply of so many microvolts; blank text is a load that nobody knows yet.

    An LED is written with its own voltage and its current or its resistor, a relay or a coil with its ohms or its
    watts, a heater by its type, or types in series with plus signs. Raises BadInput for anything else, for what is
    below zero, and where the voltages do not go together.

    >>> read_draws("2 x 300 mA, 50 %", 6_300_000)[:4]
    (2, 300000, None, 5000)
    >>> read_draws("LED 2 V, 10 mA", 12_000_000)
    Draws(qty=1, current_ua=10000, power_uw=None, duty_bp=10000, remark='1000 ohm in series')
    >>> read_draws("relay 300 ohm", 12_000_000).current_ua, read_draws("heater ECC83", 12_600_000).current_ua
    (40000, 150000)
    """
    rest, qty, duty = clean(text), 1, FULL_BP
    if many := _MANY.fullmatch(rest):
        qty, rest = int(many[1]), many[2]
        if not 1 <= qty <= MOST:
            raise _refused(f"{qty} of a load cannot be.")
    if on := _DUTY.search(rest):
        duty, rest = _duty(on[1], text), rest[: on.start()]
    if not rest:
        return Draws(qty, duty_bp=duty)
    if part := _PART.fullmatch(rest):
        current, remark = _PARTS[part[1].casefold()](part[2].strip(" ,"), supply_uv)
        return Draws(qty, current, None, duty, remark)
    if rest.casefold().endswith(("w", "watt", "watts")):
        return Draws(qty, None, _micro(quantity(rest, "W"), text), duty)
    return Draws(qty, _micro(quantity(rest, "A"), text), None, duty)


def _heater(text: str, supply_uv: int) -> tuple[int | None, str]:
    current = heaters.draws(text, supply_uv)
    return current, "" if current is not None else f"the table of heaters does not know {clean(text)}"


def _led(text: str, supply_uv: int) -> tuple[int | None, str]:
    """Its own voltage, then its current, or the resistor before it."""
    own, behind = _two(text, "LED 2 V, 10 mA or LED 2 V, 1k")
    across = Decimal(supply_uv) / MICRO - quantity(own, "V")
    if across <= 0 or quantity(own, "V") <= 0:
        raise _refused(f"An LED of {own} does not go with this supply.")
    if behind.casefold().endswith(("a", "amp", "amps")):
        amps = quantity(behind, "A")
        if amps <= 0:
            raise _refused("The current of an LED is above zero.")
        return _micro(amps, text), f"{(across / amps).quantize(Decimal(1)):f} ohm in series"
    ohms = quantity(behind, "Ω")
    if ohms <= 0:
        raise _refused("The resistor of an LED is above zero.")
    return _micro(across / ohms, text), f"through {behind}"


def _coil(text: str, supply_uv: int) -> tuple[int | None, str]:
    """Its ohms, or its watts at the voltage of the supply."""
    if supply_uv <= 0:
        raise _refused("The voltage of the supply is not known.")
    volts = Decimal(supply_uv) / MICRO
    by_power = text.casefold().endswith(("w", "watt", "watts"))
    size = quantity(text, "W" if by_power else "Ω")
    if size <= 0:
        raise _refused("A coil has ohms, or watts, above zero.")
    return _micro(size / volts if by_power else volts / size, text), f"coil of {text}"


_PARTS = {"led": _led, "relay": _coil, "coil": _coil, "heater": _heater}


def _two(text: str, alike: str) -> tuple[str, str]:
    first, comma, second = (piece.strip() for piece in text.partition(","))
    if not comma:
        # Without a comma: "2 V 10 mA", parted behind the unit of the first.
        found = re.fullmatch(r"(\S+\s*V)\s+(.+)", text, re.IGNORECASE)
        first, second = (found[1], found[2]) if found else (text, "")
    if not first or not second:
        raise _refused(f"{quote(text)} is half of it: write {alike}.")
    return first, second


def _duty(digits: str, text: str) -> int:
    found = Decimal(digits.replace(",", ".")) * 100
    if found > FULL_BP or found != found.to_integral_value():
        raise _refused(f"{quote(text)} is on for more than 100 %, or too fine a part of the time.")
    return int(found)


def _micro(amount: Decimal, text: str) -> int:
    """In millionths, rounded up, so that nothing is said to draw less than it does."""
    if not 0 <= amount <= LARGEST:
        raise _refused(f"{quote(text)} is below zero, or too large.")
    return int((amount * MICRO).to_integral_value(ROUND_CEILING))


def _refused(why: str) -> BadInput:
    return BadInput("The load was not understood.", why, "Write it like 2 x 300 mA, 50 % or LED 2 V, 1k.")
