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
    from buildbook.reckon.reserve import Reserve

StandIns = Annotated[bool, typer.Option("--stand-ins", help="Take approved stand-ins for what is short.")]
Anyway = Annotated[bool, typer.Option("--anyway", help="Take also what is spoken for by builds that come before.")]
Amount = Annotated[str, typer.Argument(metavar="QTY", show_default=False, help="How many, or how much (1.5 m).")]
MOST_TOLD = 8
Used = Annotated[str | None, typer.Option("--part", metavar="PART", help="The part used, where it was a stand-in.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    for name, verb in (("kit", kit), ("fit", fit), ("unfit", unfit), ("give-back", give_back), ("lose", lose)):
        app.command(name)(verb)


def kit(
    code: AssemblyCode,
    *,
    stand_ins: StandIns = False,
    anyway: Anyway = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Take what a section still needs from the drawers into its kit; what is short stays short and is told.

    What a build that comes before in priority has spoken for is left for it, and told.

    \b
    Example:
      buildbook boards kit CURLEW/MIX
    """
    from buildbook.actions.kits import kit_assembly

    with opened(db) as shop:
        meant = build_making(shop, build, code)
        reserve = None if anyway else reserve_of(shop, meant)
        say(told("Kitted", kit_assembly(shop, meant, code, stand_ins=stand_ins, reserve=reserve), shop, reserve))


def fit(
    code: AssemblyCode,
    refs: Annotated[
        str, typer.Argument(metavar="REFS", show_default=False, help="Only these designators: R1-R4, R7.")
    ] = "",
    *,
    stand_ins: StandIns = False,
    anyway: Anyway = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Mark parts as soldered or bolted in: from the kit first, then from the drawers.

    What a build that comes before in priority has spoken for is left in the drawers, and told.

    \b
    Example:
      buildbook boards fit CURLEW/MIX R1-R4
    """
    from buildbook.actions.kits import fit_lines

    with opened(db) as shop:
        meant = build_making(shop, build, code)
        reserve = None if anyway else reserve_of(shop, meant)
        done = fit_lines(shop, meant, code, refs=refs, stand_ins=stand_ins, reserve=reserve)
        say(told("Fitted", done, shop, reserve))


def build_making(shop: Workshop, build: str | None, code: str) -> str:
    """The build named; else the only one that makes the section, where it is known; else the only one there is."""
    from buildbook.answers.board import builds_making

    if build is not None:
        return build.strip().upper()  # whatever its state: a finished one still gives back its kit
    if code:
        makers = builds_making(shop, code)
        if len(makers) == 1:
            return makers[0]
    return build_meant(shop, build)


def home_of(line: str) -> str:
    """The section of a line named like IF/R12; nothing for a line named by its number."""
    return line.rpartition("/")[0]


def reserve_of(shop: Workshop, build: str) -> Reserve:
    """What the build has spoken for itself."""
    from buildbook.answers.reserve import reserve_of as answer_for

    return answer_for(shop, build)


def told(did: str, done: Kitted, shop: Workshop, reserve: Reserve | None) -> str:
    """What was moved, what is short of it by part, and what was left because another build has spoken for it."""
    from buildbook.answers.board import lacking_in_words
    from buildbook.answers.form import count_of
    from buildbook.answers.reserve import left_in_words

    said = f"{did} {count_of(done.lines, 'line')}"
    if not done.short:
        return f"{said}; nothing is short."
    lacking = lacking_in_words(shop, done.short)
    more = len(lacking) - MOST_TOLD
    and_more = f" and {count_of(more, 'line')} more" if more > 0 else ""
    said += f"; short: {', '.join(lacking[:MOST_TOLD])}{and_more}."
    if done.left and reserve:
        said += f"\nLeft in the drawers: {left_in_words(shop, done.left, reserve)}; --anyway takes it all the same."
    return said


def unfit(line: LineName, qty: Amount, *, part: Used = None, build: BuildCode = None, db: Db = None) -> None:
    """Take parts off a board again; they lie in its kit then.

    \b
    Example:
      buildbook boards unfit AUDIO/R3 1
    """
    from buildbook.actions.kits import unfit as act

    with opened(db) as shop:
        act(shop, build_making(shop, build, home_of(line)), line, qty, part=part)
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
        done = act(shop, build_making(shop, build, code), code, line=line, qty=qty, bin=bin)
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
      buildbook boards lose AUDIO/V1 1 --note "pin broke off"
    """
    from buildbook.actions.kits import scrap_from_kit

    with opened(db) as shop:
        scrap_from_kit(shop, build_making(shop, build, home_of(line)), line, qty, part=part, note=note)
    say(f"Wrote off {qty} at {line}.")
