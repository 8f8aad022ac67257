"""Numbers as people write them, read exactly: a point or a comma for decimals, thousands in groups."""

from __future__ import annotations

import re
from typing import NamedTuple

_PLAIN = re.compile(r"[0-9]+")
_DECIMAL = re.compile(r"([0-9]*)([.,])([0-9]+)")
# Groups of three with one and the same mark: comma, point, apostrophe, underscore, or a blank of any width.
_GROUPED = re.compile(r"([1-9][0-9]{0,2}(?:([,.'’_ \u00a0\u2009\u202f])[0-9]{3})(?:\2[0-9]{3})*)(?:([.,])([0-9]+))?")
_DIGITS_AT_MOST = 30


class Figure(NamedTuple):
    """An exact number, `digits` / 10 ** `places`: (15, 1) is 1.5."""

    digits: int
    places: int

    def __str__(self) -> str:
        return show_decimal(self.digits, self.places)


def readings(text: str) -> tuple[Figure, ...]:
    """Give every way to read a number without sign or unit: none, one, or two when a mark can mean either.

    A single comma or point before exactly three digits may part thousands or decimals; the whole number comes first.

    >>> [str(figure) for figure in readings("1,234")], readings("1.234,5"), readings("1e9")
    (['1234', '1.234'], (Figure(digits=12345, places=1),), ())
    """
    if len(text) > _DIGITS_AT_MOST:
        return ()
    if _PLAIN.fullmatch(text):
        return (Figure(int(text), 0),)
    found = []
    if (grouped := _GROUPED.fullmatch(text)) and grouped[2] != grouped[3]:
        whole = re.sub(r"[^0-9]", "", grouped[1])
        part = grouped[4] or ""
        found.append(Figure(int(whole + part), len(part)))
    if decimal := _DECIMAL.fullmatch(text):
        found.append(Figure(int(decimal[1] + decimal[3]), len(decimal[3])))
    return tuple(found)


def half_even(numerator: int, denominator: int) -> int:
    """Divide and round to the nearest integer, a half to the even one (ISO 80000-1, rule A).

    `denominator` is above zero.

    >>> half_even(5, 2), half_even(7, 2), half_even(-5, 2)
    (2, 4, -2)
    """
    whole, rest = divmod(numerator, denominator)
    return whole + (2 * rest > denominator or (2 * rest == denominator and whole % 2))


def show_decimal(digits: int, places: int, *, least: int = 0) -> str:
    """Write `digits` / 10 ** `places` in full, with a point, and with `least` decimals or as many as it takes.

    >>> show_decimal(1500, 3), show_decimal(-5, 3), show_decimal(3, 0, least=2)
    ('1.5', '-0.005', '3.00')
    """
    if places < least:
        digits, places = digits * 10 ** (least - places), least
    sign = "-" if digits < 0 else ""
    text = str(abs(digits)).rjust(places + 1, "0")
    whole, part = text[: len(text) - places], text[len(text) - places :]
    part = part[:least] + part[least:].rstrip("0")
    return f"{sign}{whole}.{part}" if part else sign + whole
