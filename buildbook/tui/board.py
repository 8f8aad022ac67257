"""One section on the screen: its parts list, with where everything lies, and its checklist, in one list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, ClassVar

from buildbook.errors import BadInput
from buildbook.tui.attaching import VERB as ATTACH
from buildbook.tui.board_item import BEHIND, FITTABLE, Item, Section, item_of, line_key, step_key
from buildbook.tui.board_list import add_line, change, drop, move, new_step, split
from buildbook.tui.board_work import do_next, fit, fit_rest, give_back, kit, kit_anyway, take_off, tick
from buildbook.tui.place import Place, Verb
from buildbook.tui.printing import print_section
from buildbook.tui.rows import Cell, Column, Line, Row, View
from buildbook.tui.words import amount, day, moment, some

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.board import LineRow
    from buildbook.store.read.boards import StepRow

TONES = {
    **dict.fromkeys(("done", "fitted", "kitted", "in hand"), "good"),
    **dict.fromkeys(("not fitted", "not chosen", "not needed", "dropped"), "quiet"),
    "coming": "warn",
    "short": "bad",
}
# Under which the steps stand in the list; a step takes the room of all columns from the value on.
COLUMNS = (
    Column("ref", shrink=True, least=7),
    Column("state", shrink=True, least=14),
    Column("value", shrink=True, least=20),
    Column("part", shrink=True, least=12),
    Column("need", right=True),
    Column("on hand", right=True, rank=1),
    Column("short", right=True, rank=3),
    Column("stand-ins", shrink=True, rank=5, least=12),
    Column("note", shrink=True, rank=4, least=16),
)
FROM_VALUE_ON = len(COLUMNS) - 2
# With bands in words a value needs more room; the key of the part says the same again, and stands in the fold too.
WIDER = {"value": Column("value", shrink=True, least=34), "part": Column("part", shrink=True, rank=2, least=12)}
IN_WORDS = tuple(WIDER.get(column.heading, column) for column in COLUMNS)


class Board(Place):
    """The parts list and the checklist of one section, opened from the tree.

    `in_words` names the colours of bands instead of painting them, where colours cannot be seen.
    """

    KEY: ClassVar[str] = "2"
    NAME: ClassVar[str] = "Section"
    QUESTION: ClassVar[str] = "What belongs to this section, and how far has it got?"

    def __init__(self, section: Section, *, in_words: bool = False) -> None:
        self.section = section
        self.in_words = in_words

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The lines in the order of the list, then the steps in the order of the work."""
        from buildbook.answers.board import board

        try:
            answer = board(shop, self.section.code, build or self.section.build or None)
        except BadInput as error:
            return View(f"{error.what} Press esc to go back to the tree.")
        section = Section(answer.build, answer.code)
        rows = [line_row(section, line, in_words=self.in_words) for line in answer.lines]
        rows += [step_row(section, number, step) for number, step in enumerate(answer.steps, 1)]
        if not rows:
            nothing = Cell("Nothing is listed yet: a adds a line, + a step.", span=len(COLUMNS))
            rows = [Row("nothing", (nothing,), about=Item(section), fold=())]
        return View(answer.sentence, IN_WORDS if self.in_words else COLUMNS, rows, at=first_open(rows))

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """All that is known of a line or a step."""
        item = item_of(row)
        if item.line:
            return line_lines(item.line)
        return step_lines(shop, item) if item.step else ()

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The arithmetic behind the need for a line's part, this section's own term first."""
        from buildbook.answers.why import why

        item = item_of(row)
        if item.line is None:
            return step_lines(shop, item) if item.step else ()
        answer = why(shop, item.line.key)
        own = (item.section.build, item.section.code)
        terms = sorted(answer.terms, key=lambda term: (term.build, term.assembly) != own)
        said = [Line(f"{term.build}, {term.assembly} {term.refs}: {term.said}") for term in terms]
        return [Line(answer.sentence), *said, *map(Line, answer.remarks)]

    def names(self, row: Row) -> Sequence[str]:
        """A line is found by the size of its value, in whatever form that is typed."""
        from buildbook.tui.stores import size_names

        line = item_of(row).line
        return size_names(line.value, line.kind) if line else ()

    def other_names(self, text: str) -> Sequence[str]:
        """The sizes that the text may mean as a value."""
        from buildbook.answers.stores import VALUE_KINDS
        from buildbook.tui.stores import size_names

        return tuple({name for kind in VALUE_KINDS for name in size_names(text, kind)})

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the step, or about the section."""
        item = item_of(row)
        build = {"build": item.section.build} if item.section.build else {}
        if item.step:
            return {"step": item.place, **build}
        part = {"part": item.line.key} if item.line else {}
        return {"assembly": item.section.code, **part, **build}


def first_open(rows: Sequence[Row]) -> str:
    """The first row with which something can be done now: a line to be fitted, else a step."""
    items = [(row.key, item_of(row)) for row in rows]
    lines = (key for key, item in items if item.line and item.line.state in FITTABLE)
    steps = (key for key, item in items if item.step and item.step.state not in BEHIND)
    return next(lines, None) or next(steps, None) or rows[0].key


def line_row(section: Section, line: LineRow, *, in_words: bool) -> Row:
    """One line of the parts list."""
    value = line.value or line.name
    bands = bands_of(line.value) if line.kind == "resistor" else ()
    note = "; ".join(filter(None, (line.option, line.note)))
    cells = (
        line.refs,
        Cell(state_words(line), TONES.get(line.state, "")),
        Cell(" ".join((value, *bands))) if in_words else Cell(value, bands=bands),
        line.key,
        Cell(some(line.need, line.unit), sort=line.need),
        Cell(some(line.on_hand, line.unit) or "none", "" if line.on_hand else "quiet", line.on_hand),
        Cell(some(line.short, line.unit), "bad", line.short),
        ", ".join(use.key for use in line.stand_ins),
        Cell(note, "quiet"),
    )
    hay = " ".join((line.name, line.kind, line.package, line.maker_number, *(lies.bin for lies in line.bins), *bands))
    return Row(line_key(line.line), cells, about=Item(section, line=line), hay=hay)


