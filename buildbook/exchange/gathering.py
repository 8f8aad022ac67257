"""Going through a list row by row: what each row means, what is wrong with it, what a person must settle, and the plan.

The same for parts lists, stock lists and price lists; each of those adds what is its own.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.actions.incoming import NewPart, Remembered
from buildbook.answers import catalogue as known
from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.errors import BadInput
from buildbook.exchange.described import WORDS, Described, Unclear, describe, unit_in
from buildbook.exchange.intake import Fault, Listed, take_in
from buildbook.exchange.matching import Matching
from buildbook.exchange.prices import check_currency
from buildbook.exchange.questions import SKIP, Question
from buildbook.trade.plain import clean, quote
from buildbook.trade.units import Unit, read_quantity, read_unit

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

NAMING = ("part", "number", "value", "name", "maker number", "order code")
STOCK, OFFERS = "stock list", "price list"
LONGEST_NOTE = 20_000
DIGITS = "0123456789"
ROW_NUMBER = itemgetter(0)
UNITS = {str(unit): unit for unit in Unit}


class PlanRow(NamedTuple):
    """What would happen with one row of the file; `mark` is its designators, bin or supplier."""

    row: int
    mark: str
    qty: str
    text: str
    what: str


@dataclass(frozen=True, slots=True)
class Plan(Answer):
    """What taking in a list would do; nothing has been written yet.

    `columns` says which heading was read as what (our word, heading), `not_read` the other headings. `taken` rows are
    entries; `faults` must be mended in the list, and `questions` be answered, before it can be applied. `changes` says
    line by line what would be added, gone and changed; nothing while a row is not settled.
    """

    SCHEMA: ClassVar[str] = "buildbook.plan-of-import/1"
    purpose: str
    into: str
    columns: tuple[tuple[str, str], ...]
    not_read: tuple[str, ...]
    taken: int
    rows: tuple[PlanRow, ...]
    faults: tuple[Fault, ...]
    questions: tuple[Question, ...]
    new_parts: tuple[NewPart, ...]
    changes: tuple[str, ...]

    @property
    def settled(self) -> bool:
        """Whether nothing is at fault and nothing to be asked."""
        return not (self.faults or self.questions)


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
    currency: str
    units: Mapping[int, Unit]
    naming: Mapping[str, int]
    faults: list[Fault]
    rows: list[PlanRow]
    taken: int = 0
    _described: dict[tuple[str, ...], Described | Unclear] = field(default_factory=dict)

    @classmethod
    def begin(cls, shop: Workshop, path: Path, purpose: str, asked: Asked, seller: str = "") -> Gathering:
        """Read the list and get ready to match it; of a `seller` only the order codes of that supplier count.

        Raises BadInput when it is no list, when no heading names a part, or when its prices are in another currency.
        """
        listed = take_in(shop, path, purpose, asked.columns, asked.sheet)
        places = listed.columns.places
        if not set(NAMING) & set(places):
            headings = ", ".join(filter(None, listed.headings))
            raise BadInput(
                f"{quote(path.name, limit=80)} was not read in.",
                f"None of its headings ({clean(headings, limit=len(headings))[:300]}) names the part.",
                'Say which does with --columns "value=HEADING".',
            )
        currency = currency_of(shop)
        if purpose != OFFERS:
            # A supplier may ask another currency; elsewhere money is the workshop's.
            check_currency(listed, currency)
        parts = known.known_parts(shop)
        matching = Matching(
            known.catalogue(shop, parts, seller),
            {row.id: row.key for row in parts},
            asked.answers,
            new_parts=asked.new_parts,
            own_keys=purpose == STOCK,
        )
        return cls(
            listed=listed,
            matching=matching,
            currency=currency,
            units={row.id: UNITS[row.unit] for row in parts},
            naming={word: places[word] for word in WORDS if word in places},
            faults=[],
            rows=[PlanRow(aside.row, "", "", aside.text, f"{aside.what} row") for aside in listed.asides],
        )

    def fault(self, row: int, word: str, why: str) -> None:
        """Note what is wrong with a row, under the heading that the file itself uses."""
        self.faults.append(Fault(row, self.listed.heading(word) if word else "", why))

    def left_out(self, row: int, mark: str, text: str, why: str) -> None:
        """Note a row that is no entry, and why."""
        self.rows.append(PlanRow(row, mark, "", text, why))

    def described(self, row: int, cells: Sequence[str], first_ref: str = "") -> Described | None:
        """What the row says of its part; None, and a fault, when a cell of it cannot be taken."""
        letters = first_ref.rpartition("-")[2].rstrip(DIGITS)
        stated = unit_in(self.listed.columns.cell(cells, "qty"))
        asked = (letters, stated, *[cells[place] for place in self.naming.values()])
        said = self._described.get(asked)
        if said is None:
            told = {word: cells[place] for word, place in self.naming.items()}
            if stated and not told.get("unit"):
                told["unit"] = stated
            keyed = self.matching.is_key(told.get("part", ""))
            said = self._described[asked] = describe(told, letters, keyed=keyed)
        if isinstance(said, Unclear):
            self.fault(row, said.word, said.why)
            return None
        return said

    def note(self, row: int, cells: Sequence[str]) -> str:
        """The note of a row; nothing, and a fault, when it is too long."""
        text = self.listed.columns.cell(cells, "note")
        try:
            return clean(text, lines=True, limit=LONGEST_NOTE) if text else ""
        except BadInput as error:
            self.fault(row, "note", error.why)
            return ""

    def part(self, row: int, said: Described, mark: str, qty: str, more: str = "", note: str = "") -> int | None:
        """The part that the row means (-1, -2... for new ones); None when a person must say, or has said to skip it.

        `more` is told of the row besides; `note` goes with a new part.
        """
        if not said.names_a_part:
            self.fault(row, "", "It names no part.")
            return None
        number, how, asked = self.matching.part_of(row, said, note)
        self.taken += how != SKIP
        self.rows.append(PlanRow(row, mark, qty, asked, how + more))
        if number is None and how != SKIP and "qty" in self.listed.columns.places and qty:
            self.measured(row, "qty", qty, read_unit(unit_in(qty)) or Unit.PC)
        return number

    def unit(self, part: int) -> Unit:
        """In what a part is counted."""
        return self.units[part] if part > 0 else Unit(self.matching.new[-part - 1].unit)

    def quantity(self, row: int, word: str, text: str, part: int) -> int | None:
        """A quantity in base units of the part; None, and a fault, when it is none.

        A new part that nobody counts in pieces needs its unit: 3 of a wire might be metres or pieces.
        """
        unit = self.unit(part)
        if part < 0 and unit is not Unit.PC and text.isdecimal() and int(text) and "unit" not in self.naming:
            self.fault(row, word, f"It does not say of what {text} are, such as {text} m, {text} g or {text} pcs.")
            return None
        return self.measured(row, word, text, unit)

    def measured(self, row: int, word: str, text: str, unit: Unit) -> int | None:
        """A quantity in that unit; None, and a fault, when it is none."""
        try:
            return read_quantity(text, unit)
        except BadInput as error:
            self.fault(row, word, error.why)
            return None

    @property
    def settled(self) -> bool:
        """Whether nothing is at fault and nothing to be asked, so far."""
        return not (self.faults or self.matching.open)

    def plan(self, into: str, did: str = "", changes: Sequence[str] = ()) -> Plan:
        """The plan, with its sentence; `did` says in short what would be done once all is settled."""
        questions = self.matching.questions()
        at_fault = {fault.row for fault in self.faults}
        unread = [PlanRow(row, "", "", "", "at fault") for row in at_fault.difference(row.row for row in self.rows)]
        said = [count_of(self.taken + len(unread), "row")]
        if did and self.settled:
            said.append(did)
        for number, one in (
            (sum(row.what == SKIP for row in self.rows), "row skipped"),
            (len(self.matching.new), "new part"),
            (len(at_fault), "row at fault"),
            (len(questions), "question"),
        ):
            if number:
                said.append(count_of(number, one, one.replace("row", "rows") if "row" in one else ""))
        columns = self.listed.columns
        return Plan(
            sentence=f"{self.listed.path.name} into {into}: {', '.join(said)}.",
            purpose=self.listed.purpose,
            into=into,
            columns=self.listed.columns_read,
            not_read=columns.unknown,
            taken=self.taken,
            rows=tuple(sorted(self.rows + unread, key=ROW_NUMBER)),
            faults=tuple(sorted(self.faults)),
            questions=questions,
            new_parts=tuple(self.matching.new),
            changes=tuple(changes) if self.settled else (),
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


@contextmanager
def keeping_all() -> Iterator[None]:
    """Put off the search for objects given up in circles: among thousands of rows there is none, and it takes long."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def skipped(plan: Plan) -> str:
    """How many rows were skipped, to be told at the end of a sentence; nothing when none was."""
    rows = sum(row.what == SKIP for row in plan.rows)
    return f", {count_of(rows, 'row')} skipped" if rows else ""


def refuse_unsettled(path: Path, plan: Plan) -> None:
    """Raise BadInput for the first fault, or else question, with how many more there are; and for an empty list."""
    name = f"{quote(path.name, limit=80)} was not read in."
    if plan.faults:
        first = str(plan.faults[0]).rstrip(".")
        others = len({fault.row for fault in plan.faults}) - 1
        more = f" (and {count_of(others, 'more row is', 'more rows are')} at fault)" if others else ""
        raise BadInput(
            name, f"{first[:1].upper()}{first[1:]}{more}.", "Mend it in the list; --dry-run shows every row."
        )
    if plan.questions:
        first_question = plan.questions[0]
        raise BadInput(
            name,
            f"{count_of(len(plan.questions), 'description')} must be settled first, such as"
            f" {quote(first_question.asked, limit=80)} in row {first_question.rows[0]}.",
            "Answer in a file with --answers FILE; --new-parts makes what nothing known comes near.",
        )
    if not plan.rows or not any(row.text for row in plan.rows if not row.what.endswith(" row")):
        raise BadInput(name, "It lists nothing below its headings.", "Look whether it is the right file and sheet.")
