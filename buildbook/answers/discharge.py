"""How long capacitors keep their charge: time and energy of each bank, with and without its bleeder.

It says what was reckoned, with nominal values, and no more: before a hand goes in, one measures. Local codes decide.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import find_build
from buildbook.reckon.banks import Discharge, Piece, Placed, discharge_of, pieces
from buildbook.store.read import banks as read
from buildbook.store.read.standing import builds
from buildbook.trade.amounts import show_amount
from buildbook.trade.discharge import SLOW_S, TIME_LIMITS
from buildbook.trade.refdes import read_refs
from buildbook.trade.standards import LOCAL_CODES

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

MICRO = 1_000_000
MEASURE = f"Reckoned with nominal values: measure before a hand goes in. {LOCAL_CODES}"
COUNTED = {
    "no bleeder": "without a bleeder",
    "unknown": "not all known",
    "slow": f"slower than {SLOW_S:g} s",
    "bled": "bled",
    "low": "not above the voltage to reach",
}


class PieceRow(NamedTuple):
    """A part of a bank: its designator, its value in words, or why that is not known."""

    ref: str
    value: str
    why: str


class TimeLimitRow(NamedTuple):
    """A published time to compare with, and whether the bank takes longer; None where its time is not known."""

    what: str
    seconds: float
    source: str
    longer: bool | None


@dataclass(frozen=True, slots=True)
class BankRow:
    """One bank. `state` is "no bleeder", "unknown", "slow" (over 60 s), "bled", or "low": not above `safe_uv` at all.

    `bank` is how it is named on the command line. `farads`, `joules` and `microcoulombs` are of the capacitors that are
    known; `seconds` and `first_watts` are None where no bleeder gives them. `word` says the state in few words, `said`
    in a sentence, `without` what it is like without a bleeder. `unknown` says of each part that is not known why.
    """

    project: str
    assembly: str
    bank: str
    code: str
    name: str
    volts_uv: int
    safe_uv: int
    capacitors: tuple[PieceRow, ...]
    bleeder: tuple[PieceRow, ...]
    farads: float
    ohms: float | None
    seconds: float | None
    joules: float
    microcoulombs: float
    first_watts: float | None
    stick_ohms: float | None
    stick_watts: float | None
    state: str
    word: str
    said: str
    without: str
    limits: tuple[TimeLimitRow, ...]
    unknown: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class DischargeAnswer(Answer):
    """Every bank of capacitors, and what to mind."""

    SCHEMA: ClassVar[str] = "buildbook.discharge/1"
    rows: tuple[BankRow, ...]
    caution: str


def discharge(shop: Workshop, build: str | None = None) -> DischargeAnswer:
    """The banks of every project, or of that of one build. Raises BadInput for an unknown build."""
    rows = banks(shop, build)
    said = banks_said(rows) or "no bank of capacitors has been written down yet"
    return DischargeAnswer(f"{said[0].upper()}{said[1:]}. {MEASURE}", rows, MEASURE)


def banks(shop: Workshop, build: str | None = None) -> tuple[BankRow, ...]:
    """The banks with how they discharge."""
    own = find_build(builds(shop.reads), build) if build else None
    kept = [row for row in read.banks(shop.reads) if own is None or row.project == own.project]
    if not kept:
        return ()
    placed = {home: _placed(rows) for home, rows in read.placed(shop.reads).items()}
    return tuple(_row(row, placed.get(row.assembly, {})) for row in kept)


def banks_said(rows: Sequence[BankRow]) -> str:
    """How many banks there are, and how they stand; nothing when there are none."""
    if not rows:
        return ""
    counts = [(sum(row.state == state for row in rows), words) for state, words in COUNTED.items()]
    said = [f"{count} {words}" for count, words in counts if count]
    unknown = sum(len(row.unknown) for row in rows)
    said += [f"{count_of(unknown, 'part')} of them not known"] if unknown else []
    return f"{count_of(len(rows), 'bank')} of capacitors: {', '.join(said)}"


def _placed(rows: Iterable[read.PlacedRow]) -> dict[str, Placed]:
    """What stands at each designator; of several lines that have it, the one that counts."""
    found: dict[str, Placed] = {}
    for row in sorted(rows, key=lambda row: bool(row.counts)):
        one = Placed(row.kind, row.value_text or row.key, row.value_si, bool(row.counts))
        found |= dict.fromkeys(read_refs(row.refs), one)
    return found


def _row(row: read.BankRow, placed: Mapping[str, Placed]) -> BankRow:
    volts, safe = row.volts_uv / MICRO, row.safe_uv / MICRO
    capacitors = pieces(read_refs(row.capacitors), placed, "capacitor")
    bleeder = pieces(read_refs(row.bleeder), placed, "resistor")
    found = discharge_of(capacitors, bleeder, volts, safe)
    return BankRow(
        project=row.project,
        assembly=row.home,
        bank=row.path,
        code=row.code,
        name=row.name,
        volts_uv=row.volts_uv,
        safe_uv=row.safe_uv,
        capacitors=tuple(_piece(one, "F") for one in capacitors),
        bleeder=tuple(_piece(one, "Ω") for one in bleeder),
        farads=found.farads,
        ohms=found.ohms,
        seconds=found.seconds,
        joules=found.joules,
        microcoulombs=found.microcoulombs,
        first_watts=found.first_watts,
        stick_ohms=found.stick_ohms,
        stick_watts=found.stick_watts,
        state=found.state,
        word=_word(found, safe),
        said=_said(found, volts, safe),
        without=_without(found, volts),
        limits=tuple(_limits(found, safe)),
        unknown=found.unknown,
        note=row.note,
    )


def _piece(one: Piece, unit: str) -> PieceRow:
    return PieceRow(one.ref, "" if one.value is None else figures(one.value, unit), one.why)


def _word(found: Discharge, safe: float) -> str:
    if found.state in ("bled", "slow") and found.seconds is not None:
        return f"{safe:g} V in {time_said(found.seconds)}"
    return {"unknown": "not all known", "low": f"not above {safe:g} V"}.get(found.state, found.state)


def _said(found: Discharge, volts: float, safe: float) -> str:
    """In a sentence: "102 µF at 250 V hold 3.19 J; through 94 kΩ down to 60 V in 14 s, at first 0.665 W"."""
    least = "at least " if any(found.unknown) else ""
    if not found.farads:
        return f"what it holds is not known: {'; '.join(found.unknown)}"
    said = f"{least}{figures(found.farads, 'F')} at {volts:g} V hold {least}{found.joules:.3g} J"
    if found.state == "low":
        said += f", and are not above {safe:g} V"
    elif found.seconds is not None and found.ohms is not None and found.first_watts is not None:
        said += f"; through {figures(found.ohms, 'Ω')} down to {safe:g} V in {least}{time_said(found.seconds)}"
        said += f", at first {figures(found.first_watts, 'W')}"
    else:
        said += "; no bleeder" if found.state == "no bleeder" else "; how fast they discharge is not known"
    return f"{said}; {'; '.join(found.unknown)}" if found.unknown else said


def _without(found: Discharge, volts: float) -> str:
    """What it is like without a bleeder, or when that is open, and what discharges it by hand."""
    if found.state == "low" or found.stick_ohms is None or found.stick_watts is None:
        return ""
    least = "at least " if found.unknown else ""
    lead = "Without one" if found.state == "no bleeder" else "Without its bleeder, or when that is open"
    return (
        f"{lead}: {least}{found.joules:.3g} J stay; a film capacitor may hold them for days. Discharge by a resistor "
        f"stick of {figures(found.stick_ohms, 'Ω')} and at least {figures(found.stick_watts, 'W')} for {volts:g} V, "
        "and measure."
    )


def _limits(found: Discharge, safe: float) -> Iterable[TimeLimitRow]:
    """The published times, where the bank was reckoned down to their voltage at least."""
    for one in TIME_LIMITS:
        longer: bool | None = None
        if found.state == "no bleeder":
            longer = True
        elif found.seconds is not None and safe <= one.volts and not found.unknown:
            longer = found.seconds > one.seconds
        yield TimeLimitRow(one.what, one.seconds, one.source, longer)


def figures(value: float, unit: str) -> str:
    """An amount in three figures, with a prefix.

    >>> figures(0.000102, "F"), figures(0.66489, "W")
    ('102 µF', '0.665 W')
    """
    return show_amount(float(f"{value:.3g}"), unit)


def time_said(seconds: float) -> str:
    """A time, rounded up so that nobody waits too short.

    >>> time_said(18.24), time_said(0.1592), time_said(0.0), time_said(4.21), time_said(250)
    ('19 s', '0.16 s', '0 s', '4.3 s', '5 min')
    """
    if seconds > 2 * SLOW_S:
        return f"{math.ceil(seconds / 60)} min"
    if seconds >= 10 or seconds == 0:
        return f"{math.ceil(seconds)} s"
    power = 10 ** (1 - math.floor(math.log10(seconds)))
    return f"{math.ceil(seconds * power) / power:g} s"
