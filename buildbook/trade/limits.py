"""What a test sheet says: measured amounts, the limits that they should keep, and by how much one is out of them.

Amounts are kept in SI units as floats of twelve figures at most, so that what was written is what is compared.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.amounts import ENDING, exact, keep, quantity, show_amount
from buildbook.trade.plain import clean, quote

MEND = 'Write them as "250 V", "1.6-2.2 V", "4k7 5%", "max 0.1 ohm" or "min 1M".'
_MOST = re.compile(r"(?:max(?:imum|\.)?|at most|no more than|<=|≤|<)\s*(.+)|(.+?)\s*max(?:imum|\.)?", re.IGNORECASE)
_LEAST = re.compile(r"(?:min(?:imum|\.)?|at least|no less than|>=|≥|>)\s*(.+)|(.+?)\s*min(?:imum|\.)?", re.IGNORECASE)
_UNEVEN = re.compile(r"(.+?)\s*([+-])\s*([0-9.,]+)\s*%?\s*/\s*([+-])\s*([0-9.,]+)\s*%")
_PERCENT = re.compile(r"(.+?)\s*(?:±|\+/?-)\s*([0-9.,]+)\s*%|(.+?)\s+([0-9.,]+)\s*%")
_EVEN = re.compile(r"(.+?)\s*(?:±|\+/?-)\s*(.+)")
_RANGE = re.compile(
    r"(?:from |between )?(.+?)\s*(?:\bto\b|\band\b|\.\.+|…|–|(?<=[0-9A-Za-zΩ%])\s*-)\s*(.+)", re.IGNORECASE
)
_NUMBER_ALONE = re.compile(r"[+-]?[0-9.,'’ ]+")


class Limits(NamedTuple):
    """What a reading should be and between what it should lie, in SI units; None where nothing is said.

    A reading that is equal to a limit keeps it.
    """

    nominal: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def given(self) -> bool:
        """Whether there is anything to keep."""
        return self.low is not None or self.high is not None


class Measured(NamedTuple):
    """A reading: its size, and `<` or `>` where the instrument only said that it is less or more than that."""

    value: float
    beyond: str = ""


def read_limits(text: str, unit: str) -> Limits:
    """Read limits as the trade writes them; a nominal value and a range are parted by a semicolon.

    A tolerance is in per cent or in the unit. A number without a unit takes that of its neighbour. `<` and `max` both
    mean "at most". Raises BadInput for what is not understood, and for limits that do not stand in order.

    >>> read_limits("1.6-2.2 V", "V"), read_limits("4k7 5%", "Ω")
    (Limits(nominal=None, low=1.6, high=2.2), Limits(nominal=4700.0, low=4465.0, high=4935.0))
    >>> read_limits("max 0.1 ohm", "Ω").high, read_limits("min 1M", "Ω").low, read_limits("250 V", "V").nominal
    (0.1, 1000000.0, 250.0)
    """
    plain = clean(text).replace("−", "-")
    if not plain:
        return Limits()
    try:
        nominal, mark, band = plain.partition(";")
        limits = _read(band if mark else nominal, unit)
        if mark:
            if limits.nominal is not None:
                raise BadInput(f"{quote(text)} says twice what it should be.")
            limits = limits._replace(nominal=keep(quantity(nominal, unit)))
    except BadInput as error:
        raise BadInput("The limits were not understood.", error.why or error.what, MEND) from error
    return _in_order(limits, text)


def _read(text: str, unit: str) -> Limits:
    plain = text.strip()
    if found := _MOST.fullmatch(plain):
        return Limits(high=keep(quantity(found[1] or found[2], unit)))
    if found := _LEAST.fullmatch(plain):
        return Limits(low=keep(quantity(found[1] or found[2], unit)))
    return _with_tolerance(plain, unit) or _with_range(plain, unit) or Limits(nominal=keep(quantity(plain, unit)))


def _with_tolerance(text: str, unit: str) -> Limits | None:
    if unit != "%":
        if found := _UNEVEN.fullmatch(text):
            sides = {found[2]: found[3], found[4]: found[5]}
            if len(sides) == 2:
                return _about(quantity(found[1], unit), _share(sides["-"]), _share(sides["+"]))
        if found := _PERCENT.fullmatch(text):
            share = _share(found[2] or found[4])
            return _about(quantity(found[1] or found[3], unit), share, share)
    if found := _EVEN.fullmatch(text):
        middle, aside = (quantity(one, unit) for one in _shared(found[1], found[2]))
        if aside < 0:
            raise BadInput("A tolerance is not less than nothing.")
        return Limits(keep(middle), keep(middle - aside), keep(middle + aside))
    return None


def _share(text: str) -> Decimal:
    return quantity(text, "%") / 100


def _about(middle: Decimal, minus: Decimal, plus: Decimal) -> Limits:
    return Limits(keep(middle), keep(middle - abs(middle) * minus), keep(middle + abs(middle) * plus))


def _with_range(text: str, unit: str) -> Limits | None:
    found = _RANGE.fullmatch(text)
    if found is None:
        return None
    low, high = (quantity(one, unit) for one in _shared(found[1], found[2]))
    return Limits(low=keep(low), high=keep(high))


def _shared(first: str, second: str) -> tuple[str, str]:
    """Two amounts, of which one without prefix and unit takes those of the other."""
    endings = [ENDING.search(one.strip()) for one in (first, second)]
    if endings[1] and _NUMBER_ALONE.fullmatch(first.strip()):
        return f"{first}{endings[1][0]}", second
    if endings[0] and _NUMBER_ALONE.fullmatch(second.strip()):
        return first, f"{second}{endings[0][0]}"
    return first, second


def _in_order(limits: Limits, text: str) -> Limits:
    told = [one for one in (limits.low, limits.nominal, limits.high) if one is not None]
    if told != sorted(told):
        raise BadInput("The limits were not taken.", f"{quote(text)} does not go from the lower to the higher.", MEND)
    return limits


def write_limits(limits: Limits, unit: str) -> str:
    """Limits in words; `read_limits` reads them back unchanged. Nothing where there are none.

    >>> write_limits(Limits(low=1.6, high=2.2), "V"), write_limits(Limits(high=0.1), "Ω")
    ('1.6 to 2.2 V', 'at most 0.1 Ω')
    >>> write_limits(Limits(4700.0, 4465.0, 4935.0), "Ω"), write_limits(Limits(250.0), "V")
    ('4.7 kΩ; 4.465 to 4.935 kΩ', '250 V')
    """
    said = [show_amount(limits.nominal, unit)] if limits.nominal is not None else []
    if limits.low is not None and limits.high is not None:
        first, last = show_amount(limits.low, unit), show_amount(limits.high, unit)
        number, _, ending = first.partition(" ")
        said.append(f"{number if ending and last.endswith(f' {ending}') else first} to {last}")
    elif limits.low is not None:
        said.append(f"at least {show_amount(limits.low, unit)}")
    elif limits.high is not None:
        said.append(f"at most {show_amount(limits.high, unit)}")
    return "; ".join(said)


def read_measured(text: str, unit: str, limits: Limits) -> Measured:
    """Read what an instrument showed, against the limits that it is held to.

    "over 200 M" and ">200 M", as insulation testers show it, are taken where they decide whether the limits are kept;
    else BadInput asks for a number.

    >>> read_measured("2,31 V", "V", Limits(low=1.6, high=2.2))
    Measured(value=2.31, beyond='')
    >>> read_measured("> 200M", "Ω", Limits(low=1e6)).beyond
    '>'
    """
    plain = clean(text).replace("−", "-")
    found = re.fullmatch(r"(?:(>|over\b|above\b)|(<|under\b|below\b))?\s*(.*)", plain, re.IGNORECASE)
    beyond = (">" if found[1] else "<" if found[2] else "") if found else ""
    value = keep(quantity(found[3] if found else plain, unit))
    if beyond and not _decides(value, beyond, limits):
        raise BadInput(
            "The reading was not taken.",
            f"{quote(text)} does not say whether it keeps {write_limits(limits, unit)}.",
            "Read it on another range.",
        )
    return Measured(value, beyond)


def _decides(value: float, beyond: str, limits: Limits) -> bool:
    if not limits.given:
        return True
    near, far = (limits.low, limits.high) if beyond == ">" else (limits.high, limits.low)
    past = far is not None and (value >= far if beyond == ">" else value <= far)
    kept = far is None and (near is None or (value >= near if beyond == ">" else value <= near))
    # Equal to the far limit and yet beyond it is out, but the store keeps the bare size, which would keep the limit.
    return kept or (past and value != far)


def within(value: float, limits: Limits) -> bool:
    """Whether a reading keeps the limits; one that has none is kept by anything.

    >>> within(2.2, Limits(low=1.6, high=2.2)), within(2.21, Limits(low=1.6, high=2.2))
    (True, False)
    """
    return (limits.low is None or value >= limits.low) and (limits.high is None or value <= limits.high)


def off_by(value: float, limits: Limits) -> float:
    """By how much a reading is above the upper limit, or (less than nothing) below the lower one; 0 where it is not.

    >>> off_by(2.31, Limits(low=1.6, high=2.2)), off_by(1.5, Limits(low=1.6)), off_by(2, Limits())
    (0.11, -0.1, 0.0)
    """
    if limits.high is not None and value > limits.high:
        return float(exact(value) - exact(limits.high))
    if limits.low is not None and value < limits.low:
        return float(exact(value) - exact(limits.low))
    return 0.0


def say_measured(value: float, limits: Limits, unit: str, *, beyond: str = "") -> str:
    """How a reading stands against its limits, in words.

    >>> say_measured(2.31, Limits(low=1.6, high=2.2), "V"), say_measured(200e6, Limits(low=1e6), "Ω", beyond=">")
    ('2.31 V, 0.11 V above 2.2 V', 'over 200 MΩ, within limits')
    >>> say_measured(251, Limits(250.0), "V")
    '251 V'
    """
    off = off_by(value, limits)
    near = limits.low if off < 0 or limits.high is None else limits.high
    size = {">": "over ", "<": "under "}.get(beyond, "") + show_amount(value, unit, like=near)
    if not limits.given:
        return size
    if not off or near is None:
        return f"{size}, within limits"
    return (
        f"{size}, {show_amount(abs(off), unit, like=near)} {'above' if off > 0 else 'below'} {show_amount(near, unit)}"
    )
