"""Checks on the command line: is the design inside its limits, what is to be decided, does each board measure right?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from buildbook.cli import (
    checks_contacts,
    checks_make,
    checks_plot,
    checks_ratings,
    checks_safety,
    checks_sheets,
    checks_supply,
    checks_switch,
    checks_weigh,
)
from buildbook.cli.frame import AsJson, BuildCode, ChoiceCode, Db, opened, place
from buildbook.cli.show import Column, say, show, table
from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.answers.checks import Checks

app = place("Is the design inside its limits, and what is still to be decided?")
checks_sheets.add_to(app)
checks_make.add_to(app)
checks_supply.add_to(app)
checks_plot.add_to(app)
checks_ratings.add_to(app)
checks_safety.add_to(app)
checks_contacts.add_to(app)
checks_weigh.add_to(app)
checks_switch.add_to(app)
Reason = Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="Why.")]


class Printed(NamedTuple):
    """One printed row: a question, or below it one of its candidate answers."""

    state: str
    code: str
    text: str
    reason: str


def printed(answer: Checks) -> Iterator[Printed]:
    """Each question with its candidate answers below it."""
    for choice in answer.rows:
        yield Printed(choice.state, f"{choice.project}/{choice.code}", choice.question, choice.reason)
        for option in choice.options:
            yield Printed("chosen" if option.chosen else "", f"  {option.code}", option.name, "")


@app.callback(invoke_without_command=True)
def checks(ctx: typer.Context, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """The questions of the design with their candidate answers, the supplies, the test sheets, and the open snags.

    \b
    Example:
      buildbook checks
    """
    if ctx.invoked_subcommand:
        return
    from buildbook.answers.checks import checks as all_checks

    with opened(db) as shop:
        answer = all_checks(shop, build)
    columns: list[Column[Printed]] = [
        Column("state", lambda row: row.state, tone=lambda row: "warn" if row.state == "open" else ""),
        Column("question", lambda row: row.code),
        Column("in words", lambda row: row.text, shrink=True),
        Column("reason", lambda row: row.reason, shrink=True),
    ]
    show(answer, columns, rows=printed(answer), as_json=as_json)
    if as_json:
        return
    supplies = list(checks_supply.printed(answer.supplies))
    table(checks_supply.columns(supplies), supplies, heading="Supplies")
    borne = list(checks_ratings.printed(answer.ratings, answer.rated_boards))
    table(checks_ratings.columns(borne), borne, heading="Parts against their ratings")
    table(checks_safety.columns(answer.banks), answer.banks, heading="Capacitors" if answer.banks else "")
    sets = list(checks_contacts.printed(answer.contacts))
    table(checks_contacts.columns(sets), sets, heading="Contacts")
    table(checks_sheets.columns(answer.points), answer.points, heading="Test sheets" if answer.points else "")
    still_open = [row for row in answer.snags if row.state == "open"]
    table(
        [
            Column("snag", lambda row: f"{row.build}/{row.number}"),
            Column("what is wrong", lambda row: row.title, shrink=True),
            Column("about", lambda row: row.about, shrink=True),
            Column("tries", lambda row: str(len(row.tries)), right=True),
        ],
        still_open,
        heading="Open snags",
    )
    say(answer.beyond, apart=True)


@app.command()
def ask(
    code: Annotated[str, typer.Argument(metavar="PROJECT/CODE", show_default=False, help="What to call the question.")],
    question: Annotated[str, typer.Argument(metavar="QUESTION", show_default=False, help="In words.")],
    *,
    option: Annotated[
        list[str],
        typer.Option(metavar="CODE=NAME", show_default=False, help="A candidate answer; give two or more."),
    ],
    db: Db = None,
) -> None:
    """Ask a question of the design, with its candidate answers.

    \b
    Example:
      buildbook checks ask CURLEW/PHONES "Which socket?" --option JACK="6.3 mm jack" --option PAIR="Two 4 mm sockets"
    """
    from buildbook.actions import checks as actions

    project, slash, own = code.rpartition("/")
    if not slash:
        raise BadInput(f"{code} was not asked.", "It does not say of which project.", "Write PROJECT/CODE.")
    options = dict(_option(text) for text in option)
    if len(options) < len(option):
        raise BadInput(f"{code} was not asked.", "Two options have the same code.", "Give each its own.")
    with opened(db) as shop:
        named = actions.ask(shop, project, own, question, options)
    say(f"{project.upper()}/{named} is open, with {len(options)} candidate answers.")


def _option(text: str) -> tuple[str, str]:
    code, _, name = text.partition("=")
    return code.strip(), name.strip()


@app.command()
def settle(
    question: ChoiceCode,
    option: Annotated[str, typer.Argument(metavar="OPTION", show_default=False, help="The answer's code.")],
    *,
    reason: Reason,
    db: Db = None,
) -> None:
    """Choose one of the candidate answers, for a reason; its lines, assemblies, steps and loads count from now on.

    \b
    Example:
      buildbook checks settle CURLEW/RECT SI --reason "A valve would load the heater winding to 97 %"
    """
    from buildbook.actions import checks as actions
    from buildbook.answers.checks import find_question

    with opened(db) as shop:
        project, code = find_question(shop, question)
        chosen = actions.settle(shop, project, code, option, reason)
    say(f"Chosen for {project}: {chosen}.")


@app.command()
def shelve(question: ChoiceCode, *, reason: Reason, db: Db = None) -> None:
    """Put a question off on purpose, for a reason; none of its answers counts.

    \b
    Example:
      buildbook checks shelve CURLEW/READOUT --reason "The target date comes first"
    """
    from buildbook.actions import checks as actions
    from buildbook.answers.checks import find_question

    with opened(db) as shop:
        project, code = find_question(shop, question)
        actions.shelve(shop, project, code, reason)
    say(f"Shelved: {project}/{code}.")


@app.command()
def reopen(question: ChoiceCode, *, reason: Reason, db: Db = None) -> None:
    """Open a question again, for a reason; none of its answers counts until one is chosen.

    \b
    Example:
      buildbook checks reopen CURLEW/READOUT --reason "There is a spare evening"
    """
    from buildbook.actions import checks as actions
    from buildbook.answers.checks import find_question

    with opened(db) as shop:
        project, code = find_question(shop, question)
        actions.reopen(shop, project, code, reason)
    say(f"Open again: {project}/{code}.")


@app.command()
def value(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="4k7 1%, 104, red red orange gold.")],
    *,
    kind: Annotated[str | None, typer.Option(metavar="R|C|L", help="Resistor, capacitor or inductor.")] = None,
    db: Db = None,  # it asks nothing of the workshop, but every verb takes the option
    as_json: AsJson = False,
) -> None:
    """What a component value or the colour bands of a resistor say: codes, series, nearest preferred values, bands.

    \b
    Example:
      buildbook checks value "4k7 1%"
      buildbook checks value "yellow violet red gold"
    """
    from buildbook.answers.values import Reading, value_read

    answer = value_read(text, kind)
    columns: list[Column[Reading]] = [
        Column("as written here", lambda row: row.house),
        Column("code", lambda row: row.letter_code),
        Column("in full", lambda row: row.si),
        Column("series", lambda row: row.series or "none"),
        Column("nearest", lambda row: ", ".join(f"{near} ({series})" for series, near in row.nearest)),
        Column("bands", lambda row: " ".join(row.bands)),
    ]
    show(answer, columns, rows=answer.readings, as_json=as_json)
