"""Checks: is the design inside its limits, what is still to be decided, and does each board measure right?

It knows the questions of the design, the supply budget, the contacts, the test sheets and the snags; `BEYOND` says what
is not for it to say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.contacts import ContactsLine, contact_sets, contacts_said
from buildbook.answers.discharge import BankRow, banks, banks_said
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.measuring import PointRow, points, sheets_said
from buildbook.answers.ratings import BoardRatings, RatingLine, ratings, ratings_said
from buildbook.answers.snags import SnagRow, snags, snags_said
from buildbook.answers.standing import find_build
from buildbook.answers.supply import SupplyLine, supplies, supplies_said
from buildbook.errors import BadInput
from buildbook.store.read import checks as read
from buildbook.store.read.standing import builds
from buildbook.trade.plain import quote

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

BEYOND = "Whether a set may be switched on, local codes decide."


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One candidate answer, and how many lines, assemblies and steps it brings in while it is the chosen one."""

    code: str
    name: str
    chosen: bool
    lines: int
    assemblies: int
    steps: int = 0


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One question: open, chosen or shelved, with its candidate answers and the reason."""

    project: str
    code: str
    question: str
    state: str
    reason: str
    options: tuple[OptionRow, ...]


@dataclass(frozen=True, slots=True)
class Checks(Answer):
    """The questions of the design and the snags, the open ones first; between them the supplies and the test sheets."""

    SCHEMA: ClassVar[str] = "buildbook.checks/1"
    rows: tuple[ChoiceRow, ...]
    points: tuple[PointRow, ...]
    snags: tuple[SnagRow, ...]
    beyond: str
    supplies: tuple[SupplyLine, ...] = ()
    ratings: tuple[RatingLine, ...] = ()
    rated_boards: tuple[BoardRatings, ...] = ()
    banks: tuple[BankRow, ...] = ()
    contacts: tuple[ContactsLine, ...] = ()


def checks(shop: Workshop, build: str | None = None) -> Checks:
    """The questions of every project, or of the project of one build; the test sheets and the snags of the same.

    Raises BadInput for an unknown build.
    """
    own = find_build(builds(shop.reads), build) if build else None
    options = read.options(shop.reads)
    rows = tuple(
        ChoiceRow(
            project=choice.project,
            code=choice.code,
            question=choice.question,
            state=choice.state,
            reason=choice.reason,
            options=tuple(
                OptionRow(one.code, one.name, bool(one.chosen), one.lines, one.assemblies, one.steps)
                for one in options.get(choice.id, ())
            ),
        )
        for choice in read.choices(shop.reads)
        if own is None or choice.project == own.project
    )
    sheets, faults = tuple(points(shop, build)), snags(shop, build).rows
    budget, charged, parts = supplies(shop, build), banks(shop, build), ratings(shop, build)
    switched = contact_sets(shop, build)
    said = [
        _questions_said(rows),
        snags_said(faults),
        sheets_said(sheets),
        supplies_said(budget),
        contacts_said(switched),
        ratings_said(parts.rows, parts.boards),
        banks_said(charged),
    ]
    sentence = "; ".join(filter(None, said)) or "no question has been asked yet"
    return Checks(
        f"{sentence[0].upper()}{sentence[1:]}.",
        rows,
        sheets,
        faults,
        BEYOND,
        supplies=budget,
        ratings=parts.rows,
        rated_boards=parts.boards,
        banks=charged,
        contacts=switched,
    )


def find_question(shop: Workshop, text: str) -> tuple[str, str]:
    """The project and the code of the question named PROJECT/CODE, or CODE where that is enough.

    Raises BadInput when there is none, or more than one.
    """
    wanted = text.strip().upper()
    known = [(choice.project, choice.code) for choice in read.choices(shop.reads)]
    found = [(project, code) for project, code in known if wanted in (code.upper(), f"{project}/{code}".upper())]
    if len(found) == 1:
        return found[0]
    paths = join_words([f"{project}/{code}" for project, code in found or known])
    if found:
        raise BadInput(f"{quote(text)} is not clear.", f"There are {paths}.", "Name one of them in full.")
    raise BadInput(
        f"There is no question {quote(text)}.",
        f"There are {paths}." if known else "None has been asked yet.",
        "Name one of them." if known else "Ask it with `buildbook checks ask`.",
    )


def _questions_said(rows: tuple[ChoiceRow, ...]) -> str:
    if not rows:
        return ""
    counts = {state: sum(row.state == state for row in rows) for state in ("open", "chosen", "shelved")}
    said = [f"{count_of(counts['open'], 'question')} open"]
    said += [f"{counts[state]} {state}" for state in ("chosen", "shelved") if counts[state]]
    return ", ".join(said)
