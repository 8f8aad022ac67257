"""What a value or the colour bands of a resistor say, on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from buildbook.tui.asking import ASKING_CSS, said
from buildbook.tui.desk import Desk
from buildbook.tui.folding import FoldingList
from buildbook.tui.laying import Glyphs
from buildbook.tui.question import Question
from buildbook.tui.rows import Cell, Column, Row

if TYPE_CHECKING:
    from buildbook.answers.values import Reading, ValueRead


class ValueSaid(Question[bool | None]):
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
