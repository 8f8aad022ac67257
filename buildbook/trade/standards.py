"""What standards and common practice ask of a reading, with the source; and the spacings of conductors.

A test point may name one of these: its limits then come from there unless others are written down for it. The figures
are a reminder for a competent person, some from memory as their source says; they are no verdict. Local codes decide.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import fold, quote

LOCAL_CODES = "Local codes and licensed practice decide."


class Standard(NamedTuple):
    """What is asked of a reading: `limits` as the trade writes them, in `unit`, how it is measured, and the source."""

    name: str
    limits: str
    unit: str
    condition: str
    source: str


_STANDARDS = (
    Standard(
        "protective earth",
        "max 0.1 ohm",
        "ohm",
        "Earth pin to metal, without the cord. Test current 25 A for 1 min at 12 V at most (IEC 60065), 1.5 x the "
        "rating up to 16 A for 60 s (IEC 60950-1), or 10 A at least (IEC 61439-1); 25 A over 0.1 ohm drop 2.5 V.",
        "IEC 60950-1 cl. 2.6.3.3, IEC 60065 cl. 15.2, IEC 61439-1 cl. 10.5.2",
    ),
    Standard("insulation", "min 1 Mohm", "ohm", "Line and neutral joined, to earth, at 500 V DC.", "common practice"),
    Standard(
        "insulation in service",
        "min 2 Mohm",
        "ohm",
        "Line and neutral joined, to earth, at 500 V DC; basic insulation.",
        "IEC 60335-1, from memory",
    ),
    Standard(
        "touch voltage DC",
        "max 60 V",
        "V",
        "Dry; what a hand can reach.",
        "IEC 60950-1 cl. 2.1.1.7, information technology",
    ),
    Standard(
        "touch voltage peak",
        "max 42.4 V",
        "V",
        "Peak of an alternating voltage; dry; what a hand can reach.",
        "IEC 60950-1 cl. 2.1.1.7; IEC 60335-1 cl. 8.1.4, which has 42.4 V for DC, too",
    ),
    Standard("touch voltage RMS", "max 30 V", "V", "RMS of a sine; dry.", "IEC 62368-1 ES1, from memory"),
    Standard("extra-low voltage DC", "max 120 V", "V", "A band of voltage, no limit for touching.", "IEC 61140:2016"),
    Standard("extra-low voltage AC", "max 50 V", "V", "A band of voltage, no limit for touching.", "IEC 61140:2016"),
    Standard("discharge within reach", "max 5 s", "s", "From switching off until 60 V.", "IEC 60204-1"),
    Standard("discharge of a plug", "max 1 s", "s", "From drawing the plug until 60 V at its pins.", "IEC 60204-1"),
)
STANDARDS: Mapping[str, Standard] = MappingProxyType({fold(one.name): one for one in _STANDARDS})
"""Every standard for a reading, by its name in small letters."""


def standard_named(text: str) -> Standard:
    """The standard of that name, whatever the size of the letters. Raises BadInput with the names there are.

    >>> standard_named("Protective earth").limits
    'max 0.1 ohm'
    """
    found = STANDARDS.get(fold(text))
    if found is None:
        names = ", ".join(one.name for one in _STANDARDS)
        raise BadInput(
            f"There is no standard {quote(text)}.", f"There are {names}.", "Name one of them, or type limits."
        )
    return found


def source_of(name: str) -> str:
    """Where a standard's limits stand, in brief; nothing for none, or one that is not known any more.

    >>> source_of("insulation"), source_of("")
    ('insulation, min 1 Mohm: common practice', '')
    """
    found = STANDARDS.get(fold(name))
    return f"{found.name}, {found.limits}: {found.source}" if found else ""


class Distance(NamedTuple):
    """A distance that a standard asks for: through what, in micrometres, with basic and with reinforced insulation."""

    what: str
    basic_um: int
    reinforced_um: int
    source: str


DISTANCES = (
    Distance(
        "creepage at 250 V RMS, pollution degree 2, material group IIIa",
        2500,
        5000,
        "IEC 60664-1 Table F.5 (F.4 in older), from memory",
    ),
    Distance(
        "clearance at 230 V mains, overvoltage category II (2.5 kV impulse), pollution degree 2",
        1500,
        3000,
        "IEC 60664-1 Table F.2, from memory",
    ),
)
"""Distances of mains, to compare a drawing with."""

CONDUCTORS: Mapping[str, str] = MappingProxyType(
    {
        "B1": "inner layer",
        "B2": "outer layer, bare, to 3050 m",
        "B3": "outer layer, bare, above 3050 m",
        "B4": "outer layer, polymer coat",
        "A5": "outer layer, conformal coat",
        "A6": "bare leads",
        "A7": "coated leads",
    }
)
"""The columns of IPC-2221 Table 6-1."""
SPACING_SOURCE = "IPC-2221 Table 6-1, from memory; no table of mains safety"

# Up to so many volts (DC or peak) | micrometres for B1, B2, B3, B4, A5, A6, A7. From memory.
_SPACINGS = (
    (15, (50, 100, 100, 50, 130, 130, 130)),
    (30, (50, 100, 100, 50, 130, 250, 130)),
    (50, (100, 600, 600, 130, 130, 400, 130)),
    (100, (100, 600, 1500, 130, 130, 500, 130)),
    (150, (200, 600, 3200, 400, 400, 800, 400)),
    (170, (200, 1250, 3200, 400, 400, 800, 400)),
    (250, (200, 1250, 6400, 400, 400, 800, 400)),
    (300, (200, 1250, 12500, 400, 400, 800, 800)),
    (500, (250, 2500, 12500, 800, 800, 1500, 800)),
)
# Nanometres for each volt above 500.
_BEYOND_NM = (2500, 5000, 25_000, 3050, 3050, 3050, 3050)


def spacing_mm(volts: float, conductor: str = "B2") -> float:
    """The least distance of two conductors in millimetres for a voltage between them (DC or peak of AC).

    A voltage between two bands counts as of the higher one. Raises BadInput for an unknown kind of conductor.

    >>> spacing_mm(700, "B4"), spacing_mm(100), spacing_mm(100.5, "B3")
    (1.41, 0.6, 3.2)
    """
    name = conductor.strip().upper()
    if name not in CONDUCTORS:
        raise BadInput(f"There is no kind of conductor {quote(conductor)}; there are {', '.join(CONDUCTORS)}.")
    if not (math.isfinite(volts) and volts >= 0):
        raise BadInput("The voltage between two conductors must be zero or more.")
    at = tuple(CONDUCTORS).index(name)
    for most, row in _SPACINGS:
        if volts <= most:
            return row[at] / 1000
    last, row = _SPACINGS[-1]
    return round(row[at] * 1000 + (volts - last) * _BEYOND_NM[at]) / 1_000_000
