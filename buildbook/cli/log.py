"""Log on the command line: what happened, and what do I say about it?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli import log_book, log_camera, log_files, log_snags, log_telling
from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, complete_assemblies, complete_parts, opened, place
from buildbook.cli.show import Column, filled, local_time, say, show

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.log import LogRow
    from buildbook.answers.search import FoundRow

app = place("What happened, and what do I say about it?")
episode = place("Stages of a build, as they are told to others.")
# A day alone, as orders have it, is written in so many characters.
DAY = len("2026-11-02")
log_snags.add_to(app)
log_telling.add_to(app)
log_camera.add_to(app)
log_files.add_to(app)
log_book.add_to(app)
app.add_typer(episode, name="episode", help="Stages of a build, as they are told to others.")


def columns(rows: Sequence[LogRow]) -> list[Column[LogRow]]:
    """When, what and about what; the build only where the rows tell of several."""
    found: list[Column[LogRow]] = [
        Column("when", lambda row: local_time(row.at)),
        Column("kind", lambda row: row.kind, tone=lambda row: "" if row.kind == "note" else "quiet"),
        Column("build", lambda row: row.build),
        Column("what", lambda row: row.what, shrink=True),
        Column("about", lambda row: row.about, shrink=True),
    ]
    several = len({row.build for row in rows}) > 1
    about = any(row.about for row in rows)
    hidden = {"build" if not several else "", "about" if not about else ""}
    return [column for column in found if column.heading not in hidden]


def found_columns() -> list[Column[FoundRow]]:
    """When, what kind of text, what stands around the words found, and about what."""
    return [
        Column("when", lambda row: local_time(row.at, day=len(row.at) == DAY)),
        Column("kind", lambda row: row.kind, tone=lambda row: "" if row.kind == "note" else "quiet"),
        Column("build", lambda row: row.build),
        Column("where it stands", lambda row: row.said, shrink=True),
        Column("about", lambda row: row.about, shrink=True),
    ]


@app.callback(invoke_without_command=True)
def log(
    ctx: typer.Context,
    *,
    everything: Annotated[bool, typer.Option("--all", help="From the very beginning.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """The stream: what was done and written down, snags and tries among it, the newest first.

    \b
    Example:
      buildbook log --all
    """
    if ctx.invoked_subcommand:
        return
    from buildbook.answers.log import USUAL, stream

    with opened(db) as shop:
        answer = stream(shop, build, most=None if everything else USUAL)
    show(answer, columns(answer.rows), as_json=as_json)


def only_build(shop: Workshop) -> str | None:
    """The build that a note belongs to when none is named: the only one under way, if there is just one."""
    from buildbook.answers.standing import builds_that_count, find_build

    found = find_build(builds_that_count(shop), None)
    return found.code if found else None


@app.command()
def note(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="What to write down.")],
    *,
    assembly: Annotated[
        str | None,
        typer.Option(metavar="CODE", show_default=False, help="About it.", autocompletion=complete_assemblies),
    ] = None,
    step: Annotated[str | None, typer.Option(metavar="STEP", show_default=False, help="About it.")] = None,
    part: Annotated[
        str | None, typer.Option(metavar="KEY", show_default=False, help="About it.", autocompletion=complete_parts)
    ] = None,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Write something down, about a build, an assembly, a step or a part.

    \b
    Example:
      buildbook log note "Meter came without its nuts" --assembly CURLEW/PANEL
    """
    from buildbook.actions import log as actions

    with opened(db) as shop:
        about = build or only_build(shop)
        actions.note(shop, text, build=about, assembly=assembly, step=step, part=part)
    say("Written down.")


@app.command()
def search(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="What to look for.")],
    *,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Where words stand, in anything that was ever written: the newest first, then what has no date.

    All the words must be there, the last of them perhaps only begun; what stands in "quotes" stands together.

    \b
    Example:
      buildbook log search transformer
    """
    from buildbook.answers.search import search as look_for

    with opened(db) as shop:
        answer = look_for(shop, text)
    show(answer, filled(found_columns(), answer.rows), as_json=as_json)


@app.command("show")
def show_episode(
    number: Annotated[
        int | None,
        typer.Argument(metavar="EPISODE", show_default=False, help="Its number; the open one or the last if left out."),
    ] = None,
    *,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """An episode: its span, what was done and written down in it, its recap.

    \b
    Example:
      buildbook log show 2
    """
    from buildbook.answers.log import episode as one_episode

    with opened(db) as shop:
        answer = one_episode(shop, number, build)
    show(answer, columns(answer.rows), as_json=as_json)
    if as_json:
        return
    span = f"From {local_time(answer.opened_at)} "
    say(span + (f"to {local_time(answer.closed_at)}." if answer.closed_at else "on; still open."), apart=True)
    if answer.recap:
        say(answer.recap, apart=True)


@episode.command("start")
def start_episode(
    title: Annotated[str, typer.Argument(metavar="TITLE", show_default=False, help="What it is called.")],
    *,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Open a stage of the build, as it will be told to others.

    \b
    Example:
      buildbook log episode start "The first board" --build LINNET
    """
    from buildbook.actions import log as actions

    with opened(db) as shop:
        number = actions.open_episode(shop, build_meant(shop, build), title)
    say(f"Episode {number} is open.")


@episode.command("close")
def close_episode(
    *,
    recap: Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="How it went, in short.")] = "",
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Close the open episode.

    \b
    Example:
      buildbook log episode close --build CURLEW --recap "Case painted, panel waits for the meter"
    """
    from buildbook.actions import log as actions

    with opened(db) as shop:
        number = actions.close_episode(shop, build_meant(shop, build), recap)
    say(f"Episode {number} is closed.")
