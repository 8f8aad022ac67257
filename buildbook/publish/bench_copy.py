"""The bench copy of a board: its parts list and checklist to tick with a pencil, and a test sheet to write into."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from buildbook.answers.board import board as ask_board
from buildbook.answers.form import join_words
from buildbook.answers.measuring import sheet
from buildbook.answers.printed import last_day
from buildbook.publish.bands import bands_on, draw_bands, in_words
from buildbook.publish.document import Block, Boxes, Document, Drawn, Heading, Items, Table, Text
from buildbook.trade.units import Unit, show_minutes, show_quantity

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.board import Board, LineRow
    from buildbook.answers.measuring import PointRow
    from buildbook.publish.document import Paper
    from buildbook.store.read.boards import StepRow

TO_TICK, TICKED = "\u2610", "\u2611"
LEFT_OFF = ("not fitted", "not chosen")
CAUTION = (
    "Work on mains and high voltage can kill: local codes and licensed practice decide. "
    "This sheet says what is to be read, and against which limits; it never says that a thing is safe."
)
NO_TOLERANCE = (
    "Where a tolerance is not written down, its band is dashed and not named; "
    "a resistor of 2 % or better bears one digit more than is drawn (common practice)."
)
_VALUE = 4  # the column in which bands are drawn


def bench_copy_of(shop: Workshop, code: str, build: str | None = None, *, paper: Paper = "a4") -> Document:
    """The bench copy of a section as it stands. Raises BadInput for an unknown section or build."""
    board = ask_board(shop, code, build)
    points = sheet(shop, board.build, board.code).rows if board.build else ()
    return bench_copy(board, points, day=last_day(shop), paper=paper)


def bench_copy(board: Board, points: Sequence[PointRow], *, day: str, paper: Paper = "a4") -> Document:
    """All that one takes to the bench for a board; `day` is that of the last change in the workshop."""
    blocks: list[Block] = [Text(board.sentence)]
    blocks += [Heading("Open snags", 2), Items(board.snags)] if board.snags else []
    blocks += [Heading("Parts"), *parts(board)]
    blocks += [Heading("Checklist"), *checklist(board.steps)]
    blocks += [Heading("Test sheet"), *test_sheet(points)]
    title = f"{board.name or board.code}, bench copy"
    made = f", for build {board.build}" + (f", {board.count} of it" if board.count > 1 else "") if board.build else ""
    return Document(title, f"{board.code}{made}", day, tuple(blocks), paper)


def parts(board: Board) -> list[Block]:
    """The parts list with boxes to tick, then what stays off the board."""
    left_off = [row for row in board.lines if is_left_off(row)]
    fitted = [row for row in board.lines if not is_left_off(row)]
    if not board.lines:
        return [Text("There is no part on its list yet.", "quiet")]
    blocks: list[Block] = []
    if fitted:
        found = [bands_on(row.value, row.name) if row.kind == "resistor" else None for row in fitted]
        drawn = tuple(Drawn(at, _VALUE, draw_bands(bands)) for at, bands in enumerate(found) if bands)
        rows = tuple(
            part_row(row, in_words(bands.colours) if bands else "") for row, bands in zip(fitted, found, strict=True)
        )
        headings = ("", "need", "ref", "part", "value", "lies in", "note")
        blocks.append(Table(headings, rows, right=(1,), shares=(4, 8, 14, 18, 31, 15, 17), drawn=drawn))
        if any(bands and not bands.whole for bands in found):
            blocks.append(Text(NO_TOLERANCE, "quiet"))
    if left_off:
        rows = tuple((row.refs, row.key, row.value or row.name, whereabouts(row), note(row)) for row in left_off)
        blocks += [Heading("Not on the board", 2), Table(("ref", "part", "value", "state", "note"), rows)]
    return blocks


def is_left_off(row: LineRow) -> bool:
    """Whether a line does not belong on the board, though pieces for it may lie in the kit."""
    return row.state in LEFT_OFF or bool(row.surplus and not row.need)


def part_row(row: LineRow, bands: str) -> tuple[str, ...]:
    """One line to tick: it has its tick when all of it is fitted."""
    value = row.value or row.name
    return (
        TICKED if row.state == "fitted" else TO_TICK,
        show_quantity(row.need or row.qty, Unit(row.unit)),
        row.refs,
        row.key,
        f" {value}\n{bands}" if bands else value,
        whereabouts(row),
        note(row),
    )


def whereabouts(row: LineRow) -> str:
    """Where the pieces are to be found, or why they are not; for a line that is there in part, both."""
    unit = Unit(row.unit)
    if row.state == "give back":
        return f"give back {show_quantity(row.surplus, unit)}"
    if row.state in ("not needed", *LEFT_OFF):
        # Where no build asks for it, it says where it lies.
        return ", ".join(lies.bin for lies in row.bins) if row.state == "not needed" and row.bins else row.state
    held = ((row.fitted, "fitted"), (row.kitted, "kitted"))
    said = [f"{show_quantity(qty, unit)} {word}" for qty, word in held if qty and row.state != word]
    said += [", ".join(lies.bin for lies in row.bins)] if row.from_drawers else []
    said += [f"stand-in {use.key}" for use in row.stand_ins]
    said += [f"coming {row.due_on}".rstrip()] if row.coming else []
    said += [f"short of {show_quantity(row.short, unit)}"] if row.short else []
    return "; ".join(filter(None, said)) or row.state


def note(row: LineRow) -> str:
    """What was noted on a line."""
    return "; ".join(filter(None, (row.option, row.note)))


def checklist(steps: Sequence[StepRow]) -> Iterable[Block]:
    """The steps with boxes, each caution before the first step that it goes with."""
    if not steps:
        yield Text("There is no step on its checklist yet.", "quiet")
    cautions: dict[str, list[str]] = {}
    for number, step in enumerate(steps, 1):
        if step.caution:
            cautions.setdefault(step.caution, []).append(f"{number}")
    boxes: list[tuple[str, bool]] = []
    for number, step in enumerate(steps, 1):
        numbers = cautions.pop(step.caution, [])
        if numbers:
            if boxes:
                yield Boxes(tuple(boxes))
            boxes = []
            yield Text(
                f"Mind at step{'s' if len(numbers) > 1 else ''} {join_words(numbers)}: {step.caution}", "warning"
            )
        boxes.append((step_said(number, step), step.state == "done"))
    if boxes:
        yield Boxes(tuple(boxes))


def step_said(number: int, step: StepRow) -> str:
    """A step in words: its time, its wait, whether it can be undone, and a line for a signature."""
    said = [f"about {show_minutes(step.likely_min)}"] if step.likely_min else []
    if step.wait_high_min:
        said.append(f"then wait {show_wait(step.wait_low_min, step.wait_high_min)}")
    said += ["cannot be undone"] if step.one_way else []
    said += [step.state] if step.state in ("dropped", "in hand") else []
    text = f"{number}.  {step.name}" + (f" ({', '.join(said)})" if said else "")
    return f"{text}\nChecked and signed by ____________________   on ______________" if step.hold_point else text


def show_wait(low_min: int, high_min: int) -> str:
    """A wait in words.

    >>> show_wait(40, 40), show_wait(40, 90)
    ('40 min', '40 min to 1 h 30 min')
    """
    return " to ".join(dict.fromkeys(show_minutes(minutes) for minutes in (low_min, high_min) if minutes))


def test_sheet(points: Sequence[PointRow]) -> list[Block]:
    """The points with their limits, and empty cells for what is read."""
    if not points:
        return [Text("No test point has been written down for it.", "quiet")]
    several = any(row.units > 1 for row in points)
    rows = tuple(
        (
            f"{row.code}, unit {row.unit_number}" if several else row.code,
            "\n".join(filter(None, (row.name, row.condition))),
            row.limits,
            row.said,
            "",
            "",
        )
        for row in points
    )
    headings = ("point", "measured", "limits", "so far", "reading", "when, by whom")
    cautions: dict[str, list[str]] = {}
    for row in points:
        if row.caution and row.code not in cautions.setdefault(row.caution, []):
            cautions[row.caution].append(row.code)
    return [
        Text("\n".join([CAUTION, *(f"At {join_words(at)}: {said}" for said, at in cautions.items())]), "warning"),
        Table(headings, rows, shares=(9, 22, 24, 15, 15, 15), roomy=True),
        Text("Instruments: ____________________   ____________________   ____________________"),
    ]
