"""The letters and digits printed on resistors, capacitors and chokes: prefixes, tolerance letters, three-digit codes.

Source: IEC 60062, and the habits of old and foreign parts lists where a table says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from buildbook.errors import BadInput


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a part may stray: `minus` below and `plus` above its value, both zero or more, in % or in pF.

    >>> str(Tolerance(Decimal(20), Decimal(80))), str(Tolerance(Decimal("0.25"), Decimal("0.25"), "pF"))
    ('-20/+80%', '±0.25pF')
    """

    minus: Decimal
    plus: Decimal
    unit: str = "%"

    def __post_init__(self) -> None:
        if self.unit not in ("%", "pF") or not all(side.is_finite() and side >= 0 for side in (self.minus, self.plus)):
            raise BadInput("The tolerance was not taken.", "Its sides are sizes in % or pF.", "Give 5 and 5, in %.")

    def within(self, other: Tolerance, amount: Decimal) -> bool:
        """Is this band inside the other, on a part of `amount`? That is in farad where one band is in pF.

        >>> Tolerance(Decimal(1), Decimal(1)).within(Tolerance(Decimal(20), Decimal(80)), Decimal(4700))
        True
        """
        ours, theirs = (amount / 100 if each.unit == "%" else Decimal("1e-12") for each in (self, other))
        return self.minus * ours <= other.minus * theirs and self.plus * ours <= other.plus * theirs

    def __str__(self) -> str:
        plus, minus = plain_digits(self.plus), plain_digits(self.minus)
        if self.minus != self.plus:
            return f"-{minus}/+{plus}{self.unit}"
        return f"{plus}%" if self.unit == "%" else f"±{plus}pF"


def plain_digits(number: Decimal) -> str:
    """Write a number in full, without exponent and without zeros that say nothing.

    >>> plain_digits(Decimal("4.70E+3")), plain_digits(Decimal("0.250"))
    ('4700', '0.25')
    """
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _even(size: str, unit: str = "%") -> Tolerance:
    return Tolerance(Decimal(size), Decimal(size), unit)


# IEC 60062. B to D as percent, E and W are from memory.
_PERCENT = {
    letter: _even(size)
    for letter, size in {
        "B": "0.1", "C": "0.25", "D": "0.5", "E": "0.005", "F": "1", "G": "2",
        "J": "5", "K": "10", "M": "20", "N": "30", "W": "0.05",
    }.items()
}  # fmt: skip
# Capacitors below 10 pF; F and G are from memory.
_PICOFARAD = {
    letter: _even(size, "pF")
    for letter, size in {"B": "0.1", "C": "0.25", "D": "0.5", "F": "1", "G": "2"}.items()
}  # fmt: skip
# Q is from memory.
_UNEVEN = {
    letter: Tolerance(Decimal(minus), Decimal(plus))
    for letter, (minus, plus) in {"Z": (20, 80), "S": (20, 50), "T": (10, 50), "Q": (10, 30)}.items()
}
# Two lists are in use for these; nobody can tell from the letter alone, so both are given.
_DISPUTED = {
    "L": (_even("0.01"), _even("15")),
    "P": (_even("0.02"), Tolerance(Decimal(0), Decimal(100))),
}
TOLERANCE_LETTERS = frozenset(_PERCENT) | frozenset(_UNEVEN) | frozenset(_DISPUTED)


def letter_tolerances(letter: str, kind: str, amount: Decimal) -> tuple[Tolerance, ...]:
    """Give what a tolerance letter may mean on a part of `kind` and `amount`: one meaning, two for L and P, or none.

    Source: IEC 60062. Below 10 pF the letters B C D F G of a capacitor are picofarads.

    >>> [str(meaning) for meaning in letter_tolerances("J", "R", Decimal(4700))]
    ['5%']
    >>> [str(meaning) for meaning in letter_tolerances("C", "C", Decimal("4.7e-12"))]
    ['±0.25pF']
    """
    if letter in _DISPUTED:
        return _DISPUTED[letter]
    if letter in _UNEVEN:
        return (_UNEVEN[letter],) if kind == "C" else ()
    if kind == "C" and letter in _PICOFARAD and amount < Decimal("1e-11"):
        return (_PICOFARAD[letter],)
    return (_PERCENT[letter],) if letter in _PERCENT else ()


