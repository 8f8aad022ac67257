"""Boards on the screen: the tree, one section opened, parts kitted and fitted, steps ticked, lists changed."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import bench, lists, stores
from buildbook.actions.boards import new_project
from buildbook.actions.workshop import Workshop
from buildbook.answers.board import Board, LineRow, board
from buildbook.answers.boards import boards

Run = Any
Sit = Any


def now(shop: Workshop, code: str = "CURLEW/IF") -> Board:
    """A section as it stands."""
    return board(shop, code, "CURLEW")


def line_of(shop: Workshop, key: str) -> LineRow:
    """The first line of the IF board that has that part."""
    return next(row for row in now(shop).lines if row.key == key)


def states(shop: Workshop, code: str = "CURLEW/CASE") -> list[str]:
    """How far each step of a section has got."""
    return [step.state for step in now(shop, code).steps]


@pytest.fixture
def full(another: Workshop) -> Workshop:
    """The workshop with enough in the drawers for the whole IF board."""
    stores.receive(another, "C-100N", "B1", 10)
    stores.receive(another, "IFT-455", "A2", 2)
    return another


# --- seeing ----------------------------------------------------------------------------------------------------------


def test_the_tree_says_how_each_section_stands(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    stores.receive(another, "R-47K", "A1", 1)

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2")
            seen = seat.seen()
            answer = boards(another, "CURLEW")
            assert answer.sentence in " ".join(seen.split())
            assert "short of 2" in seen
            assert "0 of 7" in seen
            assert "0 of 2" in seen
            assert "cost EUR" in seen

    run(scene())


@pytest.mark.parametrize("size", [(80, 24), (200, 60)])
def test_the_point_of_each_section_is_not_cut(run: Run, sit: Sit, demo_file: Path, size: tuple[int, int]) -> None:
    async def scene() -> None:
        async with sit(demo_file, size=size, build="CURLEW") as seat:
            await seat.press("2")
            seen = seat.seen()
            for words in ("short of 2", "waits, due 4 Dec", "can be kitted", "done", "0 of 53", "cost EUR", "91.90"):
                assert words in seen, words

    run(scene())


def test_the_costs_of_many_builds_are_not_waited_for(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "b", "down", "down", "enter")
            assert "2 builds" in seat.seen()
            assert "cost EUR" in seat.seen()
            for number in range(4):
                new_project(another, f"WREN{number}")
            seat.frame.renew()
            await seat.rest()
            assert "6 builds" in seat.seen()
            assert "cost" not in seat.seen()

    run(scene())


def test_the_shortage_of_a_board_takes_two_keys(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2")
            await seat.press("down", "y")
            seen = seat.seen()
            assert "CURLEW/IF, IF board: 2 lines short" in seen
            rows = [line.split() for line in seen.splitlines()]
            assert ["C-100N", "C1,", "C2", "2", "1", "1"] in rows
            assert ["IFT-455", "T1,", "T2", "2", "2"] in rows

    run(scene())


def test_enter_opens_a_section_and_esc_goes_back_to_where_one_was(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter")
            seen = seat.seen()
            assert "2 lines short" in seen
            assert "R1-R3" in seen
            assert "in A1, A2" in seen
            assert "short of 1" in seen
            await seat.press("escape")
            assert seat.row() == "CURLEW CURLEW/IF"
            assert "3 sections" in seat.seen()

    run(scene())


def test_another_place_and_back_leaves_the_section_open_and_its_key_again_closes_it(
    run: Run, sit: Sit, curlew: Path
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "3", "2")
            assert "R1-R3" in seat.seen()
            await seat.press("2")
            assert "R1-R3" not in seat.seen()

    run(scene())


def test_the_bands_of_a_resistor_are_painted_beside_its_value(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter")
            cells = next(row.cells for row in seat.list.rows if "R-4K7" in row.cells)
            # IEC 60062: yellow 4, violet 7, red x100, gold 5 %.
            assert [cell.bands for cell in cells if getattr(cell, "bands", ())] == [("yellow", "violet", "red", "gold")]
            assert "yellow" not in seat.seen()
            await seat.press("enter")
            assert "bands: yellow, violet, red, gold" in seat.seen()

    run(scene())


def test_where_colours_cannot_be_seen_the_bands_are_words(run: Run, sit: Sit, curlew: Path) -> None:
    from buildbook.tui.settings import Settings

    async def scene() -> None:
        async with sit(curlew, settings=Settings(ascii=True)) as seat:
            await seat.press("2", "down", "enter")
            assert "4k7 yellow violet red gold" in seat.seen()

    run(scene())


def test_without_colour_the_bands_are_words_as_well(
    run: Run, sit: Sit, curlew: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter")
            assert "4k7 yellow violet red gold" in seat.seen()

    run(scene())


def test_a_line_is_found_by_its_value_in_any_form(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "slash")
            await seat.type("4700")
            assert [row.cells[3] for row in seat.list.shown] == ["R-4K7"]

    run(scene())


def test_why_tells_the_arithmetic_behind_a_line(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "y")
            assert "R-4K7: 3 needed, 3 of 12 on hand" in seat.seen()
            assert "CURLEW, CURLEW/IF R1-R3: 1 x 3 = 3, 3 from the drawers" in seat.seen()

    run(scene())


# --- parts -----------------------------------------------------------------------------------------------------------


def test_a_board_is_kitted_with_two_keys_and_taken_back_with_one(
    run: Run, sit: Sit, curlew: Path, full: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "home")
            await seat.press("down", "k")
            assert now(full).kit.word == "kitted"
            assert "Kitted 3 lines of CURLEW/IF; nothing is short." in seat.seen()
            await seat.press("u")
            assert now(full).kit.word == "can be kitted"

    run(scene())


def test_the_place_opens_on_the_first_section_that_can_be_kitted_and_space_kits_it(
    run: Run, sit: Sit, curlew: Path, full: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2")
            assert seat.row() == "CURLEW CURLEW/IF"
            await seat.press("space")
            assert now(full).kit.word == "kitted"

    run(scene())


def test_what_is_short_of_a_kit_is_told(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "k")
            assert "short: 1 of C-100N (C1, C2), 2 of IFT-455 (T1, T2)." in " ".join(seat.seen().split())
            assert line_of(another, "R-4K7").kitted == 3

    run(scene())


def test_a_stand_in_goes_into_a_kit_only_when_that_is_said(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    stores.new_part(another, "C-100N-B", kind="capacitor", value="100n")
    stores.allow_stand_in(another, "C-100N", "C-100N-B", "the same, another maker")
    stores.receive(another, "C-100N-B", "B1", 5)

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "k")
            assert "1 C-100N-B for C1, C2 C-100N" in " ".join(seat.asked().split())
            await seat.press("down", "enter")
            assert line_of(another, "C-100N").kitted == 1
            await seat.press("k", "enter")
            assert line_of(another, "C-100N").kitted == 2

    run(scene())


@pytest.mark.parametrize("key", ["space", "f"])
def test_a_line_is_fitted_with_one_key(run: Run, sit: Sit, curlew: Path, full: Workshop, key: str) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "enter")
            await seat.press(key)
            assert line_of(full, "R-4K7").state == "fitted"
            assert "Fitted R1-R3 R-4K7 on CURLEW/IF" in seat.seen()

    run(scene())


def test_a_section_opens_on_the_first_thing_that_can_be_done(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "home", "down", "f")
            stores.receive(another, "IFT-455", "A2", 2)
            await seat.press("enter")
            # The first line is fitted, the second short.
            assert seat.row() == f"line {line_of(another, 'IFT-455').line}"

    run(scene())


def test_space_goes_on_down_the_list_and_leaves_what_cannot_be_fitted(
    run: Run, sit: Sit, curlew: Path, full: Workshop
) -> None:
    stores.scrap(full, "C-100N", "B1", 10)

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "home", "down", "enter")
            await seat.press("space", "space")
            assert [row.state for row in now(full).lines] == ["fitted", "short", "fitted"]

    run(scene())


def test_the_next_line_is_fitted_from_the_tree(run: Run, sit: Sit, curlew: Path, full: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "f", "f")
            assert [row.state for row in now(full).lines] == ["fitted", "fitted", "in the drawers"]

    run(scene())


def test_parts_are_taken_off_and_given_back(run: Run, sit: Sit, curlew: Path, full: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "enter", "f", "F")
            await seat.type("2")
            await seat.press("enter")
            line = line_of(full, "R-4K7")
            assert (line.fitted, line.kitted) == (1, 2)
            await seat.press("K")
            line = line_of(full, "R-4K7")
            assert (line.fitted, line.kitted, line.on_hand) == (1, 0, 11)

    run(scene())


def test_a_whole_kit_is_given_back_from_the_tree(run: Run, sit: Sit, curlew: Path, full: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "k", "K")
            assert now(full).kit.kitted == 0
            assert "Gave back CURLEW/IF: 3 lines." in seat.seen()

    run(scene())


# --- steps -----------------------------------------------------------------------------------------------------------


def test_a_step_is_ticked_with_one_key_and_unticked_with_the_same(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "down", "enter")
            await seat.press("t")
            assert states(another) == ["done", ""]
            assert "Next: Prime inside and out." in seat.seen()
            await seat.press("t")
            assert states(another) == ["", ""]

    run(scene())


def test_the_next_step_is_ticked_from_the_tree(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "down")
            await seat.press("t")
            assert states(another) == ["done", ""]

    run(scene())


def test_a_step_that_cannot_be_undone_is_asked_about_with_what_stands_before_it(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "down", "enter", "down", "t")
            assert "cannot be undone" in seat.asked()
            assert "Not done before it: Mask the earth patch." in seat.asked()
            await seat.press("enter")
            assert states(another) == ["", ""]
            await seat.press("t", "down", "enter")
            assert states(another) == ["", "done"]

    run(scene())


def test_a_step_is_left_out_and_a_new_one_added(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "down", "enter", "d", "plus")
            await seat.type("Let it dry")
            await seat.press("enter")
            await seat.type("1h30")
            assert "1 h 30 min" in seat.asked()
            await seat.press("enter")
            assert states(another) == ["dropped", "", ""]
            steps = now(another, "CURLEW/CASE").steps
            assert (steps[-1].name, steps[-1].likely_min) == ("Let it dry", 90)
            assert seat.row() == f"step {steps[-1].id}"

    run(scene())


# --- the parts list --------------------------------------------------------------------------------------------------


def test_a_line_is_added_by_value_with_what_is_wrong_said_beside_the_field(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "a")
            await seat.type("47 kohm")
            assert "R-47K: 47k, resistor" in seat.asked()
            await seat.press("enter")
            await seat.type("R9-R4")
            await seat.press("enter")
            assert "R9-R4" in seat.asked()
            await seat.press("home", *["delete"] * 5)
            await seat.type("R4-R5")
            assert "2 places" in seat.asked()
            await seat.press("enter")
            line = line_of(another, "R-47K")
            assert (line.refs, line.qty) == ("R4, R5", 2)
            assert seat.row() == f"line {line.line}"
            await seat.press("u")
            assert len(now(another).lines) == 3

    run(scene())


def test_a_part_that_is_not_known_yet_is_made_known_on_the_way(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "a")
            await seat.type("V-ECH81")
            assert "not known yet" in seat.asked()
            await seat.press("enter")
            await seat.type("valve")
            await seat.press("enter")
            await seat.type("ECH81")
            await seat.press("enter")
            await seat.type("V1")
            await seat.press("enter")
            line = line_of(another, "V-ECH81")
            assert (line.kind, line.name, line.refs, line.qty) == ("valve", "ECH81", "V1", 1)

    run(scene())


@pytest.mark.parametrize(
    ("downs", "typed", "field", "value"),
    [
        (0, "47k", "key", "R-47K"),
        (1, "5", "qty", 5),
        (2, "R1-R2", "qty", 2),
        (3, "near the valve", "note", "near the valve"),
        (4, "2.5", "loss_bp", 250),
        (5, "", "state", "not fitted"),
    ],
)
def test_a_line_is_changed(
    run: Run, sit: Sit, curlew: Path, another: Workshop, downs: int, typed: str, field: str, value: object
) -> None:
    number = line_of(another, "R-4K7").line

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "v", *["down"] * downs, "enter")
            if typed:
                await seat.type(typed)
                await seat.press("enter")
            line = next(row for row in now(another).lines if row.line == number)
            assert getattr(line, field) == value
            await seat.press("u")
            assert line_of(another, "R-4K7").line == number

    run(scene())


def test_a_line_that_hangs_on_an_answer_counts_only_with_that(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "v", *["down"] * 6, "enter")
            await seat.type("SIL")
            await seat.press("enter")
            assert line_of(another, "R-4K7").option == "RECT:SIL"
            assert "not chosen" in seat.seen()

    run(scene())


def test_a_stale_change_is_refused_with_both_values(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    number = line_of(another, "R-4K7").line

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "v", "down", "enter")
            lists.change_line(another, number, qty=4)
            await seat.type("5")
            await seat.press("enter")
            seen = " ".join(seat.seen().split())
            assert "the quantity is 4 now, you saw 3" in seen.lower()
            assert line_of(another, "R-4K7").qty == 4

    run(scene())


def test_a_line_is_split_moved_and_dropped(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "enter", "l")
            await seat.type("R2")
            await seat.press("enter")
            assert [row.refs for row in now(another).lines] == ["R1, R3", "R2", "C1, C2", "T1, T2"]
            await seat.press("m")
            await seat.type("9")
            await seat.press("enter")
            assert "A place from 1 to 4 is meant." in seat.asked()
            await seat.press("backspace", "4", "enter")
            assert [row.refs for row in now(another).lines] == ["R1, R3", "C1, C2", "T1, T2", "R2"]
            await seat.press("d")
            assert [row.refs for row in now(another).lines] == ["R1, R3", "C1, C2", "T1, T2"]
            await seat.press("u", "u", "u")
            assert [row.refs for row in now(another).lines] == ["R1-R3", "C1, C2", "T1, T2"]

    run(scene())


# --- the tree --------------------------------------------------------------------------------------------------------


def codes(shop: Workshop) -> list[str]:
    """The sections of the Curlew in the order of the tree."""
    return [row.code for row in boards(shop, "CURLEW").rows]


def test_a_section_is_begun_in_another_and_gets_its_first_line(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "plus", "down", "enter")
            await seat.type("if")
            assert "There is a section IF already." in seat.asked()
            await seat.press("home", "delete", "delete")
            await seat.type("mix")
            await seat.press("enter")
            assert "What is MIX?" in seat.asked()
            await seat.press("enter", "enter")
            assert codes(another) == ["CURLEW", "CURLEW/IF", "CURLEW/MIX", "CURLEW/CASE"]
            assert seat.row() == "CURLEW CURLEW/MIX"
            await seat.press("enter")
            assert "Nothing is listed yet" in seat.seen()
            await seat.press("a")
            await seat.type("R-47K")
            await seat.press("enter", "enter", "enter")
            assert [row.key for row in now(another, "CURLEW/MIX").lines] == ["R-47K"]

    run(scene())


def test_a_section_is_renamed_moved_copied_and_taken_away(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "v", "down", "enter")
            await seat.type("IF strip")
            await seat.press("enter")
            assert now(another).name == "IF strip"
            await seat.press("m", "2", "enter")
            assert codes(another) == ["CURLEW", "CURLEW/CASE", "CURLEW/IF"]
            await seat.press("o", "enter")
            await seat.type("IF2")
            await seat.press("enter", "enter")
            assert codes(another)[-1] == "CURLEW/IF2"
            assert seat.row() == "CURLEW CURLEW/IF2"
            assert [row.refs for row in now(another, "CURLEW/IF2").lines] == ["R1-R3", "C1, C2", "T1, T2"]
            await seat.press("d")
            assert "CURLEW/IF2" not in codes(another)
            await seat.press("u")
            assert "CURLEW/IF2" in codes(another)

    run(scene())


@pytest.mark.parametrize(("code", "places"), [("FUSE", "1 to 1"), ("HARN", "1 to 9"), ("MAINS", "1 to 9")])
def test_a_section_moves_among_those_beside_it(
    run: Run, sit: Sit, demo_file: Path, tmp_path: Path, code: str, places: str
) -> None:
    path = Path(shutil.copyfile(demo_file, tmp_path / "demo.db"))

    async def scene() -> None:
        async with sit(path, build="CURLEW") as seat:
            await seat.press("2")
            seat.list.select(f"CURLEW CURLEW/{code}")
            await seat.press("m")
            assert f"({places})" in seat.asked()

    run(scene())


def test_a_section_that_is_gone_leaves_a_way_back(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    from buildbook.actions import tree

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "down", "enter")
            tree.drop_assembly(another, "CURLEW/CASE")
            seat.frame.renew()
            await seat.rest()
            assert "There is no assembly CURLEW/CASE" in seat.seen()
            await seat.press("t")
            assert "no row selected" in seat.seen()
            await seat.press("escape")
            assert "2 sections" in seat.seen()

    run(scene())


def test_a_note_goes_to_the_section_and_to_the_step(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    from buildbook.answers.log import stream

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "n")
            await seat.type("Cores checked")
            await seat.press("enter", "enter", "n")
            assert "Note on R-4K7:" in seat.asked()
            await seat.type("Bodies apart")
            await seat.press("enter")
            await seat.press("escape", "home", "down", "down", "enter", "n")
            assert "Note on CURLEW/CASE/1:" in seat.asked()
            await seat.type("Tape held")
            await seat.press("enter")
            about = {row.what: row.about for row in stream(another).rows}
            assert about["Cores checked"] == "CURLEW/IF"
            assert about["Bodies apart"] == "CURLEW/IF"
            assert "Mask the earth patch" in about["Tape held"]

    run(scene())


def test_a_step_begun_elsewhere_is_told_and_names_the_keys(run: Run, sit: Sit, curlew: Path, another: Workshop) -> None:
    bench.start(another, "CURLEW", "CASE/1")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "down", "down", "enter")
            assert "in hand" in seat.seen()
            await seat.press("question_mark")
            assert "give the line's kit back to the drawers" in seat.asked()

    run(scene())
