"""Checks on the command line, the supply budget: supplies and loads written down, and how each supply stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, opened
from buildbook.cli.show import Column, filled, say, show
from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.answers.supply import SupplyLine

TONES = {"within": "good", "tight": "warn", "over": "bad", "unknown": "warn"}
SupplyCode = Annotated[str, typer.Argument(metavar="SUPPLY", show_default=False, help="Its code, or PROJECT/CODE.")]
Volts = Annotated[str | None, typer.Option("--volts", metavar="VOLTS", show_default=False, help="6.3 V; mains 230 V.")]
Limit = Annotated[str | None, typer.Option("--limit", metavar="AMPS", show_default=False, help="2.5 A; a core 60 VA.")]
KeepFree = Annotated[
    str | None, typer.Option("--keep-free", metavar="PERCENT", show_default=False, help="The margin of the limit.")
]
FedBy = Annotated[
    str | None, typer.Option("--fed-by", metavar="SUPPLY", show_default=False, help="What feeds it; - for nothing.")
]
Factor = Annotated[
    str | None,
    typer.Option(metavar="FACTOR", show_default=False, help="Winding over direct current, 1.8; or an efficiency, 85%."),
]
Tolerance = Annotated[
    str | None, typer.Option("--tolerance", metavar="PERCENT", show_default=False, help="Of its volts: 5%.")
]
Named = Annotated[str | None, typer.Option("--name", metavar="TEXT", show_default=False, help="What it is.")]
Draws = Annotated[
    str, typer.Argument(metavar="DRAWS", show_default=False, help="2 x 300 mA, 50 %; LED 2 V, 1k; relay 300 ohm.")
]
Note = Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="A remark on it.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("supply", supply),
        ("supply-new", new_supply),
        ("supply-change", change_supply),
        ("supply-drop", drop_supply),
        ("supply-load", new_load),
        ("supply-reload", change_load),
        ("supply-unload", drop_load),
    )
    for name, verb in verbs:
        app.command(name)(verb)


class Printed(NamedTuple):
    """One printed row: a supply, or below it a load, an answer or a proposal."""

    state: str
    code: str
    what: str
    said: str


def printed(rows: Sequence[SupplyLine], *, full: bool = False) -> Iterator[Printed]:
    """Each supply below what feeds it, with the answers that make a difference; in full, with loads and offers."""
    several = len({row.project for row in rows}) > 1
    for row in rows:
        blanks = "  " * row.depth
        code = f"{row.project}/{row.code}" if several else row.code
        yield Printed(row.state, blanks + code, row.name or row.kind, row.said)
        if row.fuse:
            yield Printed("", "", "", row.fuse)
        if full:
            for text in filter(None, (row.made, row.note)):
                yield Printed("", "", "", text)
            for load in row.loads:
                state = "" if load.counts else "left out"
                yield Printed(state, f"{blanks}  {load.option}", load.name, load.said)
            for offer in row.offered:
                yield Printed("offered", f"{blanks}  {offer.option}", offer.name, offer.said)
        for one in row.answers:
            yield Printed("chosen" if one.chosen else "", "", "", one.said)


def columns(rows: Sequence[Printed]) -> list[Column[Printed]]:
    """State, supply, what it is, how it stands; those that say something."""
    found: list[Column[Printed]] = [
        Column("state", lambda row: row.state, tone=lambda row: TONES.get(row.state, "")),
        Column("supply", lambda row: row.code),
        Column("what", lambda row: row.what, shrink=True),
        Column("load and limit", lambda row: row.said, shrink=True),
    ]
    return filled(found, rows)


def supply(
    *,
    full: Annotated[bool, typer.Option("--full", help="With every load, and the factors.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The supply budget: load, limit, margin and headroom of each winding and rail, and what each answer would bring.

    \b
    Example:
      buildbook checks supply --full
    """
    from buildbook.answers.supply import supply as budget

    with opened(db) as shop:
        answer = budget(shop, build)
    rows = list(printed(answer.rows, full=full))
    show(answer, columns(rows), rows=rows, as_json=as_json)


def new_supply(
    code: Annotated[str, typer.Argument(metavar="PROJECT/CODE", show_default=False, help="What to call it.")],
    kind: Annotated[str, typer.Argument(metavar="KIND", show_default=False, help="fuse, core, winding or rail.")],
    *,
    name: Named = None,
    volts: Volts = None,
    limit: Limit = None,
    keep_free: KeepFree = None,
    fed_by: FedBy = None,
    made: Annotated[
        str,
        typer.Option(metavar="CIRCUIT", show_default=False, help='"bridge, capacitor", "linear", "switching" ...'),
    ] = "",
    factor: Factor = None,
    alike: Annotated[int, typer.Option(metavar="N", help="So many windings, or halves, carry this same load.")] = 1,
    note: Note = "",
    tolerance: Tolerance = None,
    db: Db = None,
) -> None:
    """Write a supply down: a fuse, a core, a winding or a rail, with its limit and what feeds it.

    \b
    Example:
      buildbook checks supply-new CURLEW/LAMPS winding --volts "6.3 V" --limit "0.5 A" --keep-free 20%
    """
    from buildbook.actions import supply as actions

    project, slash, own = code.rpartition("/")
    if not slash:
        raise BadInput(f"{code} was not written down.", "It does not say of which project.", "Write PROJECT/CODE.")
    feeder = "" if fed_by in (None, "-") else fed_by
    new = actions.NewSupply(
        own,
        kind,
        name or "",
        volts or "",
        limit or "",
        keep_free or "",
        feeder or "",
        made,
        factor or "",
        alike,
        note,
        tolerance or "",
    )
    with opened(db) as shop:
        path = actions.add_supply(shop, project, new)
    say(f"Written down: {path}.")


