"""The test points on the screen: their readings taken one after the other, and what is known of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from buildbook.tui.asking import ASKING_CSS, said
from buildbook.tui.checks_formula import (
    SIGN,
    formula_in,
    formula_lines,
    formula_why,
    history_lines,
    limits_shown,
    or_formula,
)
from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.question import Question
from buildbook.tui.rows import Cell, Line, Row
from buildbook.tui.words import moment

if TYPE_CHECKING:
    from buildbook.actions.measuring import NewPoint, Taken
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.measuring import OldReading, PointRow
    from buildbook.tui.asking import Check

TONES = {"to read": "", "within": "good", "out": "bad", "read": "quiet"}
DO = (
    Line("space  record a reading; then of the points after it", "do", verb="space"),
    Line("X  open a snag from it", "do", verb="X"),
    Line("v  change its limits", "do", verb="v"),
    Line("d  take the point away", "do", verb="d"),
)


def point_rows(points: Sequence[PointRow], taken: Collection[str] = ()) -> list[Row]:
    """Every point, board by board; known again by its name where that is enough, as Bench names it.

    `taken` are the keys of other rows, which may be named alike.
    """
    homes = Counter(one.point for one in points if one.unit_number == 1)
    several = len({one.build for one in points}) > 1
    return [
        point_row(one, key_of(one, alone=homes[one.point] == 1 and one.point not in taken), several) for one in points
    ]


def key_of(one: PointRow, *, alone: bool) -> str:
    """By what a point of one unit is known again in the list."""
    return one.point if alone and one.unit_number == 1 else f"{one.build} {one.point} unit {one.unit_number}"


def point_row(one: PointRow, key: str, several: bool) -> Row:  # noqa: FBT001 (the same for all rows)
    """One point of one unit: its state in a word, where it is, its reading before its name, its limits."""
    read = one.said.removesuffix(", within limits")
    words = ": ".join(filter(None, (read, one.name or one.code)))
    where = f"{one.build} {place_of(one)}" if several else place_of(one)
    cells = (Cell(one.state, TONES[one.state]), where, words, limits_shown(one))
    hay = f"{one.point} {one.build} {one.condition} {one.note}"
    return Row(key, cells, about=one, hay=hay)


def place_of(one: PointRow) -> str:
    """Where a point is, without its project; which unit, where there are several."""
    place = one.point.partition("/")[2] or one.point
    return f"{place} unit {one.unit_number}" if one.units > 1 else place


def point_lines(one: PointRow, history: Sequence[OldReading]) -> list[Line]:
    """What stands below a point: its limits, how and with what care it is read, its readings, the steps it holds."""
    lines = [Line(f"{one.name or one.code}, {one.limits or f'in {one.unit}, without limits'}")]
    lines += [Line(f"asked by {one.source}", "quiet")] if one.source else []
    lines += formula_lines(one)
    lines += [Line(f"condition: {one.condition}")] if one.condition else []
    lines += [Line(f"mind: {one.caution}", "warn")] if one.caution else []
    for at, old in enumerate(history):
        note = f" ({old.note})" if old.note else ""
        lines.append(Line(f"{moment(old.at).strip()}  {old.said}{note}", "head" if at == 0 else "quiet"))
    verb = "waits" if one.state == "to read" else "waits, until it reads within" if one.state == "out" else "waited"
    lines += [Line(f"{verb} for it: {name}") for name in one.held]
    return [*lines, *DO]


def point_why(row: Row) -> list[Line]:
    """The arithmetic behind the state of a point."""
    one = cast("PointRow", row.about)
    from buildbook.trade.amounts import show_amount

    if one.value is None:
        return [*formula_why(one), Line("It has not been read yet.")]
    lines = [Line(f"read: {show_amount(one.value, one.unit)} (typed as {one.text})")]
    for word, limit in (("lower limit", one.low), ("upper limit", one.high)):
        if limit is not None:
            apart = show_amount(abs(float(f"{one.value - limit:.12g}")), one.unit)
            side = "above" if one.value > limit else "below"
            lines.append(Line(f"{word}: {show_amount(limit, one.unit)}; the reading is {apart} {side} it"))
    return [*lines, Line(one.said), *formula_why(one)]


# --- readings --------------------------------------------------------------------------------------------------------


class OutOfLimits(Question[str | None]):
    """A reading out of its limits, until it is said what to do with it."""

    CSS = ASKING_CSS.replace("AskLine, Choose", "OutOfLimits")
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "stop here", show=False),
        Binding("enter", "dismiss('on')", "go on", show=False),
        Binding("X", "dismiss('snag')", "open a snag from it", show=False),
        Binding("space", "dismiss('again')", "read it again", show=False),
    ]

    def __init__(self, sentence: str) -> None:
        super().__init__()
        self.sentence = sentence

    def compose(self) -> ComposeResult:
        """The reading, and the ways on."""
        with Vertical(id="asked"):
            yield Static(said(self.sentence), id="question", markup=False)
            keys = "X open a snag from it   space read it again   enter go on   esc stop"
            yield Static(keys, id="keys", markup=False)


async def take(desk: Desk) -> None:
    """Record readings one after the other, from the selected point on; esc stops, and what was taken stays."""
    todo = to_take(desk)
    if not todo:
        desk.say("No point is to be read. Select one to read it again; + on a point writes another down.")
    for row in todo:
        desk.select(row.key)
        await take_one(desk, cast("PointRow", row.about))


def to_take(desk: Desk) -> list[Row]:
    """The selected point, and those after it that are still to be read; all of these, where none is selected."""
    rows = [row for row in desk.shown if KIND.shows(row)]
    selected = desk.frame.panel.list.selected
    start = next((at for at, row in enumerate(rows) if selected and row.key == selected.key), -1)
    later = [row for row in rows[start + 1 :] if cast("PointRow", row.about).state == "to read"]
    return [rows[start], *later] if start >= 0 else later


async def take_one(desk: Desk, one: PointRow) -> None:
    """Record one reading; when it is out of the limits that is said, and one key opens a snag from it."""
    from buildbook.answers.measuring import OUT

    while True:
        text = await desk.line(asked(one), check=reading_check(one))

        def act(shop: Workshop, text: str = text) -> Taken:
            from buildbook.actions import measuring

            return measuring.read(shop, one.build, one.point, text, unit_number=one.unit_number)

        taken = await desk.act(act, said=lambda done: f"{place_of(one)}: {done.said}.")
        if not taken.out:
            return
        told = f"{one.name or one.code} ({place_of(one)}) is {OUT} of limits: {taken.said}."
        answer = await desk.open(OutOfLimits(told))
        if answer == "snag":
            await snag_from(desk, one, taken)
        if answer != "again":
            return


async def snag_from(desk: Desk, one: PointRow, taken: Taken) -> None:
    """Open a snag from a reading just taken, its title being what was read."""

    def act(shop: Workshop) -> str:
        from buildbook.actions import snags

        return snags.open_snag(shop, one.build, f"{one.name or one.code}: {taken.said}", reading=taken.number)

    await desk.act(act, said=lambda name: f"Snag {name} is open: {one.name or one.code}, {taken.said}.")


def asked(one: PointRow) -> str:
    """How a reading is asked for: where, what, between what, and what to mind."""
    limits = f" ({one.limits})" if one.limits else ""
    limits += f" (asked by {one.source})" if one.source else ""
    mind = " ".join(f"{text.rstrip('.')}." for text in (one.condition, one.caution) if text)
    named = f"{place_of(one)} {one.name}".strip()
    return f"{named}{limits}, in {one.unit}: {mind}".strip()


def reading_check(one: PointRow) -> Check:
    """Says how a reading stands against its limits while it is typed."""

    def check(text: str) -> str:
        from buildbook.trade.limits import Limits, read_measured, say_measured

        limits = Limits(one.nominal, one.low, one.high)
        value, beyond = read_measured(text, one.unit, limits)
        return say_measured(value, limits, one.unit, beyond=beyond)

    return check


# --- the sheet -------------------------------------------------------------------------------------------------------


async def new_point(desk: Desk) -> None:
    """Write a point down at the end of a test sheet: which board, its code, what it is, its limits."""
    from buildbook.answers.workshop import codes

    selected = desk.frame.panel.list.selected
    one = cast("PointRow", selected.about) if selected and KIND.shows(selected) else None

    known = [code for code, _ in await desk.read(lambda shop: codes(shop, "assembly", ""))]
    board = await desk.line("A test point of which board?", initial=one.assembly if one else "", complete=known)
    code = await desk.line("A short code for it, such as VK1:", check=code_understood)
    name = await desk.line("What is measured there?")
    limits = await desk.line(
        "Its limits, with the unit (1.6-2.2 V, 4k7 5%, max 0.1 ohm, min 1 Mohm, 250 V), or = and a formula:",
        check=or_formula(limits_check("")),
    )
    new = measuring_point(code, name, limits)
    if new.formula:
        new = replace(
            new, unit=await desk.line("In what is it measured (V, A, ohm, Hz, s ...)?", check=unit_understood)
        )

    def act(shop: Workshop) -> str:
        from buildbook.actions import measuring

        return measuring.add_point(shop, board, new)

    point = await desk.act(act, said=lambda path: f"On the test sheet: {path}.")
    desk.select(point)


def measuring_point(code: str, name: str, limits: str) -> NewPoint:
    """A new point with its limits, or with the formula that gives them."""
    from buildbook.actions.measuring import NewPoint

    formula = formula_in(limits)
    return NewPoint(code, name, limits if formula is None else "", formula=formula or "")


def unit_understood(text: str) -> str:
    """The unit that is meant."""
    from buildbook.trade.amounts import read_unit

    return f"it is measured in {read_unit(text)}"


def code_understood(text: str) -> str:
    """What a code would be, or what is wrong with it."""
    from buildbook.actions.reading import read_code

    return f"it will be {read_code(text, 'test point')}"


def limits_check(unit: str) -> Check:
    """Says how limits are understood while they are typed; without a unit of the point, theirs is meant."""

    def check(text: str) -> str:
        from buildbook.errors import BadInput
        from buildbook.trade.amounts import unit_in
        from buildbook.trade.limits import read_limits, write_limits

        meant = unit or unit_in(text)
        if not meant:
            raise BadInput("The unit is missing.", "", "Write it behind the number, such as V or ohm.")
        return write_limits(read_limits(text, meant), meant)

    return check


async def change_limits(desk: Desk) -> None:
    """Change the limits of a point; they must still be as they were seen."""
    one = cast("PointRow", desk.row.about)
    question = f"The limits of {place_of(one)}, {one.name or one.code}, in {one.unit}:"
    initial = f"{SIGN} {one.worked.formula}" if one.worked else one.limits
    limits = await desk.line(question, initial=initial, check=or_formula(limits_check(one.unit)), need=False)
    formula = formula_in(limits)

    def act(shop: Workshop) -> str:
        from buildbook.actions import measuring

        seen = {"limits": one.limits}
        if formula is None:
            return measuring.change_point(shop, one.point, limits=limits, expected=seen)
        return measuring.change_point(shop, one.point, formula=formula, expected=seen)

    await desk.act(act, said=lambda path: f"The limits of {path} are changed.")


async def drop_point(desk: Desk) -> None:
    """Take a point away that was never read."""
    one = cast("PointRow", desk.row.about)

    def act(shop: Workshop) -> None:
        from buildbook.actions import measuring

        measuring.drop_point(shop, one.point)

    await desk.act(act, said=f"Taken off the test sheet: {one.point}.")


def unfold_point(shop: Workshop, row: Row) -> Sequence[Line]:
    """What stands below a point, with all its readings."""
    from buildbook.answers.measuring import history

    one = cast("PointRow", row.about)
    lines = point_lines(one, history(shop, one))
    return [*lines[: -len(DO)], *history_lines(shop, one), *DO]


def about_board(row: Row) -> Mapping[str, str]:
    """A note on a point is about its board."""
    one = cast("PointRow", row.about)
    return {"assembly": one.assembly, "build": one.build}


KIND = Kind(
    about="PointRow",
    go_on=take,
    put_off=drop_point,
    reopen=tell("A point is read again with space; the last reading counts."),
    change=change_limits,
    add=new_point,
    unfold=unfold_point,
    why=point_why,
    note_about=about_board,
)
