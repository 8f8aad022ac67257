"""Log on the command line, photos and files: attached, listed, taken off, taken out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, complete_assemblies, complete_parts, opened
from buildbook.cli.show import Column, filled, local_time, print_json, say, show

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.attachments import AttachedRow

Number = Annotated[int, typer.Argument(metavar="NUMBER", show_default=False, help="As `log attached` lists it.")]
Assembly = Annotated[
    str | None, typer.Option(metavar="CODE", show_default=False, help="About it.", autocompletion=complete_assemblies)
]
Part = Annotated[
    str | None, typer.Option(metavar="KEY", show_default=False, help="About it.", autocompletion=complete_parts)
]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (("attach", attach), ("attached", attached), ("caption", caption), ("detach", detach))
    for name, verb in verbs:
        app.command(name)(verb)
    app.command("take-out")(take_out)


def attach(
    file: Annotated[Path, typer.Argument(metavar="FILE", show_default=False, help="The photo or file.")],
    *,
    assembly: Assembly = None,
    step: Annotated[str | None, typer.Option(metavar="STEP", show_default=False, help="About it.")] = None,
    part: Part = None,
    episode: Annotated[int | None, typer.Option(metavar="N", show_default=False, help="About that episode.")] = None,
    snag: Annotated[str | None, typer.Option(metavar="SNAG", show_default=False, help="About that snag.")] = None,
    point: Annotated[
        str | None, typer.Option(metavar="POINT", show_default=False, help="About the last reading of a test point.")
    ] = None,
    note: Annotated[
        int | None, typer.Option(metavar="N", show_default=False, help="About the note of that number.")
    ] = None,
    caption: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="What is to be seen.")] = "",
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Attach a photo or a file. It is copied into a folder beside the workshop, and may then go.

    \b
    Example:
      buildbook log attach patch.svg --assembly CURLEW/CASE --caption "Bare metal under the earth stud"
    """
    from buildbook.actions.attachments import Of
    from buildbook.actions.attachments import attach as take_in

    with opened(db) as shop:
        about = Of(
            build=build or usual_build(shop, part, episode, snag, note),
            assembly=assembly,
            step=step,
            part=part,
            episode=episode,
            snag=snag,
            reading=last_reading(shop, point, build) if point else None,
            note=note,
        )
        number = take_in(shop, file, about, caption=caption)
        tell(shop, number, "Attached", as_json=as_json)


def usual_build(shop: Workshop, *others: object) -> str | None:
    """The only build under way; none where something of no build, or of one of its own, is named."""
    from buildbook.answers.standing import builds_that_count, find_build

    if any(one is not None for one in others):
        return None
    found = find_build(builds_that_count(shop), None)
    return found.code if found else None


def last_reading(shop: Workshop, point: str, build: str | None) -> int:
    """The last reading of a test point. Raises BadInput when it has none."""
    from buildbook.answers.measuring import point_meant
    from buildbook.errors import BadInput

    found = point_meant(shop, point, build)
    if not found.reading:
        raise BadInput("Nothing was attached.", f"{found.point} has no reading yet.", "Read it first.")
    return found.reading


def tell(shop: Workshop, number: int, done: str, *, as_json: bool) -> None:
    """Say what was done to an attachment, or print it as it stands."""
    from buildbook.answers.attachments import attachment, said_of

    answer = attachment(shop, number)
    if as_json:
        print_json(answer)
        return
    row = answer.rows[0]
    say(f"{done}, number {number}, to {row.about}: {said_of(row)}.")


def attached(
    *,
    assembly: Assembly = None,
    part: Part = None,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The photos and files, the newest first, with what they are about; of one build, assembly or part if named.

    \b
    Example:
      buildbook log attached
      buildbook log attached --assembly CURLEW/CASE
    """
    from buildbook.answers.attachments import attachments
    from buildbook.trade.media import WORDS, size_said

    with opened(db) as shop:
        answer = attachments(shop, build, assembly=assembly, part=part)
    columns: list[Column[AttachedRow]] = [
        Column("number", lambda row: str(row.number), right=True),
        Column("when", lambda row: local_time(row.at, day=True)),
        Column("file", lambda row: row.name, shrink=True),
        Column("kind", lambda row: WORDS.get(row.media, "file")),
        Column("size", lambda row: size_said(row.size), right=True),
        Column("build", lambda row: row.build),
        Column("about", lambda row: row.about, shrink=True),
        Column("caption", lambda row: row.caption, shrink=True),
        Column("fault", lambda row: row.fault, shrink=True, tone=lambda _: "bad"),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def caption(
    number: Number,
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="What is to be seen; '' for none.")],
    *,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Put another caption to a photo or file.

    \b
    Example:
      buildbook log caption 1 "Bare metal, 12 mm across"
    """
    from buildbook.actions.attachments import caption as write

    with opened(db) as shop:
        write(shop, number, text)
        tell(shop, number, "Captioned", as_json=as_json)


def detach(number: Number, *, db: Db = None) -> None:
    """Take a photo or file off what it was attached to. An undo brings it back, until the folder is tidied.

    \b
    Example:
      buildbook log detach 1
    """
    from buildbook.actions.attachments import detach as take_off

    with opened(db) as shop:
        name = take_off(shop, number)
    say(f"Detached: {name}. `buildbook workshop check --tidy` removes the file itself.")


def take_out(
    number: Number,
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", show_default=False, help="Where to; into a folder under its name.")
    ],
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Write a copy of an attached photo or file. No file is replaced.

    \b
    Example:
      buildbook log take-out 1 --out patch.svg
    """
    from buildbook.answers.attachments import attachment
    from buildbook.answers.attachments import take_out as write

    with opened(db) as shop:
        path = write(shop, number, out)
        answer = attachment(shop, number)
    if as_json:
        print_json(answer)
    else:
        say(f"Written to {path}.")
