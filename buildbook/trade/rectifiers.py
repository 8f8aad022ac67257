"""Rectifier circuits: how much r.m.s. current a winding carries for each ampere of direct current.

Makers of transformers print different factors for one circuit, so the factor of a rail is a setting; these two tables
are where it starts from.
"""

from __future__ import annotations

from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import fold, quote

MICRO = 1_000_000


class Maker(NamedTuple):
    """A published table: its source, and for each circuit (direct, alternating) current in the same proportion."""

    source: str
    currents: dict[str, tuple[int, int]]


MAKERS = {
    "A": Maker(
        "Hammond, rectifier design guide",
        {
            "half wave, capacitor": (28, 100),
            "centre tap, capacitor": (100, 100),
            "bridge, capacitor": (62, 100),
            "centre tap, choke": (154, 100),
            "bridge, choke": (94, 100),
            "half wave, resistive": (64, 100),
            "centre tap, resistive": (127, 100),
            "bridge, resistive": (90, 100),
        },
    ),
    "B": Maker(
        "ATC-Frost, transformer notes",
        {
            "half wave, capacitor": (10, 26),
            "centre tap, capacitor": (10, 12),
            "bridge, capacitor": (10, 18),
            "dual, capacitor": (10, 18),
            "half wave, resistive": (10, 16),
            "centre tap, resistive": (10, 8),
            "bridge, resistive": (10, 11),
        },
    ),
}
CIRCUITS = tuple(dict.fromkeys(circuit for maker in MAKERS.values() for circuit in maker.currents))


def factor_ppm(circuit: str, maker: str = "B") -> int:
    """Winding current over direct current, in millionths, rounded up; BadInput when that maker prints none.

    >>> factor_ppm("bridge, capacitor"), factor_ppm("Bridge,  capacitor", "a")
    (1800000, 1612904)
    """
    table = MAKERS.get(maker.strip().upper())
    if table is None:
        raise BadInput(f"There is no table {quote(maker)}.", f"There are {', '.join(MAKERS)}.", "Choose one of them.")
    found = table.currents.get(fold(circuit))
    if found is None:
        raise BadInput(
            f"There is no factor for {quote(circuit)}.",
            f"{table.source} prints {'; '.join(table.currents)}.",
            "Choose one of them, or give the factor itself.",
        )
    direct, alternating = found
    return -(-alternating * MICRO // direct)
