"""One line about a part, taken apart into words: marks of value, tolerances, ratings, materials, and the rest."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from buildbook.trade.marking import Tolerance, suffix_powers
from buildbook.trade.marking_amount import Mark, figures

LONGEST = 200
_RATINGS = {
    "V": ("volts", 0), "kV": ("volts", 3), "VDC": ("volts", 0), "VAC": ("volts", 0), "kVDC": ("volts", 3),
    "kVAC": ("volts", 3), "WV": ("volts", 0), "WVDC": ("volts", 0), "volt": ("volts", 0), "volts": ("volts", 0),
    "W": ("watts", 0), "mW": ("watts", -3), "kW": ("watts", 3), "watt": ("watts", 0), "watts": ("watts", 0),
    "A": ("amps", 0), "mA": ("amps", -3), "uA": ("amps", -6), "amp": ("amps", 0), "amps": ("amps", 0),
}  # fmt: skip
_RATING_OF = {suffix.lower(): rating for suffix, rating in _RATINGS.items()}

# Material words, as they are written and as they are kept; the generic ones give way to a more telling word.
_TELLING = {
    "C": {word.lower(): word for word in ("X5R", "X6S", "X7R", "X7S", "X7T", "X8R", "X5S", "Y5V", "Y5U", "Z5U", "Z5V",
                                          "U2J", "MKP", "MKT", "MKS", "MKC", "FKP", "FKS", "KP", "KS", "PP", "PET",
                                          "PPS", "PEN", "tantalum", "paper", "mica", "silver mica", "polystyrene",
                                          "polymer", "niobium", "glass", "bipolar")}
         | {"c0g": "C0G", "cog": "C0G", "np0": "C0G", "npo": "C0G", "polypropylene": "PP", "polyester": "PET",
            "mylar": "PET", "styroflex": "polystyrene", "tant": "tantalum", "silvered mica": "silver mica",
            "silver-mica": "silver mica", "oiled paper": "paper"},
    "R": {word: word for word in ("carbon film", "carbon composition", "metal film", "metal oxide", "metal foil",
                                  "thick film", "thin film", "wirewound", "cermet")}
         | {"wire wound": "wirewound", "wire-wound": "wirewound", "carbon comp": "carbon composition"},
    "L": {word: word for word in ("ferrite", "iron powder", "air core")} | {"air-core": "air core"},
}  # fmt: skip
_GENERIC = {
    "C": {"ceramic": "ceramic", "film": "film", "electrolytic": "electrolytic", "elko": "electrolytic",
          "elco": "electrolytic"},
    "R": {"carbon": "carbon"},
}  # fmt: skip
_MATERIALS = {
    word: (kept, kind, rank)
    for rank, table in ((0, _TELLING), (1, _GENERIC))
    for kind, words in table.items()
    for word, kept in words.items()
}
_BIGRAM_STARTS = frozenset(word.split()[0] for word in _MATERIALS if " " in word)

# The classes that follow each other share no character, so no text can make these slow.
_WORD = re.compile(r"(±?)([0-9.,]*)([A-Za-zΩ%°]*)([0-9]*)([A-Za-zΩ]*)")
_EXPONENT = re.compile(r"([0-9]{1,9}(?:[.,][0-9]{1,9})?)[eE]([+-][0-9]{1,2})([A-Za-zΩ]*)")
_UNEVEN = re.compile(
    r"-\s?([0-9.]{1,9})\s?%?\s?/?\s?\+\s?([0-9.]{1,9})\s?(%|pF)|\+\s?([0-9.]{1,9})\s?%?\s?/?\s?-\s?([0-9.]{1,9})\s?(%|pF)"
)
_FRACTION = re.compile(r"(?<![0-9.,])([135])/(2|4|8|16)(?=\s?[Ww])")
_THOUSANDS = re.compile(r"(?<![^ ])[1-9][0-9]{0,2}(?: [0-9]{3}){1,4}(?= |$)")
_BREAKS = re.compile(r"[;|()\[\]:/]|,(?![0-9])|(?<=[^0-9\s]),")
_LONE_TOLERANCES = frozenset("FGJKMZ")
# Letters that, behind digits, are more often a mark (104J, 85C) than a prefix or a unit.
_PRINTED = frozenset("BCDJQSTWZ")


class Heard(NamedTuple):
    """A word that may be the value, where it stood, and how surely: 2 has a prefix or unit, 1 is a mark, 0 a number."""

    place: int
    text: str
    mark: Mark
    sureness: int


class Material(NamedTuple):
    """A material word where it stood: the word kept for it, the kind of part, and 1 when it is a generic one."""

    place: int
    kept: str
    kind: str
    rank: int


class Rated(NamedTuple):
    """One rating: volts, watts or amps, its size in that unit, and whether it is for alternating current."""

    name: str
    size: Decimal
    alternating: bool


class Said(NamedTuple):
    """Everything that a line says. `rest` holds what was not understood, by place; ratings are in V, W, A."""

    heard: list[Heard]
    tolerances: list[Tolerance]
    letters: list[tuple[int, str]]
    ratings: dict[str, list[Decimal]]
    materials: list[Material]
    rest: list[tuple[int, str]]


def listen(text: str) -> Said | str:
    """Take a line apart, or say in a sentence why that cannot be done.

    >>> said = listen("4k7 1% 0.6W axial")
    >>> said.heard[0].mark, str(said.tolerances[0]), said.ratings["watts"], said.rest
    (Mark(digits='4', letters='k', decimals='7', tail=''), '1%', [Decimal('0.6')], [(3, 'axial')])
    """
    if not text.isascii():
        text = unicodedata.normalize("NFKC", text).replace("μ", "u").replace("⁄", "/").replace("−", "-")
    if not text.isprintable():
        return "It holds characters that cannot be seen."
    said = Said([], [], [], {"volts": [], "watts": [], "amps": []}, [], [])
    words = _joined(_plainer(text, said).split())
    place = 0
    while place < len(words):
        place += _take(words, place, said)
    return said


def _plainer(text: str, said: Said) -> str:
    """Put a semicolon where words part, take out tolerances of several words, and join thousands (4 700)."""
    if "+" in text:
        text = text.replace("+/-", "±").replace("+-", "±")
        for uneven in _UNEVEN.finditer(text):
            minus, plus, unit, other_plus, other_minus, other_unit = uneven.groups()
            sides = figures(minus or other_minus), figures(plus or other_plus)
            if all(sides):
                said.tolerances.append(Tolerance(sides[0][0], sides[1][0], unit or other_unit))
                text = text.replace(uneven[0], " ; ")
    if "/" in text:
        text = _FRACTION.sub(lambda part: str(Decimal(part[1]) / Decimal(part[2])), text)
    text = _BREAKS.sub(" ; ", text.replace("± ", "±").replace("±", " ±"))
    return _THOUSANDS.sub(lambda groups: groups[0].replace(" ", ""), text)


def _joined(words: list[str]) -> list[str]:
    """Join numbers to the unit behind them (4.7 kΩ, 4k7 ohm, 100 n F)."""
    joined: list[str] = []
    for word in words:
        if joined and joined[-1][0] in "0123456789.,±" and _continues(joined[-1], word):
            joined[-1] += word
        else:
            joined.append(word)
    return joined


def _continues(before: str, word: str) -> bool:
    if _is_number(before):
        return _is_unit(word)
    if word in ("F", "H"):
        return before[-1] in "pnum" or (before[-1].isdigit() and any(prefix in before for prefix in "pnum"))
    return word.replace("Ω", "ohm").lower() in ("ohm", "ohms") and before[-1] != "%"


def _is_number(word: str) -> bool:
    return word[-1] in "0123456789" and word.lstrip("±").replace(".", "").replace(",", "").isdigit()


@lru_cache(maxsize=1024)
def _is_unit(word: str) -> bool:
    return word in ("%", "°C") or word.lower() in _RATING_OF or any(suffix_powers(word, kind) for kind in "RCL")


def _take(words: list[str], place: int, said: Said) -> int:
    """Understand the word at `place`, and say how many words that took."""
    word = words[place]
    low = word.lower()
    if low in _BIGRAM_STARTS and place + 1 < len(words):
        pair = f"{low} {words[place + 1].lower()}"
        if pair in _MATERIALS:
            said.materials.append(Material(place, *_MATERIALS[pair]))
            return 2
    if low in _MATERIALS:
        said.materials.append(Material(place, *_MATERIALS[low]))
    elif low in ("dc", ";"):
        pass  # a rating is for direct current unless it says otherwise
    elif word in _LONE_TOLERANCES:
        said.letters.append((place, word))
    elif meaning := _understand(word):
        _note(place, word, meaning, said)
    else:
        # What is still not understood may be parted by a comma alone: 4k7,1%
        for part in filter(None, word.split(",")):
            _note(place, part, _understand(part), said)
    return 1


def _note(place: int, word: str, meaning: Mark | Tolerance | Rated | None, said: Said) -> None:
    if isinstance(meaning, Mark):
        said.heard.append(Heard(place, word, meaning, _sureness(meaning)))
    elif isinstance(meaning, Tolerance):
        said.tolerances.append(meaning)
    elif meaning:
        said.ratings[meaning.name].append(meaning.size)
        if meaning.alternating:
            said.rest.append((place, "AC"))
    else:
        said.rest.append((place, word))


@lru_cache(maxsize=8192)
def _understand(word: str) -> Mark | Tolerance | Rated | None:
    """Understand one word that holds digits."""
    parts = _WORD.fullmatch(word)
    if not parts:
        parts = _EXPONENT.fullmatch(word)
        return Mark(parts[1], "e", parts[2], parts[3]) if parts else None
    sign, digits, letters, decimals, tail = parts.groups()
    if sign or letters == "%":
        return None if decimals or tail else _tolerance(digits, letters)
    rating = _RATING_OF.get(letters.lower())
    if digits and rating and not tail:
        return _rated(f"{digits}.{decimals}" if decimals else digits, letters, *rating)
    return Mark(digits, letters, decimals, tail) if digits or (decimals and len(letters) == 1) else None


def _sureness(mark: Mark) -> int:
    if not mark.letters:
        return 0
    is_printed = not mark.decimals and mark.letters in _PRINTED
    return 1 if is_printed or not mark.digits else 2


def _tolerance(digits: str, unit: str) -> Tolerance | None:
    sizes = figures(digits) if digits else ()
    if len(sizes) != 1 or unit not in ("%", "pF", "p"):
        return None
    return Tolerance(sizes[0], sizes[0], "%" if unit == "%" else "pF")


def _rated(digits: str, letters: str, name: str, power: int) -> Rated | None:
    sizes = figures(digits)
    if len(sizes) != 1 or not sizes[0]:
        return None
    return Rated(name, sizes[0].scaleb(power), letters.lower().endswith("ac"))
