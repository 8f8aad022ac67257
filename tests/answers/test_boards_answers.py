"""Boards: every word for the state of a section, and what a build makes of it."""

from __future__ import annotations

import pytest

from buildbook.actions import bench, boards, buying, checklists, checks, kits, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers import boards as answers
from buildbook.answers.boards import BoardRow
from buildbook.errors import BadInput


def section(shop: Workshop, code: str, build: str | None = None) -> BoardRow:
    return next(row for row in answers.boards(shop, build).rows if row.code == code)


def order_the_transformer(shop: Workshop, due: str = "2026-12-04") -> None:
    buying.place_order(shop, "T-1", "TERN", [OrderLine("T-OUT", 1)], due_on=due)


def fill_the_drawers(shop: Workshop) -> None:
    stores.receive(shop, "T-OUT", "A1", 1)


def test_an_empty_workshop_has_no_boards(shop: Workshop) -> None:
    answer = answers.boards(shop)
    assert (answer.sentence, answer.rows) == ("No build is planned or under way.", ())


def test_a_section_without_parts_or_steps_says_so(shop: Workshop) -> None:
    boards.new_project(shop, "WREN")
    assert answers.boards(shop).sentence == "WREN, 1 unit: 1 section, 1 without parts."
    assert section(shop, "WREN").state == "no parts"
    checklists.add_step(shop, "WREN", NewStep("Engrave the panel", 20))
    assert not section(shop, "WREN").done
    bench.tick(shop, "WREN", "Engrave")
    assert answers.boards(shop).sentence == "WREN, 1 unit: 1 section, 1 done."


def test_a_board_that_lacks_a_part_is_short_of_it(wren: Workshop) -> None:
    row = section(wren, "WREN/AMP")
    assert (row.state, row.kit.lines, row.kit.short_lines, row.kit.need) == ("short", 3, 1, 4)
    assert answers.boards(wren).sentence == "WREN, 1 unit: 2 sections, 1 short, 1 without parts."


def test_a_board_whose_only_missing_part_is_on_order_waits_with_the_day(wren: Workshop) -> None:
    order_the_transformer(wren)
    row = section(wren, "WREN/AMP")
    assert (row.state, row.kit.waiting_lines, row.kit.due_on) == ("waits", 1, "2026-12-04")
    assert answers.boards(wren).sentence == "WREN, 1 unit: 2 sections, 1 waits (due 2026-12-04), 1 without parts."


def test_without_a_day_promised_no_day_is_told(wren: Workshop) -> None:
    order_the_transformer(wren, due="")
    assert section(wren, "WREN/AMP").kit.due_on == ""
    assert "1 waits, 1 without" in answers.boards(wren).sentence


def test_of_two_that_wait_the_last_day_is_told(wren: Workshop) -> None:
    boards.new_assembly(wren, "WREN", "PROBE", "Probe")
    lists.add_line(wren, "PROBE", "T-OUT", refs="T1")
    order_the_transformer(wren)
    buying.place_order(wren, "T-2", "TERN", [OrderLine("T-OUT", 1)], due_on="2026-12-11")
    assert "2 wait (last due 2026-12-11)" in answers.boards(wren).sentence
    assert (section(wren, "WREN/AMP").kit.due_on, section(wren, "WREN/PROBE").kit.due_on) == (
        "2026-12-04",
        "2026-12-11",
    )


def test_a_line_that_waits_and_lacks_is_short(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=2)
    stores.receive(wren, "Q-BC547B", "A1", 1)
    order_the_transformer(wren)
    kit = section(wren, "WREN/AMP").kit
    assert (kit.word, kit.short_lines, kit.waiting_lines) == ("short", 1, 0)


def test_of_two_days_one_of_which_is_not_known_none_is_told(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=2)
    stores.receive(wren, "Q-BC547B", "A1", 1)
    order_the_transformer(wren)
    buying.place_order(wren, "T-2", "TERN", [OrderLine("T-OUT", 1)])
    kit = section(wren, "WREN/AMP").kit
    assert (kit.word, kit.waiting_lines, kit.due_on) == ("waits", 1, "")


def test_a_board_goes_from_kit_to_bench_to_done(wren: Workshop) -> None:
    fill_the_drawers(wren)
    checklists.add_step(wren, "AMP", NewStep("Populate the board", 40))
    states = [section(wren, "WREN/AMP").state]
    kits.kit_assembly(wren, "WREN", "AMP")
    states.append(section(wren, "WREN/AMP").state)
    kits.fit_lines(wren, "WREN", "AMP", refs="R1 R2")
    row = section(wren, "WREN/AMP")
    assert (row.state, row.kit.fitted, row.kit.kitted) == ("kitted", 2, 2)
    kits.fit_lines(wren, "WREN", "AMP")
    states.append(section(wren, "WREN/AMP").state)
    bench.tick(wren, "WREN", "Populate")
    states.append(section(wren, "WREN/AMP").state)
    assert states == ["can be kitted", "kitted", "fitted", "done"]


def test_what_a_stand_in_covers_can_be_kitted(wren: Workshop) -> None:
    fill_the_drawers(wren)
    stores.count(wren, "Q-BC547B", "A1", 0)
    stores.receive(wren, "Q-BC547C", "A1", 1)
    assert section(wren, "WREN/AMP").state == "short"
    stores.allow_stand_in(wren, "Q-BC547B", "Q-BC547C", "More gain does no harm here.")
    row = section(wren, "WREN/AMP")
    assert (row.state, row.kit.stood_in_lines) == ("can be kitted", 1)


