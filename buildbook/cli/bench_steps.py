"""Bench on the command line, the steps themselves: changing one, and taking runs of them from a recipe."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from buildbook.cli.bench_network import Step
from buildbook.cli.frame import AsJson, Db, complete_assemblies, opened, place
from buildbook.cli.show import Column, say, show
from buildbook.errors import BadInput

recipe = place("Runs of steps that are done again and again.")


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    recipe.command("list")(recipes)
    recipe.command("take")(take)
    app.command("change")(change)
    app.command("take-off")(take_off)
    app.add_typer(recipe, name="recipe", help="Runs of steps that are done again and again.")


def recipes(*, db: Db = None, as_json: AsJson = False) -> None:
    """The recipes there are, with their steps.

    \b
    Example:
      buildbook bench recipe list
    """
    from buildbook.answers.recipes import recipes as all_recipes
    from buildbook.trade.units import show_minutes

    with opened(db):
        answer = all_recipes()
    rows = [(one, step) for one in answer.rows for step in one.steps]
    show(
        answer,
        [
            Column("recipe", lambda row: row[0].code),
            Column("step", lambda row: row[1].name, shrink=True),
            Column("work", lambda row: row[1].work),
            Column("takes", lambda row: f"~{show_minutes(row[1].likely_min)}", right=True),
            Column("then waits", lambda row: show_minutes(row[1].wait_low_min) if row[1].wait_low_min else ""),
        ],
        rows=rows,
        as_json=as_json,
    )


def take(
    first: Annotated[
        str,
        typer.Argument(metavar="[RECIPE]", show_default=False, help="The recipe; not with --like."),
    ],
    second: Annotated[
        str,
        typer.Argument(
            metavar="ASSEMBLY",
            show_default=False,
            help="The assembly whose checklist takes the steps.",
            autocompletion=complete_assemblies,
        ),
    ] = "",
    *,
    like: Annotated[
        str,
        typer.Option(
            "--like",
            metavar="ASSEMBLY",
            show_default=False,
            help="Instead of a recipe: copy the checklist of this one.",
            autocompletion=complete_assemblies,
        ),
    ] = "",
    called: Annotated[
        str, typer.Option("--for", metavar="TEXT", show_default=False, help="What the steps call it: the front panel.")
    ] = "",
    after: Annotated[
        list[str] | None,
        typer.Option(metavar="STEP", show_default=False, help="A step that the first comes after; may be given again."),
    ] = None,
    db: Db = None,
) -> None:
    """Put the steps of a recipe, or of another checklist, at the end of a checklist, in their order.

    \b
    Example:
      buildbook bench recipe take first-power LINNET --for "the Linnet"
      buildbook bench recipe take LINNET/REG --like LINNET/RECT
    """
    from buildbook.actions import recipes as actions
    from buildbook.answers.form import count_of

    if like and (second or called or after):
        raise BadInput("Nothing was copied.", "With --like there is no recipe.", "Name only the assembly, and --like.")
    if not like and not second:
        raise BadInput("Nothing was taken.", "No assembly is named.", "Name the recipe, then the assembly.")
    with opened(db) as shop:
        if like:
            numbers = actions.take_like(shop, like, first)
        else:
            numbers = actions.take_recipe(shop, first, second, called=called, after=after or ())
    say(f"{count_of(len(numbers), 'step')} on the checklist of {(first if like else second).upper()}.")


def change(
    step: Step,
    *,
    name: Annotated[str | None, typer.Option("--name", metavar="TEXT", help="What is to be done.")] = None,
    takes: Annotated[
        str | None, typer.Option("--takes", metavar="TIME", help="Hands-on time: 40min, or 20/40/60 (least to most).")
    ] = None,
    wait: Annotated[
        str | None, typer.Option("--wait", metavar="TIME", help="Then left alone: 24h, or 24h/48h; 0 for no wait.")
    ] = None,
    wait_kind: Annotated[
        str | None, typer.Option("--wait-kind", metavar="WORD", help="dry, cure, soak, cool or charge.")
    ] = None,
    occupies: Annotated[
        str | None, typer.Option("--occupies", metavar="PLACE", help="What is taken meanwhile: oven, or nothing.")
    ] = None,
    tools: Annotated[str | None, typer.Option("--tools", metavar="TEXT", help="The tools it wants.")] = None,
    work: Annotated[str | None, typer.Option("--work", metavar="KIND", help="Kind of work: prime, wire.")] = None,
    one_way: Annotated[
        bool | None, typer.Option("--one-way/--can-be-undone", help="Whether it cannot be undone.")
    ] = None,
    hold_point: Annotated[
        bool | None, typer.Option("--hold-point/--no-hold-point", help="Whether its check has to be signed.")
    ] = None,
    caution: Annotated[str | None, typer.Option("--caution", metavar="TEXT", help="What to mind.")] = None,
    check: Annotated[
        list[str] | None,
        typer.Option("--check", metavar="TEXT", help="What its signature confirms; may be given again."),
    ] = None,
    option: Annotated[
        str | None,
        typer.Option(
            "--option", metavar="QUESTION:ANSWER", help="It counts only while that is chosen; empty for always."
        ),
    ] = None,
    db: Db = None,
) -> None:
    """Change what is given of a step; what is not named stays as it is.

    \b
    Example:
      buildbook bench change "Prime inside and out" --takes 30/45/60 --wait 24h/48h --wait-kind dry
    """
    from buildbook.actions.checklists import change_step
    from buildbook.trade.units import read_spread

    low, likely, high = read_spread(takes, 3) if takes is not None else (None, None, None)
    wait_low, wait_high = read_spread(wait, 2) if wait is not None else (None, None)
    fields: dict[str, Any] = {
        "name": name,
        "low_min": low,
        "likely_min": likely,
        "high_min": high,
        "wait_low_min": wait_low,
        "wait_high_min": wait_high,
        "work": work,
        "wait_kind": wait_kind,
        "occupies": occupies,
        "tools": tools,
        "one_way": one_way,
        "hold_point": hold_point,
        "caution": caution,
        "checks": "\n".join(check) if check else None,
        "option": option,
    }
    given = {field: value for field, value in fields.items() if value is not None}
    if not given:
        raise BadInput("Nothing was changed.", "Nothing is said of the step.", "Say what to change, such as --takes.")
    with opened(db) as shop:
        number = change_step(shop, step, **given)
    say(f"Step {number} of the workshop is changed.")


def take_off(step: Step, *, db: Db = None) -> None:
    """Take a step off its checklist, for every build; to leave it out of one build, drop it.

    \b
    Example:
      buildbook bench take-off CURLEW/16
    """
    from buildbook.actions import checklists

    with opened(db) as shop:
        name = checklists.drop_step(shop, step)
    say(f"Off the checklist: {name}.")
