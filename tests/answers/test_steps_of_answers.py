"""Steps that come with an answer count while it is the chosen one, everywhere; what comes after is passed on."""

from __future__ import annotations

import pytest

from buildbook.actions import bench as work
from buildbook.actions import boards, checklists, checks, recipes, tree
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench, count_steps
from buildbook.answers.board import board
from buildbook.answers.boards import boards as all_boards
from buildbook.answers.cost import build_cost
from buildbook.answers.finish import finish
from buildbook.answers.plan import what_is_left
from buildbook.answers.standing import builds_that_count
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.readiness import Need
from buildbook.store.read.naming import find_step
from buildbook.store.read.order import passed_through


@pytest.fixture
def rectifier(shop: Workshop) -> Workshop:
    """A board on which a valve or diodes are soldered between the small parts and the test."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "HT", "HT board")
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "EZ80", "SI": "1N4007"})
    checklists.add_steps(
        shop,
        "CURLEW/HT",
        [
            NewStep("Solder the small parts", 30),
            NewStep("Solder the socket", 20, after=(After("Solder the small parts"),), option="RECT:VALVE"),
            NewStep("Solder the diodes", 10, after=(After("Solder the small parts"),), option="SI"),
            NewStep("Test it", 40, after=(After("Solder the socket"), After("Solder the diodes"))),
        ],
    )
    return shop


def names(shop: Workshop) -> list[str]:
    """The steps on the Bench."""
    return [row.name for row in bench(shop).rows]


def test_while_the_question_is_open_none_of_its_steps_counts(rectifier: Workshop) -> None:
    assert names(rectifier) == ["Solder the small parts", "Test it"]
    assert [row.name for row in board(rectifier, "HT").steps] == ["Solder the small parts", "Test it"]
    (row,) = [row for row in all_boards(rectifier).rows if row.code == "CURLEW/HT"]
    assert (row.steps, row.steps_done) == (2, 0)
    assert build_cost(rectifier).labour_minutes == 70
    assert [count.steps for count in count_steps(rectifier).values()] == [2]


def test_the_steps_of_the_chosen_answer_count(rectifier: Workshop) -> None:
    checks.settle(rectifier, "CURLEW", "RECT", "SI", "Heater current.")
    assert names(rectifier) == ["Solder the small parts", "Solder the diodes", "Test it"]
    assert build_cost(rectifier).labour_minutes == 80
    assert [row.name for row in finish(rectifier, draws=20).rows] == names(rectifier)
    left = what_is_left(rectifier, builds_that_count(rectifier))
    assert {todo.name for todo in left.todo.values()} == set(names(rectifier))
    checks.reopen(rectifier, "CURLEW", "RECT", "A second thought.")
    assert names(rectifier) == ["Solder the small parts", "Test it"]


def test_what_needs_a_step_that_does_not_count_needs_what_that_needs(rectifier: Workshop) -> None:
    (test,) = [row for row in bench(rectifier).rows if row.name == "Test it"]
    assert test.held_by == ("Solder the small parts",)
    checks.settle(rectifier, "CURLEW", "RECT", "VALVE", "In the drawer.")
    (test,) = [row for row in bench(rectifier).rows if row.name == "Test it"]
    assert test.held_by == ("Solder the socket", "Solder the small parts")


def test_putting_the_question_off_gains_the_time_of_its_steps(rectifier: Workshop) -> None:
    checks.settle(rectifier, "CURLEW", "RECT", "VALVE", "In the drawer.")
    checklists.change_step(rectifier, "Solder the socket", low_min=900, likely_min=900, high_min=900)
    (gain,) = finish(rectifier, draws=20).gains
    assert (gain.what, gain.key) == ("shelve", "CURLEW/RECT")
    assert gain.name == "CURLEW/RECT put off, with the 1 step that hangs on it"


def test_a_place_names_the_same_step_whatever_is_chosen(rectifier: Workshop) -> None:
    for answer in ("VALVE", "SI"):
        checks.settle(rectifier, "CURLEW", "RECT", answer, "To see.")
        for row in bench(rectifier).rows:
            assert find_step(rectifier, row.place).id == row.step


def test_a_step_that_does_not_count_cannot_be_begun(rectifier: Workshop) -> None:
    with pytest.raises(Forbidden, match="It comes with an answer that is not chosen"):
        work.start(rectifier, "CURLEW", "Solder the socket")


def test_a_step_is_given_to_an_answer_and_set_free_again(rectifier: Workshop) -> None:
    checklists.change_step(rectifier, "Test it", option="RECT:SI")
    assert names(rectifier) == ["Solder the small parts"]
    checklists.change_step(rectifier, "Test it", option="")
    assert names(rectifier) == ["Solder the small parts", "Test it"]
    with pytest.raises(BadInput, match="There is no option RECT:TUBE"):
        checklists.change_step(rectifier, "Test it", option="RECT:TUBE")


def test_a_copy_in_another_project_has_the_steps_that_count(rectifier: Workshop) -> None:
    checks.settle(rectifier, "CURLEW", "RECT", "SI", "Heater current.")
    boards.new_project(rectifier, "LINNET")
    tree.copy_assembly(rectifier, "CURLEW/HT", "LINNET", "HT")
    assert [row.name for row in bench(rectifier, "LINNET").rows] == names_of_curlew(rectifier)
    checks.settle(rectifier, "CURLEW", "RECT", "VALVE", "After all.")
    assert "Solder the diodes" in [row.name for row in bench(rectifier, "LINNET").rows]


def names_of_curlew(shop: Workshop) -> list[str]:
    return [row.name for row in bench(shop, "CURLEW").rows]


def test_needs_pass_through_a_chain_of_steps_that_do_not_count() -> None:
    needs = [Need(2, 1, "SS", 5), Need(3, 2), Need(4, 3, "SS")]
    assert passed_through(needs, {1, 4}) == [Need(4, 1, "SS", 5)]
    assert passed_through(needs, {1, 2, 3, 4}) == needs
    assert passed_through(needs, {4}) == []


def test_a_need_that_is_told_is_kept_beside_one_passed_through() -> None:
    needs = [Need(3, 1, "FS", 60), Need(2, 1), Need(3, 2)]
    assert passed_through(needs, {1, 3}) == [Need(3, 1, "FS", 60)]


def test_a_checklist_taken_for_another_project_is_free_of_answers(rectifier: Workshop) -> None:
    checks.settle(rectifier, "CURLEW", "RECT", "SI", "Heater current.")
    boards.new_project(rectifier, "WREN")
    boards.new_assembly(rectifier, "WREN", "AMP", "Amplifier board")
    recipes.take_like(rectifier, "CURLEW/HT", "WREN/AMP")
    boards.new_assembly(rectifier, "CURLEW", "HT2", "Second HT board")
    recipes.take_like(rectifier, "CURLEW/HT", "CURLEW/HT2")
    checks.reopen(rectifier, "CURLEW", "RECT", "A second thought.")
    taken = [row.name for row in bench(rectifier, "WREN").rows]
    assert taken == ["Solder the small parts", "Solder the diodes", "Test it"]
    own = [row.name for row in bench(rectifier, "CURLEW").rows if row.assembly == "CURLEW/HT2"]
    assert own == ["Solder the small parts", "Test it"]
