"""Boards on the screen: which sections are done, kitted, short?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from buildbook.errors import BadInput
from buildbook.tui.attaching import VERB as ATTACH
from buildbook.tui.attaching import attached_to
from buildbook.tui.board import Board
from buildbook.tui.board_item import Item, Section, item_of
from buildbook.tui.board_list import add_line, change, drop, move
from buildbook.tui.board_tree import copy_section, new_in_tree
from buildbook.tui.board_work import do_next, fit, fit_rest, give_back, kit, kit_anyway, tick
from buildbook.tui.desk import Desk
from buildbook.tui.importing import import_parts
from buildbook.tui.place import Place, Verb
from buildbook.tui.plots_screen import plot_boards
from buildbook.tui.printing import print_book, print_quotation, print_section
from buildbook.tui.rows import Cell, Column, Line, Row, View, heading, table_lines
from buildbook.tui.words import day, some

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.boards import BoardRow
    from buildbook.answers.cost import BuildCost, CostRow

# The word of a section that is done but for a snag.
SNAG_OPEN = "snag open"
TONES = {
    **dict.fromkeys(("done", "fitted", "kitted", "ready-made"), "good"),
    **dict.fromkeys(("waits", "coming"), "warn"),
    "short": "bad",
    SNAG_OPEN: "warn",
    "not needed": "quiet",
}
# The cost of a build takes a tenth of a second in a large workshop, so that of many is told only one by one.
MOST_COSTED = 5
FIGURES = ("need", "got", "in drawers", "short")


class Boards(Place):
    """The tree of sections: how far each has got with its parts and its steps, what it lacks, what it costs."""

    KEY: ClassVar[str] = "2"
    NAME: ClassVar[str] = "Boards"
    QUESTION: ClassVar[str] = "Which sections are done, kitted, short?"
    FOLDS: ClassVar[bool] = False

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every section of the build, in the order of the tree."""
        from buildbook.answers.boards import boards

        answer = boards(shop, build)
        costs, currency = costs_of(shop, dict.fromkeys(row.build for row in answer.rows))
        columns: tuple[Column, ...] = (
            Column("section", shrink=True, least=12),
            Column("name", shrink=True, least=14),
            Column("state", shrink=True, least=16),
            Column("fitted", right=True, rank=1),
            Column("steps", right=True, rank=1),
        )
        if currency:
            columns += (Column(f"cost {currency}", right=True, rank=2), Column("lacks a price", rank=3))
        rows = [section_row(row, costs.get((row.build, row.code)), currency) for row in answer.rows]
        kittable = [row for row, shown in zip(rows, answer.rows, strict=True) if shown.state == "can be kitted"]
        remark = "" if rows else "+ begins a project."
        return View(answer.sentence, columns, rows, remark, at=kittable[0].key if kittable else "")

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What is short and what it waits for, line by line; how far it has got; what it costs."""
        return why_lines(shop, item_of(row))

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """A row that stands open tells why, and what is attached."""
        section = item_of(row).section
        return [*self.why(shop, build, row), *attached_to(shop, build=section.build or None, assembly=section.code)]

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the section, in its build."""
        section = item_of(row).section
        return {"assembly": section.code, "build": section.build}


def costs_of(shop: Workshop, builds: Mapping[str, None]) -> tuple[dict[tuple[str, str], CostRow], str]:
    """What each section of these builds costs, by build and section, and the currency; nothing for too many builds."""
    from buildbook.answers.cost import build_cost

    found: dict[tuple[str, str], CostRow] = {}
    currency = ""
    for code in builds if len(builds) <= MOST_COSTED else ():
        cost = build_cost(shop, code, at=())
        currency = cost.currency
        found |= {(code, row.name): row for row in cost.sections}
    return found, currency


def section_row(row: BoardRow, cost: CostRow | None, currency: str) -> Row:
    """One section."""
    kit = row.kit
    cells: tuple[Cell | str, ...] = (
        indented(row),
        f"{row.count} x {row.name}" if row.count > 1 else row.name,
        Cell(state_words(row), TONES.get(row.state, "")),
        Cell(f"{kit.fitted} of {kit.need}", sort=kit.fitted / kit.need) if kit.need else "",
        Cell(f"{row.steps_done} of {row.steps}", sort=row.steps_done / row.steps) if row.steps else "",
    )
    if currency:
        cells += (
            Cell(money(cost.total, currency), sort=cost.total) if cost and cost.total else "",
            Cell(lines_of(cost.unpriced_lines), "quiet") if cost and cost.unpriced_lines else "",
        )
    section = Section(row.build, row.code)
    return Row(f"{row.build} {row.code}", cells, about=Item(section, whole=row), hay=f"{row.code} {row.kind}")


def indented(row: BoardRow) -> str:
    """The code of a section, set below what holds it; with its project where it is at home in another."""
    project, slash, code = row.code.partition("/")
    short = code if slash and project == row.build else row.code
    if not row.depth:
        return short if row.code == row.build else f"{row.build}: {short}"
    return f"{'  ' * row.depth}{short}"


