"""Which part of ours each row of a foreign list means, which parts are new, and what a person must be asked.

What a person has answered is remembered as another name of the part, so that the same list asks nothing the next time.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from buildbook.actions.incoming import KEY_AT_MOST, NewPart
from buildbook.errors import BadInput
from buildbook.exchange.described import Described, has_value, value_of, wanted
from buildbook.exchange.questions import NEW, SKIP, Question
from buildbook.reckon.match import Candidate, Catalogue, Match
from buildbook.trade.kinds import KINDS, read_package
from buildbook.trade.plain import quote
from buildbook.trade.units import read_unit
from buildbook.trade.values import Ambiguous, Value, write

# By what a part was found, as it is told to people.
FOUND = {
    "key": "by key",
    "alias": "by another name",
    "number": "by number",
    "value": "by value",
    "name": "by name",
}
CHOOSE, UNKNOWN = "choose", "unknown"
# A number may have to be put behind it.
KEY_LENGTH = KEY_AT_MOST - 5


class Meant(NamedTuple):
    """The part that a row means, how that was found, and the description; no part while a person must say."""

    part: int | None
    how: str
    asked: str


@dataclass(slots=True)
class Matching:
    """Which part each description means, while a list is being gone through.

    A part is its number, or -1, -2... for the new parts in `new`. `aliases` is what to remember: descriptions that a
    person has answered, or that have made a new part. With `own_keys` a key in the list is one of the workshop's, and
    one that is not known is no other part of the same value.
    """

    catalogue: Catalogue
    keys: Mapping[int, str]
    answers: Mapping[str, str]
    new_parts: bool = False
    own_keys: bool = False
    new: list[NewPart] = field(default_factory=list)
    aliases: dict[str, str] = field(default_factory=dict)
    _meant: dict[Described, Meant] = field(default_factory=dict)
    _asked: dict[str, list[int]] = field(default_factory=dict)
    _why: dict[str, tuple[Match, str]] = field(default_factory=dict)
    _made: dict[str, int] = field(default_factory=dict)
    _alike: dict[tuple[object, ...], int] = field(default_factory=dict)
    _numbers: dict[str, int] = field(default_factory=dict)

    def part_of(self, row: int, said: Described, note: str = "") -> Meant:
        """The part that a row means; `note` goes with the part if it is new."""
        meant = self._meant.get(said)
        if meant is None:
            asked = said.asked
            meant = self._meant[said] = Meant(*self._decide(row, said, asked, note), asked)
        if meant.part is None and meant.how != SKIP:
            self._asked.setdefault(meant.asked, []).append(row)
        return meant

    def _decide(self, row: int, said: Described, asked: str, note: str) -> tuple[int | None, str]:
        if answer := self.answers.get(asked):
            return self._answered(row, said, note, answer)
        match = self.catalogue.match(wanted(said, asked))
        keyed = self.own_keys and said.part not in ("", said.value)
        if keyed and match.how == "value" and match.part is not None:
            match = Match(row, "near", None, (Candidate(match.part, ("it has another key",)),))
        if match.part is not None:
            return match.part, f"{self.keys[match.part]} {FOUND[match.how]}"
        why = "" if match.candidates else too_vague(said)
        if self.new_parts and (keyed or not (match.candidates or why)):
            return self._make(said, note)
        self._why[asked] = match, why
        return None, CHOOSE if match.candidates else UNKNOWN

    def _answered(self, row: int, said: Described, note: str, answer: str) -> tuple[int | None, str]:
        if answer.casefold() == SKIP:
            return None, SKIP
        if answer.casefold() == NEW:
            return self._make(said, note)
        number = self._by_key().get(answer.casefold())
        if number is None:
            raise BadInput(
                "The answers were not taken.",
                f"There is no part {quote(answer)}, the answer to {quote(said.asked, limit=80)} of row {row}.",
                f"Answer with the key of a part, or {NEW}, or {SKIP}.",
            )
        self.aliases[said.asked] = self.keys[number]
        return number, f"{self.keys[number]} as answered"

    def _make(self, said: Described, note: str) -> tuple[int, str]:
        """A new part, unless this list has made it already, by that key or of that description: 100n is 0.1 uF."""
        key = said.part.casefold()
        alike = (said.kind, value_of(said) or said.value, read_package(said.package).key, said.maker_number, said.name)
        number = self._made.get(key) if key else self._alike.get((*alike, said.number, said.order_code))
        if number is None:
            part = new_part(said, self._by_key().keys() | self._made.keys(), note)
            self.new.append(part)
            number = self._made[part.key.casefold()] = -len(self.new)
            self._alike[*alike, said.number, said.order_code] = number
        if self.key_of(number) != said.part:
            self.aliases[said.asked] = self.key_of(number)
        return number, f"new part {self.key_of(number)}"

    def is_key(self, text: str) -> bool:
        """Whether a text is the key of one of our parts, as it stands but for its case."""
        return text.casefold() in self._by_key()

    def _by_key(self) -> dict[str, int]:
        """The parts there are, by folded key."""
        if not self._numbers:
            self._numbers.update((key.casefold(), number) for number, key in self.keys.items())
        return self._numbers

    def key_of(self, number: int) -> str:
        """The key of a part, a new one as well."""
        return self.new[-number - 1].key if number < 0 else self.keys[number]

    @property
    def open(self) -> bool:
        """Whether there is anything that a person must settle."""
        return bool(self._asked)

    def questions(self) -> tuple[Question, ...]:
        """What a person must settle, in the order of the list."""
        return tuple(self._question(asked, rows) for asked, rows in self._asked.items())

    def _question(self, asked: str, rows: Sequence[int]) -> Question:
        match, why = self._why[asked]
        candidates = tuple((self.keys[one.part], one.why_not) for one in match.candidates)
        return Question(asked, tuple(rows), candidates, why or ("" if candidates else "none known"))


def too_vague(said: Described) -> str:
    """Why no part is made of a description without asking; empty when it says enough."""
    if says_no_value(said):
        return "it gives no value"
    if not said.part and isinstance(value_of(said), Ambiguous):
        return "its value can be read in several ways"
    return ""


def says_no_value(said: Described) -> bool:
    """Whether it is only called a resistor, capacitor or the like, without a value or a type."""
    if said.part or said.number or said.maker_number or said.order_code or not has_value(said.kind):
        return False
    return not any(letter.isdigit() for letter in said.value + said.name)


def new_part(said: Described, taken: Container[str], note: str = "") -> NewPart:
    """The part that a description makes: a key of its own, and all that the description says."""
    found = value_of(said)
    kind = said.kind or "other"
    known = KINDS[kind]
    value = write(found) if isinstance(found, Value) else said.value
    base = said.part if said.part != said.value else ""
    if not base:
        text = value or said.name or said.order_code
        lettered = f"{known.letter}-{text}" if known.letter and isinstance(found, Value) else text
        base = (said.maker_number or said.number or lettered).replace(" ", "-")
    base = base[:KEY_LENGTH].strip()
    key, number = base, 2
    while key.casefold() in taken:
        key, number = f"{base}-{number}", number + 1
    return NewPart(
        key=key,
        kind=kind,
        name=said.name,
        value=value,
        package=said.package,
        maker=said.maker,
        maker_number=said.maker_number or ("" if said.part else said.number),
        unit=read_unit(said.unit) or known.unit,
        note=note,
    )
