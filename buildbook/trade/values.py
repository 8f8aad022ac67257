"""What a component is worth: its value, tolerance and ratings, as people write them on lists, drawers and parts.

Nothing is guessed silently. A text that two practitioners could take differently comes back as Ambiguous, with every
reading; what is no value at all comes back as NotAValue, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import islice, product
from typing import Literal, NamedTuple, TypeVar

from buildbook.errors import BadInput
from buildbook.trade.marking import Tolerance, letter_tolerances, plain_digits
from buildbook.trade.marking_amount import MOST_FIGURES, Amount, amounts, sensible
from buildbook.trade.marking_written import house_form, letter_code, spelled
from buildbook.trade.series import series_of
from buildbook.trade.value_text import LONGEST, Heard, Said, listen

KINDS = {"R": "resistance", "C": "capacitance", "L": "inductance"}
_Stated = TypeVar("_Stated")
Style = Literal["plain", "rkm", "si"]
_MOST_READINGS = 12
_MOST_MARKS = 8
_HINTS = {"volts": "C", "watts": "R", "amps": "RL"}


@dataclass(frozen=True, slots=True)
class Value:
    """One component value, exact.

    `kind` is R, C or L; `amount` is in ohm, farad or henry, zero or more; ratings are above zero or not stated.
    `material` is the dielectric or the make (X7R, C0G, film, wirewound); `rest` keeps words that were not understood,
    and those that qualify a rating: AC, X2, 105C.
    """

    kind: str
    amount: Decimal
    tolerance: Tolerance | None = None
    volts: Decimal | None = None
    watts: Decimal | None = None
    amps: Decimal | None = None
    material: str = ""
    rest: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadInput(f"There is no kind of value {self.kind!r}.", "It is R, C or L.", "Name one of the three.")
        if not sensible(self.amount, self.kind):
            raise BadInput(
                f"The {KINDS[self.kind]} {self.amount} was not taken.",
                f"It has to be above zero (only a link has 0 ohm), and of {MOST_FIGURES} digits at most.",
                "Give its size.",
            )
        if self.tolerance and self.tolerance.unit == "pF" and self.kind != "C":
            raise BadInput("The tolerance was not taken.", "Only a capacitor has one in pF.", "Give it in %.")
        for rating in (self.volts, self.watts, self.amps):
            if rating is not None and not (rating.is_finite() and rating > 0):
                raise BadInput("The rating was not taken.", "It has to be above zero.", "Give its size.")

    @property
    def si(self) -> float:
        """The amount as a float, in ohm, farad or henry, for searching and sorting."""
        return float(self.amount)


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """A text that can be taken in more than one way: every reading, the likeliest first, and why there is a doubt."""

    text: str
    readings: tuple[Value, ...]
    why: str


@dataclass(frozen=True, slots=True)
class NotAValue:
    """A text that holds no value of a component, and why not."""

    text: str
    why: str


def read(text: str, kind: str | None = None) -> Value | Ambiguous | NotAValue:
    """Understand a value as people write it; `kind` is R, C or L, or None when only the text can tell.

    Source of letter and digit codes: IEC 60062; common practice for the rest. Raises BadInput for another kind.

    >>> value = read("4k7 1% 0.6W", "R")
    >>> value.amount, str(value.tolerance), value.watts
    (Decimal('4.7E+3'), '1%', Decimal('0.6'))
    >>> [write(reading) for reading in read("1m", "R").readings]
    ['0R001', '1M']
    >>> read("BC547B").why
    'It holds no value.'
    """
    if kind is not None and kind not in KINDS:
        raise BadInput(f"There is no kind of value {kind!r}.", "It is R, C or L.", "Name one of the three.")
    if len(text) > LONGEST:
        return NotAValue(f"{text[:LONGEST]}…", f"It is longer than {LONGEST} characters.")
    return _read(text, kind)


@lru_cache(maxsize=16384)
def _read(text: str, kind: str | None) -> Value | Ambiguous | NotAValue:
    said = listen(text)
    if isinstance(said, str):
        return NotAValue(text, said)
    if len(said.heard) > _MOST_MARKS:
        return NotAValue(text, "It holds too many numbers.")
    found = _weigh(said, (kind,) if kind else tuple(KINDS))
    if not found:
        return NotAValue(text, _why_not(said, kind))
    readings = tuple(dict.fromkeys(islice((value for each in found for value in _values(said, each)), _MOST_READINGS)))
    doubts = list(dict.fromkeys(_doubts(said, found, kind)))
    if not doubts and len(readings) == 1:
        return readings[0]
    doubts = doubts or ["It can mean " + " or ".join(write(reading, "si") for reading in readings)]
    return Ambiguous(text, readings, f"{'; '.join(doubts)}.")


class _Found(NamedTuple):
    heard: Heard
    kind: str
    amount: Amount


def _weigh(said: Said, kinds: tuple[str, ...]) -> list[_Found]:
    """Find the surest mark in the line, and everything it can amount to."""
    if any(tolerance.unit == "pF" for tolerance in said.tolerances):
        kinds = tuple(kind for kind in kinds if kind == "C")
    found: list[_Found] = []
    for sureness in (2, 1, 0):
        heard = [each for each in said.heard if each.sureness == sureness]
        found = [_Found(each, kind, amount) for each in heard for kind in kinds for amount in amounts(each.mark, kind)]
        if found:
            break
    if len(kinds) > 1:
        hints = {kind for name, rated in _HINTS.items() if said.ratings[name] for kind in rated}
        hints |= {word.kind for word in said.materials}
        found = [each for each in found if each.kind in hints] or found
        found = [each for each in found if not each.amount.doubt] or found
    return found


def _why_not(said: Said, kind: str | None) -> str:
    others = {each.kind: each for each in _weigh(said, tuple(KINDS))} if kind else {}
    if kind is None or not others:
        return "It holds no value."
    other, each = next(iter(others.items()))
    return f"{each.heard.text} is read as {KINDS[other]}, and {KINDS[kind]} is wanted."


def _doubts(said: Said, found: list[_Found], kind: str | None) -> Iterator[str]:
    heard = {each.heard.place: each.heard for each in found}
    if len(heard) > 1:
        yield f"It holds more than one value, {' and '.join(each.text for each in heard.values())}"
    for before in said.heard:
        if before.sureness == 0 and before.place not in heard and before.place + 1 in heard:
            yield f"The number {before.text} in front may belong to the value"
    for name, sizes in said.ratings.items():
        if len(set(sizes)) > 1:
            yield f"It states {' and '.join(plain_digits(size) for size in sizes)} {name}"
    for each in found:
        if each.amount.doubt:
            yield each.amount.doubt
        elif kind is None and _may_be_type(each):
            yield f"{each.heard.text} may also be the type of a valve or a semiconductor"


def _may_be_type(found: _Found) -> bool:
    """6L6, 5U4 and 6K7 look like codes; in no list of parts is there a resistor of 6.7 kilohms."""
    digits, letter, decimals, tail = found.heard.mark
    looks_so = len(digits) == 1 and letter.isupper() and len(letter) == 1 and len(decimals) == 1 and not tail
    return looks_so and bool(found.amount.amount) and series_of(found.amount.amount) not in ("E3", "E6", "E12", "E24")


def _values(said: Said, found: _Found) -> Iterator[Value]:
    """Give one value for each tolerance and rating that the line states; there is a doubt if that makes several."""
    _, kind, (amount, printed, _) = found
    stated = [printed, *said.tolerances] if printed else list(said.tolerances)
    fitting = sorted((word for word in said.materials if word.kind == kind), key=lambda word: word.rank)
    material = fitting[0].kept if fitting else ""
    rest = said.rest + [(word.place, word.kept) for word in said.materials if word.kept != material]
    for place, letter in said.letters:
        meant = letter_tolerances(letter, kind, amount)
        stated += meant
        rest += [] if meant else [(place, letter)]
    rest += [
        (each.place, each.text)
        for each in said.heard
        if each.sureness < found.heard.sureness or not amounts(each.mark, kind)
    ]
    words = " ".join(text for _, text in sorted(rest))
    every_volts, every_watts, every_amps = (_each(said.ratings[name]) for name in ("volts", "watts", "amps"))
    for tolerance, volts, watts, amps in product(_each(stated), every_volts, every_watts, every_amps):
        yield Value(kind, amount, tolerance, volts, watts, amps, material, words)


def _each(stated: Sequence[_Stated | None]) -> tuple[_Stated | None, ...]:
    """Give everything that was stated once, or None alone."""
    return tuple(dict.fromkeys(stated)) or (None,)


def write(value: Value, style: Style = "plain") -> str:
    """Write a value as the workshop does, so that reading it again with its kind gives the same value.

    "plain" is the house form, and "si" spells the units; both carry everything. "rkm" is the mark of IEC 60062 and
    carries kind and amount only. A fourth decimal keeps the point in all styles. Materials that `read` does not know,
    and a rest that reads as something else, are written as they stand.

    >>> value = read("0.1uF film 275 VAC X2 10 %", "C")
    >>> write(value), write(value, "si"), write(value, "rkm")
    ('100n 10% film 275V AC X2', '100 nF 10 % film 275 V AC X2', '100n')
    """
    if style == "rkm":
        return letter_code(value.amount, value.kind)
    gap = " " if style == "si" else ""
    said = [(spelled if gap else house_form)(value.amount, value.kind)]
    if value.tolerance:
        said.append(str(value.tolerance).replace("%", f"{gap}%").replace("pF", f"{gap}pF"))
    said += [value.material] if value.material else []
    for size, unit in ((value.watts, "W"), (value.volts, "V"), (value.amps, "A")):
        if size is not None:
            small = unit == "A" and size < 1
            said.append(f"{plain_digits(size.scaleb(3) if small else size)}{gap}{'m' if small else ''}{unit}")
    if not value.rest:
        return " ".join(said)
    text = " ".join([*said, value.rest])
    # Left side by side, words of the rest may join into something else: "ohm" behind 10k, a number before "V".
    return text if read(text, value.kind) == value else "; ".join([" ".join(said), *value.rest.split()])


def at_least(have: Value, want: Value) -> bool:
    """Is `have` the same amount as `want`, and as good in everything that `want` states?

    >>> at_least(read("22u 50V 105C", "C"), read("22u 25V", "C"))
    True
    """
    return not worse_because(have, want)


def worse_because(have: Value, want: Value) -> tuple[str, ...]:
    """Say in what `have` falls short of `want`; nothing when it is at least as good.

    Kind and amount have to be the same. A rating or tolerance that `want` states has to be stated and met. Materials
    have to be the same where both state one: no order among dielectrics is assumed. A rating for AC and a safety class
    (X2, Y2) that `want` names has to be named; what a safety part must be, local codes decide.

    >>> worse_because(read("22u 25V", "C"), read("22u 50V", "C"))
    ('rated 25 V, 50 V wanted',)
    """
    if have.kind != want.kind:
        return (f"it is {_A[have.kind]}, {_A[want.kind]} is wanted",)
    return tuple(_shortfalls(have, want))


def _shortfalls(have: Value, want: Value) -> Iterator[str]:
    if have.amount != want.amount:
        yield f"{spelled(have.amount, have.kind)}, {spelled(want.amount, want.kind)} wanted"
    if want.tolerance and not (have.tolerance and have.tolerance.within(want.tolerance, want.amount)):
        yield f"tolerance {have.tolerance or 'not stated'}, {want.tolerance} wanted"
    for has, needs, unit in (
        (have.volts, want.volts, "V"),
        (have.watts, want.watts, "W"),
        (have.amps, want.amps, "A"),
        (_hottest(have), _hottest(want), "°C"),
    ):
        if needs is not None and has is None:
            yield f"no rating in {unit} stated, {plain_digits(needs)} {unit} wanted"
        elif needs is not None and has is not None and has < needs:
            yield f"rated {plain_digits(has)} {unit}, {plain_digits(needs)} {unit} wanted"
    if have.material and want.material and have.material != want.material:
        yield f"{have.material}, {want.material} wanted"
    named = have.rest.upper().split()
    for word in want.rest.upper().split():
        if word in _MUST_BE_NAMED and word not in named:
            yield f"not marked {word}, {word} wanted"


_A = {"R": "a resistance", "C": "a capacitance", "L": "an inductance"}
_MUST_BE_NAMED = frozenset(("AC", "X1", "X2", "X3", "Y1", "Y2", "Y3", "Y4"))
_HEAT = re.compile(r"([0-9]{2,3})°?C")


def _hottest(value: Value) -> Decimal | None:
    """The temperature up to which the rest says that the part may be used."""
    found = [Decimal(heat[1]) for word in value.rest.split() if (heat := _HEAT.fullmatch(word))]
    return max(found, default=None)
