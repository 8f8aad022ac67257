"""Checks on the command line, test sheets: points written down, read one by one, and the steps that wait for them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.checks_history import history
from buildbook.cli.frame import AsJson, AssemblyCode, BuildCode, Db, complete_assemblies, opened
from buildbook.cli.screen import at_terminal
from buildbook.cli.show import Column, filled, harmless, local_time, print_json, say, show
from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.measuring import PointRow

TONES = {"within": "good", "out": "bad", "read": "quiet"}
Point = Annotated[
    str, typer.Argument(metavar="POINT", show_default=False, help="Its code, ASSEMBLY/CODE or PROJECT/ASSEMBLY/CODE.")
]
Limits = Annotated[
    str,
    typer.Argument(metavar="[LIMITS]", show_default=False, help="1.6-2.2 V, 4k7 5%, max 0.1 ohm, min 1 Mohm, 250 V."),
]
Named = Annotated[str | None, typer.Option("--name", metavar="TEXT", show_default=False, help="What is measured.")]
InUnit = Annotated[str | None, typer.Option("--unit", metavar="UNIT", show_default=False, help="V, A, ohm, Hz ...")]
Condition = Annotated[
    str | None, typer.Option("--condition", metavar="TEXT", show_default=False, help="How it is measured.")
]
Caution = Annotated[str | None, typer.Option("--caution", metavar="TEXT", show_default=False, help="What to mind.")]
Asked = Annotated[
    str | None,
    typer.Option("--standard", metavar="NAME", show_default=False, help="What asks for it: protective earth."),
]
InFormula = Annotated[
    str | None,
    typer.Option(
        "--formula", metavar="TEXT", show_default=False, help='Gives the limits: "HT*R2/(R1+R2) where HT = 250 V 5 %".'
    ),
]
BySpread = Annotated[
    str | None,
    typer.Option("--spread", metavar="WORST|RSS", show_default=False, help="How the formula's limits stray."),
]
Step = Annotated[str, typer.Argument(metavar="STEP", show_default=False, help="Its place (CASE/3) or its name.")]
Number = Annotated[
    int, typer.Option("--number", metavar="N", show_default=False, help="Which unit of the build, from 1.")
]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("sheet", sheet),
        ("read", read),
        ("history", history),
        ("point-new", new_point),
        ("point-change", change_point),
        ("point-drop", drop_point),
        ("point-hold", hold),
        ("point-free", free),
    )
    for name, verb in verbs:
        app.command(name)(verb)


def columns(rows: Sequence[PointRow]) -> list[Column[PointRow]]:
    """State, point, what it is, its limits, its last reading; build and unit only where there are several."""
    several = len({row.build for row in rows}) > 1
    found: list[Column[PointRow]] = [
        Column("state", lambda row: row.state, tone=lambda row: TONES.get(row.state, "")),
        Column("build", lambda row: row.build if several else ""),
        Column("point", lambda row: row.point),
        Column("unit", lambda row: str(row.unit_number) if row.units > 1 else "", right=True),
        Column("measured", lambda row: row.name, shrink=True),
        Column("limits", lambda row: "formula not worked out" if row.worked and row.worked.fault else row.limits),
        Column("asked by", lambda row: row.source, shrink=True),
        Column("reading", lambda row: row.said),
        Column("when", lambda row: local_time(row.at, day=True)),
        Column("note", lambda row: row.note, shrink=True),
    ]
    return filled(found, rows)


def sheet(
    assembly: Annotated[
        str | None,
        typer.Argument(
            metavar="ASSEMBLY",
            show_default=False,
            help="Its code, or PROJECT/CODE; all of them if left out.",
            autocompletion=complete_assemblies,
        ),
    ] = None,
    *,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The test sheet of an assembly, or of all: what is to be read, the limits, and how the last readings stand.

    \b
    Example:
      buildbook checks sheet CURLEW/AUDIO
    """
    from buildbook.answers.measuring import sheet as the_sheet

    with opened(db) as shop:
        answer = the_sheet(shop, build, assembly)
    show(answer, columns(answer.rows), as_json=as_json)


