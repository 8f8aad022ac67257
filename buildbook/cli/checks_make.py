"""A wanted value met from the drawers, on the command line."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, opened
from buildbook.cli.show import Column, filled, say, show, table

if TYPE_CHECKING:
    from buildbook.answers.make import Makes, PartUsed, WayRow


class Printed(NamedTuple):
    """One printed row: a way, or below it one of its pieces."""

    what: str
    value: str = ""
    off: str = ""
    worst: str = ""
    rss: str = ""
    power: str = ""
    voltage: str = ""
    taken: str = ""
    over: str = ""


def printed(answer: Makes) -> Iterator[Printed]:
    """Each way with its pieces below it."""
    from buildbook.answers.make import off_said

    for row in answer.rows:
        off = off_said(row.error_percent) + ("" if row.meets else ", too far")
        yield Printed(row.how, row.value, off, worst_said(row), rss_said(row))
        for part in row.parts:
            yield Printed(
                f"  {part.key}",
                power=share_said(part.power_share, part.watts, "W"),
                voltage=share_said(part.voltage_share, part.volts, "V"),
                taken=part.taken_from or "free",
                over=over_said(part),
            )


def worst_said(row: WayRow) -> str:
    """The spread in the worst case."""
    if row.low_percent is None or row.high_percent is None:
        return "not stated"
    return f"{row.low_percent:+.2g} to {row.high_percent:+.2g} %"


def rss_said(row: WayRow) -> str:
    """The spread by the root of the sum of squares."""
    return "" if row.rss_percent is None else f"{row.rss_percent:.2g} %"


def share_said(share: float, load: float | None, unit: str) -> str:
    """A share in percent, and what it comes to."""
    return f"{100 * share:.3g} %" + (f", {load:.3g} {unit}" if load is not None else "")


def over_said(part: PartUsed) -> str:
    """Which rating is exceeded, or is asked for and not stated."""
    silent = [
        unit
        for load, rated, unit in ((part.watts, part.rated_watts, "W"), (part.volts, part.rated_volts, "V"))
        if load is not None and rated is None
    ]
    return part.over or (f"states no {' or '.join(silent)}" if silent else "")


def make(
    value: Annotated[
        str, typer.Argument(metavar="VALUE", show_default=False, help="What is wanted: 5k, 33n, 22u 25V.")
    ],
    *,
    kind: Annotated[str | None, typer.Option(metavar="R|C|L", help="Resistor, capacitor or inductor.")] = None,
    tolerance: Annotated[
        str, typer.Option(metavar="PERCENT", show_default=False, help="How near is near enough; 2% if not said.")
    ] = "",
    build: BuildCode = None,
    volts: Annotated[str, typer.Option(metavar="V", show_default=False, help="The voltage across the whole.")] = "",
    watts: Annotated[str, typer.Option(metavar="W", show_default=False, help="The power in the whole.")] = "",
    most: Annotated[int, typer.Option(metavar="1|2|3", help="Of how many parts at most.")] = 3,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Meet a value from what lies in the drawers: by one part, or by two or three in series and parallel.

    What is free comes first; what would be taken from a build is named. Of each number of parts the three nearest ways
    are shown. No part is derated: leave a margin, and where mains or high voltage is about, local codes decide.

    \b
    Example:
      buildbook checks make 5k --tolerance 1% --watts 0.5
      buildbook checks make 33n --kind C --volts 250
    """
    from buildbook.answers.make import make as met

    with opened(db) as shop:
        answer = met(shop, value, kind=kind, tolerance=tolerance, build=build, volts=volts, watts=watts, most=most)
    show(answer, as_json=as_json)
    if as_json:
        return
    rows = list(printed(answer))
    columns: list[Column[Printed]] = [
        Column("parts", lambda row: row.what),
        Column("value", lambda row: row.value, right=True),
        Column("off by", lambda row: row.off),
        Column("worst case", lambda row: row.worst),
        Column("RSS", lambda row: row.rss),
        Column(answer.rows[0].shared if answer.rows else "", lambda row: row.power),
        Column("voltage", lambda row: row.voltage),
        Column("from", lambda row: row.taken, tone=lambda row: "" if row.taken == "free" else "warn"),
        Column("rating", lambda row: row.over, shrink=True, tone=lambda row: "warn"),
    ]
    table(filled(columns, rows), rows)
    for remark in answer.remarks:
        say(remark, apart=True)


def add_to(app: typer.Typer) -> None:
    """Add the verb to the place."""
    app.command()(make)
