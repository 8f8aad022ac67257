"""Checks on the command line, its plots: headroom of the supplies and readings in their limits, as pictures."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import BuildCode, Db, opened
from buildbook.cli.printing import require_free
from buildbook.cli.show import say
from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

WHAT = ("supplies", "readings", "options", "history")


def add_to(app: typer.Typer) -> None:
    """Add the verb to the place."""
    app.command("plot")(plot)


def plot(
    what: Annotated[
        str,
        typer.Argument(metavar="|".join(WHAT), show_default=False, help="What the picture shows."),
    ],
    of: Annotated[
        str | None,
        typer.Argument(metavar="NAME", show_default=False, help="The question of the options, the point of a history."),
    ] = None,
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", show_default=False, help="The .svg, .pdf or .png file to write.")
    ],
    replace: Annotated[bool, typer.Option("--replace", help="Write over a file of that name.")] = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Draw headroom, readings, the answers to a question or the history of a point into a file.

    A file of that name is not written over unasked.

    \b
    Example:
      buildbook checks plot supplies --out supplies.svg
      buildbook checks plot readings --out readings.pdf
      buildbook checks plot options RECT --out rectifier.svg
    """
    from buildbook.exchange.writing import put_bytes
    from buildbook.publish.plots import kind_of
    from buildbook.trade.plain import quote

    if what not in WHAT:
        raise BadInput(f"There is no plot {quote(what)}.", "", f"Say one of {', '.join(WHAT)}.")
    if (what in ("options", "history")) != bool(of):
        raise BadInput(f"The {what} were not drawn.", "", "Name the question of options, the point of a history.")
    kind = kind_of(out)
    with opened(db) as shop:
        picture, said = drawn(shop, what, of or "", kind, build)
    require_free(out, replace=replace)
    put_bytes(out, picture)
    say(f"Drew {said} into {out}.")


def drawn(shop: Workshop, what: str, of: str, kind: str, build: str | None) -> tuple[bytes, str]:
    """The picture, and what is on it in words."""
    from buildbook.answers import plotted
    from buildbook.answers.form import count_of
    from buildbook.publish import plots

    if what == "supplies":
        supplies = plotted.supplies_plotted(shop, build)
        said = count_of(len(supplies), "supply", "supplies")
        return plots.written(kind, "Headroom of the supplies", supplies, plots.draw_supplies), said
    if what == "options":
        from buildbook.answers.weigh import weigh
        from buildbook.answers.weigh_figures import figures_weighed

        answer = weigh(shop, of)
        picture = plots.written(kind, answer.asks, figures_weighed(answer), plots.draw_options)
        return picture, count_of(len(answer.rows), "answer")
    if what == "history":
        point = plotted.point_over_builds(shop, of)
        return plots.written(kind, point.point, [point], lambda some: plots.draw_builds(some[0])), point.point
    points = plotted.readings_plotted(shop, build)
    return plots.written(kind, "Readings in their limits", points, plots.draw_readings), count_of(len(points), "point")
