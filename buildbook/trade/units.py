"""How stock is counted: pieces, millimetres, milligrams, microlitres; and how long work and waiting take."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.figures import Figure, half_even, readings, show_decimal
from buildbook.trade.plain import quote

LARGEST_QTY = 10**12
LONGEST_MIN = 10 * 366 * 24 * 60


class Unit(StrEnum):
    """The base unit in which a part is counted, always as an integer."""

    PC = "pc"
    MM = "mm"
    MG = "mg"
    UL = "ul"


class _Measure(NamedTuple):
    """A unit that people write, `numer` / `denom` base units large."""

    unit: Unit
    numer: int
    denom: int = 1


_COUNTED_BY = {Unit.PC: "the piece", Unit.MM: "length", Unit.MG: "mass", Unit.UL: "volume"}

# SI symbols and words (SI brochure); the inch is 25.4 mm exactly (international yard and pound agreement, 1959).
_WORDS = {
    _Measure(Unit.PC, 1): "pc pcs piece pieces x × off ea each no nos stk stck stück stueck unit units",
    _Measure(Unit.MM, 1, 10**6): "nm nanometre nanometres nanometer nanometers",
    _Measure(Unit.MM, 1, 1000): "um µm micron microns micrometre micrometres",
    _Measure(Unit.MM, 1): "mm millimetre millimetres millimeter millimeters",
    _Measure(Unit.MM, 10): "cm centimetre centimetres centimeter centimeters",
    _Measure(Unit.MM, 100): "dm decimetre decimetres decimeter decimeters",
    _Measure(Unit.MM, 1000): "m metre metres meter meters mtr mtrs",
    _Measure(Unit.MM, 10**6): "km kilometre kilometres kilometer kilometers",
    _Measure(Unit.MM, 254, 10): "in inch inches \" ″ '' ”",
    _Measure(Unit.MM, 3048, 10): "ft foot feet ' ′ ’",
    _Measure(Unit.MM, 9144, 10): "yd yard yards",
    _Measure(Unit.MG, 1, 10**6): "ng nanogram nanograms",
    _Measure(Unit.MG, 1, 1000): "ug µg microgram micrograms",
    _Measure(Unit.MG, 1): "mg milligram milligrams milligramme milligrammes",
    _Measure(Unit.MG, 1000): "g gm gram grams gramme grammes",
    _Measure(Unit.MG, 10**6): "kg kilo kilos kilogram kilograms kilogramme kilogrammes",
    _Measure(Unit.MG, 10**9): "t tonne tonnes",
    _Measure(Unit.UL, 1, 1000): "nl nanolitre nanolitres nanoliter nanoliters",
    _Measure(Unit.UL, 1): "ul µl microlitre microlitres microliter microliters",
    _Measure(Unit.UL, 1000): "ml cc cm³ millilitre millilitres milliliter milliliters",
    _Measure(Unit.UL, 10_000): "cl centilitre centilitres centiliter centiliters",
    _Measure(Unit.UL, 100_000): "dl decilitre decilitres deciliter deciliters",
    _Measure(Unit.UL, 10**6): "l litre litres liter liters",
}
_MEASURES = {word: measure for measure, words in _WORDS.items() for word in words.split()}
_IMPERIAL = {254, 3048, 9144}
# Mega and milli differ by the case of one letter alone: neither is guessed.
_MEGA = {"Mm", "Mg", "Ml"}
_SIGNED = re.compile(r"([+\-−]?)\s*([0-9.,](?:[0-9.,'’_ \u00a0\u2009\u202f]*[0-9.,])?)\s*(.*)", re.DOTALL)
# What `show_quantity` writes, largest first.
_SHOWN = {
    Unit.MM: ((3, "m"), (0, "mm")),
    Unit.MG: ((6, "kg"), (3, "g"), (0, "mg")),
    Unit.UL: ((6, "l"), (3, "ml"), (0, "µl")),
}


def read_unit(text: str) -> Unit | None:
    """Give the base unit behind a word for a unit, or None when the word is not one.

    >>> read_unit("pcs"), read_unit("metre"), read_unit("ml"), read_unit("volts")
    (<Unit.PC: 'pc'>, <Unit.MM: 'mm'>, <Unit.UL: 'ul'>, None)
    """
    measure = _measure(text.strip())
    return measure.unit if measure else None


def read_quantity(text: str, unit: Unit, *, signed: bool = False) -> int:
    """Read a quantity exactly, as an integer of base units of `unit`; a bare number is in base units.

    A comma or a point may mark decimals; a blank, comma, point or apostrophe may group thousands. A single comma before
    three digits groups the thousands of pieces and is refused as ambiguous for lengths, masses and volumes; a single
    point before three digits is the other way round. Inches, feet and yards are rounded to whole millimetres, a half to
    the even one. Raises BadInput for anything else, for more than 10^12, and below zero unless `signed`.

    >>> read_quantity("12 pcs", Unit.PC), read_quantity("1.5 m", Unit.MM), read_quantity("0,5 kg", Unit.MG)
    (12, 1500, 500000)
    """
    if len(text) <= 12 and text.isascii() and text.isdigit():
        return int(text)
    if not text.strip():
        raise _refused("No quantity is given.")
    parts = _SIGNED.fullmatch(text.strip())
    if parts is None:
        raise _refused(f"{quote(text)} is not a number.")
    sign, number, word = parts.groups()
    measure = _measure_for(word.strip(), unit, text)
    size = _chosen(readings(number), unit, text)
    qty = _base_units(size, measure, text)
    if sign in ("-", "−") and qty:
        if not signed:
            raise _refused(f"{quote(text)} is less than nothing.")
        qty = -qty
    return qty


def show_quantity(qty: int, unit: Unit) -> str:
    """Write a quantity of base units the short way; `read_quantity` reads it back unchanged.

    >>> show_quantity(12, Unit.PC), show_quantity(1500, Unit.MM), show_quantity(250_000, Unit.UL)
    ('12', '1.5 m', '250 ml')
    """
    if unit is Unit.PC:
        return str(qty)
    for places, symbol in _SHOWN[unit]:
        if abs(qty) >= 10**places:
            return f"{show_decimal(qty, places)} {symbol}"
    return f"{qty} {unit}"


def _measure(word: str) -> _Measure | None:
    if word in _MEGA:
        return None
    return _MEASURES.get(word.rstrip(".").casefold().replace("μ", "µ"))


def _measure_for(word: str, unit: Unit, text: str) -> _Measure:
    if not word:
        return _Measure(unit, 1)
    measure = _measure(word)
    if measure is None:
        raise _refused(f"{quote(word)} in {quote(text)} is not a unit of quantity.")
    if measure.unit is not unit:
        raise _refused(
            f"{quote(text)} goes by {_COUNTED_BY[measure.unit]}, and this is counted by {_COUNTED_BY[unit]}."
        )
    return measure


def _chosen(figures: tuple[Figure, ...], unit: Unit, text: str) -> Figure:
    """Settle whether a single mark before three digits parts thousands or decimals."""
    if not figures:
        raise _refused(f"{quote(text)} is not one plain number.")
    if len(figures) == 1:
        return figures[0]
    whole, decimal = figures
    if unit is Unit.PC and "," in text:
        return whole
    if unit is not Unit.PC and "." in text:
        return decimal
    raise _refused(f"{quote(text)} can be read as {whole} or as {decimal}.")


def _base_units(size: Figure, measure: _Measure, text: str) -> int:
    numer, denom = size.digits * measure.numer, measure.denom * 10**size.places
    if numer > LARGEST_QTY * denom:
        raise _refused(f"{quote(text)} is more than 10^12 {measure.unit}, the most that can be counted.")
    if numer % denom and measure.numer not in _IMPERIAL:
        name = "pieces" if measure.unit is Unit.PC else f"{measure.unit}, the smallest that is counted"
        raise _refused(f"{quote(text)} is not a whole number of {name}.")
    return half_even(numer, denom)


def _refused(why: str) -> BadInput:
    return BadInput("The quantity was not understood.", why, "Give one number, such as 12, 1.5 m or 250 ml.")


_ABOUT = re.compile(r"^(?:~|≈|about\b|approx\b\.?|ca\b\.?|circa\b)\s*")
_CLOCK = re.compile(r"([0-9]{1,5}):([0-5][0-9])")
_SPAN = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?)\s*(weeks?|w|days?|d|hours?|hrs?|h|minutes?|mins?|m|)\.?(?=[\s\d,]|$)(?:\s*,?\s*(?:and\s+)?)"
)
_MINUTES = {"w": 7 * 24 * 60, "d": 24 * 60, "h": 60, "m": 1}


def read_minutes(text: str) -> int:
    """Read a duration as whole minutes; a bare number is minutes, a day is 24 hours.

    Parts stand from the largest to the smallest: "1 d 4 h", "1h30". A part of a minute is rounded half to even.
    Raises BadInput for a range, a date, anything below zero or over ten years.

    >>> read_minutes("1h30"), read_minutes("~40 min"), read_minutes("1:30"), read_minutes("2 d")
    (90, 40, 90, 2880)
    """
    said = _ABOUT.sub("", text.strip().casefold())
    if not said:
        raise _no_duration("No duration is given.")
    if len(said) > 60:
        raise _no_duration(f"{quote(text)} is too long for a duration.")
    clock = _CLOCK.fullmatch(said)
    minutes = int(clock[1]) * 60 + int(clock[2]) if clock else _sum_of_spans(said, text)
    if minutes > LONGEST_MIN:
        raise _no_duration(f"{quote(text)} is longer than ten years.")
    return minutes


def read_spread(text: str, parts: int) -> tuple[int, ...]:
    """Read so many durations from the least to the most, with strokes between; a single one stands for all of them.

    Raises BadInput for another number of durations, and for what is no duration.

    >>> read_spread("20/40/60", 3), read_spread("24h/48h", 2), read_spread("40min", 3)
    ((20, 40, 60), (1440, 2880), (40, 40, 40))
    """
    said = text.split("/")
    if len(said) not in (1, parts):
        raise BadInput(
            f"{quote(text)} is not understood.",
            f"It wants one duration, or {parts} with strokes between.",
            "Write it like " + ("20/40/60." if parts == 3 else "24h/48h."),
        )
    found = tuple(read_minutes(one) for one in said)
    return found if len(found) == parts else found * parts


def show_minutes(minutes: int) -> str:
    """Write whole minutes in days of 24 hours, hours and minutes; `read_minutes` reads it back unchanged.

    >>> show_minutes(40), show_minutes(90), show_minutes(2880), show_minutes(0)
    ('40 min', '1 h 30 min', '2 d', '0 min')
    """
    days, rest = divmod(minutes, 24 * 60)
    spans = ((days, "d"), (rest // 60, "h"), (rest % 60, "min"))
    return " ".join(f"{count} {name}" for count, name in spans if count) or "0 min"


def _sum_of_spans(said: str, text: str) -> int:
    numer, denom, at, larger = 0, 1, 0, 0
    while at < len(said):
        span = _SPAN.match(said, at)
        if span is None:
            raise _no_duration(f"{quote(text)} is not one duration.")
        # A bare number after hours is minutes, as in 1h30; alone it is minutes too.
        minutes = _MINUTES[span[2][0]] if span[2] else 1
        if larger and (minutes >= larger or (not span[2] and larger != 60)):
            raise _no_duration(f"{quote(text)} does not go from the larger to the smaller unit.")
        whole, _, part = span[1].replace(",", ".").partition(".")
        numer = numer * 10 ** len(part) + int(whole + part) * minutes * denom
        denom *= 10 ** len(part)
        at, larger = span.end(), minutes
    return half_even(numer, denom)


def _no_duration(why: str) -> BadInput:
    return BadInput("The duration was not understood.", why, "Give one, such as 40 min, 1 h 30 min or 2 d.")