def test_a_length_of_wire_is_one_piece(wren: Workshop) -> None:
    fill_the_drawers(wren)
    lists.add_line(wren, "AMP", "W-RED", "600 mm")
    stores.receive(wren, "W-RED", "A1", "400 mm")
    assert section(wren, "WREN/AMP").kit.need == 5
    kits.kit_assembly(wren, "WREN", "AMP")
    assert section(wren, "WREN/AMP").kit.kitted == 4
    stores.receive(wren, "W-RED", "A1", "1 m")
    kits.kit_assembly(wren, "WREN", "AMP")
    assert (section(wren, "WREN/AMP").kit.kitted, section(wren, "WREN/AMP").state) == (5, "kitted")


def test_lines_not_fitted_do_not_count(wren: Workshop) -> None:
    lists.change_line(wren, "AMP/T1", fitted=False)
    row = section(wren, "WREN/AMP")
    assert (row.state, row.kit.lines, row.kit.need) == ("can be kitted", 2, 3)


def test_an_answer_counts_only_while_it_is_chosen(wren: Workshop) -> None:
    checks.ask(wren, "WREN", "AMP", "Valve or transistor?", {"TR": "transistor", "OP": "integrated"})
    lists.change_line(wren, "AMP/T1", option="AMP:TR")
    boards.new_assembly(wren, "WREN", "BIAS", "Bias board")
    boards.take_out(wren, "WREN", "BIAS")
    boards.put_inside(wren, "WREN", "BIAS", 2, option="AMP:TR")

    def seen() -> tuple[int, list[int]]:
        rows = answers.boards(wren).rows
        return section(wren, "WREN/AMP").kit.need, [row.count for row in rows if row.code == "WREN/BIAS"]

    assert seen() == (3, [])
    checks.settle(wren, "WREN", "AMP", "TR", "It is what lies here.")
    assert seen() == (4, [2])
    checks.settle(wren, "WREN", "AMP", "OP", "It is smaller.")
    assert seen() == (3, [])
    checks.shelve(wren, "WREN", "AMP", "Not before the target date.")
    assert seen() == (3, [])


def test_a_board_in_two_places_is_counted_twice_and_listed_once(wren: Workshop) -> None:
    boards.new_assembly(wren, "WREN", "CASE", "Case", "case")
    boards.put_inside(wren, "CASE", "AMP", 3)
    rows = [row for row in answers.boards(wren).rows if row.code == "WREN/AMP"]
    assert [row.count for row in rows] == [4]
    assert rows[0].kit.need == 16


def test_a_build_of_five_units_needs_five_times_as_much(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=5)
    row = section(wren, "WREN/AMP")
    assert (row.count, row.kit.need, row.kit.short_lines) == (5, 20, 2)
    assert answers.boards(wren).sentence.startswith("WREN, 5 units: 2 sections")


def test_the_allowance_for_loss_is_rounded_up(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", units=3)
    lists.change_line(wren, "AMP/R1", loss_bp=250)
    # 3 x 2 = 6, with 2.5 % for loss 6.15: seven are needed.
    assert section(wren, "WREN/AMP").kit.need == 7 + 3 + 3


def test_ready_made_boards_need_no_parts_and_are_told_apart(wren: Workshop) -> None:
    boards.new_assembly(wren, "WREN", "BIAS", "Bias board", inside="AMP")
    lists.add_line(wren, "BIAS", "R-4K7")
    boards.change_build(wren, "WREN", units=2)
    boards.set_ready_made(wren, "AMP", 1)
    assert (section(wren, "WREN/AMP").count, section(wren, "WREN/BIAS").count) == (1, 1)
    boards.set_ready_made(wren, "AMP", 2)
    assert [row.state for row in answers.boards(wren).rows] == ["no parts", "ready-made", "not needed"]
    assert answers.boards(wren).sentence == ("WREN, 2 units: 3 sections, 1 ready-made, 1 not needed, 1 without parts.")


def test_the_build_first_in_priority_gets_the_parts(wren: Workshop) -> None:
    boards.new_build(wren, "SECOND", "AMP")
    fill_the_drawers(wren)
    stores.receive(wren, "R-4K7", "A1", 10)

    def states() -> dict[str, str]:
        return {row.build: row.state for row in answers.boards(wren).rows if row.code == "WREN/AMP"}

    assert states() == {"WREN": "can be kitted", "SECOND": "short"}
    boards.change_build(wren, "SECOND", priority=1)
    assert states() == {"SECOND": "can be kitted", "WREN": "short"}
    assert answers.boards(wren).sentence == "2 builds: 3 sections, 1 can be kitted, 1 short, 1 without parts."
    assert [row.build for row in answers.boards(wren).rows] == ["SECOND", "WREN", "WREN"]


def test_finished_builds_are_out_of_sight(wren: Workshop) -> None:
    boards.change_build(wren, "WREN", state="finished")
    assert answers.boards(wren).rows == ()
    with pytest.raises(BadInput, match=r"There is no build WREN. Builds planned or under way: none yet."):
        answers.boards(wren, "WREN")


def test_a_build_of_an_unknown_code_is_told_with_those_there_are(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no build LINNET. Builds planned or under way: WREN."):
        answers.boards(wren, "LINNET")
    assert answers.boards(wren, " wren ").rows == answers.boards(wren).rows