def change_supply(
    supply: SupplyCode,
    *,
    name: Named = None,
    volts: Volts = None,
    limit: Limit = None,
    keep_free: KeepFree = None,
    fed_by: FedBy = None,
    factor: Factor = None,
    tolerance: Tolerance = None,
    db: Db = None,
) -> None:
    """Change the limit, the margin, the factor or the feeder of a supply.

    \b
    Example:
      buildbook checks supply-change CURLEW/HTR --keep-free 10%
    """
    from buildbook.actions import supply as actions

    with opened(db) as shop:
        path = actions.change_supply(
            shop,
            supply,
            name=name,
            volts=volts,
            limit=limit,
            keep_free=keep_free,
            fed_by=fed_by,
            factor=factor,
            tolerance=tolerance,
        )
    say(f"Changed: {path}.")


def drop_supply(supply: SupplyCode, *, db: Db = None) -> None:
    """Take a supply away, with the loads on it.

    \b
    Example:
      buildbook checks supply-drop CURLEW/HT
    """
    from buildbook.actions import supply as actions

    with opened(db) as shop:
        actions.drop_supply(shop, supply)
    say("Taken away.")


def new_load(
    supply: SupplyCode,
    name: Annotated[str, typer.Argument(metavar="NAME", show_default=False, help="What draws.")],
    draws: Draws = "",
    *,
    qty: Annotated[int, typer.Option(metavar="N", help="How many of them.")] = 1,
    current: Annotated[str, typer.Option(metavar="AMPS", show_default=False, help="Of each: 300 mA.")] = "",
    power: Annotated[str, typer.Option(metavar="WATTS", show_default=False, help="Of each: 0.25 W.")] = "",
    heater: Annotated[
        str, typer.Option(metavar="TYPE", show_default=False, help="Its heater: ECC83; in series EL84+EL84.")
    ] = "",
    duty: Annotated[str, typer.Option(metavar="PERCENT", show_default=False, help="The time in which it is on.")] = "",
    assembly: Annotated[str, typer.Option(metavar="CODE", show_default=False, help="Where it stands.")] = "",
    option: Annotated[
        str, typer.Option(metavar="QUESTION:ANSWER", show_default=False, help="With which answer it comes.")
    ] = "",
    note: Note = "",
    db: Db = None,
) -> None:
    """Write down what draws on a winding or a rail; what is left out is not known, and is counted as that.

    \b
    Example:
      buildbook checks supply-load CURLEW/HTR "second eye" --heater EF86 --assembly PANEL
      buildbook checks supply-load CURLEW/HTR "dial lamps" "2 x 50 mA, 25 %"
    """
    from buildbook.actions import supply as actions

    new = actions.NewLoad(name, qty, current, power, heater, duty, assembly, option, note, draws)
    with opened(db) as shop:
        said = actions.add_load(shop, supply, new)
    say(said)


def change_load(
    supply: SupplyCode,
    load: Annotated[str, typer.Argument(metavar="LOAD", show_default=False, help="Its name, or its number.")],
    draws: Annotated[
        str | None, typer.Argument(metavar="DRAWS", show_default=False, help="2 x 300 mA, 50 %; empty: not known.")
    ] = None,
    *,
    name: Named = None,
    assembly: Annotated[
        str | None, typer.Option(metavar="CODE", show_default=False, help="Where it stands; empty for none.")
    ] = None,
    option: Annotated[
        str | None, typer.Option(metavar="QUESTION:ANSWER", show_default=False, help="Its answer; empty for none.")
    ] = None,
    note: Annotated[str | None, typer.Option(metavar="TEXT", show_default=False, help="A remark on it.")] = None,
    db: Db = None,
) -> None:
    """Change what a load draws, what it is called, where it stands or with which answer it comes.

    \b
    Example:
      buildbook checks supply-reload CURLEW/HTR "dial LED pair" "2 x 12 mA"
    """
    from buildbook.actions import supply as actions

    with opened(db) as shop:
        said = actions.change_load(
            shop, supply, load, name=name, draws=draws, assembly=assembly, option=option, note=note
        )
    say(said)


def drop_load(
    supply: SupplyCode,
    name: Annotated[str, typer.Argument(metavar="NAME", show_default=False, help="Its name, or its number.")],
    *,
    db: Db = None,
) -> None:
    """Take a load off a supply.

    \b
    Example:
      buildbook checks supply-unload CURLEW/HTR "EZ80 heater"
    """
    from buildbook.actions import supply as actions

    with opened(db) as shop:
        actions.drop_load(shop, supply, name)
    say("Taken off.")
