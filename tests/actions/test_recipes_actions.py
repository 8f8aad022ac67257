"""Recipes and copied checklists: their steps come in one action, in their order, after what is there already."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import checklists, network
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.recipes import take_like, take_recipe, usual_name
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.bench import bench
from buildbook.answers.order import order
from buildbook.answers.recipes import recipes
from buildbook.errors import BadInput, Forbidden

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def steps(shop: Workshop, assembly: str) -> list[str]:
    """The names of the steps of an assembly, from the top down."""
    return [row.name for row in bench(shop, "CURLEW").rows if row.assembly == f"CURLEW/{assembly}"]


def links(shop: Workshop, assembly: str) -> set[tuple[int, int]]:
    """What comes before what on a checklist, by place; 0 for a step of another."""
    numbers = [row.step for row in bench(shop, "CURLEW").rows if row.assembly == f"CURLEW/{assembly}"]
    place = {step: at for at, step in enumerate(numbers, 1)}
    rows = shop.reads.execute("SELECT needs_id, step_id FROM step_need")
    return {(place.get(before, 0), place[step]) for before, step in rows if step in place}


def test_a_recipe_comes_with_its_minutes_waits_cautions_and_order(curlew: Workshop) -> None:
    numbers = take_recipe(curlew, "Paint", "audio", called="the lid")
    rows = {row.step: row for row in bench(curlew, "CURLEW").rows}
    prime = next(rows[number] for number in numbers if rows[number].work == "prime")
    assert prime.name == "Prime the lid inside and out"
    assert (prime.low_min, prime.likely_min, prime.high_min, prime.wait_low_min) == (25, 40, 60, 1440)
    assert (prime.wait_kind, prime.one_way) == ("dry", True)
    assert prime.caution.startswith("Solvent vapour")
    assert links(curlew, "AUDIO") == {(at, at + 1) for at in range(1, len(numbers))}


@pytest.mark.parametrize("code", [recipe.code for recipe in recipes().rows])
def test_no_recipe_forgets_anything_and_each_is_one_action(curlew: Workshop, dump: Dump, code: str) -> None:
    before = dump(curlew)
    take_recipe(curlew, code, "AUDIO")
    assert order(curlew).rows == ()
    assert sum(row.state == "ready" for row in bench(curlew).rows if row.assembly == "CURLEW/AUDIO") == 1
    assert undo(curlew) == f"Take the recipe {code} for CURLEW/AUDIO"
    assert dump(curlew) == before


def test_what_was_worked_from_the_top_down_stays_so_and_the_recipe_comes_after_it(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "AUDIO", [NewStep("Wash"), NewStep("Rinse"), NewStep("Blow dry")])
    take_recipe(curlew, "letter", "AUDIO")
    assert links(curlew, "AUDIO") == {(1, 2), (2, 3), (3, 4), (4, 5), (5, 6)}


def test_the_first_step_of_a_recipe_comes_after_those_named(curlew: Workshop) -> None:
    take_recipe(curlew, "letter", "AUDIO", after=["Fit the coils"])
    assert links(curlew, "AUDIO") == {(0, 1), (1, 2), (2, 3)}
    take_recipe(curlew, "letter", "IF")
    assert links(curlew, "IF") == {(1, 2), (3, 4), (4, 5)}


@pytest.mark.parametrize(("assembly", "name"), [("IF", "the IF board"), ("AUDIO", "the audio board")])
def test_steps_call_the_assembly_by_its_name(curlew: Workshop, assembly: str, name: str) -> None:
    assert usual_name(curlew, assembly) == name
    take_recipe(curlew, "board", assembly)
    assert f"Populate the low parts of {name}" in steps(curlew, assembly)


def test_the_unit_keeps_its_proper_name(curlew: Workshop) -> None:
    assert usual_name(curlew, "CURLEW") == "the Curlew receiver"


def test_an_unknown_recipe_is_told_and_nothing_is_written(curlew: Workshop, dump: Dump) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput, match=r"'bake' is none of metalwork, paint"):
        take_recipe(curlew, "bake", "IF")
    with pytest.raises(BadInput, match=r"There is no assembly"):
        take_recipe(curlew, "paint", "LID")
    assert dump(curlew) == before


def test_a_checklist_is_copied_with_its_order(curlew: Workshop, dump: Dump) -> None:
    network.put_after(curlew, "IF/2", "IF/1", link="ss", wait_min=30)
    network.hold_for_question(curlew, "IF/1", "RECT")
    network.waive(curlew, "IF/1", "IF/2", "Another sheet.")
    before = dump(curlew)
    first, second = take_like(curlew, "IF", "AUDIO")
    assert steps(curlew, "AUDIO") == ["Fit the resistors", "Fit the coils"]
    rows = curlew.reads.execute("SELECT step_id, needs_id, link, wait_min FROM step_need WHERE step_id > 2").fetchall()
    assert rows == [(second, first, "SS", 30)]
    asked = curlew.reads.execute("SELECT count(*) FROM step_question").fetchone()
    assert asked == (1,)
    assert curlew.reads.execute("SELECT before_id FROM step_waived WHERE step_id = ?", (first,)).fetchone() == (second,)
    assert undo(curlew) == "Take the checklist of CURLEW/IF for CURLEW/AUDIO"
    assert dump(curlew) == before


def test_a_copy_comes_after_what_is_worked_from_the_top_down(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "AUDIO", [NewStep("Wash"), NewStep("Rinse")])
    take_like(curlew, "IF", "AUDIO")
    assert links(curlew, "AUDIO") == {(1, 2), (2, 3), (3, 4)}


def test_a_list_worked_from_the_top_down_is_copied_in_that_order(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "AUDIO", [NewStep("Wash"), NewStep("Wash"), NewStep("Rinse")])
    numbers = take_like(curlew, "AUDIO", "IF")
    assert links(curlew, "IF") == {(1, 2), (3, 4), (4, 5)}
    assert len(numbers) == 3
    take_like(curlew, "AUDIO", "AUDIO")
    assert links(curlew, "AUDIO") == {(at, at + 1) for at in range(1, 6)}


def test_there_has_to_be_something_to_copy(curlew: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"CURLEW/AUDIO has no steps"):
        take_like(curlew, "AUDIO", "IF")


def test_a_step_added_with_what_it_comes_after_leaves_the_others_in_order(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "AUDIO", [NewStep("Wash"), NewStep("Rinse"), NewStep("Blow dry")])
    checklists.add_step(curlew, "AUDIO", NewStep("Look closely", after=(After("Wash"),)))
    assert links(curlew, "AUDIO") == {(1, 2), (2, 3), (1, 4)}
