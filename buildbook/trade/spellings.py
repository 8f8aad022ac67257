"""The ways in which one value is written: 4k7, 4.7k, 4.7 kΩ; for finding any of them by any other."""

from __future__ import annotations

import re

# A multiplier in the place of the decimal point (IEC 60062), or behind the number, perhaps with a unit.
INSIDE = re.compile(r"(\d{1,4})([pnuµμmkKMGRr])(\d{1,3})(?:Ω|ohm|F|H|V|A|W)?")
BEHIND = re.compile(r"(\d{1,4})(?:[.,](\d{1,3}))?([pnuµμmkKMGRr])(?:Ω|ohm|F|H|V|A|W)?")
MICRO = "uµμ"
UNITS = ("", "Ω", "ohm", "F", "H", "V", "A", "W")


def spellings(word: str) -> list[str]:
    """The other ways to write a value; nothing where the word is no value with a multiplier.

    >>> spellings("4k7")[:3], spellings("2.2uF")[:2], spellings("choke")
    (['4.7k', '4.7kΩ', '4.7kohm'], ['2.2u', '2.2uΩ'], [])
    """
    if found := INSIDE.fullmatch(word):
        whole, sign, rest = found.groups()
    elif found := BEHIND.fullmatch(word):
        whole, rest, sign = found.groups()
    else:
        return []
    # R stands for the point of so many ohms, and is left out where they are named.
    ohms = sign in "Rr"
    signs = MICRO if sign in MICRO else sign
    number = f"{whole}.{rest}" if rest else whole
    ends = ("R", "Ω", "ohm") if ohms else [f"{one}{unit}" for one in signs for unit in UNITS]
    ways = [f"{number}{gap}{end}" for gap in ("", " ") for end in ends]
    inside = [f"{whole}{one}{rest}" for one in signs] if rest else []
    return [way for way in dict.fromkeys([*ways, *inside]) if way != word]
