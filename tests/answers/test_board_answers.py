"""One board: every word for the state of a line, which board a name means, and for which build it is looked at."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, buying, checks, kits, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.board import Board, InBin, LineRow, StandInUse, assembly_named, board, lacking_in_words
from buildbook.errors import BadInput
from buildbook.store.read.naming import find_assembly as named_by_action


def line(shop: Workshop, ref: str) -> LineRow:
    return next(row for row in board(shop, "AMP").lines if ref in row.refs)


def states(answer: Board) -> dict[str, str]:
    return {row.refs: row.state for row in answer.lines}


def test_every_word_for_a_line(wren: Workshop) -> None:
    checks.ask(wren, "WREN", "BIAS", "Which bias?", {"R": "resistor", "D": "diode"})
    lists.add_line(wren, "AMP", "R-4K7", refs="R3", option="BIAS:R")
    lists.add_line(wren, "AMP", "R-4K7", refs="R4", fitted=False)
    lists.add_line(wren, "AMP", "Q-BC547B", refs="Q2")
    stores.receive(wren, "Q-BC547C", "A1", 5)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    assert states(board(wren, "AMP")) == {
        "R1, R2": "in the drawers",
        "Q1": "in the drawers",
        "T1": "short",
        "R3": "not chosen",
        "R4": "not fitted",
        "Q2": "stand-in",
    }
    buying.place_order(wren, "T-1", "TERN", [OrderLine("T-OUT", 1)], due_on="2026-12-04")
    kits.fit_lines(wren, "WREN", "AMP", refs="R1 R2")
    kits.kit_assembly(wren, "WREN", "AMP")
    answer = board(wren, "AMP")
    assert states(answer) == {
        "R1, R2": "fitted",
        "Q1": "kitted",
        "T1": "coming",
        "R3": "not chosen",
        "R4": "not fitted",
        "Q2": "stand-in",
    }
    assert answer.sentence == ("WREN/AMP, Amplifier board: waits for 1 line, due 2026-12-04; 2 of 5 fitted, 1 kitted.")
    assert line(wren, "T1").due_on == "2026-12-04"
    assert line(wren, "Q2").stand_ins == (StandInUse("Q-BC547C", 1),)


def test_a_line_tells_where_its_part_lies(wren: Workshop) -> None:
    stores.new_bin(wren, "B2")
    stores.receive(wren, "R-4K7", "B2", 4)
    row = line(wren, "R1")
    assert (row.on_hand, row.bins) == (14, (InBin("A1", 10), InBin("B2", 4)))
    assert (row.need, row.from_drawers, row.short) == (2, 2, 0)


def test_a_line_may_be_covered_in_part(wren: Workshop) -> None:
    stores.count(wren, "R-4K7", "A1", 1)
    row = line(wren, "R1")
    assert (row.state, row.from_drawers, row.short) == ("short", 1, 1)
    assert lacking_in_words(wren, [(row.line, row.short)]) == ["1 of R-4K7 (R1, R2)"]


def test_a_stand_in_serves_only_while_nobody_needs_it(wren: Workshop) -> None:
    stores.count(wren, "Q-BC547B", "A1", 0)
    stores.receive(wren, "Q-BC547C", "A1", 1)
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    assert line(wren, "Q1").state == "stand-in"
    boards.new_project(wren, "LINNET")
    lists.add_line(wren, "LINNET", "Q-BC547C", refs="Q1")
    assert line(wren, "Q1").state == "short"


def test_a_board_that_is_all_fitted_says_so(wren: Workshop) -> None:
    lists.drop_line(wren, "AMP/T1")
    kits.fit_lines(wren, "WREN", "AMP")
    assert board(wren, "AMP").sentence == "WREN/AMP, Amplifier board: all 3 fitted."


def test_a_board_of_no_build_still_has_its_list(wren: Workshop) -> None:
    boards.take_out(wren, "WREN", "AMP")
    answer = board(wren, "AMP")
    assert (answer.build, answer.count) == ("", 0)
    assert answer.sentence == "WREN/AMP, Amplifier board: no build needs it; 3 lines, no steps."
    assert {row.state for row in answer.lines} == {"not needed"}
    assert [row.on_hand for row in answer.lines] == [10, 1, 0]


def test_a_ready_made_board_says_so(wren: Workshop) -> None:
    boards.set_ready_made(wren, "AMP", 1)
    assert board(wren, "AMP").sentence == "WREN/AMP, Amplifier board: ready-made."


def test_a_shared_board_is_looked_at_for_its_own_build_first(wren: Workshop) -> None:
    boards.new_project(wren, "LINNET")
    boards.put_inside(wren, "LINNET", "WREN/AMP", 2)
    boards.change_build(wren, "LINNET", priority=1)
    assert (board(wren, "AMP").build, board(wren, "AMP").count) == ("WREN", 1)
    other = board(wren, "AMP", "LINNET")
    assert (other.build, other.count) == ("LINNET", 2)
    assert other.sentence.startswith("WREN/AMP, Amplifier board, for LINNET: 2 lines short")
    boards.take_out(wren, "WREN", "AMP")
    assert board(wren, "AMP").build == "LINNET"


@pytest.mark.parametrize("name", ["WREN", "wren", "WREN/WREN", "wren/wren", " Wren "])
def test_a_unit_is_named_by_its_project(wren: Workshop, name: str) -> None:
    assert board(wren, name).code == "WREN"
    assert named_by_action(wren, name).path == "WREN"
    assert board(wren, name).sentence == "WREN, Wren signal tracer: no parts."


def test_of_two_boards_with_one_code_that_of_the_build_is_meant(wren: Workshop) -> None:
    boards.new_project(wren, "LINNET")
    boards.new_assembly(wren, "LINNET", "AMP", "Amplifier of the Linnet")
    with pytest.raises(BadInput, match=r"AMP could be more than one assembly. There are LINNET/AMP and WREN/AMP."):
        board(wren, "AMP")
    assert board(wren, "AMP", "LINNET").code == "LINNET/AMP"
    assert board(wren, "WREN/AMP").code == "WREN/AMP"


def test_a_section_that_bears_the_name_of_another_project_leaves_its_unit_in_reach(wren: Workshop) -> None:
    boards.new_project(wren, "LINNET")
    boards.new_assembly(wren, "LINNET", "WREN", "A Wren inside the Linnet")
    assert assembly_named(wren, "WREN").path == named_by_action(wren, "WREN").path == "WREN"
    assert assembly_named(wren, "LINNET/WREN").path == named_by_action(wren, "LINNET/WREN").path == "LINNET/WREN"
    assert board(wren, "WREN", "LINNET").code == "LINNET/WREN"


def test_a_board_that_is_not_there_is_told_with_the_nearest(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no assembly AMPP. Did you mean WREN/AMP\?"):
        board(wren, "AMPP")
    with pytest.raises(BadInput, match=r"There is no assembly XYZ. See `buildbook boards`."):
        board(wren, "XYZ")


def test_what_lies_in_a_kit_and_is_no_longer_needed_is_to_be_given_back(wren: Workshop) -> None:
    checks.ask(wren, "WREN", "BIAS", "Which bias?", {"R": "resistor", "D": "diode"})
    lists.add_line(wren, "AMP", "R-4K7", refs="R3", option="BIAS:R")
    checks.settle(wren, "WREN", "BIAS", "R", "It is in the drawer.")
    kits.kit_assembly(wren, "WREN", "AMP")
    checks.settle(wren, "WREN", "BIAS", "D", "Less noise.")
    row = line(wren, "R3")
    assert (row.state, row.need, row.kitted, row.surplus) == ("give back", 0, 1, 1)
    answer = board(wren, "AMP")
    assert (answer.kit.surplus_lines, answer.kit.kitted) == (1, 3)
    assert "1 line to give back" in answer.sentence


def test_a_kit_larger_than_the_need_shows_its_surplus_and_figures_that_add_up(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=2)
    kits.kit_assembly(wren, "WREN", "AMP")
    boards.change_build(wren, "WREN", units=1)
    answer = board(wren, "AMP")
    assert line(wren, "R1").surplus == 2
    assert answer.kit.fitted + answer.kit.kitted <= answer.kit.need
    kits.give_back(wren, "WREN", line="AMP/R1", qty=2)
    assert line(wren, "R1").surplus == 0
    assert line(wren, "R1").state == "kitted"
