"""What a row of a foreign list says of its part, which of ours that is, and what to ask a person.

A question is known again by the description itself, so that an answer given once, in a file, serves every list in which
the same description comes up; answers that were applied are remembered as other names of the part.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from buildbook.actions.incoming import NewPart
from buildbook.errors import BadInput
from buildbook.exchange.headings import Columns
from buildbook.exchange.sheets import read_sheet
from buildbook.exchange.writing import write_csv
from buildbook.reckon.match import Catalogue, Match, Wanted
from buildbook.trade.kinds import KINDS, read_kind
from buildbook.trade.plain import clean
from buildbook.trade.refdes import kind_of
from buildbook.trade.units import Unit, read_unit
from buildbook.trade.values import Ambiguous, NotAValue, Value, write
from buildbook.trade.values import read as read_value

ANSWER_HEADINGS = ("asked", "rows", "candidates", "answer")
NEW, SKIP = "new", "skip"
ROWS_NAMED = 5


class Described(NamedTuple):
    """What the cells of a row say of a part, cleaned; `kind` is one of ours, or empty."""

    part: str
    number: str
    maker: str
    maker_number: str
    order_code: str
    value: str
    package: str
    kind: str
    name: str
    unit: str
    note: str

    @property
    def asked(self) -> str:
        """The description in one piece: how it is put to a person, and known again."""
        said = (self.part, self.number, self.maker_number, self.order_code, self.value, self.package, self.name)
        return " | ".join(dict.fromkeys(piece for piece in said if piece))


def describe(columns: Columns, cells: Sequence[str], first_ref: str = "") -> Described:
    """What a row says of its part. The class letter of its designators tells the kind where nothing else does."""
    said = {word: clean(cells[place]) if cells[place] else "" for word, place in columns.places.items()}

    def cell(word: str) -> str:
        return said.get(word, "")

    value, name = cell("value"), cell("name")
    return Described(
        part=cell("part"),
        number=cell("number"),
        maker=cell("maker"),
        maker_number=cell("maker number"),
        order_code=cell("order code"),
        value=value,
        package=cell("package"),
        kind=kind_told(cell("kind"), name, first_ref),
        name=name,
        unit=cell("unit") or unit_in(cell("qty")),
        note=cell("note"),
    )


def unit_in(quantity: str) -> str:
    """The unit that is written with a quantity: "m" in "2.5 m"; empty when there is none."""
    return quantity.lstrip("0123456789.,' ")


@lru_cache(maxsize=4096)
def kind_told(kind: str, name: str, first_ref: str) -> str:
    """The kind of part: as stated, as its designator says, or as its description says."""
    return (
        (read_kind(kind) if kind else None)
        or (kind_of(first_ref) if first_ref else None)
        or (read_kind(name) if name else None)
        or ""
    )


@lru_cache(maxsize=8192)
def value_told(text: str, kind: str) -> Value | Ambiguous | NotAValue | None:
    """The value that a text is, for kinds of part that have one."""
    value_kind = KINDS[kind].value_kind if kind in KINDS else None
    return read_value(text, value_kind) if text and value_kind else None


def wanted(row: int, said: Described) -> Wanted:
    """The row as it is matched against the catalogue."""
    text = said.value or said.name or said.part or said.number
    return Wanted(
        row=row,
        key=said.part or said.number or said.asked,
        kind=said.kind,
        text=text,
        value=value_told(said.value or (said.name if said.kind else ""), said.kind),
        package=said.package,
        maker_number=said.maker_number or said.number,
        order_code=said.order_code or said.number,
        name=said.name,
    )


@dataclass(frozen=True, slots=True)
class Question:
    """A description that is not clear: its rows, and the parts it might be, each with why it was not taken."""

    asked: str
    rows: tuple[int, ...]
    candidates: tuple[tuple[str, tuple[str, ...]], ...]
    why: str


@dataclass(slots=True)
class Matching:
    """Which part each description means, while a list is being gone through.

    `found` gives a part's number, or -1, -2... for the new parts in `new`; `questions` what a person must settle;
    `aliases` what to remember: descriptions that a person has answered.
    """

    catalogue: Catalogue
    keys: Mapping[int, str]
    answers: Mapping[str, str]
    new_parts: bool
    new: list[NewPart]
    aliases: dict[str, str]
    _seen: dict[Described, tuple[int | None, str]]
    _asked: dict[str, list[int]]
    _why: dict[str, Match]
    _made: dict[str, int]

    @classmethod
    def against(
        cls, catalogue: Catalogue, keys: Mapping[int, str], answers: Mapping[str, str], *, new_parts: bool
    ) -> Matching:
        """Begin with a list, against these parts."""
        return cls(catalogue, keys, answers, new_parts, [], {}, {}, {}, {}, {})

    def part_of(self, row: int, said: Described) -> tuple[int | None, str]:
        """The part that a row means, and how that was found; None when a person must say, or has said "skip"."""
        plain = said._replace(note="")
        if plain not in self._seen:
            self._seen[plain] = self._decide(row, plain)
        number, how = self._seen[plain]
        if number is None and how != SKIP:
            self._asked.setdefault(said.asked, []).append(row)
        return number, how

    def _decide(self, row: int, said: Described) -> tuple[int | None, str]:
        match = self.catalogue.match(wanted(row, said))
        answer = self.answers.get(said.asked, "")
        if answer:
            return self._answered(row, said, answer)
        if match.part is not None:
            return match.part, f"{self.keys[match.part]} by {match.how}"
        if self.new_parts and match.how == "none":
            return self._make(said)
        self._why[said.asked] = match
        return None, "choose" if match.candidates else "unknown"

    def _answered(self, row: int, said: Described, answer: str) -> tuple[int | None, str]:
        if answer.casefold() == SKIP:
            return None, SKIP
        if answer.casefold() == NEW:
            return self._make(said)
        numbers = {key.casefold(): number for number, key in self.keys.items()}
        number = numbers.get(answer.casefold())
        if number is None:
            raise BadInput(
                "The answers were not taken.",
                f"There is no part {answer}, the answer to {said.asked!r} (row {row} of the list).",
                f"Answer with the key of a part, or {NEW}, or {SKIP}.",
            )
        self.aliases[said.asked] = self.keys[number]
        return number, f"{self.keys[number]} as answered"

    def _make(self, said: Described) -> tuple[int, str]:
        """A new part; a key that the list itself gives means the same part every time."""
        if said.part.casefold() in self._made:
            number = self._made[said.part.casefold()]
            return number, f"new part {self.key_of(number)}"
        part = new_part(said, {key.casefold() for key in self.keys.values()} | set(self._made))
        self.new.append(part)
        number = self._made[part.key.casefold()] = -len(self.new)
        if not said.part:
            self.aliases[said.asked] = part.key
        return number, f"new part {part.key}"

    def unit_of(self, number: int, units: Mapping[int, str]) -> Unit:
        """In what the part is counted, a new one as well."""
        return Unit(self.new[-number - 1].unit if number < 0 else units[number])

    def key_of(self, number: int) -> str:
        """The key of a part, a new one as well."""
        return self.new[-number - 1].key if number < 0 else self.keys[number]

    def questions(self) -> tuple[Question, ...]:
        """What a person must settle, in the order of the list."""
        return tuple(self._question(asked, rows) for asked, rows in self._asked.items())

    def _question(self, asked: str, rows: Sequence[int]) -> Question:
        match = self._why[asked]
        candidates = tuple((self.keys[one.part], one.why_not) for one in match.candidates)
        return Question(asked, tuple(rows), candidates, "could be one of these" if candidates else "not known here")


def new_part(said: Described, taken: Container[str]) -> NewPart:
    """The part that a description makes: a key of its own, and all that the description says."""
    found = value_told(said.value or said.name, said.kind)
    kind = said.kind or "other"
    known = KINDS[kind] if kind in KINDS else KINDS["other"]
    value = write(found) if isinstance(found, Value) else said.value
    stem = said.part or said.maker_number or said.number
    if not stem:
        text = value or said.name or said.order_code
        stem = f"{known.letter}-{text}" if known.letter and isinstance(found, Value) else text
    base = clean(stem).replace(" ", "-")[:60]
    key, number = base, 2
    while key.casefold() in taken:
        key, number = f"{base}-{number}", number + 1
    unit = read_unit(said.unit) if said.unit else None
    return NewPart(
        key=key,
        kind=kind,
        name=said.name,
        value=value,
        package=said.package,
        maker=said.maker,
        maker_number=said.maker_number or ("" if said.part else said.number),
        unit=unit or known.unit,
    )


# --- questions and answers as a file ---------------------------------------------------------------------------------


def write_questions(path: Path, questions: Sequence[Question], answers: Mapping[str, str]) -> None:
    """Write what a person must settle as a sheet with an empty column for the answers; those given already are kept."""
    rows = [(asked, "", "", answer) for asked, answer in answers.items()]
    for question in questions:
        named = ", ".join(map(str, question.rows[:ROWS_NAMED])) + (", ..." if len(question.rows) > ROWS_NAMED else "")
        candidates = "; ".join(f"{key} ({', '.join(why)})" if why else key for key, why in question.candidates)
        rows.append((question.asked, named, candidates, ""))
    write_csv(path, ANSWER_HEADINGS, rows)


def read_answers(path: Path) -> dict[str, str]:
    """The answers of a sheet that `write_questions` wrote: description to key, "new" or "skip"; blank ones left out."""
    sheet = read_sheet(path, knows=lambda heading: heading.strip().casefold() in ANSWER_HEADINGS)
    places = {heading.strip().casefold(): place for place, heading in enumerate(sheet.headings)}
    if "asked" not in places or "answer" not in places:
        raise BadInput(
            f"{path.name} was not taken as answers.",
            "It has no headings `asked` and `answer`.",
            "Use the file written.",
        )
    pairs = ((row.cells[places["asked"]], row.cells[places["answer"]]) for row in sheet.rows)
    return {clean(asked, limit=4000): clean(answer) for asked, answer in pairs if answer.strip()}
