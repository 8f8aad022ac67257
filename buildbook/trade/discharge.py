"""How long a charged capacitor keeps its charge: seconds, joules, watts and microcoulombs of a resistor across it.

All of it is the arithmetic of one resistor and one capacitor, with nominal values, and nothing else across them. It
tells how long to wait before one measures, never that a hand may go in: one measures. Local codes decide.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.series import at_or_below

SAFE_V = 60.0
"""Direct voltage to which the time is usually asked for (IEC 60950-1 cl. 2.1.1.7, IEC 60204-1)."""
# Longer than a person waits: what the cautions say ("wait 60 s"); common practice.
SLOW_S = 60.0
STICK_OHMS = 10_000.0
"""The resistor that a discharge stick has at most; common practice."""
STICK_S = 5.0
CHARGE_LIMIT_UC = 45.0
"""The charge that a part within reach may keep, in microcoulombs (IEC 61010-1 cl. 6.3.1)."""


class TimeLimit(NamedTuple):
    """A published time in which something has to be discharged: `what`, `seconds`, down to `volts`, and the source."""

    what: str
    seconds: float
    volts: float
    source: str


TIME_LIMITS = (
    TimeLimit("live parts of machines within reach", 5, 60, "IEC 60204-1"),
    TimeLimit("exposed pins of a plug", 1, 60, "IEC 60204-1"),
    TimeLimit("pins of the plug of laboratory equipment", 5, 60, "IEC 61010-1 cl. 6.10.3"),
)
"""What standards ask for, to compare with: which of them applies to a unit, local codes decide.

Of the last, the source says "not hazardous"; 60 V is put for that here.
"""

MAINS_FILTER = TimeLimit(
    "time constant of a capacitor over 0.1 µF across a plug", 1, 60, "IEC 60950-1 cl. 2.1.1.7, withdrawn, still quoted"
)
MAINS_FILTER_TYPE_B_S = 10.0
"""The time constant where equipment is connected by a plug that is not drawn by hand (type B), same source."""


def seconds(ohms: float, farads: float, volts: float, safe: float = SAFE_V) -> float:
    """The seconds until a capacitor charged to `volts` is down to `safe` volts: R C ln(V0 / V), 0 when it is already.

    >>> round(seconds(47_000, 220e-6, 350), 2), seconds(47_000, 220e-6, 50)
    (18.24, 0.0)
    """
    tau = time_constant(ohms, farads)
    ratio = _above_zero(volts, "charged voltage") / _above_zero(safe, "voltage to reach")
    return tau * math.log(ratio) if ratio > 1 else 0.0


def time_constant(ohms: float, farads: float) -> float:
    """R C, in seconds; after one of them 37 % of the voltage is left.

    >>> round(time_constant(1e6, 0.47e-6), 3)
    0.47
    """
    return _above_zero(ohms, "resistance") * _above_zero(farads, "capacitance")


def share_left(time_constants: float) -> float:
    """The share of the voltage that is left after so many time constants.

    >>> round(share_left(5), 5)
    0.00674
    """
    if not (math.isfinite(time_constants) and time_constants >= 0):
        raise BadInput("The number of time constants must be zero or more.")
    return math.exp(-time_constants)


def joules(farads: float, volts: float) -> float:
    """The energy that a charged capacitor holds: C V^2 / 2.

    >>> round(joules(470e-6, 450), 2)
    47.59
    """
    return _above_zero(farads, "capacitance") * _above_zero(volts, "charged voltage") ** 2 / 2


def first_watts(ohms: float, volts: float) -> float:
    """The power in a resistor at the first moment, and for as long as the voltage stays: V0^2 / R.

    >>> round(first_watts(100_000, 450), 3)
    2.025
    """
    return _above_zero(volts, "charged voltage") ** 2 / _above_zero(ohms, "resistance")


def ohms_for(farads: float, volts: float, within_s: float, safe: float = SAFE_V) -> float:
    """The largest resistance that brings a capacitor from `volts` down to `safe` volts within so many seconds.

    Raises BadInput where it is there already, as any resistance does.

    >>> round(ohms_for(470e-6, 450, 30))
    31679
    """
    ratio = _above_zero(volts, "charged voltage") / _above_zero(safe, "voltage to reach")
    if ratio <= 1:
        raise BadInput("The charged voltage must be above the voltage to reach.")
    return _above_zero(within_s, "time") / (_above_zero(farads, "capacitance") * math.log(ratio))


def microcoulombs(farads: float, volts: float) -> float:
    """The charge of a capacitor, C V, in microcoulombs.

    >>> round(microcoulombs(0.1e-6, 450), 3)
    45.0
    """
    return _above_zero(farads, "capacitance") * _above_zero(volts, "charged voltage") * 1e6


def stick_ohms(farads: float, volts: float, safe: float = SAFE_V) -> float:
    """The resistor of a discharge stick: 10 kohm, or less where that would take more than 5 s; common practice.

    Less is a preferred value of E12, rounded down.

    >>> stick_ohms(22e-6, 250), stick_ohms(470e-6, 450)
    (10000.0, 4700.0)
    """
    if volts <= safe or (most := ohms_for(farads, volts, STICK_S, safe)) >= STICK_OHMS:
        return STICK_OHMS
    return float(at_or_below(Decimal(repr(most)), "E12"))


def _above_zero(value: float, what: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise BadInput(f"The {what} must be above zero.")
    return value
