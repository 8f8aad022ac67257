"""The order of work on the screen: forgotten pairs, links, holds, recipes, and the way to what holds a step."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import buying, checklists, lists, measuring, network
from buildbook.actions.buying import OrderLine
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import StepRow, bench
from buildbook.answers.order import order
from buildbook.tui.bench import Bench
from buildbook.tui.bench_order import Order
from buildbook.tui.place import FRAME_KEYS
from buildbook.tui.places import PLACES

Run = Any
Sit = Any


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def step(shop: Workshop, name: str) -> StepRow:
    """A step of the Curlew."""
    return next(row for row in bench(shop, "CURLEW").rows if row.name == name)


@pytest.fixture
def loose(another: Workshop) -> Workshop:
    """A case of which nothing says that the patch is masked before the primer."""
    checklists.add_step(another, "CURLEW/CASE", NewStep("Degrease the case", 10))
    checklists.change_step(another, "CASE/1", after=[After("Degrease the case")])
    checklists.change_step(another, "CASE/2", after=[After("Degrease the case")])
    return another


# --- the order that nobody wrote down --------------------------------------------------------------------------------


def test_a_forgotten_pair_is_linked_at_one_key(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("O")
            seen = flat(seat.seen())
            assert order(loose).sentence in seen
            assert "dangerous" in seen
            await seat.press("space")
            assert "Prime inside and out comes after Mask the earth patch." in flat(seat.seen())
            assert order(loose).rows == ()
            assert "Nothing is forgotten" in flat(seat.seen())
            await seat.press("u")
            assert len(order(loose).rows) == 1
            await seat.press("escape")
            assert seat.frame.panel.place.NAME == "Bench"

    run(scene())


def test_that_it_does_not_matter_is_said_with_a_reason(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("O", "enter")
            assert "paint under the stud breaks the protective earth" in flat(seat.seen())
            await seat.press("d", "enter")
            assert "Nothing is typed yet." in flat(seat.asked())
            await seat.type("A plated insert.")
            await seat.press("enter")
            assert (order(loose).rows, order(loose).dismissed) == ((), 1)
            assert "1 pair does not matter here" in flat(seat.seen())

    run(scene())


def test_what_the_project_turned_round_is_not_linked_into_a_loop(
    run: Run, sit: Sit, curlew: Path, loose: Workshop
) -> None:
    network.put_after(loose, "Mask", "Prime")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("O", "space")
            assert "The project says the opposite" in flat(seat.seen())
            assert [row.how for row in order(loose).rows] == ["reversed"]

    run(scene())


# --- a one-way step --------------------------------------------------------------------------------------------------


def test_a_ready_one_way_step_tells_what_it_closes_off(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    actions.tick(loose, "CURLEW", "Degrease the case")
    assert step(loose, "Prime inside and out").state == "ready"

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("down", "space")
            asked = flat(seat.asked())
            assert "Prime inside and out would close something off." in asked
            assert "Mask the earth patch. Dangerous: paint under the stud breaks the protective earth." in asked
            await seat.press("escape")
            assert step(loose, "Prime inside and out").state == "ready"
            await seat.press("space", "down", "enter")
            assert step(loose, "Prime inside and out").early == "Mask the earth patch"

    run(scene())


def test_a_one_way_step_that_closes_nothing_off_begins_at_one_key(
    run: Run, sit: Sit, curlew: Path, loose: Workshop
) -> None:
    actions.tick(loose, "CURLEW", "Degrease the case")
    actions.tick(loose, "CURLEW", "Mask")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("space")
            assert step(loose, "Prime inside and out").state == "in hand"

    run(scene())


# --- verbs of a step -------------------------------------------------------------------------------------------------


def test_a_step_comes_after_another_found_by_a_piece_of_its_name(
    run: Run, sit: Sit, curlew: Path, loose: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("end", "A")
            assert "Prime inside and out comes after which step?" in flat(seat.asked())
            await seat.type("mask")
            await seat.press("tab", "enter")
            assert "Mask the earth patch" in step(loose, "Prime inside and out").held_by
            await seat.press("end")
            verb = next(one for one in Bench.verbs if one.word == "not after")
            seat.frame.do(verb)
            await seat.rest()
            await seat.type("mask")
            await seat.press("enter")
            assert step(loose, "Prime inside and out").held_by == ("Degrease the case",)

    run(scene())


def test_a_loop_is_told_on_the_screen(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("A")
            await seat.type("prime")
            await seat.press("tab", "enter")
            assert "They would wait for each other" in flat(seat.seen())

    run(scene())


def test_a_step_is_held_for_a_question_and_let_go(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("H")
            assert "Which rectifier?" in flat(seat.asked())
            await seat.press("enter")
            assert step(loose, "Degrease the case").held_by == ("question CURLEW/RECT",)
            seat.list.select(f"CURLEW {step(loose, 'Degrease the case').step}")
            await seat.press("H")
            assert "holds it" in flat(seat.asked())
            await seat.press("enter")
            assert step(loose, "Degrease the case").held_by == ()

    run(scene())


def test_a_recipe_is_taken_for_a_section(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("R")
            await seat.type("letter")
            await seat.press("enter", "enter")
            assert "the case" in seat.asked()
            await seat.press("enter")
            assert "3 steps are on the checklist of CURLEW/CASE." in flat(seat.seen())
            assert step(loose, "Clear-coat the case").held_by == ("Letter the case",)

    run(scene())


def test_another_checklist_is_copied(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("R")
            await seat.type("copy")
            await seat.press("enter")
            await seat.type("CURLEW/CASE")
            await seat.press("enter", "ctrl+u")
            await seat.type("CURLEW/IF")
            await seat.press("enter")
            names = [row.name for row in bench(loose, "CURLEW").rows if row.assembly == "CURLEW/IF"]
            assert names == ["Mask the earth patch", "Prime inside and out", "Degrease the case"]

    run(scene())


# --- to what holds a step --------------------------------------------------------------------------------------------


def held_by(shop: Workshop, what: str) -> None:
    """Have the degreasing be held by one thing alone."""
    if what == "parts short":
        fit_from(shop, "IFT-455")
    elif what == "parts coming":
        fit_from(shop, "IFT-455")
        buying.new_supplier(shop, "QUAYSIDE", "Quayside Spares")
        buying.place_order(shop, "Q-1", "QUAYSIDE", [OrderLine("IFT-455", 10, 1_000_000)])
    elif what == "parts not kitted":
        fit_from(shop, "R-4K7")
    elif what == "question":
        network.hold_for_question(shop, "Degrease", "RECT")
    elif what == "reading":
        measuring.add_point(shop, "CURLEW/CASE", measuring.NewPoint("PE", "Protective earth", "max 0.1 ohm"))
        measuring.hold_step_by_point(shop, "Degrease", "CURLEW/CASE/PE")


def fit_from(shop: Workshop, part: str) -> None:
    """Have the degreasing fit a part of the case's own list."""
    lists.add_line(shop, "CURLEW/CASE", part, 1)
    network.fits(shop, "Degrease", [part])


