"""The workshop's own verbs: is the file sound, back it up, put it back, take back, settings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, Db, opened, place, ways_on
from buildbook.cli.show import Column, local_time, say, show, table
from buildbook.errors import BadInput, StoreFault

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.workshop import BuildRow, Overview, SettingRow

app = place("The file itself: check, back up, undo, settings.")


def print_overview(answer: Overview, *, as_json: bool) -> None:
    """How the workshop stands, and what was done last."""
    columns: list[Column[BuildRow]] = [
        Column("build", lambda row: row.build),
        Column("name", lambda row: row.name, shrink=True),
        Column("units", lambda row: str(row.units), right=True),
        Column("state", lambda row: row.state),
        Column("target", lambda row: row.target_on),
        Column("steps done", lambda row: f"{row.steps_done} of {row.steps}" if row.steps else "none yet"),
        Column("ready", lambda row: str(row.steps_ready), right=True),
    ]
    show(answer, columns, as_json=as_json)
    if as_json:
        return
    if not answer.projects and not answer.parts:
        say(f"Three ways on:\n{ways_on()}")
    if answer.last_done:
        say(f"Last done, {local_time(answer.last_at)}: {answer.last_done}", apart=True)


@app.callback(invoke_without_command=True)
def workshop(ctx: typer.Context, *, db: Db = None, as_json: AsJson = False) -> None:
    """How the workshop stands; its verbs look after the file itself.

    \b
    Example:
      buildbook workshop
    """
    if ctx.invoked_subcommand:
        return
    from buildbook.answers.workshop import overview

    with opened(db) as shop:
        print_overview(overview(shop), as_json=as_json)


@app.command()
def check(
    *,
    rebuild: Annotated[bool, typer.Option("--rebuild", help="Make the index of words anew first.")] = False,
    tidy: Annotated[
        bool, typer.Option("--tidy", help="Remove kept files to which nothing is attached; no undo brings them back.")
    ] = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Prove that the file is sound: its pages, its ledger, its journal, attached files. Exit code 4 if a proof fails.

    \b
    Example:
      buildbook workshop check
      buildbook workshop check --tidy
    """
    from buildbook.answers.workshop import checkup

    with opened(db) as shop:
        if rebuild:
            from buildbook.actions.workshop import rebuild_words

            rebuild_words(shop)
        if tidy:
            tidy_files(shop, as_json=as_json)
        answer = checkup(shop)
    show(
        answer,
        [
            Column("proof", lambda row: row.name),
            Column("", lambda row: "holds" if row.holds else "FAILS", tone=lambda row: "" if row.holds else "bad"),
            Column("because", lambda row: row.sentence, shrink=True),
        ],
        as_json=as_json,
    )
    if not answer.holds:
        if not as_json:
            faults = [(proof.name, fault) for proof in answer.rows for fault in proof.faults]
            table([Column("proof", lambda row: row[0]), Column("fault", lambda row: row[1], shrink=True)], faults)
            say(mend_of([proof.name for proof in answer.rows if not proof.holds]), apart=True)
        raise typer.Exit(StoreFault.exit_code)


def mend_of(failed: Sequence[str]) -> str:
    """What to do about proofs that fail: the index of words alone can be made anew from what is sound."""
    if list(failed) == ["words"]:
        return "Nothing is lost: make the index of words anew with `buildbook workshop check --rebuild`."
    return "Keep the file as it is, and put the last backup back with `buildbook workshop restore`."


def tidy_files(shop: Workshop, *, as_json: bool) -> None:
    """Remove the files to which nothing is attached, and say how many they were."""
    from buildbook.actions.attachments import tidy as remove_strays
    from buildbook.trade.media import size_said

    count, size = remove_strays(shop)
    if not as_json:
        many = f"{count} file{'' if count == 1 else 's'} to which nothing was attached"
        say(f"Removed {many}, {size_said(size)}." if count else "There was nothing to tidy.")


@app.command()
def backup(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", show_default=False, help="Where to; else beside the workshop."),
    ] = None,
    *,
    db: Db = None,
) -> None:
    """Write a backup while the workshop is in use, and prove that it can be read.

    \b
    Example:
      buildbook workshop backup
    """
    from buildbook.actions.workshop import back_up

    with opened(db) as shop:
        day = shop.clock().astimezone().strftime("%Y-%m-%d")
        target = file or free_name(shop.path.with_name(f"{shop.path.stem}-{day}.db"))
        size = back_up(shop, target)
    say(f"Backed up to {target} ({-(-size // 1024)} kB).")


def free_name(path: Path) -> Path:
    """`path`, or the first of its numbered neighbours that does not exist."""
    number = 2
    name = path
    while name.exists():
        name = path.with_stem(f"{path.stem}-{number}")
        number += 1
    return name


@app.command()
def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", show_default=False, help="The backup.")],
    *,
    db: Db = None,
) -> None:
    """Put a backup in the place of the workshop; what it held before is kept beside it.

    \b
    Example:
      buildbook workshop restore workshop-2026-12-04.db
    """
    from buildbook.actions.workshop import Workshop, default_place
    from buildbook.actions.workshop import restore as put_back

    if not file.exists():
        raise BadInput(f"The backup {file} was not put back.", "There is no such file.", "Check its name.")
    # Not opened: what is to be replaced may be too damaged for that.
    kept = put_back(Workshop(db or default_place()), file)
    say(f"{file} is now the workshop; what it held before is in {kept}." if kept else f"{file} is now the workshop.")


@app.command()
def undo(*, db: Db = None) -> None:
    """Take back what was done last.

    \b
    Example:
      buildbook workshop undo
    """
    from buildbook.actions.workshop import undo as take_back

    with opened(db) as shop:
        title = take_back(shop)
    say(f"Taken back: {title}.")


@app.command()
def redo(*, db: Db = None) -> None:
    """Do again what was taken back last.

    \b
    Example:
      buildbook workshop redo
    """
    from buildbook.actions.workshop import redo as do_again

    with opened(db) as shop:
        title = do_again(shop)
    say(f"Done again: {title}.")


@app.command()
def settings(
    key: Annotated[str, typer.Argument(metavar="KEY", show_default=False, help="Which to set.")] = "",
    value: Annotated[str, typer.Argument(metavar="VALUE", show_default=False, help="What to set it to.")] = "",
    *,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """List the settings, or set one.

    \b
    Example:
      buildbook workshop settings currency EUR
    """
    from buildbook.answers.workshop import settings as all_settings

    if key and not value:
        raise BadInput(f"{key} was not set.", "No value was given.", "Give it after the key.")
    with opened(db) as shop:
        if key:
            from buildbook.actions.workshop import set_setting

            set_setting(shop, key, value)
        answer = all_settings(shop)
    currency = next(row.value for row in answer.rows if row.key == "currency")

    def told(row: SettingRow) -> str:
        if row.key != "labour_rate" or not row.value:
            return row.value or "not set"
        from buildbook.trade.money import show_price

        return f"{show_price(int(row.value), currency)} {currency}"

    show(
        answer,
        [
            Column("setting", lambda row: row.key),
            Column("value", told),
            Column("meaning", lambda row: row.meaning, shrink=True),
        ],
        as_json=as_json,
    )
