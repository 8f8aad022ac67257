"""A transistor as a switch: which base resistor saturates it, and what is lost."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from buildbook.answers.form import Answer
from buildbook.trade import saturation
from buildbook.trade.amounts import quantity, show_amount
from buildbook.trade.plain import clean
from buildbook.trade.series import Series

SERIES: tuple[Series, ...] = ("E12", "E24")
CAUTION = "A coil wants a diode across it; the data sheet of the part goes before all of this."


@dataclass(frozen=True, slots=True)
class BaseRow:
    """A preferred base resistor at or below the exact one: ohms, base amperes, forced beta, watts in it."""

    series: str
    ohms: float
    base_amps: float
    beta: float
    watts: float
    said: str


@dataclass(frozen=True, slots=True)
class SwitchAnswer(Answer):
    """The base resistors that saturate a switch, in two series; with a VCE(sat), what the transistor loses.

    `on_ohms` and `lost_watts` are None where no saturation voltage is given.
    """

    SCHEMA: ClassVar[str] = "buildbook.switch/1"
    load_amps: float
    drive_volts: float
    base_volts: float
    beta: float
    base_amps: float
    exact_ohms: float
    rows: tuple[BaseRow, ...]
    on_ohms: float | None
    lost_watts: float | None
    rule: str
    caution: str


def switch(load: str, drive: str, *, base: str = "", beta: str = "", saturated: str = "") -> SwitchAnswer:
    """Reckon a switch from the load current ("30 mA") and the voltage that drives its base ("6 V").

    `base` is VBE(sat), 0.8 V if not said; `beta` the forced one, 10 if not said; `saturated` the VCE(sat) of the data
    sheet, where the loss is wanted. Raises BadInput for what is no such amount or not above zero.
    """
    amps, volts = quantity(load, "A"), quantity(drive, "V")
    at_base = quantity(base, "V") if clean(base) else saturation.BASE_VOLTS
    forced = quantity(beta, "") if clean(beta) else saturation.FORCED_BETA
    found = {
        series: saturation.saturate(amps, volts, base_volts=at_base, beta=forced, series=series) for series in SERIES
    }
    exact = found["E24"]
    rows = tuple(_row(series, one.chosen) for series, one in found.items())
    on = quantity(saturated, "V") if clean(saturated) else None
    ours = rows[-1]
    sentence = (
        f"{_said(ours.ohms, 'Ω')} into the base, from {_said(volts, 'V')}: {_said(ours.base_amps, 'A')}, "
        f"a forced beta of {ours.beta:.3g} for {_said(amps, 'A')}."
    )
    return SwitchAnswer(
        sentence=sentence,
        load_amps=float(amps),
        drive_volts=float(volts),
        base_volts=float(at_base),
        beta=float(forced),
        base_amps=float(exact.base_amps),
        exact_ohms=float(exact.exact_ohms),
        rows=rows,
        on_ohms=None if on is None else float(saturation.on_ohms(on, amps)),
        lost_watts=None if on is None else float(saturation.lost_watts(on, amps)),
        rule=_rule(forced),
        caution=CAUTION,
    )


def _row(series: str, base: saturation.Base) -> BaseRow:
    said = (
        f"{_said(base.ohms, 'Ω')}: {_said(base.base_amps, 'A')}, beta {base.beta:.3g}, {_said(base.watts, 'W')} in it"
    )
    return BaseRow(series, float(base.ohms), float(base.base_amps), float(base.beta), float(base.watts), said)


def _rule(beta: Decimal) -> str:
    if beta == saturation.FORCED_BETA:
        return f"Rule: {saturation.RULE}."
    return f"Rule: a forced beta of {beta:f} at most, as you said; usual is 10 (the test condition of data sheets)."


def _said(amount: Decimal | float, unit: str) -> str:
    """An amount in three figures."""
    return show_amount(float(f"{float(amount):.3g}"), unit)
