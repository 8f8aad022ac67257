"""A transistor as a switch: the base resistor that saturates it, and what is lost in both.

Hard saturation is a forced beta of 10, the collector current over the base current: the condition under which data
sheets give the saturation voltage, and what textbooks teach. Whatever stands in the data sheet of the part goes before
it.
"""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.series import Series, at_or_below

FORCED_BETA = Decimal(10)
RULE = "forced beta of 10 at most, Ic over Ib: the test condition of data sheets for VCE(sat), and textbooks"
# The base of a silicon transistor in hard saturation; data sheets print 0.65 to 0.85 V at 10 mA, 1 mA (2N3904).
BASE_VOLTS = Decimal("0.8")


class Base(NamedTuple):
    """A base resistor in ohms, the base current that it lets through in amperes, the forced beta, its loss in watts."""

    ohms: Decimal
    base_amps: Decimal
    beta: Decimal
    watts: Decimal

    def saturates(self, beta: Decimal = FORCED_BETA) -> bool:
        """Whether the forced beta is that of the rule or less."""
        return self.beta <= beta


class Switch(NamedTuple):
    """What a load wants of its switch: base amperes and base ohms exactly, and the preferred value below."""

    base_amps: Decimal
    exact_ohms: Decimal
    chosen: Base


def base_with(ohms: Decimal, load_amps: Decimal, drive_volts: Decimal, base_volts: Decimal = BASE_VOLTS) -> Base:
    """What a base resistor of so many ohms comes to; BadInput unless all are above zero and the drive above the base.

    >>> found = base_with(Decimal(1800), Decimal("0.03"), Decimal(6))
    >>> round(found.base_amps * 1000, 3), round(found.beta, 2), found.saturates()
    (Decimal('2.889'), Decimal('10.38'), False)
    """
    across = _across(load_amps, drive_volts, base_volts)
    if ohms <= 0:
        raise _refused("The base resistor must be above zero.")
    amps = across / ohms
    return Base(ohms, amps, load_amps / amps, across * amps)


def saturate(
    load_amps: Decimal,
    drive_volts: Decimal,
    *,
    base_volts: Decimal = BASE_VOLTS,
    beta: Decimal = FORCED_BETA,
    series: Series = "E24",
) -> Switch:
    """The base resistor that keeps the forced beta at `beta` or below: the preferred value at or below the exact one.

    Raises BadInput unless currents, voltages and beta are above zero and the drive is above the base-emitter voltage.

    >>> found = saturate(Decimal("0.03"), Decimal(6))
    >>> round(found.exact_ohms), found.chosen.ohms, round(found.chosen.beta, 2)
    (1733, Decimal('1600'), Decimal('9.23'))
    """
    across = _across(load_amps, drive_volts, base_volts)
    if beta <= 0:
        raise _refused("The forced beta must be above zero.")
    base_amps = load_amps / beta
    exact = across / base_amps
    return Switch(base_amps, exact, base_with(at_or_below(exact, series), load_amps, drive_volts, base_volts))


def on_ohms(saturation_volts: Decimal, load_amps: Decimal) -> Decimal:
    """The resistance that a saturated transistor looks like: its saturation voltage over the current.

    >>> on_ohms(Decimal("0.3"), Decimal("0.15"))
    Decimal('2')
    """
    _refuse_below(saturation_volts, load_amps)
    return saturation_volts / load_amps


def lost_watts(saturation_volts: Decimal, load_amps: Decimal) -> Decimal:
    """What a saturated transistor turns to heat, without that of its base.

    >>> lost_watts(Decimal("0.3"), Decimal("0.15"))
    Decimal('0.045')
    """
    _refuse_below(saturation_volts, load_amps)
    return saturation_volts * load_amps


def _across(load_amps: Decimal, drive_volts: Decimal, base_volts: Decimal) -> Decimal:
    _refuse_below(load_amps, drive_volts, base_volts)
    if drive_volts <= base_volts:
        raise _refused(f"A drive of {drive_volts:f} V does not reach above the {base_volts:f} V of the base.")
    return drive_volts - base_volts


def _refuse_below(*amounts: Decimal) -> None:
    if any(amount <= 0 for amount in amounts):
        raise _refused("Currents and voltages must be above zero.")


def _refused(why: str) -> BadInput:
    return BadInput("The switch was not reckoned.", why, "Give the load current and the voltage that drives the base.")
