"""Heaters of valves: what their data sheets print, and what one heater or a string of them draws from a supply.

What stands on the part in hand, or in its own data sheet, goes before this table.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import quote

UV = 1_000_000
# A heater is run within a tenth of its rated voltage (data sheets print 6.3 V plus or minus 10 %).
OFF_BY_PCT = 10


class Heater(NamedTuple):
    """A way to run a heater: at so many microvolts it draws so many microamps."""

    volts_uv: int
    current_ua: int


def _at(volts: str, milliamps: int) -> Heater:
    whole, _, tenth = volts.partition(".")
    return Heater(int(whole) * UV + int(tenth or 0) * UV // 10, milliamps * 1000)


def _double(milliamps: int) -> tuple[Heater, ...]:
    """A heater with a centre tap: its halves in parallel, or in series at half the current."""
    return _at("6.3", milliamps), _at("12.6", milliamps // 2)


# Data sheets, by way of reference pages; those marked * are from memory.
HEATERS: dict[str, tuple[Heater, ...]] = {
    **dict.fromkeys(("ECC83", "12AX7", "ECC82", "12AU7", "ECC81", "12AT7"), _double(300)),
    "12BH7": _double(600),
    **dict.fromkeys(("EF86", "6267"), (_at("6.3", 200),)),
    **dict.fromkeys(("EL84", "6BQ5"), (_at("6.3", 760),)),
    "EL34": (_at("6.3", 1500),),
    "6L6GC": (_at("6.3", 900),),
    "6SN7GT": (_at("6.3", 600),),
    **dict.fromkeys(("6X4", "EZ90"), (_at("6.3", 600),)),
    **dict.fromkeys(("EZ81", "6CA4"), (_at("6.3", 1000),)),  # *
    **dict.fromkeys(("EZ80", "6V4"), (_at("6.3", 600),)),  # *
    "6V6GT": (_at("6.3", 450),),  # *
    **dict.fromkeys(("GZ34", "5AR4"), (_at("5", 1900),)),  # *
    **dict.fromkeys(("6AU6", "6BA6", "6BE6"), (_at("6.3", 300),)),  # *
    **dict.fromkeys(("ECH81", "EBF89"), (_at("6.3", 300),)),  # *
    "EF89": (_at("6.3", 200),),  # *
    "ECL82": (_at("6.3", 780),),  # *
    "EM84": (_at("6.3", 210),),  # *
}


def draws(types: str, volts_uv: int) -> int | None:
    """The microamps that a heater draws at a supply; of a string in series, written with plus signs, likewise.

    None when the table does not know one of them. Raises BadInput when the voltages do not add up to within a tenth of
    the supply's, or when heaters in series want different currents.

    >>> draws("ECC83", 6_300_000), draws("ecc83", 12_600_000), draws("EL84+EL84", 12_600_000), draws("PCL86", 6_300_000)
    (300000, 150000, 760000, None)
    """
    names = [name.strip().upper() for name in types.split("+")]
    if any(name not in HEATERS for name in names):
        return None
    if len(names) == 1:
        fits = [one for one in HEATERS[names[0]] if _near(one.volts_uv, volts_uv)]
    else:
        # In a string each heater is run in the first way: its halves in parallel.
        fits = [string(HEATERS[name][0] for name in names)]
        fits = [one for one in fits if _near(one.volts_uv, volts_uv)]
    if not fits:
        raise BadInput(
            f"{quote(types)} does not suit this supply.", "Its voltage is another.", "Choose another supply."
        )
    return fits[0].current_ua


def string(heaters: Iterable[Heater]) -> Heater:
    """Heaters in series as one: voltages add, the current is the same in all; BadInput when it is not."""
    found = list(heaters)
    currents = {one.current_ua for one in found}
    if len(currents) != 1:
        raise BadInput("The heaters are no string.", "They want different currents.", "Put them in parallel.")
    return Heater(sum(one.volts_uv for one in found), currents.pop())


def _near(volts_uv: int, supply_uv: int) -> bool:
    return abs(volts_uv - supply_uv) * 100 <= OFF_BY_PCT * volts_uv
