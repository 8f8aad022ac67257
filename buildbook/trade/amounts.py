"""Measured amounts with their units, as the trade writes them: 2.31 V, 150 uA, 4k7, 0,94 MΩ, 455 kHz."""

from __future__ import annotations

import re
from decimal import Decimal, localcontext

from buildbook.errors import BadInput
from buildbook.trade.figures import readings
from buildbook.trade.marking import plain_digits, suffix_powers
from buildbook.trade.plain import clean, quote

# What is measured at a point (SI and common symbols), and the words for it, in small letters.
UNITS: dict[str, tuple[str, ...]] = {
    "V": ("v", "volt", "volts", "vdc", "vac", "v dc", "v ac", "vrms", "vpp"),
    "A": ("a", "amp", "amps", "ampere", "amperes", "adc", "aac", "a dc", "a ac"),
    "Ω": ("ohm", "ohms", "ω"),
    "Hz": ("hz", "hertz"),
    "F": ("f", "farad", "farads"),
    "H": ("h", "henry", "henries"),
    "W": ("w", "watt", "watts"),
    "s": ("s", "sec", "secs", "second", "seconds"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "dB": ("db",),
    "°C": ("°c", "degc", "deg c"),
    "%": ("%", "percent", "per cent"),
}
# Ohm, farad and henry are read as on components, where a prefix may be in doubt: m of ohms, M of farads.
_AS_PART = {"Ω": "R", "F": "C", "H": "L"}
_PREFIXES = {"p": -12, "n": -9, "u": -6, "m": -3, "": 0, "k": 3, "K": 3, "M": 6, "G": 9}
_WITHOUT_PREFIX = ("dB", "°C", "%")
_SHOWN = ((9, "G"), (6, "M"), (3, "k"), (0, ""), (-3, "m"), (-6, "µ"), (-9, "n"), (-12, "p"))
# Millifarad and megafarad are in doubt when they are read, and MH is micro on old lists, so these are never written.
_NOT_SHOWN = {"F": (-3, 6), "H": (6,), "m": (9, 6)}
MOST_FIGURES = 12
_LARGEST = 15
_LETTERS = r"[A-Za-zΩµ%°]+(?: (?:dc|ac|DC|AC|c|C))?"
_PLAIN = re.compile(rf"([+-]?)\s*([0-9](?:[0-9.,'’ ]*[0-9])?|[.,][0-9]+)\s*({_LETTERS})?")
_POINTED = re.compile(r"([+-]?)\s*([0-9]*)([A-Za-zΩµ])([0-9]{1,6})\s*([A-Za-zΩ]*)")
ENDING = re.compile(rf"\s*(?:{_LETTERS})$")


def read_amount(text: str, unit: str) -> float:
    """Read an amount of a unit of UNITS, with or without prefix and unit; a comma may mark decimals.

    Raises BadInput for another unit, for what can be read in two ways (1,234; 50m of ohms), for more than twelve
    figures and for sizes of 10^15 and more.

    >>> read_amount("2,31", "V"), read_amount("4k7", "Ω"), read_amount("150 uA", "A"), read_amount("-12.1 V", "V")
    (2.31, 4700.0, 0.00015, -12.1)
    """
    return keep(quantity(text, unit))


def quantity(text: str, unit: str) -> Decimal:
    """As `read_amount`, exact."""
    plain = clean(text).replace("−", "-").replace("μ", "µ")
    if found := _PLAIN.fullmatch(plain):
        sign, digits, ending = found[1], found[2], found[3] or ""
        size = _number(digits, text).scaleb(_power(ending, unit, text) if ending else 0)
    elif found := _POINTED.fullmatch(plain):
        sign, whole, letter, decimals, tail = found.groups()
        if tail and _power(tail, unit, text):
            raise _refused(f"{quote(text)} has two prefixes.")
        size = Decimal(f"{whole or 0}.{decimals}").scaleb(_power(letter, unit, text))
    else:
        raise _refused(f"{quote(text)} is no amount." if plain else "No amount is given.")
    if size and size.adjusted() >= _LARGEST:
        raise _refused(f"{quote(text)} is too large.")
    if size and not (size.adjusted() >= -_LARGEST and len(size.normalize().as_tuple().digits) <= MOST_FIGURES):
        raise _refused(f"{quote(text)} has more than {MOST_FIGURES} figures, or is too small.")
    return -size if sign == "-" and size else size


def _number(digits: str, text: str) -> Decimal:
    found = readings(digits)
    if len(found) == 2 and "." in digits:
        found = found[1:]  # a meter shows 1.234 and means the point
    if len(found) != 1:
        why = f"{digits} can be {found[0]} or {found[1]}." if found else f"{quote(text)} is not one plain number."
        raise _refused(why)
    return Decimal(found[0].digits).scaleb(-found[0].places)


def _power(ending: str, unit: str, text: str) -> int:
    powers = powers_of(ending, unit)
    if len(powers) == 1:
        return powers[0]
    if powers:
        raise _refused(f"{ending} in {quote(text)} can be milli or mega: write it with the unit, such as m{unit}.")
    raise _refused(f"{quote(text)} is not in {unit or 'a plain number'}.")


def powers_of(ending: str, unit: str) -> tuple[int, ...]:
    """The powers of ten that a prefix, a unit or both may mean; none when they are not of that unit.

    >>> powers_of("mV", "V"), powers_of("k", "Hz"), powers_of("m", "Ω"), powers_of("A", "V")
    ((-3,), (3,), (-3, 6), ())
    """
    plain = ending.replace("µ", "u")
    if unit in _AS_PART and (powers := suffix_powers(plain, _AS_PART[unit])):
        return powers
    words = UNITS.get(unit, ())
    if plain.casefold() in words:
        return (0,)
    if unit in _WITHOUT_PREFIX or unit not in UNITS:
        return ()
    prefix, rest = plain[:1], plain[1:].casefold()
    if prefix in _PREFIXES and (rest in words or (not rest and unit != "m")):
        return (_PREFIXES[prefix],)
    return ()


def read_unit(text: str) -> str:
    """One of UNITS, by its symbol or a word for it.

    >>> read_unit("ohm"), read_unit("v"), read_unit("mm")
    ('Ω', 'V', 'm')
    """
    plain = clean(text).replace("μ", "µ")
    found = _unit_named(plain)
    if not found:
        raise BadInput(f"{quote(text)} is no unit of a test point.", f"There are {', '.join(UNITS)}.", "Choose one.")
    return found


def unit_in(text: str) -> str:
    """The unit that stands in a text about amounts; nothing when there is none. A lone % or m may mean another thing.

    >>> unit_in("1.6-2.2 V"), unit_in("max 0.1 ohm"), unit_in("150 to 250 uA"), unit_in("4k7 5%"), unit_in("min 1M")
    ('V', 'Ω', 'A', '', '')
    """
    words = re.findall(r"(?<=[0-9 ])[A-Za-zΩµ°]+", clean(text).replace("μ", "µ"))
    return next((unit for word in words if word != "m" and (unit := _unit_named(word))), "")


def _unit_named(word: str) -> str:
    """The unit of a word for it, with or without a prefix: V, volts, uA, kHz, MΩ, mm; nothing when there is none."""
    if word in _PREFIXES and word != "m":
        return ""
    bare, rest = word.casefold(), word[1:].casefold()
    prefixed = word[:1].replace("µ", "u") in _PREFIXES and word[:1]
    for unit, words in UNITS.items():
        if bare in words or word == unit or (prefixed and rest in words and unit not in _WITHOUT_PREFIX):
            return unit
    return ""


def exact(value: float) -> Decimal:
    """The number that is meant by a float: the shortest that gives the same float.

    >>> exact(2.31)
    Decimal('2.31')
    """
    return Decimal(repr(float(value)))


def keep(size: Decimal) -> float:
    """An exact size as it is kept: a float, of twelve figures at most."""
    with localcontext() as context:
        context.prec = MOST_FIGURES
        return float(+size)


def show_amount(value: float, unit: str, *, like: float | None = None) -> str:
    """An amount with its unit and a prefix where that makes it shorter; `read_amount` reads it back unchanged.

    The prefix of another amount is used where one is given that it is `like`, unless that is far away.

    >>> show_amount(2.31, "V"), show_amount(0.00015, "A"), show_amount(1e6, "Ω"), show_amount(0.1, "Ω")
    ('2.31 V', '150 µA', '1 MΩ', '0.1 Ω')
    >>> show_amount(23.5, "°C"), show_amount(0, "V"), show_amount(0.006, "m"), show_amount(0.18, "V", like=0.02)
    ('23.5 °C', '0 V', '6 mm', '180 mV')
    """
    size = exact(value)
    power, prefix = _scale(size, unit)
    if like:
        near, other = _scale(exact(like), unit)
        if Decimal("0.001") <= abs(size).scaleb(-near) < 1000:
            power, prefix = near, other
    return f"{plain_digits(size.scaleb(-power))} {prefix}{unit}".rstrip()


def _scale(size: Decimal, unit: str) -> tuple[int, str]:
    if unit in _WITHOUT_PREFIX or unit not in UNITS or not size or Decimal("0.1") <= abs(size) < 1000:
        return 0, ""
    known = [one for one in _SHOWN if one[0] not in _NOT_SHOWN.get(unit, ())]
    return next((one for one in known if size.adjusted() >= one[0]), known[-1])


def _refused(why: str) -> BadInput:
    return BadInput("The amount was not understood.", why, "Give one, such as 2.31 V, 150 uA or 4k7.")
