"""Checks on the screen: is the design inside its limits, and what is still to be decided?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from buildbook.tui.asking import ASKING_CSS, Option, said
from buildbook.tui.desk import Desk
from buildbook.tui.folding import FoldingList
from buildbook.tui.laying import Glyphs
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.checks import ChoiceRow, OptionRow
    from buildbook.answers.values import Reading, ValueRead

TONES = {"open": "warn", "chosen": "good", "shelved": "quiet"}


class Checks(Place):
    """The questions of the design, the open ones first; and what a value says."""

    KEY: ClassVar[str] = "5"
    NAME: ClassVar[str] = "Checks"
    QUESTION: ClassVar[str] = "Is the design inside its limits, and does each board measure right?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every question, the open ones first."""
        from buildbook.answers.checks import checks

        answer = checks(shop, build)
        columns = (
            Column("state"),
            Column("question", shrink=True, least=12),
            Column("in words", shrink=True, least=36),
            Column("answer", shrink=True, least=9, rank=1),
        )
        remark = answer.beyond if answer.rows else f"Ask a question of the design with +. {answer.beyond}"
        return View(answer.sentence, columns, [choice_row(row) for row in answer.rows], remark)

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The reason that was given."""
        return row.fold or ()


def choice_row(row: ChoiceRow) -> Row:
    """One question, with its candidate answers and the reason below."""
    chosen = next((one for one in row.options if one.chosen), None)
    answer = chosen.name if chosen else f"{len(row.options)} answers" if row.state == "open" else row.reason
    cells = (Cell(row.state, TONES.get(row.state, "")), f"{row.project}/{row.code}", row.question, answer)
    hay = " ".join([row.reason, *(f"{one.code} {one.name}" for one in row.options)])
    return Row(f"{row.project}/{row.code}", cells, fold=tuple(choice_lines(row)), about=row, hay=hay)


def choice_lines(row: ChoiceRow) -> list[Line]:
    """The candidate answers, on each of which enter settles the question, and the reason if there is one."""
    lines = [Line(row.question)]
    lines += [Line(option_said(one), "head" if one.chosen else "", verb="space", about=one) for one in row.options]
    if row.reason:
        lines.append(Line(f"{row.state} because: {row.reason}"))
    return lines


def option_said(one: OptionRow) -> str:
    """A candidate answer, and what of the design hangs on it."""
    from buildbook.answers.form import count_of

    hanging = [count_of(one.lines, "line")] if one.lines else []
    hanging += [count_of(one.assemblies, "assembly", "assemblies")] if one.assemblies else []
    brings = f" (brings {' and '.join(hanging)})" if hanging else ""
    return f"{'chosen: ' if one.chosen else 'answer: '}{one.code}, {one.name}{brings}"


# --- what a value says -----------------------------------------------------------------------------------------------


class ValueSaid(ModalScreen[bool | None]):
    """What a value or the colour bands of a resistor say, until it is read."""

    CSS = ASKING_CSS.replace("AskLine, Choose", "ValueSaid")
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "leave it", show=False),
        Binding("enter", "dismiss(True)", "another", show=False, priority=True),
        Binding("i", "dismiss(True)", "another", show=False),
    ]

    def __init__(self, answer: ValueRead, glyphs: Glyphs) -> None:
        super().__init__()
        self.answer = answer
        self.glyphs = glyphs

    def compose(self) -> ComposeResult:
        """The sentence, and each reading on a few lines."""
        with Vertical(id="asked"):
            yield Static(said(self.answer.sentence), id="question", markup=False)
            listed = FoldingList(folds=False, headings=False, marks=False, glyphs=self.glyphs, id="readings")
            listed.can_focus = False
            yield listed
            yield Static("enter another value   esc leave it", id="keys", markup=False)

    def on_mount(self) -> None:
        """Fill in what was read."""
        rows = [row for at, one in enumerate(self.answer.readings) for row in reading_rows(at, one)]
        listed = self.query_one(FoldingList)
        listed.show((Column("", shrink=True, least=8), Column("", shrink=True)), rows)


def reading_rows(number: int, one: Reading) -> list[Row]:
    """One reading, a row for each thing that it says; the bands of a resistor drawn and in words."""
    near = ", ".join(f"{value} ({series})" for series, value in one.nearest)
    found = [
        ("as written here", Cell(one.house)),
        ("letter code", Cell(one.letter_code)),
        ("in full", Cell(one.si)),
        ("preferred series", Cell(one.series or "none")),
        ("nearest preferred", Cell(near)),
        ("colour bands", Cell(" ".join(one.bands), bands=one.bands)),
    ]
    return [Row(f"{number} {word}", (Cell(word, "quiet"), cell)) for word, cell in found if cell.text]


def understood(text: str) -> str | None:
    """What a value says, in one line, while it is typed."""
    from buildbook.answers.values import value_read

    answer = value_read(text)
    bands = answer.readings[0].bands if len(answer.readings) == 1 else ()
    return answer.sentence + (f" Bands: {' '.join(bands)}." if bands else "")


async def value(desk: Desk) -> None:
    """Say what a value or the colour bands of a resistor say."""
    from buildbook.answers.values import COLOURS, value_read

    def colours(text: str) -> list[str]:
        """The words that a colour begun may become."""
        *before, begun = text.casefold().split(" ")
        if not begun or begun in COLOURS or not all(word in COLOURS for word in before):
            return []
        return [" ".join([*before, word]) for word in sorted(COLOURS) if word.startswith(begun)]

    another: bool = True
    while another:
        text = await desk.line(
            "What value? (4k7 1%, 22u 25V, 104, yellow violet red gold)", check=understood, complete=colours
        )
        another = await desk.open(ValueSaid(value_read(text), desk.app.glyphs))


# --- verbs -----------------------------------------------------------------------------------------------------------


def question_of(desk: Desk) -> ChoiceRow:
    """The question of the selected row."""
    return cast("ChoiceRow", desk.row.about)


async def settle(desk: Desk) -> None:
    """Choose one of the candidate answers, for a reason."""
    row = question_of(desk)
    code = getattr(desk.about, "code", "")
    if not code:
        options = [Option(one.code, one.code, option_said(one).partition(", ")[2]) for one in row.options]
        chosen = next((one.code for one in row.options if one.chosen), "")
        code = await desk.choose(row.question, options, at=chosen)
    reason = await desk.line(f"{row.question} {code}, because:")

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.settle(shop, row.project, row.code, code, reason)

    await desk.act(act, said=lambda chosen: f"Chosen for {row.project}: {chosen}.")


async def shelve(desk: Desk) -> None:
    """Put the question off on purpose, for a reason."""
    row = question_of(desk)
    reason = await desk.line(f"Put off {row.project}/{row.code}, because:", initial=row.reason)

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.shelve(shop, row.project, row.code, reason)

    await desk.act(act, said=f"Put off: {row.project}/{row.code}.")


async def reopen(desk: Desk) -> None:
    """Open the question again, for a reason."""
    row = question_of(desk)
    if row.state == "open":
        desk.say(f"{row.project}/{row.code} is open.")
        return
    reason = await desk.line(f"Open {row.project}/{row.code} again, because:")

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.reopen(shop, row.project, row.code, reason)

    await desk.act(act, said=f"Open again: {row.project}/{row.code}.")


async def ask(desk: Desk) -> None:
    """Ask a question of the design, with two candidate answers or more."""
    project = await project_meant(desk)
    question = await desk.line(f"What is to be decided on {project}?")
    code = await desk.line("What shall the question be called? (a short code)", check=code_understood)
    options: dict[str, str] = {}
    while True:
        ordinal = ("First", "Second", "Next")[min(len(options), 2)]
        more = "" if len(options) < 2 else ", or nothing when there are no more"
        text = await desk.line(
            f"{ordinal} candidate answer, as CODE name{more}:", check=option_understood, need=len(options) < 2
        )
        if not text:
            break
        option, _, name = text.strip().partition(" ")
        options[option.rstrip(":").upper()] = name.strip() or option

    def act(shop: Workshop) -> str:
        from buildbook.actions import checks

        return checks.ask(shop, project, code, question, options)

    await desk.act(act, said=f"{project}/{code.upper()} is open, with {len(options)} candidate answers.")
    desk.go("Checks", select=f"{project}/{code.upper()}")


async def project_meant(desk: Desk) -> str:
    """The project of the selected question, of the build shown, or one that is typed."""
    from buildbook.answers.workshop import overview

    builds = (await desk.read(overview)).rows
    own = next((one.project for one in builds if one.build == desk.build), "")
    projects = list(dict.fromkeys(one.project for one in builds))
    if own or len(projects) == 1:
        return own or projects[0]
    return (
        await desk.choose("A question on which project?", projects) if projects else await desk.line("Which project?")
    )


def code_understood(text: str) -> str | None:
    """What a code would be, or what is wrong with it."""
    from buildbook.actions.reading import read_code

    return f"it will be {read_code(text, 'question')}"


def option_understood(text: str) -> str | None:
    """How a candidate answer is understood."""
    from buildbook.actions.reading import read_code

    code, _, name = text.strip().partition(" ")
    return f"{read_code(code.rstrip(':'), 'option')}: {name.strip() or code}"


Checks.verbs = (
    Verb("space", "settle", "settle the question: choose an answer, with the reason", settle),
    Verb("d", "put off", "put the question off on purpose, with the reason", shelve),
    Verb("o", "open again", "open the question again, with the reason", reopen),
    Verb("+", "ask", "ask a new question, with its candidate answers", ask, on_row=False),
    Verb("i", "value", "say what a value or the colour bands of a resistor mean", value, on_row=False),
)
