"""What a component value says: as the trade writes it, its series and nearest preferred values, its colour bands."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from buildbook.answers.form import Answer
from buildbook.errors import BadInput
from buildbook.trade.colours import Banded, bands, read_bands
from buildbook.trade.marking import Tolerance
from buildbook.trade.series import Series, nearest, series_of
from buildbook.trade.values import Ambiguous, NotAValue, Value, read, write

COLOURS = {
    *("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "purple", "grey", "gray", "white"),
    *("gold", "silver", "pink"),
}
SERIES: tuple[Series, ...] = ("E6", "E12", "E24", "E96")
FINE_PERCENT, FINE_BANDS = Decimal(2), 5
WORDS = {"R": "a resistor", "C": "a capacitor", "L": "an inductor"}


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a value. `nearest` pairs a series with its nearest value; `bands` are those of a resistor."""

    kind: str
    house: str
    letter_code: str
    si: str
    series: str
    nearest: tuple[tuple[str, str], ...]
    bands: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ValueRead(Answer):
    """What a text says as a component value: one reading, or several when it is not clear."""

    SCHEMA: ClassVar[str] = "buildbook.value/1"
    text: str
    readings: tuple[Reading, ...]


def value_read(text: str, kind: str | None = None) -> ValueRead:
    """Read a value, or the colour bands of a resistor from the end where they begin.

    `kind` is R, C or L. Raises BadInput when the text is no value.
    """
    words = text.casefold().replace(",", " ").split()
    if words and set(words) <= COLOURS:
        return of_bands(text, read_bands(words))
    found = read(text, kind.strip().upper() if kind else None)
    if isinstance(found, NotAValue):
        raise BadInput(f"{text[:60]!r} is no component value.", found.why, "Write it as 4k7 1% 0.6W or 22u 25V.")
    if isinstance(found, Ambiguous):
        rows = tuple(reading(one) for one in found.readings)
        said = " or ".join(f"{WORDS[row.kind]} of {row.si}" for row in rows)
        doubt = f" {found.why}" if len(rows) == 1 else ""
        return ValueRead(f"{text.strip()} is not clear: it could be {said}.{doubt}", text, rows)
    row = reading(found)
    return ValueRead(f"{text.strip()} is {WORDS[row.kind]} of {row.si}{in_series(row)}.", text, (row,))


def of_bands(text: str, found: Banded) -> ValueRead:
    """What colour bands say."""
    tolerance = Tolerance(found.tolerance, found.tolerance) if found.tolerance else None
    row = reading(Value("R", found.ohms, tolerance))
    said = f"The bands are {row.si}{in_series(row)}"
    if found.reversible:
        said += "; from the other end they would make sense too, so look which end has the gap"
    return ValueRead(f"{said}.", text, (row,))


def in_series(row: Reading) -> str:
    """In which series the value is, or that it is in none."""
    return f", of the {row.series} series" if row.series else ", of no preferred series"


def reading(value: Value) -> Reading:
    """One reading, in the forms that the trade uses."""
    preferred = series_of(value.amount) if value.amount else None
    near = [(one, nearest(value.amount, one)) for one in SERIES] if value.amount else []
    return Reading(
        kind=value.kind,
        house=write(value),
        letter_code=write(value, "rkm"),
        si=write(value, "si"),
        series=preferred or "",
        nearest=tuple((one, write(Value(value.kind, amount))) for one, amount in near),
        bands=bands_of(value),
    )


def bands_of(value: Value) -> tuple[str, ...]:
    """The colour bands of a resistor; none where it has none that say it."""
    if value.kind != "R":
        return ()
    if not value.amount:
        return ("black",)
    percent = value.tolerance.plus if value.tolerance and value.tolerance.unit == "%" else Decimal(5)
    # Parts of 2 % and better bear five bands even where four would do (common practice).
    try:
        return bands(value.amount, percent, count=FINE_BANDS if percent <= FINE_PERCENT else None)
    except BadInput:
        return ()