@pytest.mark.parametrize(
    ("what", "place", "row"),
    [
        ("parts short", "Buying", "part IFT-455"),
        ("parts coming", "Buying", "part IFT-455"),
        ("parts not kitted", "Boards", "CURLEW CURLEW/CASE"),
        ("question", "Checks", "CURLEW/RECT"),
        ("reading", "Checks", "CURLEW/CASE/PE"),
    ],
)
def test_h_goes_to_what_holds_the_step(
    run: Run, sit: Sit, curlew: Path, loose: Workshop, what: str, place: str, row: str
) -> None:
    held_by(loose, what)

    async def scene() -> None:
        async with sit(curlew) as seat:
            seat.list.select(f"CURLEW {step(loose, 'Degrease the case').step}")
            await seat.press("h")
            assert place == seat.frame.panel.place.NAME
            assert seat.row() == row

    run(scene())


def test_h_goes_to_the_step_that_holds_it(run: Run, sit: Sit, curlew: Path, loose: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("end", "h")
            assert seat.list.selected.about.name == "Degrease the case"

    run(scene())


# --- keys ------------------------------------------------------------------------------------------------------------


def test_its_keys_mean_nothing_else_anywhere() -> None:
    own = {"O", "A", "H", "R"}
    others = {verb.key for place in PLACES if place.NAME != "Bench" for verb in place.verbs}
    assert own.isdisjoint(others | FRAME_KEYS)
    keys = [verb.key for verb in Bench.verbs if verb.key]
    assert len(keys) == len(set(keys))
    assert {verb.key for verb in Order.verbs} == {"space", "d"}