@cache
def bands_of(value: str) -> tuple[str, ...]:
    """The colour bands of a resistor of that value (IEC 60062); none where its value is not clear.

    >>> bands_of("4k7")
    ('yellow', 'violet', 'red', 'gold')
    """
    from buildbook.answers.values import value_read

    try:
        found = value_read(value, "R").readings
    except BadInput:
        return ()
    return found[0].bands if len(found) == 1 else ()


def state_words(line: LineRow) -> str:
    """The state of a line: where it lies, how much is short, what stands in, the day it waits for."""
    if line.state == "in the drawers":
        return "in " + ", ".join(lies.bin for lies in line.bins)
    if line.state == "stand-in":
        return "by a stand-in"
    if line.state == "coming" and line.due_on:
        return f"due {day(line.due_on)[:-5]}"
    if line.state == "short":
        return f"short of {some(line.short, line.unit)}"
    return line.state


def line_lines(line: LineRow) -> list[Line]:
    """What stands below a line."""
    said = [Line(", ".join(filter(None, (line.key, line.name, line.value, line.package, line.maker_number))))]
    bands = bands_of(line.value) if line.kind == "resistor" else ()
    if bands:
        said.append(Line(f"bands: {', '.join(bands)}"))
    figures = (
        (line.fitted, "fitted"),
        (line.kitted, "kitted"),
        (line.from_drawers, "to come from the drawers"),
        (line.coming, f"coming {day(line.due_on)}".strip()),
        (line.short, "short"),
    )
    got = [f"{amount(qty, line.unit)} {word}" for qty, word in figures if qty]
    got[-1:-1] = [f"{amount(use.qty, line.unit)} by the stand-in {use.key}" for use in line.stand_ins]
    needed = f"{amount(line.need, line.unit)} needed" if line.need else line.state
    said.append(Line(": ".join(filter(None, (needed, ", ".join(got))))))
    lies = [f"{amount(one.qty, line.unit)} in {one.bin}" for one in line.bins]
    said.append(Line(f"on hand: {', '.join(lies)}" if lies else "on hand: none"))
    if line.loss_bp:
        said.append(Line(f"allowance for loss: {line.loss_bp / 100:g} %"))
    if line.option:
        said.append(Line(f"only with the answer {line.option}"))
    return [*said, Line(f"note: {line.note}")] if line.note else said


def step_row(section: Section, number: int, step: StepRow) -> Row:
    """One step of the checklist."""
    marks = [word for marked, word in ((step.one_way, "one way"), (step.hold_point, "hold point")) if marked]
    name = ": ".join((*marks, step.name))
    state = step.state or "to do"
    tone = "quiet" if step.state in BEHIND else ""
    cells = (
        Cell(f"step {number}", sort=f"step {number:4}"),
        Cell(state, TONES.get(state, "")),
        Cell(name, tone, span=FROM_VALUE_ON),
    )
    return Row(
        step_key(step.id),
        cells,
        about=Item(section, step=step, place=f"{section.code}/{number}"),
        hay=f"{step.work} {step.caution}",
    )


def step_lines(shop: Workshop, item: Item) -> list[Line]:
    """What stands below a step: how long it takes, what must be done before, what to mind."""
    from buildbook.answers.bench import bench

    step = item.step
    if step is None:
        return []
    times = [f"about {step.likely_min} min" if step.likely_min else "", step.work]
    if step.wait_high_min:
        times.append(f"then a wait of {step.wait_low_min} to {step.wait_high_min} min")
    said = [Line(", ".join(filter(None, times)))] if any(times) else []
    if step.finished_at:
        said.append(Line(f"{step.state} on {moment(step.finished_at).strip()}"))
    rows = bench(shop, item.section.build).rows if item.section.build else ()
    before = next((row.held_by for row in rows if row.step == step.id), ())
    said += [Line(f"not done before it: {name}") for name in before]
    said += [Line("It cannot be undone.", "warn")] if step.one_way else []
    said += [Line("Hold point: nothing after it before its check is signed.", "warn")] if step.hold_point else []
    return [*said, Line(f"mind: {step.caution}", "warn")] if step.caution else said


Board.verbs = (
    Verb("space", "next", "tick the step, fit the line, and on to the next", do_next),
    Verb("t", "tick", "tick the step or untick it; else the next step", tick),
    Verb("f", "fit", "fit the line; else the next line", fit),
    Verb("k", "kit", "kit the whole section", kit),
    Verb("K", "give back", "give the line's kit back to the drawers", give_back),
    Verb("F", "take off", "take fitted parts off again", take_off),
    Verb("a", "add", "add a line", add_line),
    Verb("v", "change", "change the line or the step", change),
    Verb("l", "split", "split the line in two", split),
    Verb("m", "move", "move the line in the list", move),
    Verb("d", "drop", "drop the line; leave the step out", drop),
    Verb("+", "new", "add a step", new_step),
    Verb("w", "print", "print the section's bench copy into a file", print_section, foot=False, on_row=False),
    ATTACH,
    Verb("", "fit all", "fit all that is left of this section", fit_rest, foot=False, on_row=False),
    Verb("", "kit all the same", "kit also what other builds have spoken for", kit_anyway, foot=False, on_row=False),
)
