"""A wanted value met from the drawers, on the screen: the ways to it, a list within Checks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.make import PartUsed, WayRow

COLUMNS = (
    Column("value", right=True),
    Column("off by"),
    Column("wired", shrink=True, least=12),
    Column("parts", shrink=True, least=24),
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
        from buildbook.answers.make import make

        answer = make(shop, self.wanted, build=build)
        return View(answer.sentence, COLUMNS, [way_row(row) for row in answer.rows], " ".join(answer.remarks))

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
        row.how,
        Cell(", ".join(keys) + (": overloaded" if overloaded(row) else ""), "bad" if overloaded(row) else ""),
        Cell(", ".join(builds) or "free", "warn" if builds else ""),
        f"{row.low_percent:+.2g} to {row.high_percent:+.2g} %" if stated else "not stated",
        "" if row.rss_percent is None else f"{row.rss_percent:.2g} %",
    )
    return Row(f"{row.how}: {' '.join(keys)}", cells, fold=tuple(way_lines(row)), about=row)


def way_lines(row: WayRow) -> list[Line]:
    """The pieces of a way with their shares; of a pair and one, the one is last."""
    table = table_lines(
        ("part", "value", "power", "voltage", "from", "rating"),
        [piece_cells(part) for part in row.parts],
        right=(2, 3),
    )
    return [Line(f"{row.how}: {row.value}"), *table] if len(row.parts) > 1 else table


def piece_cells(part: PartUsed) -> Sequence[str]:
    """One piece as cells."""
    power = f"{100 * part.power_share:.3g} %" + (f", {part.watts:.3g} W" if part.watts is not None else "")
    voltage = f"{100 * part.voltage_share:.3g} %" + (f", {part.volts:.3g} V" if part.volts is not None else "")
    return part.key, part.value, power, voltage, part.taken_from or "free", part.over


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