def state_words(row: BoardRow) -> str:
    """The state of a section with what it is short of or waits for, and its open snags."""
    back = f", {lines_of(row.snags, 'snag')} open" if row.snags and row.state != SNAG_OPEN else ""
    return f"{kit_words(row)}{back}"


def kit_words(row: BoardRow) -> str:
    """The state of a section but for its snags."""
    kit = row.kit
    if row.state == "short":
        return f"short of {kit.short_lines}"
    if row.state == "waits":
        return f"waits, due {day(kit.due_on)[:-5]}" if kit.due_on else f"waits for {kit.waiting_lines}"
    if row.state == "can be kitted" and kit.stood_in_lines:
        return f"can be kitted, {kit.stood_in_lines} by stand-ins"
    return row.state


def lines_of(number: int, what: str = "line") -> str:
    """So many lines, or so many of something else."""
    from buildbook.answers.form import count_of

    return count_of(number, what)


def money(micros: int, currency: str) -> str:
    """An amount of money without its currency."""
    from buildbook.trade.money import show_money

    return show_money(micros, currency)


def why_lines(shop: Workshop, item: Item) -> list[Line]:
    """The figures behind the row of a section."""
    from buildbook.answers.board import board
    from buildbook.answers.cost import build_cost

    section = item.section
    answer = board(shop, section.code, section.build)
    said = [Line(answer.sentence)]
    said += [Line(f"open snag {one}", "warn") for one in answer.snags]
    lacking = [row for row in answer.lines if row.short or row.coming or row.stand_ins]
    rows = [
        [
            row.key,
            row.refs,
            *(some(qty, row.unit) for qty in (row.need, row.fitted + row.kitted, row.from_drawers)),
            ", ".join(f"{some(use.qty, row.unit)} {use.key}" for use in row.stand_ins),
            f"{some(row.coming, row.unit)} {day(row.due_on)}".strip() if row.coming else "",
            some(row.short, row.unit),
        ]
        for row in lacking
    ]
    headings = ["part", "ref", "need", "got", "in drawers", "stand-ins", "coming", "short"]
    kept, shown = without_empty(headings, rows)
    said += table_lines(kept, shown, right=[at for at, word in enumerate(kept) if word in FIGURES])
    if not lacking:
        said.append(Line("Nothing is short, nothing is waited for."))
    try:
        cost = build_cost(shop, section.build, at=())
    except BadInput:
        return said
    return [*said, *cost_lines(cost, section)]


def without_empty(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> tuple[list[str], list[list[str]]]:
    """A table without its empty columns."""
    kept = [at for at in range(len(headings)) if any(row[at] for row in rows)]
    return [headings[at] for at in kept], [[row[at] for at in kept] for row in rows]


def cost_lines(cost: BuildCost, section: Section) -> list[Line]:
    """What a section costs, term by term."""
    own = next((row for row in cost.sections if row.name == section.code), None)
    if own is None:
        return []
    words = ("spent", "in the drawers", "on order", "still to spend")
    terms = zip(words, (own.spent, own.in_stock, own.ordered, own.to_spend), strict=True)
    said = " + ".join(f"{money(micros, cost.currency)} {word}" for word, micros in terms if micros)
    lines = [heading("cost"), Line(f"{said} = {money(own.total, cost.currency)} {cost.currency}")] if said else []
    unpriced = own.unpriced_lines
    return [*lines, Line(f"Not in it, for want of a price: {lines_of(unpriced)}.")] if unpriced else lines


async def open_section(desk: Desk) -> None:
    """Open the parts list and the checklist of a section."""
    app = desk.app
    in_words = app.settings.ascii or app.no_color
    desk.go_in(Board(item_of(desk.row).section, in_words=in_words))


Boards.verbs = (
    Verb("space", "next", "kit what can be kitted, else tick the next step", do_next),
    Verb("enter", "open", "open the parts list and the checklist of the section", open_section),
    Verb("t", "tick", "tick the section's next step", tick),
    Verb("k", "kit", "kit the section from the drawers", kit),
    Verb("f", "fit", "fit the section's next line", fit),
    Verb("K", "give back", "give the section's kit back to the drawers", give_back),
    Verb("a", "add", "add a line to the section's parts list", add_line),
    Verb("+", "new", "begin a section, or a project", new_in_tree),
    Verb("v", "change", "change the section's code, name or kind", change),
    Verb("m", "move", "move the section to another place in the tree", move),
    Verb("o", "copy", "copy the section, with its lists, under a new code", copy_section),
    Verb("d", "drop", "take the section away", drop),
    ATTACH,
    Verb("I", "import", "take in a parts list for the section, from a CSV or XLSX file", import_parts),
    Verb("=", "plots", "draw the progress of each section, and what each costs", plot_boards, on_row=False),
    Verb("w", "print", "print the section's bench copy into a file", print_section, foot=False),
    Verb("", "quotation", "print a quotation for the build into a file", print_quotation, foot=False, on_row=False),
    Verb("", "book", "write the book of the build into a file", print_book, foot=False, on_row=False),
    Verb("", "fit all", "fit all that is left of the section", fit_rest, foot=False, on_row=False),
    Verb("", "kit all the same", "kit also what other builds have spoken for", kit_anyway, foot=False, on_row=False),
)