def read(
    point: Annotated[
        str | None,
        typer.Argument(metavar="POINT", show_default=False, help="Its code, or ASSEMBLY/CODE."),
    ] = None,
    value: Annotated[
        str | None, typer.Argument(metavar="VALUE", show_default=False, help='What was read: 14.1, 150u, 4k7, ">200M".')
    ] = None,
    *,
    number: Number = 1,
    note: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="A remark on it.")] = "",
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Write down what was measured at a point; without a value, all that is still to be read is asked, one by one.

    \b
    Example:
      buildbook checks read CURLEW/AUDIO/VK2 14.1
    """
    with opened(db) as shop:
        if value is None:
            ask_for_readings(shop, point, build)
            return
        from buildbook.answers.measuring import Sheet, point_meant

        row = point_meant(shop, point or "", build, number)
        said = take(shop, row, value, note)
        if as_json:
            print_json(Sheet(f"{said}.", (point_meant(shop, row.point, row.build, number),)))
            return
    say(f"{said}.")


def take(shop: Workshop, row: PointRow, text: str, note: str = "") -> str:
    """Write one reading down, and say how it stands."""
    from buildbook.actions import measuring

    taken = measuring.read(shop, row.build, row.point, text, unit_number=row.unit_number, note=note)
    return f"{row.point}: {taken.said}"


def ask_for_readings(shop: Workshop, point: str | None, build: str | None) -> None:
    """Ask for what is still to be read, from a point on; a full stop, or the end of the input, ends it."""
    from buildbook.answers.measuring import TO_READ, point_meant, points

    if not at_terminal():
        raise BadInput("No reading was taken.", "No value was given.", "Give it behind the point.")
    rows = list(points(shop, build))
    if point is not None:
        first = point_meant(shop, point, build)
        at = rows.index(first)
        rows = [first, *(row for row in rows[at + 1 :] if row.build == first.build and row.state == TO_READ)]
    else:
        rows = [row for row in rows if row.state == TO_READ]
    say("Nothing is to be read." if not rows else "Enter alone leaves a point out; a full stop ends it.")
    for row in rows:
        if not asked(shop, row):
            return


def asked(shop: Workshop, row: PointRow) -> bool:
    """Ask for one reading until it is understood or left out; False when it is enough."""
    unit = f" unit {row.unit_number}" if row.units > 1 else ""
    limits = f" ({row.limits})" if row.limits else ""
    for text in (row.condition, row.caution):
        if text:
            say(text)
    question = harmless(f"{row.build} {row.point}{unit}, {row.name or 'reading'}{limits}")
    while True:
        text = str(typer.prompt(question, default="", show_default=False)).strip()
        if text in (".", ""):
            return not text
        try:
            say(f"{take(shop, row, text)}.")
        except BadInput as error:
            say(str(error))
        else:
            return True


def new_point(
    assembly: AssemblyCode,
    code: Annotated[str, typer.Argument(metavar="CODE", show_default=False, help="A short code for it, such as VK1.")],
    limits: Limits = "",
    *,
    name: Named = None,
    unit: InUnit = None,
    condition: Condition = None,
    caution: Caution = None,
    standard: Asked = None,
    formula: InFormula = None,
    spread: BySpread = None,
    db: Db = None,
) -> None:
    """Write a test point down, with its limits, those of a standard, or the formula that gives them.

    A formula names parts of the board, supplies of the project, and what it gives itself behind "where".

    \b
    Example:
      buildbook checks point-new CURLEW/IF VG2 "80-95 V" --name "screen grid of the EF89"
      buildbook checks point-new CURLEW/AUDIO VG1 --unit V --formula "R6 * IG where IG = 0.2 uA 50 %"
    """
    from buildbook.actions import measuring

    told = [text or "" for text in (unit, condition, caution, standard, formula, spread)]
    point = measuring.NewPoint(code, name or "", limits, *told)
    with opened(db) as shop:
        path = measuring.add_point(shop, assembly, point)
    say(f"On the test sheet: {path}.")


def change_point(
    point: Point,
    *,
    limits: Annotated[str | None, typer.Option(metavar="LIMITS", show_default=False, help="New limits.")] = None,
    code: Annotated[str | None, typer.Option(metavar="CODE", show_default=False, help="A new code.")] = None,
    name: Named = None,
    unit: InUnit = None,
    condition: Condition = None,
    caution: Caution = None,
    standard: Asked = None,
    formula: InFormula = None,
    spread: BySpread = None,
    db: Db = None,
) -> None:
    """Change a test point; readings that were taken are held to the new limits.

    \b
    Example:
      buildbook checks point-change CURLEW/AUDIO/VK2 --limits "13.5 to 15 V"
    """
    from buildbook.actions import measuring

    with opened(db) as shop:
        path = measuring.change_point(
            shop,
            point,
            code=code,
            name=name,
            limits=limits,
            unit=unit,
            condition=condition,
            caution=caution,
            standard=standard,
            formula=formula,
            spread=spread,
        )
    say(f"Changed: {path}.")


def drop_point(point: Point, *, db: Db = None) -> None:
    """Take a test point away that was never read.

    \b
    Example:
      buildbook checks point-drop LINNET/REG/RIPPLE
    """
    from buildbook.actions import measuring

    with opened(db) as shop:
        measuring.drop_point(shop, point)
    say("Taken off the test sheet.")


def hold(point: Point, step: Step, *, db: Db = None) -> None:
    """Hold a step until a point has been read and keeps its limits.

    \b
    Example:
      buildbook checks point-hold LINNET/REG/RIPPLE "Wire the Linnet"
    """
    from buildbook.actions import measuring

    with opened(db) as shop:
        said = measuring.hold_step_by_point(shop, step, point)
    say(said)


def free(point: Point, step: Step, *, db: Db = None) -> None:
    """No longer hold a step for a reading.

    \b
    Example:
      buildbook checks point-free CURLEW/AUDIO/VK2 "Measure gain and response into 33 ohm"
    """
    from buildbook.actions import measuring

    with opened(db) as shop:
        said = measuring.let_go_of_point(shop, step, point)
    say(said)
