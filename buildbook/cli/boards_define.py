"""Boards on the command line, what is defined: projects, assemblies, builds, and the lines of parts lists."""

from __future__ import annotations

from typing import Annotated

import typer

from buildbook.cli.frame import AssemblyCode, Db, PartKey, complete_assemblies, opened
from buildbook.cli.show import say

Code = Annotated[
    str, typer.Argument(metavar="CODE", show_default=False, help="PROJECT, or PROJECT/ASSEMBLY for a section of it.")
]
Inside = Annotated[
    str,
    typer.Option(
        "--inside", metavar="ASSEMBLY", help="The assembly that holds it.", autocompletion=complete_assemblies
    ),
]
Quantity = Annotated[str | None, typer.Option("--qty", metavar="QTY", help="How many, or how much (1.5 m).")]
LineName = Annotated[
    str, typer.Argument(metavar="LINE", show_default=False, help="Where it stands (IF/R12), or its number.")
]
Refs = Annotated[str | None, typer.Option("--refs", metavar="REFS", help="Reference designators: R1-R4, R7.")]
OptionName = Annotated[
    str | None, typer.Option("--option", metavar="QUESTION:ANSWER", help="It counts only while that is chosen.")
]
Loss = Annotated[float | None, typer.Option("--loss", metavar="PERCENT", min=0, max=100, help="Allowance for loss.")]
Note = Annotated[str | None, typer.Option("--note", metavar="TEXT", help="A remark.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    for name, verb in (
        ("new", new),
        ("put", put),
        ("take-out", take_out),
        ("ready-made", ready_made),
        ("build", build),
        ("add-line", add_line),
        ("change-line", change_line),
        ("drop-line", drop_line),
    ):
        app.command(name)(verb)


def new(
    code: Code,
    *,
    name: Annotated[str, typer.Option("--name", metavar="TEXT", help="What it is called.")] = "",
    kind: Annotated[str, typer.Option("--kind", metavar="KIND", help="board, case, panel, harness or unit.")] = "board",
    inside: Inside = "",
    qty: Annotated[int, typer.Option("--qty", min=1, help="How many of it are inside.")] = 1,
    units: Annotated[int, typer.Option("--units", min=1, help="How many units of a project to build.")] = 1,
    target: Annotated[
        str, typer.Option("--target", metavar="DAY", help="When it should be finished (2027-03-14).")
    ] = "",
    db: Db = None,
) -> None:
    """Start a project, with one build of it; or add a section to one.

    \b
    Example:
      buildbook boards new HERON --name "Heron phono amplifier" --target 2027-06-01
      buildbook boards new HERON/PSU --name "Supply board"
    """
    from buildbook.actions.boards import new_assembly, new_project

    project, slash, assembly = code.partition("/")
    with opened(db, create=True) as shop:
        if slash:
            path = new_assembly(shop, project, assembly, name, kind, inside=inside, qty=qty)
            say(f"Added {path}; fill its parts list with `buildbook boards import LIST.csv --into {path}`.")
        else:
            made = new_project(shop, project, name, units, target)
            say(f"Started project {made}, with one build of that code; add sections with `boards new {made}/SECTION`.")


def put(
    child: AssemblyCode,
    *,
    inside: Annotated[str, typer.Option("--inside", metavar="ASSEMBLY", show_default=False, help="What holds it.")],
    qty: Annotated[int, typer.Option("--qty", min=1, help="How many of it.")] = 1,
    option: OptionName = None,
    db: Db = None,
) -> None:
    """Put an assembly inside another, so many times; one assembly may serve several.

    \b
    Example:
      buildbook boards put CURLEW/BAND --inside CURLEW/COIL --qty 3
    """
    from buildbook.actions.boards import put_inside

    with opened(db) as shop:
        put_inside(shop, inside, child, qty, option=option)
    say(f"Put {qty} x {child} inside {inside}.")


def take_out(
    child: AssemblyCode,
    *,
    inside: Annotated[str, typer.Option("--inside", metavar="ASSEMBLY", show_default=False, help="What holds it.")],
    option: OptionName = None,
    db: Db = None,
) -> None:
    """Take an assembly out of another.

    \b
    Example:
      buildbook boards take-out CURLEW/BAND --inside CURLEW/COIL
    """
    from buildbook.actions.boards import take_out as act

    with opened(db) as shop:
        act(shop, inside, child, option=option)
    say(f"Took {child} out of {inside}.")


def ready_made(
    code: AssemblyCode,
    qty: Annotated[int, typer.Argument(metavar="QTY", min=0, show_default=False, help="How many lie on the shelf.")],
    *,
    db: Db = None,
) -> None:
    """Say how many finished ones of an assembly lie on the shelf; builds use those before any are made.

    \b
    Example:
      buildbook boards ready-made WREN/PROBE 2
    """
    from buildbook.actions.boards import set_ready_made

    with opened(db) as shop:
        say(f"{set_ready_made(shop, code, qty)}: {qty} ready-made.")


def build(
    code: Annotated[str, typer.Argument(metavar="BUILD", show_default=False, help="Its code.")],
    *,
    of: Annotated[str | None, typer.Option("--of", metavar="ASSEMBLY", help="Begin a new build of this.")] = None,
    units: Annotated[int | None, typer.Option("--units", min=1, help="How many units.")] = None,
    priority: Annotated[int | None, typer.Option("--priority", min=1, help="Its place: 1 takes parts first.")] = None,
    state: Annotated[
        str | None, typer.Option("--state", metavar="STATE", help="planned, active, finished or dropped.")
    ] = None,
    target: Annotated[str | None, typer.Option("--target", metavar="DAY", help="When it should be finished.")] = None,
    db: Db = None,
) -> None:
    """Begin a build of an assembly, or change one: its units, its place in the order of priority, its state.

    \b
    Example:
      buildbook boards build LINNET --units 2 --priority 1
    """
    from buildbook.actions.boards import change_build, new_build
    from buildbook.answers.record import DROPPED, freeze, is_kept

    with opened(db) as shop:
        if of is not None:
            made = new_build(
                shop, code, of, units or 1, priority=priority, target_on=target or "", state=state or "active"
            )
            say(f"Began build {made}.")
        else:
            kept = is_kept(shop, code)
            change_build(shop, code, units=units, priority=priority, state=state, target_on=target, keep=freeze)
            say(f"Changed build {code.upper()}.{DROPPED if kept and not is_kept(shop, code) else ''}")


def basis_points(percent: float | None) -> int | None:
    """A percentage in 1/100 %."""
    return None if percent is None else round(percent * 100)


def add_line(
    code: AssemblyCode,
    part: PartKey,
    *,
    qty: Quantity = None,
    refs: Refs = None,
    fitted: Annotated[bool, typer.Option("--fit/--do-not-fit", help="Whether it is fitted.")] = True,
    loss: Loss = None,
    option: OptionName = None,
    note: Note = None,
    db: Db = None,
) -> None:
    """Add a line to a parts list.

    \b
    Example:
      buildbook boards add-line CURLEW/IF C-100N-630V --refs C4,C5
    """
    from buildbook.actions.lists import add_line as act

    with opened(db) as shop:
        act(
            shop,
            code,
            part,
            qty,
            refs or "",
            fitted=fitted,
            loss_bp=basis_points(loss) or 0,
            option=option,
            note=note or "",
        )
    say(f"Added {part} to {code}.")


def change_line(
    line: LineName,
    *,
    part: Annotated[str | None, typer.Option("--part", metavar="PART", help="Another part.")] = None,
    qty: Quantity = None,
    refs: Refs = None,
    fitted: Annotated[bool | None, typer.Option("--fit/--do-not-fit", help="Whether it is fitted.")] = None,
    loss: Loss = None,
    option: OptionName = None,
    note: Note = None,
    db: Db = None,
) -> None:
    """Change a line of a parts list; an empty --option takes its option away.

    \b
    Example:
      buildbook boards change-line IF/R12 --part R-47K-0.6W
    """
    from buildbook.actions.lists import change_line as act

    with opened(db) as shop:
        act(
            shop,
            line,
            part=part,
            qty=qty,
            refs=refs,
            fitted=fitted,
            loss_bp=basis_points(loss),
            option=option,
            note=note,
        )
    say(f"Changed line {line}.")


def drop_line(line: LineName, *, db: Db = None) -> None:
    """Take a line off a parts list.

    \b
    Example:
      buildbook boards drop-line IF/R12
    """
    from buildbook.actions.lists import drop_line as act

    with opened(db) as shop:
        act(shop, line)
    say(f"Took line {line} off the list.")
