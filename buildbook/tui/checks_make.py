"""A wanted value met from the drawers, on the screen: the ways to it, a list within Checks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.make import PartUsed, WayRow

COLUMNS = (
    Column("value", right=True),
    Column("off by"),
    Column("parts", shrink=True, least=30),
    Column("from", shrink=True, least=6),
    Column("worst case", rank=2),
    Column("RSS", rank=3),
)


class Ways(Place):
    """The ways to a wanted value, opened from Checks; the pieces of each stand below it."""

    KEY: ClassVar[str] = "5"
    NAME: ClassVar[str] = "From the drawers"
    QUESTION: ClassVar[str] = "Which parts from the drawers come to this value?"

    def __init__(self, wanted: str) -> None:
        self.wanted = wanted

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The ways as the drawers stand now; what the build chosen has spoken for is free to it."""
        from buildbook.answers.make import is_good, make

        answer = make(shop, self.wanted, build=build)
        rows = [way_row(row) for row in answer.rows]
        best = next((row.key for row, way in zip(rows, answer.rows, strict=True) if is_good(way)), "")
        return View(answer.sentence, COLUMNS, rows, " ".join(answer.remarks), at=best)

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What each piece has of the power and the voltage."""
        return way_lines(cast("WayRow", row.about))


def way_row(row: WayRow) -> Row:
    """One way, its pieces below."""
    from buildbook.answers.make import off_said, overloaded

    keys = [part.key for part in row.parts]
    builds = list(dict.fromkeys(part.taken_from for part in row.parts if part.taken_from))
    stated = row.low_percent is not None and row.high_percent is not None
    cells = (
        Cell(row.value, sort=row.amount),
        Cell(off_said(row.error_percent), "good" if row.meets else "warn", abs(row.error_percent)),
        Cell(wired(row) + (": overloaded" if overloaded(row) else ""), "bad" if overloaded(row) else ""),
        Cell(", ".join(builds) or "free", "warn" if builds else ""),
        f"{row.low_percent:+.2g} to {row.high_percent:+.2g} %" if stated else "not stated",
        "" if row.rss_percent is None else f"{row.rss_percent:.2g} %",
    )
    return Row(f"{row.how}: {' '.join(keys)}", cells, fold=tuple(way_lines(row)), about=row)


def wired(row: WayRow) -> str:
    """The parts as wired: + for in series, // for in parallel, as on paper."""
    keys = [part.key for part in row.parts]
    if row.how == "pair in parallel, one in series":
        return f"({keys[0]} // {keys[1]}) + {keys[2]}"
    if row.how == "pair in series, one in parallel":
        return f"({keys[0]} + {keys[1]}) // {keys[2]}"
    return (" // " if row.how == "parallel" else " + ").join(keys)


def way_lines(row: WayRow) -> list[Line]:
    """The pieces of a way with their shares; of a pair and one, the one is last."""
    lines = [Line(f"{row.how}: {row.value}", "head")] if len(row.parts) > 1 else []
    return [*lines, *(line for part in row.parts for line in piece_lines(part, row.shared))]


def piece_lines(part: PartUsed, shared: str) -> Sequence[Line]:
    """One piece: what it is and from where, then what it bears."""
    power = f"{100 * part.power_share:.3g} % of the {shared}" + (
        f", {part.watts:.3g} W" if part.watts is not None else ""
    )
    volts = f"{100 * part.voltage_share:.3g} % of the voltage"
    volts += f", {part.volts:.3g} V" if part.volts is not None else ""
    whence = f"spoken for by {part.taken_from}" if part.taken_from else "free"
    strain = [Line(f"  {part.over}", "bad")] if part.over else []
    return [Line(f"{part.key} ({part.value}), {whence}"), Line(f"  {power}; {volts}"), *strain]


def understood(text: str) -> str | None:
    """What the value wanted is taken for, while it is typed."""
    from buildbook.answers.make import wanted_value
    from buildbook.trade.values import write

    return f"{write(wanted_value(text, None), 'si')} is wanted."


async def make(desk: Desk) -> None:
    """Ask for a value, and list the ways to it."""
    wanted = await desk.line("What value is wanted? (5k, 33nF, 10k 1% 2W, 22uF 100V)", check=understood)
    desk.go_in(Ways(wanted))


async def another(desk: Desk) -> None:
    """Ask for another value, in the same list."""
    here = cast(Ways, desk.frame.panel.place)
    here.wanted = await desk.line("What value is wanted?", initial=here.wanted, check=understood)
    desk.frame.renew()


Ways.verbs = (Verb("V", "another", "ask for another value", another, on_row=False),)
