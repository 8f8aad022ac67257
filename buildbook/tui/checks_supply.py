"""The supply budget on the screen: how each supply stands, what draws on it, what each answer would bring."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row, heading, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.supply import LoadLine, SupplyLine

TONES = {"within": "good", "tight": "warn", "over": "bad", "unknown": "warn"}
DO = (
    Line("space  write a load on it down", "do", verb="space"),
    Line("v  change its limit", "do", verb="v"),
    Line("d  take it away, with its loads", "do", verb="d"),
)


def supply_rows(supplies: Sequence[SupplyLine]) -> list[Row]:
    """Every supply below what feeds it."""
    return [supply_row(one) for one in supplies]


def supply_row(one: SupplyLine) -> Row:
    """One supply: its state in a word, its code, what it carries against its limit, how full it is."""
    full = f"{one.percent} %" if one.percent is not None else "no limit"
    words = f"{'  ' * one.depth}{one.name or one.kind}: {one.said}"
    cells = (Cell(one.state, TONES[one.state]), name_of(one), words, Cell(full, sort=one.percent))
    hay = " ".join((one.kind, one.made, one.note, *(f"{load.name} {load.option}" for load in one.loads)))
    return Row(f"supply {name_of(one)}", cells, fold=tuple(supply_lines(one)), about=one, hay=hay)


def supply_lines(one: SupplyLine) -> list[Line]:
    """What stands below a supply: how it stands, its loads, the answers that make a difference to it."""
    lines = [Line(one.said)]
    lines += [Line(text, "quiet") for text in (one.made, one.fuse, one.note) if text]
    loads = [(load.name, load.said, counted(load), load.assembly) for load in one.loads]
    lines += table_lines(("load", "draws", "", "on"), loads)
    if one.answers:
        lines.append(heading("as the questions may be answered"))
    lines += [Line(way.said, "head" if way.chosen else TONES[way.state]) for way in one.answers]
    return [*lines, *DO]


def counted(load: LoadLine) -> str:
    """Whether a load that comes with an answer counts."""
    if not load.option:
        return ""
    return f"comes with {load.option}" if load.counts else f"left out: {load.option} is not chosen"


def name_of(one: SupplyLine) -> str:
    """How a supply is named."""
    return f"{one.project}/{one.code}"


async def add_load(desk: Desk) -> None:
    """Write a load down: its name, and what it draws; what nobody knows yet is left empty."""
    one = cast("SupplyLine", desk.row.about)
    name = await desk.line(f"What draws on {name_of(one)}?")
    draws = await desk.line(f"What does {name} draw? (300 mA; nothing where it is not known)", need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import supply

        return supply.add_load(shop, name_of(one), supply.NewLoad(name, current=draws))

    await desk.act(act, said=lambda said: said)


async def change_limit(desk: Desk) -> None:
    """Change the limit of a supply; empty where it is not known."""
    one = cast("SupplyLine", desk.row.about)
    limit = await desk.line(f"The limit of {name_of(one)}, in {one.unit}:", initial=limit_of(one), need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import supply

        return supply.change_supply(shop, name_of(one), limit=limit)

    await desk.act(act, said=lambda path: f"The limit of {path} is changed.")


def limit_of(one: SupplyLine) -> str:
    """The limit of a supply as it is typed."""
    if one.limit_micro is None:
        return ""
    whole, part = divmod(one.limit_micro, 1_000_000)
    return f"{whole}.{part:06}".rstrip("0").rstrip(".") + f" {one.unit}"


async def drop_supply(desk: Desk) -> None:
    """Take a supply away, with its loads; it may be undone."""
    one = cast("SupplyLine", desk.row.about)

    def act(shop: Workshop) -> None:
        from buildbook.actions import supply

        supply.drop_supply(shop, name_of(one))

    await desk.act(act, said=f"Taken away: {name_of(one)}.")


def supply_why(row: Row) -> list[Line]:
    """The arithmetic behind the headroom: limit, less what is kept free, less the load."""
    one = cast("SupplyLine", row.about)
    terms = [("load", one.load_micro), ("kept free", one.keep_free_micro), ("headroom", one.headroom_micro)]
    known = [("limit", one.limit_micro), *terms]
    rows = [(name, amount(micro, one.unit)) for name, micro in known if micro is not None]
    lines = table_lines(("limit - load - kept free = headroom", one.unit), rows, right=(1,))
    lines += [Line(text) for text in (one.made, one.fuse) if text]
    if one.unknown:
        lines.append(Line("What is not known is in none of the figures.", "warn"))
    return lines


def amount(micro: int, unit: str) -> str:
    """Millionths, exactly."""
    sign = "-" if micro < 0 else ""
    whole, part = divmod(abs(micro), 1_000_000)
    return f"{sign}{whole}.{part:06} {unit}"


KIND = Kind(
    about="SupplyLine",
    go_on=add_load,
    put_off=drop_supply,
    reopen=tell("A supply is always open to new loads: space writes one down."),
    change=change_limit,
    add=add_load,
    why=supply_why,
)
