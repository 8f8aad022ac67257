"""Log on the command line, snags: opened, tried at, closed with their cause."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, opened
from buildbook.cli.show import Column, filled, local_time, print_json, say, show, table

if TYPE_CHECKING:
    from pathlib import Path

    from buildbook.actions.workshop import Workshop
    from buildbook.answers.snag_habits import HabitRow
    from buildbook.answers.snags import SnagRow, SnagTotal, TryRow

Snag = Annotated[
    str, typer.Argument(metavar="SNAG", show_default=False, help="Its number, or BUILD/NUMBER where there are several.")
]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("snags", snags),
        ("snag", open_snag),
        ("try", add_try),
        ("snag-close", close_snag),
        ("snag-reopen", reopen_snag),
        ("snag-part", snag_part),
    )
    for name, verb in verbs:
        app.command(name)(verb)


def snags(
    *,
    recurring: Annotated[bool, typer.Option("--recurring", help="Only those that came more than once.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The snags, the open ones first, with what was tried at them, what they cost and what their cause was.

    \b
    Example:
      buildbook log snags
      buildbook log snags --recurring
    """
    from buildbook.answers.snags import cost_said
    from buildbook.answers.snags import snags as all_snags

    if recurring:
        print_habits(build, db, as_json=as_json)
        return
    with opened(db) as shop:
        answer = all_snags(shop, build)
    columns: list[Column[SnagRow]] = [
        Column("state", lambda row: row.state, tone=lambda row: "warn" if row.state == "open" else "quiet"),
        Column("snag", lambda row: f"{row.build}/{row.number}"),
        Column("opened", lambda row: local_time(row.opened_at, day=True)),
        Column("what is wrong", lambda row: row.title, shrink=True),
        Column("about", lambda row: row.about, shrink=True),
        Column("parts", parts_of, shrink=True),
        Column("lost", lambda row: cost_said((row,)), shrink=True),
        Column("cause", lambda row: row.cause, shrink=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)
    if not as_json:
        told = [(f"{row.build}/{row.number}", one) for row in answer.rows for one in row.tries]
        tries: list[Column[tuple[str, TryRow]]] = [
            Column("snag", lambda one: one[0]),
            Column("when", lambda one: local_time(one[1].at)),
            Column("tried", lambda one: one[1].tried, shrink=True),
            Column("showed", lambda one: one[1].showed, shrink=True),
            Column("took", lambda one: took(one[1])),
        ]
        table(filled(tries, told), told, heading="Tries")
        if len(answer.totals) > 1:
            sums: list[Column[SnagTotal]] = [
                Column("build", lambda row: row.build),
                Column("snags", lambda row: str(row.snags), right=True),
                Column("open", lambda row: str(row.open), right=True),
                Column("tries", lambda row: str(row.tries), right=True),
                Column("lost", lambda row: cost_said((row,))),
            ]
            table(filled(sums, answer.totals), answer.totals, heading="By build")


def parts_of(row: SnagRow) -> str:
    """The parts that a snag had to do with."""
    return "; ".join(f"{part.refs} of {part.assembly}" for part in row.parts)


def took(one: TryRow) -> str:
    """What a try cost."""
    from buildbook.trade.effort import Effort, show_effort

    return show_effort(Effort(one.minutes, one.joints))


def print_habits(build: str | None, db: Path | None, *, as_json: bool) -> None:
    """Print the snags that came more than once."""
    from buildbook.answers.snag_habits import snag_habits

    with opened(db) as shop:
        answer = snag_habits(shop, build)
    columns: list[Column[HabitRow]] = [
        Column("alike in", lambda row: row.how, shrink=True),
        Column("which", lambda row: row.what, shrink=True),
        Column("snags", lambda row: ", ".join(f"{one.build}/{one.number} {one.title}" for one in row.snags)),
        Column("lost", lambda row: row.cost),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)
    if not as_json:
        say(answer.rule, apart=True)


def open_snag(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="What is wrong, in a few words.")],
    *,
    about: Annotated[
        str | None,
        typer.Option(metavar="WHAT", show_default=False, help="An assembly, a step, or a test point with its reading."),
    ] = None,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Open a snag: write down that something is wrong with a build, and with what of it.

    \b
    Example:
      buildbook log snag "Hum with the volume at zero" --about CURLEW/AUDIO --build CURLEW
    """
    from buildbook.actions import snags as actions
    from buildbook.answers.snags import About, snag_about

    with opened(db) as shop:
        code = build_meant(shop, build)
        what = snag_about(shop, code, about) if about else About()
        name = actions.open_snag(shop, code, text, assembly=what.assembly, step=what.step, reading=what.reading or None)
        tell(shop, name, f"Snag {name} is open.", as_json=as_json)


def add_try(
    snag: Snag,
    tried: Annotated[str, typer.Argument(metavar="TRIED", show_default=False, help="What was tried.")],
    *,
    showed: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="What it showed.")] = "",
    minutes: Annotated[str, typer.Option(metavar="TIME", show_default=False, help="Lost: 40 min, 1h10.")] = "",
    joints: Annotated[str, typer.Option(metavar="N", show_default=False, help="Joints made anew.")] = "",
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Write down what was tried at a snag, what it showed, and what it cost.

    \b
    Example:
      buildbook log try CURLEW/1 "Resoldered R6" --showed "The same" --minutes 10 --joints 2
    """
    from buildbook.actions import snags as actions

    with opened(db) as shop:
        name = actions.add_try(shop, snag, tried, showed, minutes=minutes, joints=joints, build=build)
        tell(shop, name, f"Tried at snag {name}.", as_json=as_json)


def close_snag(
    snag: Snag,
    *,
    cause: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="What it was.")],
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Close a snag, with its cause.

    \b
    Example:
      buildbook log snag-close CURLEW/1 --cause "A bridge of solder under R6"
    """
    from buildbook.actions import snags as actions

    with opened(db) as shop:
        name = actions.close_snag(shop, snag, cause, build=build)
        tell(shop, name, f"Snag {name} is closed.", as_json=as_json)


def reopen_snag(
    snag: Snag,
    *,
    reason: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="Why.")],
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Open a closed snag again, for a reason.

    \b
    Example:
      buildbook log snag-reopen WREN/1 --reason "It whistles again with a fresh battery"
    """
    from buildbook.actions import snags as actions

    with opened(db) as shop:
        name = actions.reopen(shop, snag, reason, build=build)
        tell(shop, name, f"Snag {name} is open again.", as_json=as_json)


def snag_part(
    snag: Snag,
    refs: Annotated[str, typer.Argument(metavar="REF", show_default=False, help="R6, C2; or AUDIO/R6.")],
    *,
    note: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="What was done to it.")] = "",
    drop: Annotated[bool, typer.Option("--drop", help="It had nothing to do with it: take it off.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Write down which parts a snag had to do with, by their designators in the parts lists of the build.

    \b
    Example:
      buildbook log snag-part CURLEW/1 R6
    """
    from buildbook.actions.snag_parts import leave_parts, touch_parts

    with opened(db) as shop:
        if drop:
            name = leave_parts(shop, snag, refs, build=build)
            tell(shop, name, f"Taken off snag {name}: {refs}.", as_json=as_json)
        else:
            name = touch_parts(shop, snag, refs, note=note, build=build)
            tell(shop, name, f"Written down with snag {name}: {refs}.", as_json=as_json)


def tell(shop: Workshop, name: str, sentence: str, *, as_json: bool) -> None:
    """Say what was done, or print the snag as it stands now."""
    from buildbook.answers.snags import one_snag

    if as_json:
        print_json(one_snag(shop, name))
    else:
        say(sentence)
