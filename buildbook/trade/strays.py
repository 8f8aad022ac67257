"""How far parts and given sizes may stray: what is stated, and what is usual where nothing is."""

from __future__ import annotations

import re
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.amounts import unit_in
from buildbook.trade.kinds import KINDS
from buildbook.trade.limits import read_limits
from buildbook.trade.marking import Tolerance
from buildbook.trade.plain import clean, quote
from buildbook.trade.value_text import listen
from buildbook.trade.values import Value, read, write

# In percent, where nothing is stated. Common practice.
USUAL = {"R": 5.0, "C": 10.0, "L": 10.0}
USUAL_POTENTIOMETER = 20.0
USUAL_ELECTROLYTIC = 20.0
_ELECTROLYTIC = re.compile(r"electrolytic|elko|elco|tantalum", re.IGNORECASE)
MOST_GIVENS = 12
MEND = 'Write it like "where HT = 250 V 5 %, I = 18 mA ± 2 mA".'
_GIVEN = re.compile(r"\s*([A-Za-z][A-Za-z0-9_]*)\s*=\s*(.*)", re.DOTALL)
_BETWEEN = re.compile(r"[;,](?=\s*[A-Za-z][A-Za-z0-9_]*\s*=)")
_WHERE = re.compile(r"(?<![A-Za-z0-9_])where(?![A-Za-z0-9_])", re.IGNORECASE)


class Sized(NamedTuple):
    """A size with the least and the most that it may be, in SI units, and where all that comes from."""

    nominal: float
    low: float
    high: float
    source: str


def part_size(kind: str, value_text: str, name: str = "") -> Sized | str:
    """The size of a part and how far it may stray, from its value, its name, or what is usual; or why it is not known.

    >>> part_size("resistor", "4k7 0.6W", "Resistor, metal film 1 %")
    Sized(nominal=4700.0, low=4653.0, high=4747.0, source='4k7 0.6W, 1% by its name')
    >>> part_size("capacitor", "100u 25V", "electrolytic").source
    '100u 25V, ±20% as is usual'
    >>> part_size("valve", "EF89")
    'a valve has no value'
    """
    known = KINDS.get(kind)
    letter = known.value_kind if known else None
    if letter is None:
        return f"a {kind} has no value"
    value = read(value_text, letter)
    if not isinstance(value, Value):
        return f"its value {quote(value_text)} is not clear" if value_text else "its value is not known"
    tolerance, how = _tolerance(kind, value, name)
    unit = 1e-12 if tolerance.unit == "pF" else value.si / 100
    nominal = value.si
    low, high = nominal - float(tolerance.minus) * unit, nominal + float(tolerance.plus) * unit
    return Sized(nominal, _plain(max(0.0, low)), _plain(high), f"{write(value)}{how}")


def _tolerance(kind: str, value: Value, name: str) -> tuple[Tolerance, str]:
    if value.tolerance:
        return value.tolerance, ""
    if not value.amount:
        return Tolerance(value.amount, value.amount), ""
    said = listen(name[:200])
    if not isinstance(said, str) and len(said.tolerances) == 1:
        return said.tolerances[0], f", {said.tolerances[0]} by its name"
    usual = USUAL[value.kind]
    if kind == "potentiometer":
        usual = USUAL_POTENTIOMETER
    elif value.kind == "C" and (_ELECTROLYTIC.search(f"{name} {value.material}") or value.si >= _LARGE_C):
        usual = USUAL_ELECTROLYTIC
    both = type(value.amount)(str(usual))
    return Tolerance(both, both), f", ±{usual:g}% as is usual"


# From here on, and with no word of what it is, a capacitor is most likely an electrolytic one. Common practice.
_LARGE_C = 4.7e-6


def _plain(size: float) -> float:
    return float(f"{size:.12g}")


def supply_size(volts_uv: int, tolerance_bp: int) -> Sized | str:
    """The volts of a supply and how far they may stray; or why they are not known.

    >>> supply_size(250_000_000, 500)
    Sized(nominal=250.0, low=237.5, high=262.5, source='supply, ±5%')
    """
    if not volts_uv:
        return "its voltage is not known"
    volts, share = volts_uv / 1e6, tolerance_bp / 10_000
    said = f"±{tolerance_bp / 100:g}%" if tolerance_bp else "without a tolerance"
    return Sized(volts, _plain(volts * (1 - share)), _plain(volts * (1 + share)), f"supply, {said}")


def split_givens(text: str) -> tuple[str, dict[str, Sized]]:
    """A formula without what is given behind "where", and the given sizes by name, in capitals.

    A given size is written as limits are: "250 V 5 %", "18 mA ± 2 mA", "1.2-1.3 V", "10k"; without a tolerance it does
    not stray. Raises BadInput for what is not understood and for a name given twice.

    >>> split_givens("V * 2 where V = 1.25 V 4 %")
    ('V * 2', {'V': Sized(nominal=1.25, low=1.2, high=1.3, source='given: 1.25 V 4 %')})
    """
    parts = _WHERE.split(clean(text, limit=1000, what="formula"))
    if len(parts) > 2:
        raise _refused("It says where more than once.")
    givens: dict[str, Sized] = {}
    for one in _BETWEEN.split(parts[1]) if len(parts) == 2 else ():
        found = _GIVEN.fullmatch(one)
        if not found:
            raise _refused(f"{quote(one.strip())} gives nothing a size.")
        name = found[1].upper()
        if name in givens:
            raise _refused(f"{name} is given twice.")
        givens[name] = _given(name, found[2].strip())
    if len(givens) > MOST_GIVENS:
        raise _refused(f"It gives {len(givens)} sizes, and {MOST_GIVENS} is the most.")
    return parts[0].strip(), givens


def _given(name: str, text: str) -> Sized:
    if not text:
        raise _refused(f"The size of {name} is missing.")
    unit = unit_in(text)
    why = ""
    for meant in (unit,) if unit else ("Ω", "F"):
        try:
            limits = read_limits(text, meant)
        except BadInput as error:
            why = why or error.why
            continue
        low = limits.nominal if limits.low is None else limits.low
        high = limits.nominal if limits.high is None else limits.high
        if low is None or high is None or (limits.nominal is None and None in (limits.low, limits.high)):
            raise _refused(f"The size of {name} is open to one side.")
        nominal = (low + high) / 2 if limits.nominal is None else limits.nominal
        return Sized(_plain(nominal), low, high, f"given: {text}")
    raise _refused(why)


def _refused(why: str) -> BadInput:
    return BadInput("What is given was not understood.", why, MEND)
