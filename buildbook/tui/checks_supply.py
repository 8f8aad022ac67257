"""The supply budget on the screen: how each supply stands, what draws on it, what each answer would bring."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, cast

from buildbook.tui.asking import Option
from buildbook.tui.checks_kind import Kind
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row, heading, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.heater_offers import Offered
    from buildbook.answers.supply import LoadLine, SupplyLine

AS_WRITTEN = "2 x 300 mA, 50 %; LED 2 V, 1k; relay 300 ohm; heater ECC83; nothing where it is not known"
TONES = {"within": "good", "tight": "warn", "over": "bad", "unknown": "warn"}
DO = (
    Line("space  write a load on it down", "do", verb="space"),
    Line("v  change its limit", "do", verb="v"),
    Line("o  change one of its loads, or take it off", "do", verb="o"),
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
    told = table_lines(("load", "draws", "", "on"), loads)
    lines += told[:1]
    # Enter on a load changes what it draws, or takes it off.
    lines += [line._replace(verb="o", about=at) for at, line in enumerate(told[1:], 1)]
    if one.offered:
        lines.append(heading("in the parts lists, and not on a supply yet; enter writes one down"))
    lines += [Line(offer.said, verb="space", about=offer) for offer in one.offered]
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
    """Write a load down: its name, and what it draws; one that is offered, as it stands."""
    one = cast("SupplyLine", desk.row.about)
    if type(desk.about).__name__ == "Offered":
        await take_offer(desk, name_of(one), cast("Offered", desk.about))
        return
    name = await desk.line(f"What draws on {name_of(one)}?")
    draws = await desk.line(f"What does {name} draw? ({AS_WRITTEN})", need=False, check=checked(one))

    def act(shop: Workshop) -> str:
        from buildbook.actions import supply

        return supply.add_load(shop, name_of(one), supply.NewLoad(name, draws=draws))

    await desk.act(act, said=lambda said: said)


async def take_offer(desk: Desk, path: str, offer: Offered) -> None:
    """Write down a load that is offered."""

    def act(shop: Workshop) -> str:
        from buildbook.actions import supply

        new = supply.NewLoad(offer.name, draws=offer.draws, assembly=offer.assembly, option=offer.option)
        return supply.add_load(shop, path, new)

    await desk.act(act, said=lambda said: said)


def checked(one: SupplyLine) -> Callable[[str], str]:
    """How what a load draws is understood, as it is typed."""

    def understood(text: str) -> str:
        from buildbook.trade.loads import read_draws

        found = read_draws(text, one.volts_uv)
        each = "not known" if found.current_ua is None else amount(found.current_ua, "A")
        if found.power_uw is not None:
            each = amount(found.power_uw, "W")
        duty = f", on for {found.duty_bp / 100:g} %" if found.duty_bp != 10_000 else ""
        return f"{found.qty} x {each}{duty}" + (f"; {found.remark}" if found.remark else "")

    return understood


async def change_load(desk: Desk) -> None:
    """Change what the load on the line under the cursor draws, or one that is chosen now; a dash takes it off."""
    one = cast("SupplyLine", desk.row.about)
    if not one.loads:
        desk.say("Nothing draws on it yet: space writes a load down.")
        return
    options = [Option(str(at), load.name, load.said) for at, load in enumerate(one.loads, 1)]
    what = desk.about if isinstance(desk.about, int) else int(await desk.choose("Change which load?", options))
    load = one.loads[what - 1]
    question = f"What does {load.name} draw? ({AS_WRITTEN}; - takes it off)"

    def check(text: str) -> str:
        return "it is taken off" if text.strip() == "-" else checked(one)(text)

    draws = await desk.line(question, initial=as_typed(load), need=False, check=check)

    def act(shop: Workshop) -> str:
        from buildbook.actions import supply

        if draws == "-":
            supply.drop_load(shop, name_of(one), numbered(one, what))
            return f"Taken off {name_of(one)}: {load.name}."
        return supply.change_load(shop, name_of(one), numbered(one, what), draws=draws)

    await desk.act(act, said=lambda said: said)


def numbered(one: SupplyLine, at: int) -> str:
    """How a load is named: by its name, where no other bears it, else by its number among them."""
    name = one.loads[at - 1].name
    return name if sum(load.name == name for load in one.loads) == 1 else str(at)


def as_typed(load: LoadLine) -> str:
    """What a load draws, exactly, as it is typed."""
    micro, unit = (load.power_uw, "W") if load.power_uw is not None else (load.current_ua, "A")
    duty = f", {load.duty_bp / 100:g} %" if load.duty_bp != 10_000 else ""
    many = f"{load.qty} x " if load.qty > 1 else ""
    if micro is None:
        return ""
    whole, part = divmod(micro, 1_000_000)
    return f"{many}{f'{whole}.{part:06}'.rstrip('0').rstrip('.')} {unit}{duty}"


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
    reopen=change_load,
    change=change_limit,
    add=add_load,
    why=supply_why,
)
