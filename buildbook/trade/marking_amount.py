"""What one mark on a part can amount to: 4k7, R47, 22u, 104K, 4700. Every reading a practitioner would think of."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from buildbook.trade.marking import (
    LETTERS,
    TOLERANCE_LETTERS,
    Tolerance,
    letter_tolerances,
    suffix_powers,
    three_digit_code,
)
from buildbook.trade.series import series_of

_MOST_DIGITS = 48
MOST_FIGURES = 24
_WIDEST_POWER = 18
# Single letters behind the digits of a capacitor; E and W would be tighter than any capacitor is.
_ON_CAPACITORS = TOLERANCE_LETTERS - {"E", "W"}
_OLD_M = "M stands for a million, and in old lists for micro"
_COARSE = ("E3", "E6", "E12", "E24")


class Mark(NamedTuple):
    """One mark, taken apart: digits, letters, more digits, letters. 4k7J is ("4", "k", "7", "J")."""

    digits: str
    letters: str
    decimals: str
    tail: str


class Amount(NamedTuple):
    """One reading of a mark: the amount in ohm, farad or henry, its tolerance if a letter gave one, and any doubt."""

    amount: Decimal
    tolerance: Tolerance | None = None
    doubt: str = ""


@lru_cache(maxsize=8192)
def amounts(mark: Mark, kind: str) -> tuple[Amount, ...]:
    """Give every reading of a mark on a part of `kind` (R, C, L), the likeliest first; none when it cannot be one.

    Source: IEC 60062, and common practice for marks that it does not know.

    >>> amounts(Mark("4", "K", "7", "J"), "R")[0].amount
    Decimal('4.7E+3')
    >>> [str(reading.amount) for reading in amounts(Mark("1", "m", "", ""), "R")]
    ['0.001', '1E+6']
    """
    if not mark.letters:
        found = _bare(mark.digits, kind)
    elif mark.decimals[:1] in ("+", "-"):
        found = _signed_exponent(mark, kind)
    elif mark.decimals:
        found = _pointed(mark, kind)
    else:
        found = _suffixed(mark.digits, mark.letters, kind)
    return tuple(each for each in found if sensible(each.amount, kind))


def figures(text: str) -> tuple[Decimal, ...]:
    """Read a number with a point or a comma; two readings when the mark may part decimals or thousands, decimals first.

    A comma before exactly three digits is in doubt, a point only when they end in two zeros (4.700, not 4.990).

    >>> figures("4,700"), figures("4.99"), figures("1,234,567")
    ((Decimal('4.700'), Decimal('4700')), (Decimal('4.99'),), (Decimal('1234567'),))
    """
    if len(text) > _MOST_DIGITS:
        return ()
    if "," not in text and "." not in text:
        return (Decimal(text),)
    mark = max(".,", key=text.rfind)
    whole, _, part = text.rpartition(mark)
    if not part:
        return ()
    found = []
    other = "." if mark == "," else ","
    if mark not in whole and (other not in whole or _grouped(whole.split(other))):
        found.append(Decimal(f"{whole.replace(other, '') or 0}.{part}"))
    in_doubt = mark == "," or mark in whole or (part.endswith("00") and other not in whole)
    if in_doubt and other not in whole and _grouped(text.split(mark)):
        found.append(Decimal(text.replace(mark, "")))
    return tuple(found)


def _grouped(groups: list[str]) -> bool:
    """Are these the groups of a number with thousands marks?"""
    first, *others = groups
    return 0 < len(first) <= 3 and first[0] != "0" and all(len(group) == 3 for group in others)


def sensible(amount: Decimal, kind: str) -> bool:
    """Can a part of `kind` have this amount? A link may have 0 ohm; there is no capacitor or choke of nothing.

    Nor has any part an amount of more than MOST_FIGURES figures, noughts at the end left out.

    >>> sensible(Decimal(0), "R"), sensible(Decimal(0), "C"), sensible(Decimal("1e40"), "R")
    (True, False, False)
    """
    if not amount:
        return kind == "R" and not amount.is_signed()
    if not (amount.is_finite() and amount > 0 and abs(amount.adjusted()) <= _WIDEST_POWER):
        return False
    return len("".join(map(str, amount.as_tuple().digits)).rstrip("0")) <= MOST_FIGURES


def _bare(digits: str, kind: str) -> list[Amount]:
    if digits.isdigit() and len(digits) > 1 and digits[0] == "0":
        # 0402 and 0805 are sizes of cases; 000 is the mark of a link.
        return [Amount(Decimal(0))] if kind == "R" and not digits.strip("0") else []
    numbers = figures(digits)
    coded = digits.isdigit() and 3 <= len(digits) <= 4 and digits[-1] != "0"
    if kind == "R":
        found = [Amount(number) for number in numbers]
        if coded and digits[-1] in "123456":
            found.append(Amount(Decimal(digits[:-1]).scaleb(int(digits[-1]))))
        return found
    by_code = [Amount(_by_code(digits, kind))] if digits.isdigit() and len(digits) == 3 else []
    if by_code and coded and kind == "C":
        return by_code
    small, large = (-12, -6) if kind == "C" else (-6, -3)
    return [Amount(number.scaleb(power)) for power in (small, large) for number in numbers] + by_code


def _by_code(digits: str, kind: str) -> Decimal:
    # Capacitors count picofarads (IEC 60062); chokes are marked in microhenries, by common practice.
    return three_digit_code(digits).scaleb(-12 if kind == "C" else -6)


def _pointed(mark: Mark, kind: str) -> list[Amount]:
    """Read a letter in place of the decimal point."""
    if mark.letters in ("e", "E") and mark.digits and kind == "R" and not mark.tail:
        return _with_exponent(mark)
    # 1N4007 is a diode, not 1.4007 nF; nobody writes more than one digit behind a capital N or more than three at all.
    whole, powers = mark.digits or "0", LETTERS[kind].get(mark.letters, ())
    if not whole.isdigit() or len(mark.decimals) > (1 if mark.letters == "N" else 3) or len(whole) > _MOST_DIGITS:
        return []
    number, doubt = Decimal(f"{whole}.{mark.decimals}"), _doubt(mark, kind)
    found = [Amount(number.scaleb(power), doubt=doubt) for power in powers]
    if not mark.tail:
        return found
    as_unit = found if mark.tail not in ("R", "E") and suffix_powers(mark.tail, kind) == (0,) else []
    return as_unit + [each for reading in found for each in _toleranced(reading.amount, mark.tail, kind)]


def _doubt(mark: Mark, kind: str) -> str:
    """Why a letter code may be something else than the value that the standard makes of it."""
    if mark.letters == "M" and kind != "R":
        return _OLD_M
    # R47, and K47 or M47, are codes of the standard; U10, F1, K4, L3 are as likely the name of a part.
    may_be_name = (
        mark.letters.isupper() and mark.letters != "R" and not (mark.letters in "KM" and len(mark.decimals) > 1)
    )
    return f"{mark.letters}{mark.decimals} may also be a ref des" if may_be_name and not mark.digits else ""


def _with_exponent(mark: Mark) -> list[Amount]:
    """4E7 is 4.7 ohm by a common ohm letter, 4.7E3 is 4700; 1E3 may be 1.3 or 1000, as both are preferred numbers."""
    power = int(mark.decimals)
    scaled = [number.scaleb(power) for number in figures(mark.digits)] if power <= _WIDEST_POWER else []
    if not mark.digits.isdigit():
        return [Amount(amount) for amount in scaled]
    found = [Decimal(f"{mark.digits}.{mark.decimals}"), *scaled]
    preferred = [amount for amount in found if amount and series_of(amount) in _COARSE]
    return [Amount(amount) for amount in preferred or found]


def _signed_exponent(mark: Mark, kind: str) -> list[Amount]:
    """1E-07 and 4.70E+03, as spreadsheets write them, count the base unit; nobody has 10^3 farads or henries."""
    power = int(mark.decimals)
    if abs(power) > _WIDEST_POWER or (kind != "R" and power >= 0):
        return []
    units = suffix_powers(mark.tail, kind) if mark.tail else (0,)
    return [Amount(number.scaleb(power + unit)) for number in figures(mark.digits) for unit in units]


def _suffixed(digits: str, suffix: str, kind: str) -> list[Amount]:
    numbers = figures(digits)
    doubt = _OLD_M if suffix == "M" and kind != "R" else ""
    found = [Amount(number.scaleb(power), doubt=doubt) for number in numbers for power in suffix_powers(suffix, kind)]
    letter = suffix if found or not _is_code(digits) else suffix.upper()
    if kind == "C" and letter in _ON_CAPACITORS:
        # Nobody has a capacitor of 104 F: the digits are a code, and the letter is a tolerance.
        return ([] if _is_code(digits) and letter in "MF" else found) + _marked(digits, letter)
    if kind == "R" and suffix == "J":
        return [each for reading in _bare(digits, kind) for each in _toleranced(reading.amount, suffix, kind)]
    if found or len(suffix) < 2 or (kind != "C" and suffix != "MF" and suffix_powers(suffix, "C")):
        return found  # 100nF is no choke of 1 %; but 10MF is a resistor by the code
    within = [number.scaleb(power) for number in numbers for power in LETTERS[kind].get(suffix[:-1], ())]
    return [each for amount in within for each in _toleranced(amount, suffix[-1], kind)]


def _is_code(digits: str) -> bool:
    """Three digits that are a code for certain: 104 and 473, but not 220, which may be meant as it stands."""
    return len(digits) == 3 and digits.isdigit() and digits[0] != "0" and digits[2] != "0"


def _marked(digits: str, letter: str) -> list[Amount]:
    """Read digits and a tolerance letter as they are printed on a capacitor: 104K, and 47K without a third digit."""
    coded = _is_code(digits)
    if not digits.isdigit() or digits[0] == "0" or not 2 <= len(digits) <= 3 or (letter in "PN" and not coded):
        return []
    found = [] if coded else [Decimal(digits).scaleb(-12)]
    if len(digits) == 3:
        found.append(_by_code(digits, "C"))
    doubt = f"{digits}C may also be a temperature" if letter == "C" and digits in ("85", "105", "125") else ""
    return [each._replace(doubt=doubt) for amount in found for each in _toleranced(amount, letter, "C")]


def _toleranced(amount: Decimal, letter: str, kind: str) -> list[Amount]:
    return [Amount(amount, tolerance) for tolerance in letter_tolerances(letter, kind, amount)]
