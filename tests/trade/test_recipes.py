"""Recipes: runs of steps that a project takes and changes, and that keep to the natural order of work themselves."""

from __future__ import annotations

import pytest

from buildbook.errors import BadInput
from buildbook.reckon.forgotten import Worked, forgotten
from buildbook.reckon.network import Link, in_order
from buildbook.trade.recipes import RECIPES, RecipeStep, steps_for
from buildbook.trade.workorder import WORKS
from buildbook.trade.workorder_words import work_guessed

EVERY = sorted(RECIPES)


def linked(steps: tuple[RecipeStep, ...]) -> tuple[list[Worked], list[Link]]:
    places = {step.name: place for place, step in enumerate(steps)}
    links = [Link(places[one], places[step.name]) for step in steps for one in step.after]
    return [Worked(places[step.name], 1, step.work, step.one_way) for step in steps], links


def test_the_runs_of_steps_that_every_builder_knows_are_there() -> None:
    assert {"paint", "board", "first-power"} <= set(EVERY)
    assert RECIPES["first-power"].name == "First power-up of a mains unit"


@pytest.mark.parametrize("code", EVERY)
def test_a_recipe_is_whole(code: str) -> None:
    steps = steps_for(code, "the Curlew")
    assert len({step.name for step in steps}) == len(steps)
    for step in steps:
        assert "{" not in step.name
        assert step.work in WORKS
        assert work_guessed(step.name) in ("", step.work), step.name
        assert 0 <= step.low_min <= step.likely_min <= step.high_min
        assert 0 <= step.wait_low_min <= step.wait_high_min
        assert bool(step.wait_kind) == bool(step.wait_high_min)
        assert step.wait_kind in ("", "dry", "cure", "soak", "cool", "charge")


@pytest.mark.parametrize("code", EVERY)
def test_a_recipe_forgets_nothing(code: str) -> None:
    steps, links = linked(steps_for(code, "it"))
    assert len(in_order([step.id for step in steps], links)) == len(steps)
    assert forgotten(steps, links) == ()


def test_all_metal_work_one_after_the_other_forgets_nothing() -> None:
    """Metalwork, then paint, then lettering, joined end to end as a project would join them."""
    steps: list[Worked] = []
    links: list[Link] = []
    for code in ("metalwork", "paint"):
        more, within = linked(steps_for(code, "the case"))
        start = len(steps)
        steps += [step._replace(id=step.id + start) for step in more]
        links += [Link(link.before + start, link.after + start) for link in within]
        links += [Link(start - 1, start)] if start else []
    assert forgotten(steps, links) == ()


@pytest.mark.parametrize("code", EVERY)
def test_what_cannot_be_undone_says_so(code: str) -> None:
    for step in RECIPES[code].steps:
        assert step.one_way == (step.work in ("cut and drill", "prime", "paint", "clear-coat")), step.name


def test_mains_work_leaves_it_to_local_codes_and_is_signed_before_power() -> None:
    steps = RECIPES["first-power"].steps
    assert all("local codes decide" in step.caution for step in steps)
    first = next(place for place, step in enumerate(steps) if step.work == "first power")
    assert all(step.hold_point for step in steps[:first])


def test_an_unknown_recipe_is_refused() -> None:
    with pytest.raises(BadInput, match="'cake' is none of metalwork, paint"):
        steps_for("cake", "the Curlew")
    assert steps_for("letter", "  ")[0].name == "Letter it"
