"""Bench on the command line, the order of work: what is forgotten, what comes after what, what holds a step and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, opened
from buildbook.cli.show import Column, local_time, print_json, say, show, table
from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.answers.order import PairRow
    from buildbook.answers.why_step import WhyStep

Step = Annotated[
    str,
    typer.Argument(metavar="STEP", show_default=False, help="Its place (CASE/3), number, or a piece of its name."),
]
Before = Annotated[
    str, typer.Argument(metavar="BEFORE", show_default=False, help="The step that is to be done before it.")
]
Wait = Annotated[
    str, typer.Option("--wait", metavar="TIME", show_default=False, help="The least time between the two, such as 4h.")
]
TONES = {"dangerous": "bad", "cannot be undone": "warn"}


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("order", order),
        ("after", after),
        ("not-after", not_after),
        ("needs-not", needs_not),
        ("holds", holds),
        ("why", why),
    )
    for name, verb in verbs:
        app.command(name)(verb)


def order(
    project: Annotated[
        str, typer.Argument(metavar="[PROJECT]", show_default=False, help="A project, instead of a build.")
    ] = "",
    *,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The order that nobody wrote down: steps that ought to come before others, though nothing says so.

    \b
    Example:
      buildbook bench order --build CURLEW
      buildbook bench order LINNET
    """
    from buildbook.answers.order import order as the_order

    with opened(db) as shop:
        answer = the_order(shop, project or build)
    columns: list[Column[PairRow]] = [
        Column("comes of it", lambda row: row.serious, tone=lambda row: TONES.get(row.serious, "")),
        Column("step", lambda row: row.after),
        Column("work", lambda row: row.after_name, shrink=True),
        Column("after", lambda row: row.before),
        Column("to come first", lambda row: row.before_name, shrink=True),
        Column("because", lambda row: row.reason, shrink=True),
        Column("", lambda row: "the project says the opposite" if row.how == "reversed" else "", shrink=True),
    ]
    show(answer, columns, as_json=as_json)
    if answer.rows and not as_json:
        say("Link them with `bench after STEP BEFORE`, or say why not with `bench needs-not STEP BEFORE`.", apart=True)


def after(
    step: Step,
    before: Before,
    *,
    ss: Annotated[bool, typer.Option("--ss", help="It may begin once the other is begun.")] = False,
    wait: Wait = "",
    db: Db = None,
) -> None:
    """Have a step come after another, of whatever section.

    \b
    Example:
      buildbook bench after "Prime inside and out" CURLEW/CASE/12
    """
    from buildbook.actions import network
    from buildbook.trade.units import read_minutes

    minutes = read_minutes(wait) if wait else 0
    with opened(db) as shop:
        said = network.put_after(shop, step, before, link="ss" if ss else "fs", wait_min=minutes)
    say(said)


def not_after(step: Step, before: Before, *, db: Db = None) -> None:
    """Have a step no longer come after another.

    \b
    Example:
      buildbook bench not-after CURLEW/CASE/21 "Let the lacquer of the case cure"
    """
    from buildbook.actions import network

    with opened(db) as shop:
        said = network.set_free(shop, step, before)
    say(said)


def needs_not(
    step: Step,
    before: Before,
    *,
    reason: Annotated[
        str, typer.Option("--reason", metavar="TEXT", show_default=False, help="Why the order does not matter here.")
    ],
    db: Db = None,
) -> None:
    """Say that the natural order of two steps does not matter here; it is not asked about again.

    \b
    Example:
      buildbook bench needs-not CURLEW/CASE/13 CURLEW/CASE/12 --reason "The stud goes through a plated insert."
    """
    from buildbook.actions import network

    with opened(db) as shop:
        said = network.waive(shop, step, before, reason)
    say(said)


def holds(
    step: Step,
    *,
    question: Annotated[
        str, typer.Option("--question", metavar="QUESTION", show_default=False, help="A question, while it is open.")
    ] = "",
    fits: Annotated[
        str, typer.Option("--fits", metavar="LINES", show_default=False, help="What it fits: T1 T2, R1-R4, a part.")
    ] = "",
    free: Annotated[
        bool, typer.Option("--free", help="No longer: not for the question named, else for nothing at all.")
    ] = False,
    db: Db = None,
) -> None:
    """Hold a step until a question is settled, or until what it fits is kitted; or let it go.

    \b
    Example:
      buildbook bench holds "Populate the electrolytics" --question CURLEW/RECT
      buildbook bench holds "Fit the IF transformers" --fits "T1 T2"
    """
    from buildbook.actions import network

    if (free and fits) or not (question or fits or free):
        raise BadInput("It is not clear what is meant.", "", "Say --question, --fits, or --free.")
    said = []
    with opened(db) as shop:
        if free:
            said.append(network.let_go_of_question(shop, step, question) if question else network.let_go(shop, step))
        elif question:
            said.append(network.hold_for_question(shop, step, question))
        if fits:
            said.append(network.fits(shop, step, network.read_places(fits)))
    say(" ".join(said))


def why(step: Step, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """Why a step stands as it does: each thing that holds it, and what releases that, term by term.

    \b
    Example:
      buildbook bench why "Prime inside and out" --build CURLEW
    """
    from buildbook.answers.why_step import why_step

    with opened(db) as shop:
        answer = why_step(shop, build_meant(shop, build), step)
    if as_json:
        print_json(answer)
    else:
        _tell_why(answer)


def _tell_why(answer: WhyStep) -> None:
    say(answer.sentence)
    if answer.until or answer.best_at:
        best = f", better until {local_time(answer.best_at)}" if answer.best_at else ""
        say(f"Leave it alone until {local_time(answer.until)}{best}." if answer.until else f"Left alone{best}.")
    table(
        [
            Column("held by", lambda term: f"{'  ' * term.depth}{term.what}", shrink=True),
            Column("what releases it", lambda term: term.release, shrink=True),
            Column("place", lambda term: term.where),
        ],
        answer.terms,
    )
    table(
        [
            Column("hold point", lambda row: row.name, shrink=True),
            Column("signed by", lambda row: row.signed_by if row.signed_at else "nobody yet"),
            Column("when", lambda row: local_time(row.signed_at, day=True) if row.signed_at else ""),
            Column("what was checked", lambda row: row.signed or f"to confirm: {'; '.join(row.confirms)}", shrink=True),
        ],
        answer.hold_points,
    )
    if answer.closes_off:
        say("It cannot be undone, and would close off, the most serious first:", apart=True)
        for one in answer.closes_off:
            say(f"  {one.said}")
