"""Boards on the command line, what is done with parts: kitted, fitted, taken off, given back, written off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.boards_define import LineName
from buildbook.cli.frame import AssemblyCode, BuildCode, Db, build_meant, opened
from buildbook.cli.show import say

if TYPE_CHECKING:
    from buildbook.actions.kits import Kitted
    from buildbook.actions.workshop import Workshop

StandIns = Annotated[bool, typer.Option("--stand-ins", help="Take approved stand-ins for what is short.")]
Amount = Annotated[str, typer.Argument(metavar="QTY", show_default=False, help="How many, or how much (1.5 m).")]
MOST_TOLD = 8
Used = Annotated[str | None, typer.Option("--part", metavar="PART", help="The part used, where it was a stand-in.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    for name, verb in (("kit", kit), ("fit", fit), ("unfit", unfit), ("give-back", give_back), ("lose", lose)):
        app.command(name)(verb)


def kit(code: AssemblyCode, *, stand_ins: StandIns = False, build: BuildCode = None, db: Db = None) -> None:
    """Take what a section still needs from the drawers into its kit; what is short stays short and is told.

    \b
    Example:
      buildbook boards kit CURLEW/AUDIO
    """
    from buildbook.actions.kits import kit_assembly

    with opened(db) as shop:
        done = kit_assembly(shop, build_meant(shop, build), code, stand_ins=stand_ins)
        say(told("Kitted", done, shop))


def fit(
    code: AssemblyCode,
    refs: Annotated[
        str, typer.Argument(metavar="[REFS]", show_default=False, help="Only these designators: R1-R4, R7.")
    ] = "",
    *,
    stand_ins: StandIns = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Mark parts as soldered or bolted in: from the kit first, then from the drawers.

    \b
    Example:
      buildbook boards fit CURLEW/AUDIO R1-R4
    """
    from buildbook.actions.kits import fit_lines

    with opened(db) as shop:
        done = fit_lines(shop, build_meant(shop, build), code, refs=refs, stand_ins=stand_ins)
        say(told("Fitted", done, shop))


def told(did: str, done: Kitted, shop: Workshop) -> str:
    """What was moved and what is short of it, by part."""
    from buildbook.answers.board import lacking_in_words
    from buildbook.answers.form import count_of

    said = f"{did} {count_of(done.lines, 'line')}"
    if not done.short:
        return f"{said}; nothing is short."
    lacking = lacking_in_words(shop, done.short)
    more = f" and {len(lacking) - MOST_TOLD} lines more" if len(lacking) > MOST_TOLD else ""
    return f"{said}; short: {', '.join(lacking[:MOST_TOLD])}{more}."


def unfit(line: LineName, qty: Amount, *, part: Used = None, build: BuildCode = None, db: Db = None) -> None:
    """Take parts off a board again; they lie in its kit then.

    \b
    Example:
      buildbook boards unfit AUDIO/R3 1
    """
    from buildbook.actions.kits import unfit as act

    with opened(db) as shop:
        act(shop, build_meant(shop, build), line, qty, part=part)
    say(f"Took {qty} off at {line}; it lies in the kit.")


def give_back(
    code: AssemblyCode,
    *,
    line: Annotated[str | None, typer.Option("--line", metavar="LINE", help="Only this line (IF/R12).")] = None,
    qty: Annotated[str | None, typer.Option("--qty", metavar="QTY", help="Only so many of that line.")] = None,
    bin: Annotated[str | None, typer.Option("--bin", metavar="BIN", help="Into this bin.")] = None,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Give the kit of a section back to the bins it came from.

    \b
    Example:
      buildbook boards give-back CURLEW/AUDIO
    """
    from buildbook.actions.kits import give_back as act
    from buildbook.answers.form import count_of

    with opened(db) as shop:
        done = act(shop, build_meant(shop, build), code, line=line, qty=qty, bin=bin)
    say(f"Gave back {count_of(done.lines, 'line')}.")


def lose(
    line: LineName,
    qty: Amount,
    *,
    part: Used = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="What happened.")] = "",
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Write off parts of a kit that were lost or spoilt; what they cost stays with the build.

    \b
    Example:
      buildbook boards lose AUDIO/Q1 1 --note "pin broke off"
    """
    from buildbook.actions.kits import scrap_from_kit

    with opened(db) as shop:
        scrap_from_kit(shop, build_meant(shop, build), line, qty, part=part, note=note)
    say(f"Wrote off {qty} at {line}.")