def three_digit_code(digits: str) -> Decimal:
    """Read the three-digit code of a capacitor, in picofarads: two digits and how many zeros; 8 is x 0.01, 9 is x 0.1.

    Source: IEC 60062. Anything but three digits, the first not zero, raises BadInput.

    >>> three_digit_code("104"), three_digit_code("479")
    (Decimal('1.0E+5'), Decimal('4.7'))
    """
    if len(digits) != 3 or not (digits.isascii() and digits.isdigit()) or digits[0] == "0":
        raise BadInput(f"{digits[:20]} is no three-digit code.", "It has to be 100 to 999.", "Read the mark again.")
    return Decimal(digits[:2]).scaleb({"8": -2, "9": -1}.get(digits[2], int(digits[2])))


Powers = tuple[int, ...]


def _spelled(prefixes: dict[str, Powers], units: Iterable[str]) -> dict[str, Powers]:
    return {prefix + unit: powers for prefix, powers in prefixes.items() for unit in units}


# What may stand between or behind the digits, and the powers of ten (of the ohm, farad, henry) that it can mean.
# Two powers: practitioners use it for both (m for M, M and m for the micro of old lists), so neither is guessed.
# The milliohm letter L is in some use only.
LETTERS: dict[str, dict[str, Powers]] = {
    "R": {"R": (0,), "r": (0,), "E": (0,), "Ω": (0,), "k": (3,), "K": (3,), "M": (6,), "G": (9,), "T": (12,),
          "m": (-3, 6), "L": (-3,)},
    "C": {"p": (-12,), "P": (-12,), "n": (-9,), "N": (-9,), "u": (-6,), "U": (-6,), "m": (-3, -6), "M": (-6, -3),
          "F": (0,), "f": (0,)},
    "L": {"n": (-9,), "N": (-9,), "u": (-6,), "U": (-6,), "m": (-3,), "M": (-3,), "H": (0,), "h": (0,)},
}  # fmt: skip
_MEGA, _KILO = dict.fromkeys(("M", "meg"), (6,)), dict.fromkeys("kK", (3,))
_SUFFIXES: dict[str, dict[str, Powers]] = {
    "R": {**LETTERS["R"], **_spelled({**_MEGA, **_KILO, "": (0,), "G": (9,), "T": (12,), "m": (-3,), "u": (-6,)}, "Ω"),
          "Mohm": (6,), "Mohms": (6,), "MOhm": (6,), "MOhms": (6,), "MOHM": (6,), "MOHMS": (6,)},
    "C": {**LETTERS["C"], **_spelled(LETTERS["C"] | {"F": (), "f": ()}, "Ff")},
    "L": {**LETTERS["L"], **_spelled(LETTERS["L"] | {"H": (), "h": ()}, "Hh")},
}  # fmt: skip
# Words that mean the same in small and capital letters. A small "mohm" may be a mega with the shift key forgotten.
_WORDS: dict[str, dict[str, Powers]] = {
    "R": _spelled({"": (0,), "k": (3,), "kil": (3,), "kilo": (3,), "meg": (6,), "mega": (6,), "g": (9,),
                   "m": (-3, 6), "milli": (-3,), "u": (-6,)}, ("ohm", "ohms")) | {"meg": (6,)},
    "C": _spelled({"": (0,), "micro": (-6,), "nano": (-9,), "pico": (-12,)}, ("farad", "farads"))
         | {"mfd": (-6,), "ufd": (-6,), "nfd": (-9,), "pfd": (-12,), "mmf": (-12,), "mmfd": (-12,), "uuf": (-12,),
            "uufd": (-12,)},
    "L": _spelled({"": (0,), "micro": (-6,), "milli": (-3,), "nano": (-9,)}, ("henry", "henries", "henrys"))
         | {"hy": (0,), "mhy": (-3,), "uhy": (-6,)},
}  # fmt: skip


def suffix_powers(suffix: str, kind: str) -> Powers:
    """Give the powers of ten that a prefix with or without its unit may mean on a part of `kind` (R, C, L).

    None is understood when there are none, and more than one is a doubt to report. The micro sign is written u here.

    >>> suffix_powers("kΩ", "R"), suffix_powers("mfd", "C"), suffix_powers("m", "R")
    ((3,), (-6,), (-3, 6))
    """
    if powers := _SUFFIXES[kind].get(suffix):
        return powers
    return _WORDS[kind].get(suffix.replace("Ω", "ohm").lower(), ()) if len(suffix) > 1 else ()
