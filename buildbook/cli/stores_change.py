"""Stores on the command line, what changes them: counts, receipts, moves, scrap, parts, stand-ins."""

from __future__ import annotations

from typing import Annotated

import typer

from buildbook.cli.frame import Db, PartKey, complete_parts, opened
from buildbook.cli.show import say

BinName = Annotated[str, typer.Argument(metavar="BIN", show_default=False, help="The bin: a drawer, box or reel.")]
Amount = Annotated[str, typer.Argument(metavar="QTY", show_default=False, help="How many, or how much (1.5 m).")]
Other = Annotated[
    str,
    typer.Argument(
        metavar="OTHER", show_default=False, help="The other part: its key or name.", autocompletion=complete_parts
    ),
]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    for name, verb in (
        ("count", count),
        ("receive", receive),
        ("move", move),
        ("scrap", scrap),
        ("new-bin", new_bin),
        ("new-part", new_part),
        ("change-part", change_part),
        ("merge", merge),
        ("stand-in", stand_in),
        ("no-stand-in", no_stand_in),
        ("keep", keep),
    ):
        app.command(name)(verb)


def count(part: PartKey, bin: BinName, qty: Amount, *, db: Db = None) -> None:
    """Say how many lie in a bin; the difference to what was thought is booked.

    \b
    Example:
      buildbook stores count R-4K7-0.6W A03 37
    """
    from buildbook.actions.stores import count as act
    from buildbook.answers.stores import part_named
    from buildbook.trade.units import Unit, show_quantity

    with opened(db) as shop:
        done = act(shop, part, bin, qty)
        unit = Unit(part_named(shop, done.part).unit)
    changed = done.after - done.before
    how = (
        f"{show_quantity(abs(changed), unit)} {'more' if changed > 0 else 'fewer' if unit is Unit.PC else 'less'} than"
    )
    counted = f"Counted {show_quantity(done.after, unit)} of {done.part} in {done.bin}"
    say(f"{counted}, {how} was thought." if changed else f"{counted}, as was thought.")


def receive(
    part: PartKey,
    bin: BinName,
    qty: Amount,
    *,
    price: Annotated[str, typer.Option("--price", metavar="MONEY", help="What one cost (or as --per says).")] = "",
    per: Annotated[str, typer.Option("--per", metavar="QTY", help="What the price is for: 100, 1 m, 1 kg.")] = "",
    db: Db = None,
) -> None:
    """Put parts that came in by themselves into a bin (those of an order: `buying receive`).

    \b
    Example:
      buildbook stores receive R-4K7-0.6W A03 100 --price 2.40 --per 100
    """
    from buildbook.actions.stores import receive as act
    from buildbook.answers.offers import currency_of
    from buildbook.answers.stores import part_named
    from buildbook.trade.money import read_money
    from buildbook.trade.units import Unit, read_quantity

    with opened(db) as shop:
        known = part_named(shop, part)
        micros = read_money(price, currency_of(shop)) if price else None
        per_qty = read_quantity(per, Unit(known.unit)) if per else 1
        act(shop, known.key, bin, qty, price_micros=micros, per_qty=per_qty)
    say(f"Received {qty} of {part} into {bin}.")


def move(
    part: PartKey,
    bin: BinName,
    to: Annotated[str, typer.Argument(metavar="TO", show_default=False, help="The bin where they go.")],
    qty: Annotated[str | None, typer.Argument(metavar="QTY", help="How many; all when not said.")] = None,
    *,
    db: Db = None,
) -> None:
    """Move parts from one bin to another.

    \b
    Example:
      buildbook stores move C-100N-630V B14 B07
    """
    from buildbook.actions.stores import move as act

    with opened(db) as shop:
        act(shop, part, bin, to, qty)
    say(f"Moved {qty or 'all'} of {part} from {bin} to {to}.")


def scrap(
    part: PartKey,
    bin: BinName,
    qty: Amount,
    *,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="Why.")] = "",
    db: Db = None,
) -> None:
    """Write off parts that lie in a bin.

    \b
    Example:
      buildbook stores scrap C-22U-450V B10 1 --note "bulging"
    """
    from buildbook.actions.stores import scrap as act

    with opened(db) as shop:
        act(shop, part, bin, qty, note=note)
    say(f"Scrapped {qty} of {part} from {bin}.")


def new_bin(
    name: BinName,
    *,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="Where it stands.")] = "",
    db: Db = None,
) -> None:
    """Make a bin known.

    \b
    Example:
      buildbook stores new-bin Q01 --note "grey cabinet, third row"
    """
    from buildbook.actions.stores import new_bin as act

    with opened(db, create=True) as shop:
        say(f"New bin {act(shop, name, note)}.")


