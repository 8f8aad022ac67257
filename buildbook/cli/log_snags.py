"""Log on the command line, snags: opened, tried at, closed with their cause."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, opened
from buildbook.cli.show import Column, local_time, print_json, say, show, table

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.snags import SnagRow

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
    )
    for name, verb in verbs:
        app.command(name)(verb)


def snags(*, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """The snags, the open ones first, with what was tried at them and what their cause was.

    \b
    Example:
      buildbook log snags
    """
    from buildbook.answers.snags import snags as all_snags

    with opened(db) as shop:
        answer = all_snags(shop, build)
    columns: list[Column[SnagRow]] = [
        Column("state", lambda row: row.state, tone=lambda row: "warn" if row.state == "open" else "quiet"),
        Column("snag", lambda row: f"{row.build}/{row.number}"),
        Column("opened", lambda row: local_time(row.opened_at, day=True)),
        Column("what is wrong", lambda row: row.title, shrink=True),
        Column("about", lambda row: row.about, shrink=True),
        Column("cause", lambda row: row.cause, shrink=True),
    ]
    show(answer, columns, as_json=as_json)
    if not as_json:
        told = [(f"{row.build}/{row.number}", one) for row in answer.rows for one in row.tries]
        table(
            [
                Column("snag", lambda one: one[0]),
                Column("when", lambda one: local_time(one[1].at)),
                Column("tried", lambda one: one[1].tried, shrink=True),
                Column("showed", lambda one: one[1].showed, shrink=True),
            ],
            told,
            heading="Tries",
        )


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
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Write down what was tried at a snag, and what it showed.

    \b
    Example:
      buildbook log try CURLEW/1 "Resoldered R6" --showed "The same"
    """
    from buildbook.actions import snags as actions

    with opened(db) as shop:
        name = actions.add_try(shop, snag, tried, showed, build=build)
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


def tell(shop: Workshop, name: str, sentence: str, *, as_json: bool) -> None:
    """Say what was done, or print the snag as it stands now."""
    from buildbook.answers.snags import one_snag

    if as_json:
        print_json(one_snag(shop, name))
    else:
        say(sentence)
