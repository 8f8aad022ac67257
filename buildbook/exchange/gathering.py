"""Going through a list row by row: what each row means, what is wrong with it, what a person must settle, and the plan.

The same for parts lists, stock lists and price lists; each of those adds what is its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from buildbook.actions.incoming import NewPart, Remembered
from buildbook.answers import catalogue as known
from buildbook.answers.form import Answer, count_of
from buildbook.errors import BadInput
from buildbook.exchange.described import Described, Matching, Question, describe
from buildbook.exchange.intake import Fault, Listed, take_in
from buildbook.trade.units import Unit, read_quantity

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

NAMING = ("part", "number", "value", "name", "maker number", "order code")


@dataclass(frozen=True, slots=True)
class PlanRow:
    """What would happen with one row of the file; `mark` is its designators, bin or supplier."""

    row: int
    mark: str
    qty: str
    text: str
    what: str


@dataclass(frozen=True, slots=True)
class Plan(Answer):
    """What taking in a list would do; nothing has been written yet.

    `faults` must be mended in the list, and `questions` be answered, before it can be applied. `changes` says line by
    line what would be added, gone and changed.
    """

    SCHEMA: ClassVar[str] = "buildbook.plan-of-import/1"
    purpose: str
    into: str
    rows: tuple[PlanRow, ...]
    faults: tuple[Fault, ...]
    questions: tuple[Question, ...]
    new_parts: tuple[NewPart, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the person at the keyboard said about a list to be taken in.

    `columns` is a mapping as typed (`part=Bezeichnung,qty=Menge`), `sheet` the name of a sheet of a workbook, `answers`
    settles descriptions, `new_parts` makes parts of what is not known, `trust` ("refs" or "qty") says what holds where
    a quantity and its designators disagree.
    """

    columns: str | None = None
    sheet: str | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    new_parts: bool = False
    trust: str = ""


@dataclass(slots=True)
class Gathering:
    """A list while it is being gone through."""

    listed: Listed
    matching: Matching
    units: Mapping[int, str]
    faults: list[Fault]
    rows: list[PlanRow]

    @classmethod
    def begin(cls, shop: Workshop, path: Path, purpose: str, asked: Asked) -> Gathering:
        """Read the list and get ready to match it; raises BadInput when it is none, or no heading names a part."""
        listed = take_in(shop, path, purpose, asked.columns, asked.sheet)
        if not set(NAMING) & set(listed.columns.places):
            raise BadInput(
                f"{path.name} was not read in.",
                f"None of its headings ({', '.join(filter(None, listed.headings))}) names the part.",
                'Say which does with --columns "value=HEADING".',
            )
        parts = known.known_parts(shop)
        keys = {row.id: row.key for row in parts}
        matching = Matching.against(known.catalogue(shop), keys, asked.answers, new_parts=asked.new_parts)
        asides = [PlanRow(aside.row, "", "", aside.text, f"{aside.what} row") for aside in listed.asides]
        return cls(listed, matching, {row.id: row.unit for row in parts}, [], asides)

    def fault(self, row: int, word: str, why: str) -> None:
        """Note what is wrong with a row, under the heading that the file itself uses."""
        self.faults.append(Fault(row, self.listed.heading(word), why))

    def described(self, row: int, cells: Sequence[str], first_ref: str = "") -> Described | None:
        """What the row says of its part; None, and a fault, when it says nothing or too much."""
        try:
            said = describe(self.listed.columns, cells, first_ref)
        except BadInput as error:
            self.faults.append(Fault(row, "", error.why))
            return None
        if not said.asked:
            self.faults.append(Fault(row, "", "It names no part."))
            return None
        return said

    def part(self, row: int, said: Described, mark: str, qty: str) -> int | None:
        """The part that the row means (-1, -2... for new ones); None when a person must say, or has said to skip it."""
        number, how = self.matching.part_of(row, said)
        self.rows.append(PlanRow(row, mark, qty, said.asked, how))
        return number

    def unit(self, part: int) -> Unit:
        """In what a part is counted."""
        return self.matching.unit_of(part, self.units)

    def quantity(self, row: int, word: str, text: str, unit: Unit) -> int | None:
        """A quantity in base units; None, and a fault, when it is none."""
        try:
            return read_quantity(text, unit)
        except BadInput as error:
            self.fault(row, word, error.why)
            return None

    def plan(self, into: str, did: Sequence[str], changes: Sequence[str]) -> Plan:
        """The plan, with its sentence; `did` says in short what would be done."""
        questions = self.matching.questions()
        said = list(did)
        for number, one in (
            (len(self.matching.new), "new part"),
            (len(self.faults), "fault"),
            (len(questions), "question"),
        ):
            if number:
                said.append(count_of(number, one))
        entries = sum(1 for row in self.rows if not row.what.endswith(" row"))
        name = self.listed.path.name
        return Plan(
            sentence=f"{name} into {into}: {count_of(entries, 'row')}; {', '.join(said)}.",
            purpose=self.listed.purpose,
            into=into,
            rows=tuple(sorted(self.rows, key=lambda row: row.row)),
            faults=tuple(sorted(self.faults)),
            questions=questions,
            new_parts=tuple(self.matching.new),
            changes=tuple(changes),
        )

    def remembered(self) -> Remembered:
        """What to know the next time: answers given, and how the headings were to be read."""
        said = bool(self.listed.mapping)
        return Remembered(
            aliases=self.matching.aliases,
            purpose=self.listed.purpose,
            headings=self.listed.headings_key if said else "",
            mapping=self.listed.mapping_text if said else "",
        )


def refuse_unsettled(path: Path, plan: Plan) -> None:
    """Raise BadInput for the first fault, or the first question, saying how many more there are."""
    if plan.faults:
        first = str(plan.faults[0]).rstrip(".")
        more = f" ({len(plan.faults) - 1} more rows are at fault.)" if len(plan.faults) > 1 else ""
        raise BadInput(
            f"{path.name} was not read in.",
            f"{first[:1].upper()}{first[1:]}.{more}",
            "Mend it in the list; --dry-run shows every row.",
        )
    if plan.questions:
        first_question = plan.questions[0]
        raise BadInput(
            f"{path.name} was not read in.",
            f"{count_of(len(plan.questions), 'description')} must be settled first, such as {first_question.asked!r}"
            f" in row {first_question.rows[0]}.",
            "Answer in a file with --answers FILE, or let --new-parts make what is not known.",
        )
