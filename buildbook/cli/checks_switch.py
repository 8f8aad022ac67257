"""A transistor as a switch, on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, Db
from buildbook.cli.show import Column, say, show

if TYPE_CHECKING:
    from buildbook.answers.switch import BaseRow


def switch(
    load: Annotated[str, typer.Argument(metavar="CURRENT", show_default=False, help="What it switches: 30 mA.")],
    drive: Annotated[str, typer.Argument(metavar="VOLTS", show_default=False, help="What drives its base: 6 V.")],
    *,
    base: Annotated[str, typer.Option(metavar="VOLTS", show_default=False, help="VBE(sat); 0.8 V if not said.")] = "",
    beta: Annotated[str, typer.Option(metavar="N", show_default=False, help="Forced beta; 10 if not said.")] = "",
    saturated: Annotated[
        str, typer.Option("--sat", metavar="VOLTS", show_default=False, help="VCE(sat) of the data sheet: 0.3 V.")
    ] = "",
    db: Db = None,  # it asks nothing of the workshop, but every verb takes the option
    as_json: AsJson = False,
) -> None:
    """A transistor as a switch: the base resistor that saturates it, the forced beta, and the loss.

    \b
    Example:
      buildbook checks switch "30 mA" "6 V"
      buildbook checks switch "150 mA" "12 V" --sat "0.3 V"
    """
    from buildbook.answers.switch import switch as reckoned
    from buildbook.trade.amounts import show_amount

    answer = reckoned(load, drive, base=base, beta=beta, saturated=saturated)
    columns: list[Column[BaseRow]] = [
        Column("series", lambda row: row.series),
        Column("base resistor", lambda row: row.said),
    ]
    show(answer, columns, as_json=as_json)
    if as_json:
        return
    if answer.on_ohms is not None and answer.lost_watts is not None:
        on, lost = (float(f"{one:.3g}") for one in (answer.on_ohms, answer.lost_watts))
        say(f"Saturated it looks like {show_amount(on, 'Ω')} and loses {show_amount(lost, 'W')}.", apart=True)
    say(answer.rule, apart=True)
    say(answer.caution)


def add_to(app: typer.Typer) -> None:
    """Add the verb to the place."""
    app.command()(switch)
