"""The room that a part takes on a board, as it is written down: 7 x 5 mm, 35 mm2, 1.2 cm2."""

from __future__ import annotations

import re
from decimal import Decimal

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

UM2_PER_MM2 = 1_000_000
# A square metre of board: whatever is larger is a slip of the pen.
LARGEST_UM2 = 10**12
_NUMBER = r"([0-9]{1,6}(?:[.,][0-9]{1,3})?)"
_SIDES = re.compile(rf"{_NUMBER}\s*(mm|cm)?\s*[x×*]\s*{_NUMBER}\s*(mm|cm)?", re.IGNORECASE)
_WHOLE = re.compile(rf"{_NUMBER}\s*(mm|cm)\s*(?:2|²|\^2)", re.IGNORECASE)
_EACH_MM = {"mm": 1, "cm": 10}


def read_area(text: str) -> int:
    """Read an area in square micrometres: two sides (millimetres where nothing is said), or mm2 or cm2.

    A part that stands on another, such as a valve in its socket, takes 0 mm2. Raises BadInput for anything else, and
    for more than a square metre.

    >>> read_area("7 x 5 mm"), read_area("35 mm2"), read_area("2,5x3"), read_area("1.2 cm²")
    (35000000, 35000000, 7500000, 120000000)
    """
    plain = clean(text)
    if found := _SIDES.fullmatch(plain):
        first, unit, second, last = found.groups()
        each = _EACH_MM[(last or unit or "mm").lower()]
        mm2 = _decimal(first) * _EACH_MM[(unit or last or "mm").lower()] * _decimal(second) * each
    elif found := _WHOLE.fullmatch(plain):
        mm2 = _decimal(found[1]) * _EACH_MM[found[2].lower()] ** 2
    else:
        raise BadInput(f"{quote(text)} is no area.", "", "Write two sides (7 x 5 mm), or 35 mm2.")
    um2 = int(mm2 * UM2_PER_MM2)
    if um2 > LARGEST_UM2:
        raise BadInput(f"{quote(text)} is no area of a part.", "It is more than a square metre.", "Measure it again.")
    return um2


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))


def show_area(um2: int) -> str:
    """An area in square millimetres.

    >>> show_area(35_000_000), show_area(2_250_000), show_area(0)
    ('35 mm2', '2.25 mm2', '0 mm2')
    """
    sign = "-" if um2 < 0 else ""
    whole, rest = divmod(abs(um2), UM2_PER_MM2)
    shown = f"{whole}.{rest * 100 // UM2_PER_MM2:02}".rstrip("0").rstrip(".") if whole < 1000 else str(whole)
    return f"{sign}{shown} mm2"
