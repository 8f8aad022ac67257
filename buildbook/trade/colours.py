"""Colours as the trade reads them: the bands of a resistor (IEC 60062) and the letters of a conductor (IEC 60757)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from buildbook.errors import BadInput
from buildbook.trade.marking import plain_digits

_DIGITS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")
_POWERS = {colour: power for power, colour in enumerate(_DIGITS)} | {"gold": -1, "silver": -2, "pink": -3}
_COLOURS = {power: colour for colour, power in _POWERS.items()}
# Percent. Orange, yellow and grey differ by edition of the standard; gold and silver as first bands are impossible.
_TOLERANCES = {
    "brown": Decimal(1), "red": Decimal(2), "orange": Decimal("0.05"), "yellow": Decimal("0.02"),
    "green": Decimal("0.5"), "blue": Decimal("0.25"), "violet": Decimal("0.1"), "grey": Decimal("0.01"),
    "gold": Decimal(5), "silver": Decimal(10),
}  # fmt: skip
_BY_TOLERANCE = {percent: colour for colour, percent in _TOLERANCES.items()}
_NO_BAND = Decimal(20)
# ppm/K, the sixth band.
_TEMPCOS = {"black": 250, "brown": 100, "red": 50, "orange": 15, "yellow": 25, "green": 20, "blue": 10, "violet": 5,
            "grey": 1}  # fmt: skip
_BY_TEMPCO = {ppm: colour for colour, ppm in _TEMPCOS.items()}
_SPELLINGS = {"gray": "grey", "purple": "violet", "green/yellow": "green-and-yellow"}


@dataclass(frozen=True, slots=True)
class Banded:
    """What colour bands say: ohms exact, tolerance in percent, and ppm/K where there is a sixth band.

    `reversible` says that the bands make sense from the other end too, so that one has to look which end has the gap.
    """

    ohms: Decimal
    tolerance: Decimal
    tempco: int | None = None
    reversible: bool = False


def bands(
    ohms: Decimal | int, tolerance: Decimal | int, tempco: int | None = None, count: int | None = None
) -> tuple[str, ...]:
    """Give the colour bands of a resistor: `ohms` above zero, `tolerance` in percent, `tempco` in ppm/K, 3 to 6 bands.

    Without `count` it takes as few as can say it: three for 20 %, four for two digits, five for three, six with a
    tempco. BadInput when the value has too many digits, or a tolerance or tempco has no colour.

    Source: IEC 60062. Editions differ in the tight tolerances: grey is 0.01 % here and in many lists 0.05 %, which
    orange means since 2016; yellow is 0.02 % since 2016.

    >>> bands(4700, 5), bands(4700, 1, count=5)
    (('yellow', 'violet', 'red', 'gold'), ('yellow', 'violet', 'black', 'brown', 'brown'))
    """
    exact, percent = Decimal(ohms), Decimal(tolerance)
    if not exact.is_finite() or exact <= 0:
        raise BadInput(f"No bands were found for {ohms} ohm.", "It has to be above zero.", "A link has one black band.")
    figures = "".join(map(str, exact.normalize().as_tuple().digits))
    wanted = _fewest(figures, percent, tempco) if count is None else count
    digits = {3: 2, 4: 2, 5: 3, 6: 3}.get(wanted)
    if digits is None:
        raise BadInput(f"A resistor with {count} bands is not known.", "There are 3 to 6 bands.", "Ask for 3 to 6.")
    power = exact.adjusted() - digits + 1
    if len(figures) > digits or power not in _COLOURS:
        raise BadInput(
            f"No {wanted} bands say {plain_digits(exact)} ohm.",
            f"They hold {digits} digits and 10^-3 to 10^9.",
            "Round it.",
        )
    value = [_DIGITS[int(digit)] for digit in figures.ljust(digits, "0")]
    return (*value, _COLOURS[power], *_last_bands(percent, tempco, wanted))


def _fewest(figures: str, percent: Decimal, tempco: int | None) -> int:
    if tempco is not None:
        return 6
    if len(figures) > 2:
        return 5
    return 3 if percent == _NO_BAND else 4


def _last_bands(percent: Decimal, tempco: int | None, count: int) -> tuple[str, ...]:
    """Give what follows the multiplier: nothing, the tolerance, or the tolerance and the tempco."""
    if (tempco is not None) != (count == 6):
        raise BadInput(f"{count} bands were not found.", "Six bands have a tempco, fewer have none.", "Ask for six.")
    if count == 3 and percent == _NO_BAND:
        return ()
    if count == 3 or percent not in _BY_TOLERANCE:
        raise BadInput(
            f"No {count} bands say {plain_digits(percent)} %.",
            f"No band is 20 %, a band is one of {', '.join(f'{size:f}' for size in _BY_TOLERANCE)} %.",
            "Take one of those.",
        )
    if tempco is None:
        return (_BY_TOLERANCE[percent],)
    if tempco not in _BY_TEMPCO:
        known = ", ".join(map(str, _BY_TEMPCO))
        raise BadInput(f"No band says {tempco} ppm/K.", f"A band is one of {known} ppm/K.", "Take one of those.")
    return (_BY_TOLERANCE[percent], _BY_TEMPCO[tempco])


def read_bands(colours: Sequence[str]) -> Banded:
    """Read the colour bands of a resistor, 3 to 6, from the end where they begin; one black band is a link of 0 ohm.

    BadInput names the band that cannot be, and says so when the same bands make sense from the other end.

    Source: IEC 60062. The standard's editions and makers' lists disagree on grey as a tolerance: see `bands`.

    >>> read_bands(["yellow", "violet", "red", "gold"])
    Banded(ohms=Decimal('4700'), tolerance=Decimal('5'), tempco=None, reversible=False)
    >>> read_bands(["gold", "red", "violet", "yellow"])
    Traceback (most recent call last):
    buildbook.errors.BadInput: The bands were not read. Band 1 cannot be gold. From the other end they are 4700 ohm 5 %.
    """
    seen = tuple(_SPELLINGS.get(word, word) for word in (colour.strip().lower() for colour in colours))
    if seen == ("black",):
        return Banded(Decimal(0), Decimal(0))
    if not 3 <= len(seen) <= 6:
        raise BadInput(
            "The bands were not read.", f"A resistor has 3 to 6 bands, not {len(seen)}.", "Count them again."
        )
    turned = _banded(seen[::-1])
    read = _banded(seen)
    if isinstance(read, Banded):
        return Banded(read.ohms, read.tolerance, read.tempco, isinstance(turned, Banded))
    mend = "Look at them again in good light."
    if isinstance(turned, Banded):
        mend = f"From the other end they are {plain_digits(turned.ohms)} ohm {plain_digits(turned.tolerance)} %."
    raise BadInput("The bands were not read.", read, mend)


def _banded(seen: tuple[str, ...]) -> Banded | str:
    """Read bands in this order, or say which of them cannot be."""
    digits = 2 if len(seen) <= 4 else 3
    tables = (*[_DIGITS] * digits, _POWERS, _TOLERANCES, _TEMPCOS)
    for place, (colour, table) in enumerate(zip(seen, tables, strict=False), start=1):
        if colour not in table:
            return f"Band {place} cannot be {colour[:20]}."
    if seen[0] == "black":
        return "Band 1 cannot be black."
    number = int("".join(str(_DIGITS.index(colour)) for colour in seen[:digits]))
    ohms = Decimal(plain_digits(Decimal(number).scaleb(_POWERS[seen[digits]])))
    tolerance = _TOLERANCES[seen[digits + 1]] if len(seen) > 3 else _NO_BAND
    return Banded(ohms, tolerance, _TEMPCOS[seen[5]] if len(seen) == 6 else None)


# IEC 60757 Table 1, in its order, in which codes of several colours are joined.
_CONDUCTORS = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue",
    "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "GD": "gold", "TQ": "turquoise", "SR": "silver",
}  # fmt: skip
_EARTH = {"GNYE": "green-and-yellow"}
_CODES = {name: code for code, name in (_CONDUCTORS | _EARTH).items()}
_ORDER = tuple(_CONDUCTORS)


def conductor_colour(code: str) -> tuple[str, ...]:
    """Give the colours of a conductor from its letters, one or several joined; BadInput when they are no such code.

    Source: IEC 60757. Green with yellow is GNYE only, and that is the protective conductor only (IEC 60445); which
    colour is the line and which the neutral, local codes decide.

    >>> conductor_colour("GNYE"), conductor_colour("RDBU")
    (('green-and-yellow',), ('red', 'blue'))
    """
    letters = code.strip().upper()[:40]
    if letters in _EARTH:
        return (_EARTH[letters],)
    parts = [letters[place : place + 2] for place in range(0, len(letters), 2)]
    if not parts or not all(part in _CONDUCTORS for part in parts):
        raise BadInput(
            f"{code.strip()[:40]} is no colour code.", f"IEC 60757 has {', '.join(_ORDER)} and GNYE.", "Use them."
        )
    names = tuple(_CONDUCTORS[part] for part in parts)
    if (right := conductor_code(*names)) != letters:
        raise BadInput(f"{letters} was not read.", "Codes are joined in the order of IEC 60757.", f"Write {right}.")
    return names


def conductor_code(*colours: str) -> str:
    """Give the letters of a conductor's colour or colours, whatever their order; BadInput for a colour without a code.

    Source: IEC 60757.

    >>> conductor_code("blue", "red"), conductor_code("green-and-yellow")
    ('RDBU', 'GNYE')
    """
    names = [_SPELLINGS.get(word, word) for word in (colour.strip().lower() for colour in colours)]
    unknown = [name for name in names if name not in _CODES]
    if unknown or not names:
        said = unknown[0][:40] if unknown else "nothing"
        raise BadInput(f"There is no code for {said}.", f"IEC 60757 has {', '.join(_CODES)}.", "Name one of them.")
    codes = {_CODES[name] for name in names}
    if {"GN", "YE"} <= codes or ("GNYE" in codes and len(codes) > 1):
        raise BadInput(
            "Green and yellow were not joined.",
            "Together they are the protective conductor alone, GNYE.",
            "Say green-and-yellow, or take another colour.",
        )
    return "GNYE" if "GNYE" in codes else "".join(sorted(codes, key=_ORDER.index))