def new_part(
    key: Annotated[str, typer.Argument(metavar="KEY", show_default=False, help="A short name of its own.")],
    *,
    kind: Annotated[str, typer.Option("--kind", metavar="KIND", help="resistor, capacitor, valve, wire...")] = "other",
    name: Annotated[str, typer.Option("--name", metavar="TEXT", help="What it is.")] = "",
    value: Annotated[str, typer.Option("--value", metavar="VALUE", help="4k7 1% 0.6W, 22u 25V, or a type.")] = "",
    package: Annotated[str, typer.Option("--package", metavar="TEXT", help="Its package.")] = "",
    maker: Annotated[str, typer.Option("--maker", metavar="TEXT", help="Who makes it.")] = "",
    maker_number: Annotated[str, typer.Option("--maker-number", metavar="TEXT", help="The maker's number.")] = "",
    unit: Annotated[str, typer.Option("--unit", metavar="UNIT", help="How it is counted: pc, mm, mg or ul.")] = "pc",
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="A remark.")] = "",
    area: Annotated[str, typer.Option("--area", metavar="AREA", help="Its room on a board: 7 x 5 mm, 35 mm2.")] = "",
    db: Db = None,
) -> None:
    """Make a part known.

    \b
    Example:
      buildbook stores new-part R-5K6-0.6W --kind resistor --value "5k6 1% 0.6W"
    """
    from buildbook.actions.stores import new_part as act

    with opened(db, create=True) as shop:
        made = act(
            shop,
            key,
            kind=kind,
            name=name,
            value=value,
            package=package,
            maker=maker,
            maker_number=maker_number,
            unit=unit,
            note=note,
            area=area,
        )
    say(f"New part {made}.")


def change_part(
    part: PartKey,
    *,
    key: Annotated[
        str | None, typer.Option("--key", metavar="KEY", help="Another key; the old one still finds it.")
    ] = None,
    kind: Annotated[str | None, typer.Option("--kind", metavar="KIND", help="Its kind.")] = None,
    name: Annotated[str | None, typer.Option("--name", metavar="TEXT", help="What it is.")] = None,
    value: Annotated[str | None, typer.Option("--value", metavar="VALUE", help="Its value or type.")] = None,
    package: Annotated[str | None, typer.Option("--package", metavar="TEXT", help="Its package.")] = None,
    maker_number: Annotated[
        str | None, typer.Option("--maker-number", metavar="TEXT", help="The maker's number.")
    ] = None,
    unit: Annotated[str | None, typer.Option("--unit", metavar="UNIT", help="pc, mm, mg or ul.")] = None,
    note: Annotated[str | None, typer.Option("--note", metavar="TEXT", help="A remark.")] = None,
    area: Annotated[str | None, typer.Option("--area", metavar="AREA", help="Its room on a board: 7 x 5 mm.")] = None,
    db: Db = None,
) -> None:
    """Change what is known of a part.

    \b
    Example:
      buildbook stores change-part R-4K7-0.6W --value "4k7 1% 0.6W"
    """
    from buildbook.actions.stores import change_part as act

    with opened(db) as shop:
        act(
            shop,
            part,
            key=key,
            kind=kind,
            name=name,
            value=value,
            package=package,
            maker_number=maker_number,
            unit=unit,
            note=note,
            area=area,
        )
    say(f"Changed {key or part}.")


def merge(part: PartKey, into: Other, *, db: Db = None) -> None:
    """Make one part of two that are the same under two names; the old name still finds it.

    \b
    Example:
      buildbook stores merge C-0U1-630V C-100N-630V
    """
    from buildbook.actions.merging import merge as act

    with opened(db) as shop:
        act(shop, part, into)
    say(f"{part} is now {into}.")


def stand_in(
    part: PartKey,
    other: Other,
    *,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", show_default=False, help="Why it may.")],
    db: Db = None,
) -> None:
    """Approve another part in the place of this one, in this direction only.

    \b
    Example:
      buildbook stores stand-in Q-BC547B Q-BC547C --reason "more gain does no harm here"
    """
    from buildbook.actions.stores import allow_stand_in

    with opened(db) as shop:
        allow_stand_in(shop, part, other, reason)
    say(f"{other} may stand in for {part}.")


def no_stand_in(part: PartKey, other: Other, *, db: Db = None) -> None:
    """Take the approval of a stand-in back.

    \b
    Example:
      buildbook stores no-stand-in Q-BC547B Q-BC547C
    """
    from buildbook.actions.stores import forbid_stand_in

    with opened(db) as shop:
        forbid_stand_in(shop, part, other)
    say(f"{other} may no longer stand in for {part}.")


def keep(part: PartKey, qty: Amount, *, db: Db = None) -> None:
    """Say how many of a part are always to lie in the drawers, whatever is built; nought for none.

    \b
    Example:
      buildbook stores keep D-1N4007 20
    """
    from buildbook.actions.terms import keep_at_least

    with opened(db) as shop:
        key = keep_at_least(shop, part, qty)
    say(f"To be kept of {key}: {qty}; `buildbook buying plan --keep` buys what is missing.")
