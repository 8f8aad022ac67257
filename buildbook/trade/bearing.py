"""What a part is made for and what it bears: volts (DC, AC, reverse), amps and watts, as people write them."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.amounts import quantity, show_amount
from buildbook.trade.kinds import KINDS
from buildbook.trade.plain import clean, quote
from buildbook.trade.values import Value, read

MICRO = 1_000_000
LARGEST = 10**6
DC, AC, REVERSE, AMPS, WATTS = "dc volts", "ac volts", "reverse volts", "amps", "watts"
BORNE = {DC: "V", AC: "V", REVERSE: "V", AMPS: "A", WATTS: "W"}
AFTER = {DC: " DC", AC: " AC", REVERSE: " reverse", AMPS: "", WATTS: ""}
# What says which volts are meant; the longer words first.
_SAID = (
    (REVERSE, re.compile(r"\b(reverse|inverse|piv|prv|vrrm)\b", re.IGNORECASE)),
    (AC, re.compile(r"(?<=v)ac\b|\bac\b|(?<=v)rms\b|\brms\b|r\.m\.s\.|(?<=v)\s*~", re.IGNORECASE)),
    (DC, re.compile(r"(?<=v)dc\b|\bdc\b", re.IGNORECASE)),
)
_PEAK_TO_PEAK = re.compile(r"pp\b|p-p\b", re.IGNORECASE)
_LETTER = re.compile(r"[VAW]", re.IGNORECASE)
# Classes of capacitors that stand across the mains, or from it to earth (IEC 60384-14, from memory).
_FOR_MAINS = re.compile(r"\b[XY][1-4]\b", re.IGNORECASE)
_ALUMINIUM = re.compile(r"electrolytic|alumini?um|\belk?co\b|\belko\b", re.IGNORECASE)
_NOT_ALUMINIUM = re.compile(r"tantal|niob", re.IGNORECASE)


class Bearing(NamedTuple):
    """So much of what is borne: one of BORNE, and millionths of its unit."""

    what: str
    micro: int


def read_bearing(text: str, kind: str = "") -> Bearing:
    """Read what is borne: "300V", "230 V AC", "566V reverse", "200mA", "0.3W"; of a diode, volts are reverse volts.

    Raises BadInput for no amount with a unit of V, A or W, for one below zero, above a million or finer than a
    millionth, and for words of two sorts.

    >>> read_bearing("300V"), read_bearing("275VAC").what, read_bearing("1kV", "diode").what
    (Bearing(what='dc volts', micro=300000000), 'ac volts', 'reverse volts')
    """
    plain = clean(text)
    said = [what for what, words in _SAID if words.search(plain)]
    for _, words in _SAID:
        plain = words.sub(" ", plain)
    plain = clean(plain)
    letters = _LETTER.findall(plain)
    unit = letters[-1].upper() if letters else ""
    if not unit or len(said) > 1 or (said and unit != "V") or _PEAK_TO_PEAK.search(plain):
        mend = "Write it as 300V, 230V AC, 566V reverse, 0.2A or 0.3W."
        raise BadInput(f"{quote(text)} was not understood.", "It has to be volts, amps or watts, of one sort.", mend)
    what = {"A": AMPS, "W": WATTS}.get(unit) or (said or [REVERSE if kind == "diode" else DC])[0]
    amount = quantity(plain, unit)
    if not 0 <= amount <= LARGEST:
        raise BadInput(f"{quote(text)} was not taken.", "It is below zero, or too large.", "Give its size.")
    micro = amount * MICRO
    if micro != micro.to_integral_value():
        raise BadInput(f"{quote(text)} was not taken.", "It is finer than a millionth.", "Round it up.")
    return Bearing(what, int(micro))


def read_what(text: str) -> str:
    """Which of BORNE is meant by its name: "dc volts", "watts". Raises BadInput when it is none of them.

    >>> read_what(" DC volts")
    'dc volts'
    """
    plain = clean(text).lower()
    if plain not in BORNE:
        raise BadInput(f"{quote(text)} is nothing that a part bears.", f"There are {', '.join(BORNE)}.", "Name one.")
    return plain


def show_bearing(what: str, micro: int, *, figures: int = 12) -> str:
    """An amount with its unit, and which volts they are; `read_bearing` reads it back when all figures are shown.

    >>> show_bearing("dc volts", 300_000_000), show_bearing("amps", 200_000), show_bearing("watts", 409_091, figures=3)
    ('300 V DC', '0.2 A', '0.409 W')
    """
    return show_amount(float(f"{micro / MICRO:.{figures}g}"), BORNE[what]) + AFTER[what]


class Made(NamedTuple):
    """What a part says of itself: its ohms where it is a resistor, what it is made for, and how it is made."""

    ohms: float | None
    ratings: dict[str, int]
    electrolytic: bool
    for_mains: bool
    doubt: str


def made_for(kind: str, value: str, name: str = "") -> Made:
    """What the value of a part already says ("22u 450V", "1W"), and its name about its make.

    Volts are DC unless they are said to be AC; those of an X or Y capacitor are AC. A value that can be read in more
    than one way says nothing, and `doubt` tells why.

    >>> made_for("capacitor", "100n 275VAC X2").ratings, made_for("resistor", "4k7 0.6W").ratings
    ({'ac volts': 275000000}, {'watts': 600000})
    """
    known = KINDS.get(kind)
    letter = known.value_kind if known else None
    found = read(value, letter) if letter and value else None
    words = f"{value} {name}"
    electrolytic = bool(_ALUMINIUM.search(words)) and not _NOT_ALUMINIUM.search(words)
    for_mains = kind == "capacitor" and bool(_FOR_MAINS.search(value))
    if not isinstance(found, Value):
        return Made(None, {}, electrolytic, for_mains, "its value is not clear" if found is not None else "")
    alternating = for_mains or "AC" in found.rest.split()
    stated = {AC if alternating else DC: found.volts, AMPS: found.amps, WATTS: found.watts}
    ratings = {what: _micro(size) for what, size in stated.items() if size is not None}
    ohms = found.si if letter == "R" and found.amount else None
    return Made(ohms, ratings, electrolytic, for_mains, "")


def _micro(size: Decimal) -> int:
    """Millionths, rounded down: a rating is never more than it says."""
    return int(size * MICRO)
