"""Bench on the command line: what can I do now, and what must I not do yet?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli import bench_network, bench_steps, bench_time
from buildbook.cli.frame import AsJson, AssemblyCode, BuildCode, Db, build_meant, opened, place
from buildbook.cli.show import Column, local_time, say, show, table

if TYPE_CHECKING:
    from buildbook.answers.bench import Progress, StepRow

app = place("What can I do now, and what must I not do yet?")
Step = Annotated[
    str,
    typer.Argument(metavar="STEP", show_default=False, help="Its place (CASE/3), number, or a piece of its name."),
]
By = Annotated[
    str, typer.Option("--by", metavar="NAME", show_default=False, help="Who signs; who signed last if left out.")
]
TONES = {"in hand": "good", "ready": "good", "held": "quiet", "done": "quiet", "dropped": "quiet"}


@app.callback(invoke_without_command=True)
def bench(
    ctx: typer.Context,
    *,
    everything: Annotated[bool, typer.Option("--all", help="Steps done and dropped, too.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The steps that can be done now and those that must wait, and how far each section has got.

    \b
    Example:
      buildbook bench
    """
    if ctx.invoked_subcommand:
        return
    from buildbook.answers.bench import STATES
    from buildbook.answers.bench import bench as the_bench

    with opened(db) as shop:
        answer = the_bench(shop, build)
    wanted = [row for row in answer.rows if everything or row.state not in ("done", "dropped")]
    wanted.sort(key=lambda row: STATES.index(row.state))
    show(answer, step_columns(wanted), rows=wanted, as_json=as_json)
    if as_json or not answer.rows:
        return
    table(progress_columns(answer.progress), answer.progress)


def step_columns(rows: Sequence[StepRow]) -> list[Column[StepRow]]:
    """State, place and name of each step; project and build only where there are several."""
    projects = {row.place.partition("/")[0] for row in rows}
    found: list[Column[StepRow]] = [
        Column("state", lambda row: row.state, tone=lambda row: TONES.get(row.state, "")),
        Column("build", lambda row: row.build),
        Column("step", lambda row: row.place if len(projects) > 1 else row.place.partition("/")[2]),
        Column("work", lambda row: row.name, shrink=True),
        Column("takes", takes, right=True),
        Column("", remark, shrink=True),
    ]
    # A project with one build tells which build is meant.
    builds = {row.build for row in rows}
    return found if len(builds) > len(projects) else [one for one in found if one.heading != "build"]


def takes(row: StepRow) -> str:
    """How long it took or likely takes: "24 min" or "~40 min"."""
    from buildbook.trade.units import show_minutes

    if row.minutes is not None:
        return show_minutes(row.minutes)
    return f"~{show_minutes(row.likely_min)}" if row.likely_min else ""


def remark(row: StepRow) -> str:
    """What holds a step, when it was done, and what is to be minded before it is begun."""
    if row.state in ("done", "dropped"):
        signed = f"; signed by {row.signed_by}" if row.signed_by else ""
        unsigned = "; not signed" if row.hold_point and not row.signed_at else ""
        return local_time(row.finished_at, day=True) + (unsigned or signed)
    if row.state == "in hand":
        since = [f"since {local_time(row.started_at)}"] if row.started_at else []
        since += [] if row.running_since else ["put down"]
        return "; ".join([*since, *_held(row)])
    said = _held(row)
    said += [f"until {local_time(row.until)}"] if row.state == "waiting" else []
    said += ["one-way"] if row.one_way else []
    said += ["hold point"] if row.hold_point else []
    said += [row.caution] if row.caution and row.state == "ready" else []
    return "; ".join(said)


def _held(row: StepRow) -> list[str]:
    return [f"by {len(row.held_by)}: {', '.join(row.held_by)}"] if row.held_by else []


def progress_columns(rows: Sequence[Progress]) -> list[Column[Progress]]:
    """How far each checklist has got."""
    from buildbook.trade.units import show_minutes

    found: list[Column[Progress]] = [
        Column("build", lambda row: row.build),
        Column("section", lambda row: row.assembly),
        Column("name", lambda row: row.name, shrink=True),
        Column("steps done", lambda row: f"{row.done} of {row.steps}", right=True),
        Column("left", lambda row: f"~{show_minutes(row.left_min)}" if row.left_min else "", right=True),
    ]
    builds, projects = {row.build for row in rows}, {row.assembly.partition("/")[0] for row in rows}
    return found if len(builds) > len(projects) else found[1:]


