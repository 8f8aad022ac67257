"""The command line of Buildbook: its places, each loaded when it is asked for, and how errors are told."""

from __future__ import annotations

import importlib
import os
import sys
import traceback
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.exceptions import TyperException
from typer.main import get_group

from buildbook import __version__
from buildbook.cli import frame
from buildbook.cli.frame import AsJson, Db, opened
from buildbook.cli.plainly import plain, read_plainly
from buildbook.errors import BuildbookError

PLACES = {
    "bench": "What can I do now, and what must I not do yet?",
    "boards": "Which sections are done, kitted, short?",
    "stores": "What have I got, where is it, what is it spoken for?",
    "buying": "What must I buy, from whom, for how much?",
    "checks": "Is the design inside its limits, and what is still to be decided?",
    "log": "What happened, and what do I say about it?",
    "workshop": "The file itself: check, back up, undo, settings.",
}
UNEXPECTED = 1
LOG_AT_MOST_BYTES = 1_000_000


class Places(TyperGroup):
    """The places, imported one at a time, so that the program is there at once; and the edge where errors are told."""

    def get_params(self, ctx: Any) -> Any:
        """The program's own options, read plainly."""
        return plain(super().get_params(ctx))

    def list_commands(self, ctx: Any) -> list[str]:
        """The places in the order of a workshop's day, then the rest."""
        return [*PLACES, *super().list_commands(ctx)]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The group of a place, imported now, or a command of the program itself."""
        if cmd_name not in PLACES:
            return super().get_command(ctx, cmd_name)
        command = read_plainly(get_group(importlib.import_module(f"buildbook.cli.{cmd_name}").app))
        command.name = cmd_name
        return command

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The list of places with their questions, without importing them."""
        own = [(name, command.get_short_help_str(80)) for name, command in self.commands.items()]
        with formatter.section("Places"):
            formatter.write_dl(list(PLACES.items()))
        with formatter.section("Besides"):
            formatter.write_dl(own)

    def invoke(self, ctx: Any) -> Any:
        """Run the command; an error becomes one to three sentences on stderr and an exit code."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
            return result
        except BrokenPipeError:
            # Whoever read the output has gone; what is left to write goes nowhere (Python docs, "Note on SIGPIPE").
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(UNEXPECTED) from None
        except (typer.Exit, typer.Abort, TyperException, EOFError):
            raise
        except BuildbookError as error:
            if ctx.params.get("debug"):
                raise
            from buildbook.cli.show import harmless

            typer.echo(harmless(str(error)), err=True)
            raise typer.Exit(error.exit_code) from error
        except Exception as error:  # the edge: it becomes a sentence and a log file
            if ctx.params.get("debug"):
                raise
            typer.echo(told(error), err=True)
            raise typer.Exit(UNEXPECTED) from error


def told(error: Exception) -> str:
    """One sentence for a mistake of our own, with the file that holds the rest."""
    from platformdirs import user_log_path

    place = user_log_path("buildbook", appauthor=False) / "buildbook.log"
    text = "".join(traceback.format_exception(error))
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        fresh = not place.exists() or place.stat().st_size > LOG_AT_MOST_BYTES
        with place.open("w" if fresh else "a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(f"Buildbook {__version__}\n{text}\n")
    except OSError:
        return f"Something went wrong inside Buildbook ({type(error).__name__}); --debug before the command tells more."
    return f"Something went wrong inside Buildbook ({type(error).__name__}); the details are in {place}."


app = typer.Typer(
    cls=Places,
    name="buildbook",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def print_version(wanted: bool) -> None:  # noqa: FBT001 - Typer calls it so
    """Print the version and leave."""
    if wanted:
        typer.echo(f"buildbook {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def buildbook(
    ctx: typer.Context,
    *,
    db: Db = None,
    as_json: AsJson = False,
    theme: Annotated[str, typer.Option("--theme", metavar="light|dark", help="The colours of the screen.")] = "",
    ascii_only: Annotated[bool, typer.Option("--ascii", help="Draw the screen with plain signs only.")] = False,
    debug: Annotated[bool, typer.Option("--debug", help="Show tracebacks of errors.")] = False,
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and leave.", is_eager=True, callback=print_version)
    ] = False,
) -> None:
    """One notebook for a mains-powered build: parts, drawers, boards, buying, bench and log.

    Without a place, it opens the screen, or says how the workshop stands where nobody looks at a terminal.

    \b
    Example:
      buildbook
    """
    if ctx.invoked_subcommand:
        return
    from buildbook.actions.workshop import default_place
    from buildbook.cli.screen import at_terminal, open_screen

    path = db or default_place()
    if not as_json and at_terminal():
        open_screen(path, theme=theme, ascii_only=ascii_only)
        return
    if frame.is_absent(path):
        typer.echo(frame.nothing_there(path))
        return
    from buildbook.answers.workshop import overview
    from buildbook.cli.workshop import print_overview

    with opened(db) as shop:
        print_overview(overview(shop), as_json=as_json)


@app.command()
def demo(
    *,
    db: Db = None,
    no_screen: Annotated[bool, typer.Option("--no-screen", help="Make it and say where it is, no more.")] = False,
    theme: Annotated[str, typer.Option("--theme", metavar="light|dark", help="The colours of the screen.")] = "",
    ascii_only: Annotated[bool, typer.Option("--ascii", help="Draw the screen with plain signs only.")] = False,
    as_json: AsJson = False,
) -> None:
    """Open the demo workshop: the Curlew receiver, half built.

    It lies in a place of its own, or in --db if that file is empty or is the demo already.

    \b
    Example:
      buildbook demo --no-screen
    """
    from buildbook.cli.demo import demo_at, open_demo
    from buildbook.cli.screen import at_terminal, open_screen

    if no_screen or as_json or not at_terminal():
        open_demo(db, as_json=as_json)
        return
    open_screen(demo_at(db), theme=theme, ascii_only=ascii_only)
