"""How a bank of capacitors discharges: capacitors in parallel, the resistors of its bleeder in series.

What is not known is named and counted, never taken as nought: with a capacitor unknown, time and energy are at least
what is said; with a resistor of the bleeder unknown, the time is not known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from buildbook.trade import discharge

State: TypeAlias = Literal["no bleeder", "unknown", "slow", "bled", "low"]


class Piece(NamedTuple):
    """A part at a designator: its value in farads or ohms, None where it is not known, and then why."""

    ref: str
    value: float | None
    why: str = ""


class Discharge(NamedTuple):
    """How a bank stands.

    `farads`, `joules` and `microcoulombs` are of the capacitors that are known, `ohms` of the bleeder, None where there
    is none or a resistor of it is not known. `seconds` is None where nothing discharges it, or nobody can say how fast.
    `unknown` says of each piece that is not known why. The stick is what discharges it by hand.
    """

    state: State
    farads: float
    joules: float
    microcoulombs: float
    ohms: float | None
    seconds: float | None
    first_watts: float | None
    stick_ohms: float | None
    stick_watts: float | None
    unknown: tuple[str, ...]


class Placed(NamedTuple):
    """What stands at a designator: a kind of part, its value, and whether it counts in the design as it is chosen."""

    kind: str
    key: str
    value: float | None
    counts: bool


def pieces(refs: Sequence[str], placed: Mapping[str, Placed], kind: str) -> tuple[Piece, ...]:
    """The part at each designator, if it is one of that kind ("capacitor", "resistor") and its value is known.

    >>> pieces(("C1", "C9"), {"C1": Placed("capacitor", "22u", 22e-6, True)}, "capacitor")[1].why
    'C9 is not on the parts list'
    """
    return tuple(_piece(ref, placed.get(ref), kind) for ref in refs)


def _piece(ref: str, found: Placed | None, kind: str) -> Piece:
    if found is None:
        return Piece(ref, None, f"{ref} is not on the parts list")
    if not found.counts:
        return Piece(ref, None, f"{ref} is left out of the design as it is chosen")
    if found.kind != kind:
        return Piece(ref, None, f"{ref} is no {kind}: {found.key}")
    if found.value is None or not found.value > 0:
        return Piece(ref, None, f"the value of {ref} is not known: {found.key}")
    return Piece(ref, found.value)


def discharge_of(capacitors: Sequence[Piece], bleeder: Sequence[Piece], volts: float, safe: float) -> Discharge:
    """How capacitors charged to `volts` come down to `safe` volts by their bleeder; both above zero.

    >>> found = discharge_of([Piece("C1", 220e-6)], [Piece("R1", 47e3)], 350, 60)
    >>> found.state, round(found.seconds, 2), round(found.joules, 2)
    ('bled', 18.24, 13.47)
    """
    farads = sum(one.value for one in capacitors if one.value is not None)
    known = [one.value for one in bleeder if one.value is not None]
    ohms = sum(known) if known and len(known) == len(bleeder) else None
    unknown = tuple(one.why for one in (*capacitors, *bleeder) if one.value is None)
    time = discharge.seconds(ohms, farads, volts, safe) if ohms and farads else None
    stick = discharge.stick_ohms(farads, volts, safe) if farads else None
    return Discharge(
        state=_state(time, unknown, low=volts <= safe, bled=bool(bleeder)),
        farads=farads,
        joules=discharge.joules(farads, volts) if farads else 0.0,
        microcoulombs=discharge.microcoulombs(farads, volts) if farads else 0.0,
        ohms=ohms,
        seconds=time,
        first_watts=discharge.first_watts(ohms, volts) if ohms else None,
        stick_ohms=stick,
        stick_watts=discharge.first_watts(stick, volts) if stick else None,
        unknown=unknown,
    )


def _state(time: float | None, unknown: Sequence[str], *, low: bool, bled: bool) -> State:
    if low:
        return "low"
    if not bled:
        return "no bleeder"
    # At least so slow, whatever the capacitors that are not known would add.
    if time is not None and time > discharge.SLOW_S:
        return "slow"
    return "unknown" if unknown or time is None else "bled"
