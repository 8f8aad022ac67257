"""Recipes: runs of steps that are done again and again, for a project to take and change. Common practice.

Minutes and waits are those of a careful builder in a warm room; the tin, the drawing and local codes govern.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.units import read_minutes
from buildbook.trade.workorder_words import usual_caution


class RecipeStep(NamedTuple):
    """A step of a recipe: hands-on minutes, then perhaps an unattended wait; `after` names the steps it comes after."""

    name: str
    work: str
    low_min: int
    likely_min: int
    high_min: int
    wait_low_min: int
    wait_high_min: int
    wait_kind: str
    one_way: bool
    hold_point: bool
    caution: str
    after: tuple[str, ...]


class Recipe(NamedTuple):
    """A run of steps under a short code, with a line that says what it is for."""

    code: str
    name: str
    steps: tuple[RecipeStep, ...]


# A line that begins with = opens a recipe: code, name, and the words for what it works with (mains, high voltage).
# A step: name | work | minutes low/likely/high | wait low/high and its kind | flags | after, the step above if empty.
# {it} is what the recipe is taken for.
_RECIPES = """
= metalwork | Mark out, cut, drill and deburr a case
Mark out {it} from the drawing | mark out | 20/40/60 | |
Offer up the parts to the marks on {it} | trial fit | 15/25/40 | | hold point
Cut and drill {it} | cut and drill | 60/90/150 | | one-way
Deburr every hole of {it}, both sides | deburr | 25/40/60 | |
Trial fit {it}, all screws started | trial fit | 20/30/50 | |
= paint | Prime and paint a case
Trial fit {it} before any paint | trial fit | 20/30/45 | |
Fill and sand the scratches that will show on {it} | fix what will show | 15/30/60 | |
Degrease {it} | degrease | 15/20/40 | 15 min/30 min dry |
Mask the bare-metal patch under the earth stud of {it} | mask | 5/10/15 | | hold point
Prime {it} inside and out | prime | 25/40/60 | 24 h/24 h dry | one-way
Paint {it}, first coat | paint | 20/30/50 | 40 min/60 min dry | one-way
Paint {it}, second coat | paint | 20/30/50 | 24 h/48 h dry | one-way
Let the paint of {it} cure | cure | 0/5/5 | 5 d/7 d cure |
Take off the masks of {it} and see bare metal | fit hardware | 5/5/10 | | hold point
= letter | Letter and clear-coat a panel
Letter {it} | letter | 30/50/90 | 2 h/4 h dry |
Clear-coat {it} | clear-coat | 15/20/30 | 24 h/24 h dry | one-way
Let the clear-coat of {it} cure | cure | 0/5/5 | 5 d/7 d cure |
= board | Populate and test a board
Populate the low parts of {it} | populate | 20/40/60 | |
Populate the tall parts of {it}, polarity read aloud | populate | 15/25/40 | |
Inspect {it} under the glass, solder side and part side | safety checks | 10/10/20 | |
Bench-test {it} on a current-limited supply | adjust | 20/30/60 | | hold point
= harness | Make up a harness
Cut and mark the wires of {it} | wire | 20/30/45 | |
Crimp the ends of {it}, and pull every one | wire | 20/30/50 | | hold point
Lace {it} | wire | 30/45/80 | |
Ring out {it} against the list | safety checks | 15/20/30 | | hold point
= first-power | First power-up of a mains unit | mains, high voltage
Protective earth of {it}: inlet pin to every panel | safety checks | 10/15/20 | | hold point
Insulation of {it}: line and neutral joined, to earth | safety checks | 10/15/20 | | hold point
Read and sign the safety checks of {it} | safety checks | 5/10/10 | | hold point
First power of {it} through a lamp limiter | first power | 20/30/45 | | hold point
First power of {it} on the full mains, read the voltages | first power | 20/30/60 | 30 min/60 min soak |
Soak test {it} with the lid on, somebody in the house | adjust | 10/15/20 | 3 h/4 h soak |
Button up {it}, labels and rating plate | button up | 15/20/40 | |
"""


def _recipes() -> dict[str, Recipe]:
    found: dict[str, Recipe] = {}
    for block in _RECIPES.strip().removeprefix("=").split("\n="):
        heading, *lines = block.splitlines()
        code, name, *about = (cell.strip() for cell in heading.split("|"))
        steps: list[RecipeStep] = []
        for line in lines:
            above = steps[-1].name if steps else ""
            steps.append(_step(line, above, about[0] if about else ""))
        found[code] = Recipe(code, name, tuple(steps))
    return found


def _step(line: str, above: str, about: str) -> RecipeStep:
    name, work, minutes, wait, flags, after = [*(cell.strip() for cell in line.split("|")), ""][:6]
    low, likely, high = (int(part) for part in minutes.split("/"))
    waits, _, kind = wait.rpartition(" ")
    shortest, longest = (read_minutes(part) for part in waits.split("/")) if waits else (0, 0)
    return RecipeStep(
        name=name,
        work=work,
        low_min=low,
        likely_min=likely,
        high_min=high,
        wait_low_min=shortest,
        wait_high_min=longest,
        wait_kind=kind,
        one_way="one-way" in flags,
        hold_point="hold point" in flags,
        caution=usual_caution(work, mains="mains" in about, high_voltage="high voltage" in about),
        after=tuple(one.strip() for one in (after or above).split(";") if one.strip()),
    )


RECIPES: Mapping[str, Recipe] = _recipes()
"""Every recipe by its code."""


def steps_for(code: str, it: str) -> tuple[RecipeStep, ...]:
    """The steps of a recipe for one thing, called by `it` in their names. Raises BadInput for an unknown recipe.

    >>> [step.name for step in steps_for("letter", "the front panel")][:2]
    ['Letter the front panel', 'Clear-coat the front panel']
    """
    if code not in RECIPES:
        raise BadInput("No such recipe.", f"{code!r} is none of {', '.join(RECIPES)}.", "Take one of these.")
    thing = it.strip() or "it"
    return tuple(
        step._replace(
            name=step.name.replace("{it}", thing), after=tuple(one.replace("{it}", thing) for one in step.after)
        )
        for step in RECIPES[code].steps
    )
