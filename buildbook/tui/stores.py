"""Stores on the screen: what have I got, where is it, what is it spoken for?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.attaching import VERB as ATTACH
from buildbook.tui.attaching import attached_to
from buildbook.tui.desk import Desk
from buildbook.tui.importing import import_stock
from buildbook.tui.place import Place, Verb
from buildbook.tui.plots_screen import plot_cover
from buildbook.tui.printing import print_labels
from buildbook.tui.rows import Cell, Column, Line, Row, View, heading, table_lines
from buildbook.tui.words import amount, moment, some

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.stores import StockRow, Where
    from buildbook.tui.asking import Check

MOVEMENTS = 12
NONE = Cell("none", "quiet", 0)


class Stores(Place):
    """Every part: what lies where, what is spoken for, what is free."""

    KEY: ClassVar[str] = "3"
    NAME: ClassVar[str] = "Stores"
    QUESTION: ClassVar[str] = "What have I got, where is it, what is it spoken for?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every part; the drawers belong to all builds."""
        from buildbook.answers.stores import stores

        answer = stores(shop)
        columns = (
            Column("part", shrink=True, least=14),
            Column("value", shrink=True, least=12),
            Column("on hand", right=True),
            Column("spoken for", right=True, rank=2),
            Column("free", right=True),
            Column("coming", right=True, rank=3),
            Column("lies in", shrink=True),
            Column("kind", shrink=True, rank=4),
        )
        remark = "" if answer.rows else "Make a part known with `buildbook stores new-part`, or import a stock list."
        return View(answer.sentence, columns, [stock_row(row) for row in answer.rows], remark)

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """Where it lies, what it is spoken for, where it is used, what may stand in, what happened to it."""
        from buildbook.answers.stores import where

        told = where_lines(where(shop, row.key, limit=MOVEMENTS))
        return [*keep_lines(row), *told, *attached_to(shop, part=row.key)]

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """Every term of what is spoken for and short."""
        from buildbook.answers.why import why

        answer = why(shop, row.key)
        terms = [Line(f"{term.build}, {term.assembly} {term.refs}: {term.said}") for term in answer.terms]
        return [Line(answer.sentence), *terms, *map(Line, answer.remarks)]

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the part."""
        return {"part": row.key}

    def names(self, row: Row) -> Sequence[str]:
        """A part is found by the size of its value, in whatever form that is typed."""
        part = cast("StockRow | None", row.about)
        # The first steps in an empty workshop are no parts.
        return size_names(part.value, part.kind) if part else ()

    def other_names(self, text: str) -> Sequence[str]:
        """The sizes that the text may mean as a value."""
        from buildbook.answers.stores import VALUE_KINDS

        return tuple({name for kind in VALUE_KINDS for name in size_names(text, kind)})


@cache
def size_names(text: str, kind: str) -> tuple[str, ...]:
    """What a value is in SI units, as a name; the same values stand in a list again and again.

    >>> size_names("4k7", "resistor") == size_names("4.7 kohm", "resistor")
    True
    """
    from buildbook.answers.stores import VALUE_KINDS, values_of

    return tuple(f"{VALUE_KINDS[kind]} {value.si:.7g}" for value in values_of(text, kind)) if text else ()


@cache
def kind_cell(kind: str) -> Cell:
    """The cell of a kind, one for all parts of it."""
    return Cell(kind, "quiet")


def stock_row(row: StockRow) -> Row:
    """One part."""
    unit = row.unit
    bins = ", ".join(name for name, _ in row.bins)
    cells = (
        row.key,
        row.value or row.name,
        Cell(some(row.on_hand, unit), sort=row.on_hand) if row.on_hand else NONE,
        Cell(some(row.spoken_for, unit), sort=row.spoken_for) if row.spoken_for else "",
        Cell(some(row.free, unit), sort=row.free) if row.free else "",
        Cell(some(row.coming, unit), sort=row.coming) if row.coming else "",
        bins,
        kind_cell(row.kind),
    )
    return Row(row.key, cells, about=row, hay=f"{row.name} {row.package} {row.maker_number}")


def keep_lines(row: Row) -> list[Line]:
    """How many are always to be there, and what lacks of them; enter changes it."""
    part = cast("StockRow | None", row.about)
    if not part or not part.keep_qty:
        return []
    lacks = part.keep_qty - part.free - part.coming
    said = f"at least {amount(part.keep_qty, part.unit)} are always to be free here"
    return [Line(f"{said}; {amount(lacks, part.unit)} lack" if lacks > 0 else said, "warn" if lacks > 0 else "", "l")]


def where_lines(answer: Where) -> list[Line]:
    """Everything about one part; the lines of its bins know their bin."""
    unit = answer.unit
    said = [Line(answer.name)] if answer.name else []
    for name, qty in answer.bins:
        said.append(Line(f"{amount(qty, unit)} in {name}", about=name))
    said += [Line(f"coming: {one}") for one in answer.coming]
    builds = [
        [
            one.build,
            *(some(qty, unit) for qty in (one.need, one.fitted, one.kitted, one.spoken_for, one.short)),
        ]
        for one in answer.builds
    ]
    said += table_lines(["for build", "need", "fitted", "kitted", "spoken for", "short"], builds, right=range(1, 6))
    uses = [[use.assembly, use.refs, amount(use.qty, unit), "" if use.fitted else "not fitted"] for use in answer.uses]
    said += table_lines(["used in", "ref", "quantity", ""], uses, right=[2])
    if answer.stand_ins:
        said.append(heading("stand-ins"))
    for other in answer.stand_ins:
        may = f"it may replace {other.key}" if other.serves else f"{other.key} may replace it"
        said.append(Line(f"{may}: {other.reason} ({other.free} free)"))
    moves = [
        [moment(one.at), one.kind, one.bin, f"{one.bin_qty:+,}" if one.bin_qty else "", one.assembly or one.build]
        for one in answer.movements
    ]
    return [*said, *table_lines(["when", "what", "bin", "pieces" if unit == "pc" else unit, "for"], moves, right=[3])]


# --- verbs -----------------------------------------------------------------------------------------------------------


def quantity_of(part: StockRow, *, least: int = 1) -> Check:
    """Checks an amount as it is typed, and says how it is understood where that is not plain."""

    def check(text: str) -> str | None:
        from buildbook.errors import BadInput
        from buildbook.trade.units import Unit, read_quantity

        qty = read_quantity(text, Unit(part.unit))
        if qty < least:
            raise BadInput(f"It must be {least} or more.")
        return None if part.unit == "pc" else f"that is {amount(qty, part.unit)}"

    return check


async def bin_of(desk: Desk, part: StockRow, question: str) -> str:
    """The bin of the line that is selected, the only one that holds the part, or one that is chosen now."""
    held = dict(part.bins)
    if isinstance(desk.about, str) and desk.about in held:
        return desk.about
    if len(held) == 1:
        return next(iter(held))
    if held:
        return await desk.choose(question, [f"{name}" for name in held])
    return await any_bin(desk, question)


async def any_bin(desk: Desk, question: str, initial: str = "") -> str:
    """A bin that is typed, completed from those that hold something."""
    held = {name for row in desk.frame.panel.list.rows for name, _ in cast("StockRow", row.about).bins}
    return await desk.line(question, initial=initial, complete=sorted(held))


def stock(desk: Desk) -> StockRow:
    """The part of the selected row."""
    return cast("StockRow", desk.row.about)


async def count(desk: Desk) -> None:
    """Say what lies in a bin."""
    part = stock(desk)
    bin = await bin_of(desk, part, f"Count {part.key} in which bin?")
    thought = dict(part.bins).get(bin, 0)
    many = await desk.line(
        f"What lies of {part.key} in {bin}?", initial=amount(thought, part.unit), check=quantity_of(part, least=0)
    )

    def act(shop: Workshop) -> str:
        from buildbook.actions import stores

        done = stores.count(shop, part.key, bin, many)
        changed = done.after - done.before
        return f"{changed:+,} to what was thought" if changed else "as was thought"

    await desk.act(act, said=lambda how: f"Counted {many} of {part.key} in {bin}: {how}.")


async def move(desk: Desk) -> None:
    """Move parts to another bin."""
    part = stock(desk)
    here = await bin_of(desk, part, f"Move {part.key} from which bin?")
    there = await any_bin(desk, f"Move {part.key} from {here} to which bin?")
    lies = amount(dict(part.bins).get(here, 0), part.unit)
    many = await desk.line(f"How many of {part.key} from {here} to {there}?", initial=lies, check=quantity_of(part))

    def act(shop: Workshop) -> object:
        from buildbook.actions import stores

        return stores.move(shop, part.key, here, there, many)

    await desk.act(act, said=f"Moved {many} of {part.key} from {here} to {there}.")


async def scrap(desk: Desk) -> None:
    """Throw parts away."""
    part = stock(desk)
    bin = await bin_of(desk, part, f"Scrap {part.key} from which bin?")
    many = await desk.line(f"How many of {part.key} from {bin} are scrap?", initial="1", check=quantity_of(part))
    reason = await desk.line("Why? (may be left empty)", need=False)

    def act(shop: Workshop) -> object:
        from buildbook.actions import stores

        return stores.scrap(shop, part.key, bin, many, note=reason)

    await desk.act(act, said=f"Scrapped {many} of {part.key} from {bin}.")


async def receive(desk: Desk) -> None:
    """Put parts that came in by themselves into a bin."""
    part = stock(desk)
    many = await desk.line(f"How many of {part.key} came in?", check=quantity_of(part))
    bin = await any_bin(desk, "Into which bin?", next((name for name, _ in part.bins), ""))

    def act(shop: Workshop) -> object:
        from buildbook.actions import stores

        return stores.receive(shop, part.key, bin, many)

    await desk.act(act, said=f"Received {many} of {part.key} into {bin}.")


async def keep(desk: Desk) -> None:
    """Say how many are always to be there."""
    part = stock(desk)
    many = await desk.line(
        f"How many of {part.key} are always to be there (0 for none)?",
        initial=amount(part.keep_qty, part.unit) if part.keep_qty else "0",
        check=quantity_of(part, least=0),
    )

    def act(shop: Workshop) -> object:
        from buildbook.actions.terms import keep_at_least

        return keep_at_least(shop, part.key, many)

    await desk.act(act, said=f"To be kept of {part.key}: {many}.")


Stores.verbs = (
    Verb("c", "count", "count what lies in a bin", count),
    Verb("m", "move", "move to another bin", move),
    Verb("x", "scrap", "write off as scrap", scrap),
    Verb("p", "put in", "receive parts into a bin", receive),
    Verb("l", "least", "say how many are always to be there", keep, on_row=False, foot=False),
    ATTACH,
    Verb("=", "cover", "draw what lay of the part over time, and what is coming", plot_cover, on_row=False),
    Verb("w", "labels", "print labels for bins into a file", print_labels, foot=False, on_row=False),
    Verb("I", "import", "take in a stock list, from a CSV or XLSX file", import_stock, on_row=False),
)