@app.command()
def start(
    step: Step,
    *,
    anyway: Annotated[bool, typer.Option("--anyway", help="Begin it although it is held; that is kept.")] = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Take a step in hand, or go on with it; what should have come before it, and what to mind, is said at once.

    \b
    Example:
      buildbook bench start CASE/3 --build CURLEW
    """
    from buildbook.actions import bench as actions
    from buildbook.answers.bench import bench as the_bench

    with opened(db) as shop:
        code = build_meant(shop, build)
        name = actions.start(shop, code, step, anyway=anyway)
        begun = [row for row in the_bench(shop, code).rows if row.name == name and row.state == "in hand"]
    say(f"In hand: {name}.")
    if begun:
        warn(max(begun, key=lambda row: row.started_at))


def warn(row: StepRow) -> None:
    """Say what speaks against beginning a step, and its caution."""
    if row.held_by:
        say(f"Not done yet, and to come before it: {', '.join(row.held_by)}.")
    if row.one_way:
        say("It cannot be undone.")
    if row.hold_point:
        say("It is a hold point: nothing after it before its check is signed.")
    if row.caution:
        say(row.caution)


@app.command()
def finish(
    step: Step,
    *,
    took: Annotated[
        str, typer.Option(metavar="TIME", show_default=False, help="Hands-on time it took, such as 1h30.")
    ] = "",
    signed: Annotated[
        str, typer.Option(metavar="TEXT", show_default=False, help="What was checked, at a hold point: it signs it.")
    ] = "",
    by: By = "",
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Tick a step off as done.

    \b
    Example:
      buildbook bench finish CASE/3 --build CURLEW --took 25min
    """
    from buildbook.actions import bench as actions
    from buildbook.trade.units import read_minutes

    minutes = read_minutes(took) if took else None
    with opened(db) as shop:
        name = actions.tick(shop, build_meant(shop, build), step, minutes=minutes, signed=signed or None, by=by)
    say(f"Done: {name}.")


@app.command()
def pause(step: Step, *, build: BuildCode = None, db: Db = None) -> None:
    """Put a step in hand down for now: its clock stands still until it is started again.

    \b
    Example:
      buildbook bench pause CASE/3 --build CURLEW
    """
    from buildbook.actions import bench as actions

    with opened(db) as shop:
        name = actions.pause(shop, build_meant(shop, build), step)
    say(f"Put down: {name}.")


@app.command()
def sign(
    step: Step,
    checked: Annotated[
        str,
        typer.Argument(metavar="[CHECKED]", show_default=False, help="What was checked; else all that it confirms."),
    ] = "",
    *,
    by: By = "",
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Sign a hold point that is done: what was checked, and by whom; what follows is then free.

    \b
    Example:
      buildbook bench sign CASE/3 "Bare metal over the whole washer" --by "the builder" --build CURLEW
    """
    from buildbook.actions import bench as actions
    from buildbook.answers.bench import bench as the_bench

    with opened(db) as shop:
        code = build_meant(shop, build)
        name = actions.sign(shop, code, step, checked, by=by)
        row = max(the_bench(shop, code).rows, key=lambda row: row.signed_at)
    say(f"Signed by {row.signed_by}: {name}.")
    say(f"It says what was checked, no more: {row.signed}.".replace("..", "."))


@app.command()
def drop(step: Step, *, build: BuildCode = None, db: Db = None) -> None:
    """Leave a step out of this build.

    \b
    Example:
      buildbook bench drop PANEL/7 --build CURLEW
    """
    from buildbook.actions import bench as actions

    with opened(db) as shop:
        name = actions.drop(shop, build_meant(shop, build), step)
    say(f"Dropped: {name}.")


@app.command()
def reopen(step: Step, *, build: BuildCode = None, db: Db = None) -> None:
    """Make a step as if it had not been begun.

    \b
    Example:
      buildbook bench reopen CASE/3 --build CURLEW
    """
    from buildbook.actions import bench as actions

    with opened(db) as shop:
        name = actions.untick(shop, build_meant(shop, build), step)
    say(f"To be done again: {name}.")


@app.command()
def add(
    assembly: AssemblyCode,
    name: Annotated[str, typer.Argument(metavar="NAME", show_default=False, help="What is to be done.")],
    *,
    takes: Annotated[
        str, typer.Option(metavar="TIME", show_default=False, help="Hands-on time it likely takes, such as 40min.")
    ] = "",
    wait: Annotated[
        str, typer.Option(metavar="TIME", show_default=False, help="Then left alone so long: dry, cure, cool.")
    ] = "",
    after: Annotated[
        list[str] | None,
        typer.Option(metavar="STEP", show_default=False, help="A step it comes after; may be given again."),
    ] = None,
    work: Annotated[
        str, typer.Option(metavar="KIND", show_default=False, help="Kind of work, such as paint or solder.")
    ] = "",
    one_way: Annotated[bool, typer.Option("--one-way", help="It cannot be undone: cut, drill, paint, glue.")] = False,
    hold_point: Annotated[
        bool, typer.Option("--hold-point", help="It may not be passed without a signed check.")
    ] = False,
    caution: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="What to mind.")] = "",
    option: Annotated[
        str, typer.Option(metavar="QUESTION:ANSWER", show_default=False, help="It counts only while that is chosen.")
    ] = "",
    db: Db = None,
) -> None:
    """Add a step at the end of the checklist of an assembly.

    \b
    Example:
      buildbook bench add CURLEW/CASE "Prime inside and out" --takes 30min --wait 4h --one-way
    """
    from buildbook.actions import checklists
    from buildbook.trade.units import read_minutes

    step = checklists.NewStep(
        name=name,
        likely_min=read_minutes(takes) if takes else 0,
        wait_low_min=read_minutes(wait) if wait else 0,
        work=work,
        one_way=one_way,
        hold_point=hold_point,
        caution=caution,
        after=tuple(checklists.After(one) for one in after or ()),
        option=option,
    )
    with opened(db) as shop:
        number = checklists.add_step(shop, assembly, step)
    say(f"Step {number} of the workshop is on the checklist of {assembly.upper()}: {name}.")


bench_network.add_to(app)
bench_steps.add_to(app)
bench_time.add_to(app)
