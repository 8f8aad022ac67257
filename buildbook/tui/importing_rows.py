"""Row by row, what taking a list in would do: what is at fault first, then what is to be settled, then the rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple, cast

from buildbook.tui.importing_list import MARKS, PRICES, SUPPLIER, TRUST, Incoming, as_said_here
from buildbook.tui.rows import Cell, Column, Line, Row, View, heading

if TYPE_CHECKING:
    from buildbook.actions.incoming import NewPart
    from buildbook.exchange.gathering import Plan, PlanRow
    from buildbook.exchange.intake import Fault
    from buildbook.exchange.questions import Question

AT_FAULT, TO_SETTLE, CHANGES, OFFER = "at fault", "to settle", "changes", "offer"
GONE, CHANGED, ADDED = "gone", "changed", "added"
NEW_PART, KNOWN, SKIPPED, LEFT_OUT = "new part", "known", "skipped", "left out"
TONES = {
    AT_FAULT: "bad",
    **dict.fromkeys((TO_SETTLE, GONE), "warn"),
    **dict.fromkeys((CHANGES, CHANGED, OFFER), "do"),
    NEW_PART: "good",
    **dict.fromkeys((SKIPPED, LEFT_OUT), "quiet"),
}
ORDER = {AT_FAULT: 0, TO_SETTLE: 1}
# Rows that are no entry, besides those that end in "row".
NO_ENTRY = ("no part, not fitted", "no price, left out")


class Meant(NamedTuple):
    """One row of the list, and what became of it."""

    row: PlanRow
    state: str
    faults: tuple[Fault, ...] = ()
    question: Question | None = None
    new: NewPart | None = None


def meant(row: Row) -> Meant | None:
    """What a row of the screen is about; None for one that tells what would change."""
    return cast("Meant | None", row.about)


def meanings(plan: Plan) -> list[Meant]:
    """Every row of the file with its faults, or its question, in the order in which they are dealt with."""
    faults: dict[int, list[Fault]] = {}
    for fault in plan.faults:
        faults.setdefault(fault.row, []).append(fault)
    questions = {question.asked: question for question in plan.questions}
    made = {f"new part {part.key}": part for part in plan.new_parts}
    found = []
    for row in plan.rows:
        wrong = tuple(faults.get(row.row, ()))
        question = questions.get(row.text) if is_open(row) else None
        state = AT_FAULT if wrong else TO_SETTLE if question else state_of(row)
        new = next((made[what] for what in shorter(row.what) if what in made), None)
        found.append(Meant(row, state, wrong, question, new))
    found.sort(key=lambda one: ORDER.get(one.state, 2))
    return found


def shorter(what: str) -> list[str]:
    """What became of a row, without what is said behind a comma: first nothing taken away, then more and more.

    >>> shorter("new part Nut, M4, not fitted")
    ['new part Nut, M4, not fitted', 'new part Nut, M4', 'new part Nut']
    """
    pieces = what.split(", ")
    return [", ".join(pieces[:number]) for number in range(len(pieces), 0, -1)]


def is_open(row: PlanRow) -> bool:
    """Whether a person must say what the row means."""
    return row.what.partition(", ")[0] in ("choose", "unknown")


def state_of(row: PlanRow) -> str:
    """What became of a row at which nothing is wrong."""
    if row.what.startswith("new part "):
        return NEW_PART
    if row.what.partition(", ")[0] == "skip":
        return SKIPPED
    return LEFT_OUT if row.what in NO_ENTRY or row.what.endswith(" row") else KNOWN


def rows_view(incoming: Incoming, plan: Plan) -> View:
    """The plan as a list."""
    mark, second = MARKS[plan.purpose]
    columns = (
        Column("row", right=True),
        Column("state"),
        Column(mark, shrink=True, least=6),
        Column(second, right=second == "qty"),
        Column("says", shrink=True, least=14),
        Column("means", shrink=True, least=22),
    )
    rows = [meant_row(one) for one in meanings(plan)]
    other = OFFER if plan.purpose == PRICES else CHANGES
    changes = [change_row(at, text, other, len(columns)) for at, text in enumerate(plan.changes) if not is_added(text)]
    if plan.purpose == PRICES:
        # These say again what the rows mean, with the prices.
        rows += changes
    else:
        # Nothing is at fault or to be settled where there are any.
        rows = changes + rows
    return View(f"{plan.sentence} {what_next(plan)}", columns, rows, at=rows[0].key if rows else "")


def is_added(change: str) -> bool:
    """Whether a change is a line that comes in: its row says so already."""
    return change.startswith(f"{ADDED}: ")


def what_next(plan: Plan) -> str:
    """What to do now."""
    if plan.questions:
        return "Nothing is written yet. Space settles the next question."
    if mended_by(plan):
        return "Nothing is written yet. Space asks what holds."
    if plan.faults:
        return "Nothing is written yet. Mend the list in its file; space reads it again."
    return "Nothing is written yet. Space takes it in." if plan.rows else "It lists nothing."


def mended_by(plan: Plan) -> str:
    """The option of the reading that would mend the first of the faults which one can mend; nothing where none can."""
    return next((option for fault in plan.faults for option in (TRUST, SUPPLIER) if option in fault.why), "")


def meant_row(one: Meant) -> Row:
    """One row of the file."""
    row = one.row
    text = row.what
    if one.faults:
        text = "; ".join(map(fault_said, one.faults))
    elif one.question:
        text = candidates_said(one.question)
    tone = TONES.get(one.state, "")
    quiet = tone if tone == "quiet" else ""
    cells = (
        Cell(f"{row.row}", sort=row.row),
        Cell(one.state, tone),
        row.mark,
        row.qty,
        Cell(row.text, quiet),
        Cell(text, tone if one.faults or one.question else quiet),
    )
    return Row(f"row {row.row}", cells, about=one)


def change_row(number: int, text: str, other: str, columns: int) -> Row:
    """What would change: a line that is gone or changed, a count, an offer; `other` is the state of the last two."""
    state, colon, rest = text.partition(": ")
    if not colon or state not in (GONE, CHANGED):
        state, rest = other, text
    return Row(f"change {number}", ("", Cell(state, TONES[state]), Cell(rest, span=columns - 2)), fold=(Line(rest),))


def fault_said(fault: Fault) -> str:
    """What is wrong, under which heading."""
    why = as_said_here(fault.why)
    return f"{fault.column}: {why}" if fault.column else why


def candidates_said(question: Question) -> str:
    """What may be meant, with what speaks against it where that is one part alone, or why it is asked.

    >>> from buildbook.exchange.questions import Question
    >>> candidates_said(Question("4k7", (2,), (("R-4K7", ("another one fits",)), ("R-4K7-1W", ())), ""))
    'R-4K7 or R-4K7-1W?'
    """
    if len(question.candidates) == 1:
        return f"{question.in_words}?"
    return " or ".join(key for key, _ in question.candidates) + "?" if question.candidates else f"{question.why}: new?"


def meant_lines(one: Meant) -> list[Line]:
    """All about one row: what is wrong, what it says and means, what may be meant and what speaks against it."""
    row = one.row
    said = [Line(fault_said(fault), "bad") for fault in one.faults]
    said += [Line(f"it says: {row.text}")] if row.text else []
    if one.question:
        said.append(Line(f"asked for in row {one.question.rows_named}: {one.question.why}".rstrip(": ")))
        said += [heading("may mean")] if one.question.candidates else []
        said += [
            Line(f"{key}: {', '.join(why) or 'nothing speaks against it'}") for key, why in one.question.candidates
        ]
    elif row.what:
        said.append(Line(f"it means: {row.what}"))
    return [*said, *(new_lines(one.new) if one.new else [])]


def new_lines(part: NewPart) -> list[Line]:
    """What is known of a part that would be made."""
    known: Sequence[tuple[str, str]] = (
        ("kind", part.kind),
        ("value", part.value),
        ("name", part.name),
        ("package", part.package),
        ("maker", part.maker),
        ("maker number", part.maker_number),
        ("counted in", "" if part.unit == "pc" else part.unit),
        ("note", part.note),
    )
    return [heading(f"new part {part.key}"), *(Line(f"{word}: {text}") for word, text in known if text)]
