"""What all verbs of the command line share: the options, how the workshop is opened, what is said when there is none.

How to write a verb:

1. A place's module holds `app = place("its question")`; a verb is a function under `@app.command("name")`. The place
   itself answers too: `@app.callback(invoke_without_command=True)`, and return at once if `ctx.invoked_subcommand`.
2. Options come from here: `db: Db = None` on every verb, `as_json: AsJson = False` on every answer, `build: BuildCode
   = None` where a build is meant; said before the verb they count, too. `AssemblyCode`, `PartKey` complete.
3. An answer: `with opened(db) as shop: answer = what(shop, ...)`, then `show(answer, columns, as_json=as_json)`. The
   columns are `Column("heading", lambda row: ..., right=..., shrink=...)`; further tables by `table(...)`.
4. A write: `with opened(db) as shop:`, call the action, `say("One sentence of what was done.")`. Only a verb that
   starts a workshop says `opened(db, create=True)`. Where an action wants a build: `build_meant(shop, build)`. Answers
   and actions are imported inside the function, as actions bring the ORM along.
5. Raise nothing of your own but BadInput; let errors of answers and actions pass: `main` turns them into sentences.
6. The docstring is the help: a plain sentence, then a `\\b` paragraph `Example:` with two spaces before a line that
   can be run. A flag is keyword-only and off by default; amounts and values are text as the trade writes them.
7. Modules of a place import only typer, this module, `show` and light answers: tests/cli/test_cold_start.py watches.
"""

from __future__ import annotations

import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from buildbook.errors import BadInput, BuildbookError

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

WAYS_ON = (
    ("buildbook demo", "look around in the demo workshop"),
    ("buildbook boards import LIST.csv --into PROJECT/ASSEMBLY", "start from a parts list"),
    ("buildbook boards new PROJECT", "start a project of your own"),
)


def place(question: str) -> typer.Typer:
    """A place, whose own answer has the help; or a group of verbs inside one, with `question` as its help."""
    return typer.Typer(short_help=question, add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)


def nearest(ctx: typer.Context, param: typer.CallbackParam, value: Any) -> Any:
    """The option as given here; else as given before the verb; else the environment's."""
    source = ctx.get_parameter_source(param.name or "")
    outer = ctx.parent.params if ctx.parent else {}
    if source is not None and source.name != "COMMANDLINE" and outer.get(param.name):
        return outer[param.name]
    return value


def known_codes(ctx: typer.Context, kind: str, begun: str) -> list[tuple[str, str]]:
    """Codes of the workshop that begin so, for the shell; nothing at all when it cannot be read."""
    import sqlite3

    from buildbook.answers.workshop import codes

    given: Any = next((c.params["db"] for c in _outward(ctx) if c.params.get("db")), None)
    try:
        with opened(given) as shop:
            return codes(shop, kind, begun)
    except (BuildbookError, sqlite3.Error, OSError):
        return []


def _outward(ctx: typer.Context) -> Iterator[Any]:
    context: Any = ctx
    while context is not None:
        yield context
        context = context.parent


def complete_builds(ctx: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """Codes of builds."""
    return known_codes(ctx, "build", incomplete)


def complete_assemblies(ctx: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """Codes of assemblies, as PROJECT/ASSEMBLY."""
    return known_codes(ctx, "assembly", incomplete)


def complete_parts(ctx: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """Keys of parts."""
    return known_codes(ctx, "part", incomplete)


def complete_choices(ctx: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """Codes of choices, as PROJECT/CHOICE."""
    return known_codes(ctx, "choice", incomplete)


Db = Annotated[
    Path | None,
    typer.Option(
        "--db",
        metavar="FILE",
        envvar="BUILDBOOK_DB",
        show_envvar=True,
        show_default=False,
        help="The workshop file.",
        callback=nearest,
    ),
]
BuildCode = Annotated[
    str | None,
    typer.Option(
        "--build",
        metavar="CODE",
        show_default=False,
        help="The build meant, where there are several.",
        callback=nearest,
        autocompletion=complete_builds,
    ),
]
AsJson = Annotated[bool, typer.Option("--json", show_default=False, help="Print the answer as JSON.", callback=nearest)]
AssemblyCode = Annotated[
    str,
    typer.Argument(
        metavar="ASSEMBLY",
        show_default=False,
        help="Its code, or PROJECT/CODE.",
        autocompletion=complete_assemblies,
    ),
]
PartKey = Annotated[
    str,
    typer.Argument(metavar="PART", show_default=False, help="Its key or name.", autocompletion=complete_parts),
]
ChoiceCode = Annotated[
    str,
    typer.Argument(
        metavar="QUESTION",
        show_default=False,
        help="Its code, or PROJECT/CODE.",
        autocompletion=complete_choices,
    ),
]


@contextmanager
def opened(db: Path | None, *, create: bool = False) -> Iterator[Workshop]:
    """The workshop at `db`, or at its usual place; without `create` it must be there already."""
    import sqlite3

    from buildbook.actions.workshop import default_place, open_workshop

    path = db or default_place()
    if not create and is_absent(path):
        raise nothing_there(path)
    shop = open_workshop(path, create=create)
    try:
        yield shop
    except sqlite3.Error as error:
        from buildbook.answers.workshop import trouble

        raise trouble(path, error) from error
    finally:
        shop.close()


def build_meant(shop: Workshop, code: str | None) -> str:
    """The code of the build named, or else of the only one planned or under way; BadInput when that is not clear."""
    from buildbook.answers.standing import builds_that_count, find_build

    known = builds_that_count(shop)
    found = find_build(known, code)
    if found is not None:
        return found.code
    if not known:
        raise BadInput("No build is planned or under way.", "", "Start one with `buildbook boards new`.")
    codes = ", ".join(build.code for build in known)
    raise BadInput("It is not clear which build is meant.", f"There are {codes}.", "Name one with --build.")


def is_absent(path: Path) -> bool:
    """Whether there is no file, or one without a byte in it."""
    try:
        found = path.stat()
        return stat.S_ISREG(found.st_mode) and found.st_size == 0
    except FileNotFoundError:
        return True
    except OSError:
        return False


def nothing_there(path: Path) -> BadInput:
    """That there is no workshop yet, with the ways on."""
    return BadInput(f"There is no workshop at {path} yet.", "", f"Three ways on:\n{ways_on()}")


def ways_on() -> str:
    """What somebody who has no workshop can do, one way a line."""
    width = max(len(command) for command, _ in WAYS_ON)
    return "\n".join(f"  {command.ljust(width)}  {what}" for command, what in WAYS_ON)
