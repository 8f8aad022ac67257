"""Checks on the command line, its plots: headroom of the supplies and readings in their limits, as pictures."""

from __future__ import annotations

from pathlib import Path
from typing import IO, Annotated

import typer

from buildbook.cli.frame import BuildCode, Db, opened
from buildbook.cli.show import say
from buildbook.errors import BadInput

SUPPLIES, READINGS = "supplies", "readings"


def add_to(app: typer.Typer) -> None:
    """Add the verb to the place."""
    app.command("plot")(plot)


def plot(
    what: Annotated[
        str, typer.Argument(metavar="supplies|readings", show_default=False, help="What the picture shows.")
    ],
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", show_default=False, help="The .svg, .pdf or .png file to write.")
    ],
    replace: Annotated[bool, typer.Option("--replace", help="Write over a file of that name.")] = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Draw the headroom of the supplies, or the readings in their limits, into a file; it is not written over unasked.

    \b
    Example:
      buildbook checks plot supplies --out supplies.svg
      buildbook checks plot readings --out readings.pdf
    """
    from buildbook.answers.form import count_of
    from buildbook.answers.plotted import readings_plotted, supplies_plotted
    from buildbook.exchange.writing import put_in_place
    from buildbook.publish.plots import draw_readings, draw_supplies, kind_of, written
    from buildbook.trade.plain import quote

    if what not in (SUPPLIES, READINGS):
        raise BadInput(f"There is no plot {quote(what)}.", "", f"Say {SUPPLIES} or {READINGS}.")
    kind = kind_of(out)
    with opened(db) as shop:
        if what == SUPPLIES:
            supplies = supplies_plotted(shop, build)
        else:
            points = readings_plotted(shop, build)
    if out.is_file() and not replace:
        raise BadInput(
            f"{quote(out.name, limit=80)} was not written.",
            "A file of that name is there.",
            "Choose another name, or say --replace.",
        )
    if what == SUPPLIES:
        picture = written(kind, "Headroom of the supplies", supplies, draw_supplies)
        said = count_of(len(supplies), "supply", "supplies")
    else:
        picture = written(kind, "Readings in their limits", points, draw_readings)
        said = count_of(len(points), "point")

    def fill(file: IO[bytes]) -> None:
        file.write(picture)

    put_in_place(out, fill)
    say(f"Drew {said} into {out}.")
