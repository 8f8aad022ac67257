"""Boards on the command line, on a copy of the demo: what is seen, what is done with parts, what is defined."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

from buildbook.trade.money import show_money

Say = Callable[..., Result]
pytestmark = pytest.mark.usefixtures("at_demo")


def lines_of(result: Result) -> list[str]:
    return [str(line) for line in result.stdout.splitlines()]


def row_of(result: Result, piece: str) -> str:
    """The line of the output in which a piece of text stands."""
    return next(line for line in lines_of(result) if piece in line)


# --- what is seen ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "schema"),
    [
        (["boards"], "buildbook.boards/1"),
        (["boards", "list", "--build", "LINNET"], "buildbook.boards/1"),
        (["boards", "show", "IF"], "buildbook.board/1"),
        (["boards", "cost", "--build", "CURLEW"], "buildbook.cost/1"),
        (["boards", "could-make", "CURLEW/AUDIO"], "buildbook.could-make/1"),
    ],
)
def test_the_sentence_is_first_in_words_and_as_json(say: Say, words: list[str], schema: str) -> None:
    plain = lines_of(say(*words))[0]
    told = json.loads(say(*words, "--json").stdout)
    assert list(told)[:2] == ["sentence", "schema"]
    assert (told["sentence"], told["schema"]) == (plain, schema)


def told(say: Say, *words: str) -> Any:
    """The same answer as figures."""
    return json.loads(say(*words, "--json").stdout)


def test_one_sentence_and_one_tree_for_three_builds(say: Say) -> None:
    result = say("boards")
    rows = told(say, "boards")["rows"]
    assert lines_of(result)[0].startswith(f"3 builds: {len(rows)} sections, ")
    assert len(lines_of(result)) == 3 + len(rows)
    unit = rows[0]["kit"]
    assert re.match(
        rf"CURLEW +Curlew receiver +waits for {unit['waiting_lines']}, due 2026-12-04 +0 of {unit['need']} +0 of \d+$",
        row_of(result, "Curlew receiver"),
    )
    assert row_of(result, "3 x Band coil strip").startswith("    BAND")
    assert [line.split()[0] for line in lines_of(result) if "Fuse and discharge" in line] == ["FUSE", "CURLEW/FUSE"]
    assert "CURLEW/CURLEW" not in result.stdout
    only = say("boards", "--build", "wren")
    assert lines_of(only)[0] == "WREN, 1 unit: 3 sections, 1 done, 1 can be kitted, 1 short."
    assert len(lines_of(only)) == 6


def test_a_section_is_shown_with_its_list_its_steps_and_all_cautions_in_full(say: Say) -> None:
    result = say("boards", "show", "curlew/if")
    assert lines_of(result)[0].startswith("CURLEW/IF, IF board: waits for 1 line, due 2026-12-04;")
    assert "coming 2026-12-04" in row_of(result, "T-IFT-455 ")
    assert "lies in B07: 3, B14: 6" in row_of(result, "C-100N-630V")
    assert "stand-in C-22U-450V" in row_of(result, "C-22U-400V")
    assert "not fitted" in row_of(result, "C17")
    cautions = {step["caution"] for step in told(say, "boards", "show", "IF")["steps"]} - {""}
    assert cautions
    minded = [line.partition(": ")[2] for line in lines_of(result) if line.startswith("Mind at step")]
    assert len(minded) == len(cautions)
    assert set(minded) == cautions


@pytest.mark.parametrize("name", ["CURLEW", "curlew", "CURLEW/CURLEW"])
def test_a_unit_goes_by_the_name_of_its_project(say: Say, name: str) -> None:
    assert lines_of(say("boards", "show", name))[0].startswith("CURLEW, Curlew receiver: waits for 1 line")


def test_a_shared_board_is_shown_for_the_build_asked_about(say: Say) -> None:
    assert lines_of(say("boards", "show", "FUSE"))[0].startswith("CURLEW/FUSE, Fuse and discharge board: all 16 fitted")
    assert ", for LINNET: can be kitted" in lines_of(say("boards", "show", "FUSE", "--build", "LINNET"))[0]


def test_the_cost_has_its_currency_and_its_divisions(say: Say) -> None:
    result = say("boards", "cost", "--at", "1,10")
    cost = told(say, "boards", "cost")
    money = {name: show_money(cost[f"{name}_micros"], "EUR") for name in ("total", "spent", "in_stock", "ordered")}
    first = lines_of(result)[0]
    assert first.startswith(
        f"CURLEW, 1 unit, costs {money['total']} EUR: {money['spent']} spent, {money['in_stock']} in the drawers, "
        f"{money['ordered']} on order and "
    )
    assert first.endswith("what hangs on the open questions METER and RECT.")
    assert {f"By {what}, in EUR" for what in ("section", "kind", "supplier")} <= set(lines_of(result))
    fuse = next(row for row in cost["sections"] if row["name"] == "CURLEW/FUSE")
    spent = show_money(fuse["spent"], "EUR")
    assert row_of(result, "CURLEW/FUSE").split() == ["CURLEW/FUSE", spent, spent]
    assert [line.split()[0] for line in lines_of(result)[lines_of(result).index(BOUGHT) + 2 :][:2]] == ["1", "10"]
    assert {row["key"] for row in cost["unpriced"]} <= {line.split()[0] for line in lines_of(result) if line}


BOUGHT = "If all of it were bought, in EUR (not in it: parts that nobody offers)"


def test_what_could_be_made_and_what_it_lacks(say: Say) -> None:
    result = say("boards", "could-make", "FUSE")
    assert lines_of(result)[0] == (
        "CURLEW/FUSE: 1 could be made from all that is there, none from what is free; one more lacks 1 part."
    )
    assert row_of(result, "PCB-FUSE").split()[-3:] == ["1", "1", "0"]


# --- kit, fit, and back ----------------------------------------------------------------------------------------------


def test_kit_fit_unfit_give_back_lose(say: Say) -> None:
    lines = told(say, "boards", "show", "MIX")["kit"]["lines"]
    assert say("boards", "kit", "MIX").stdout == f"Kitted {lines} lines; nothing is short.\n"
    assert row_of(say("boards"), "Mixer board").split()[3:5] == ["kitted", "0"]
    assert say("boards", "fit", "MIX", "R1").stdout == "Fitted 1 line; nothing is short.\n"
    assert say("boards", "unfit", "MIX/R1", "1").stdout == "Took 1 off at MIX/R1; it lies in the kit.\n"
    assert say("boards", "lose", "MIX/R1", "1", "--note", "It rolled away.").stdout == "Wrote off 1 at MIX/R1.\n"
    assert say("boards", "kit", "MIX").stdout == "Kitted 1 line; nothing is short.\n"
    assert say("boards", "give-back", "MIX", "--line", "MIX/R1", "--qty", "1").stdout == "Gave back 1 line.\n"
    assert say("boards", "give-back", "MIX").stdout == f"Gave back {lines - 1} lines.\n"
    assert "can be kitted" in row_of(say("boards"), "Mixer board")
    for _ in range(7):
        say("workshop", "undo")
    assert say("workshop", "check").stdout.startswith("The workshop is sound")
    assert say("workshop", "redo").stdout == "Done again: Kit CURLEW/MIX for CURLEW.\n"
    assert "kitted" in row_of(say("boards"), "Mixer board")
    assert say("workshop", "check").stdout.startswith("The workshop is sound")


def test_what_a_build_before_has_spoken_for_is_left_for_it(say: Say) -> None:
    result = say("boards", "kit", "PROBE")
    assert lines_of(result) == [
        "Kitted 5 lines; short: 900 mm of W-RG174 (W1).",
        "Left in the drawers: 500 mm of W-RG174, spoken for by CURLEW; --anyway takes it all the same.",
    ]
    assert "1.1 m" in row_of(say("stores", "where", "W-RG174"), "CURLEW ")
    result = say("boards", "kit", "PROBE", code=3)
    assert result.stderr == (
        "Nothing was kitted on WREN/PROBE. What lies there of what it needs is spoken for by CURLEW. "
        "Take it all the same (--anyway), or put this build first in priority.\n"
    )
    assert say("boards", "kit", "PROBE", "--anyway").stdout == "Kitted 1 line; short: 400 mm of W-RG174 (W1).\n"
    assert row_of(say("stores", "where", "W-RG174"), "W-RG174: 0 mm on hand")


def test_put_first_in_priority_a_build_takes_first(say: Say) -> None:
    say("boards", "build", "WREN", "--priority", "1")
    assert lines_of(say("boards", "kit", "PROBE")) == ["Kitted 6 lines; short: 400 mm of W-RG174 (W1)."]
    # The Curlew has nothing left to kit.
    assert "none of what it needs" not in say("boards", "kit", "HARN").stdout.casefold()


def test_fitting_straight_from_the_drawers_leaves_the_same(say: Say) -> None:
    result = say("boards", "fit", "PROBE", "W1", code=3)
    assert "What lies there of what it needs is spoken for by CURLEW." in result.stderr
    assert say("boards", "fit", "PROBE", "W1", "--anyway").stdout == "Fitted 1 line; short: 400 mm of W-RG174 (W1).\n"


def test_stand_ins_are_taken_only_when_asked_for_and_not_from_others(say: Say) -> None:
    assert "short: 2 of D-1N4004 (D1-D4)" in say("boards", "kit", "RECT").stdout
    assert lines_of(say("boards", "kit", "RECT", "--stand-ins")) == [
        "Kitted 1 line; short: 2 of SP-M3-10.",
        "Left in the drawers: 2 of SP-M3-10, spoken for by CURLEW; --anyway takes it all the same.",
    ]
    assert row_of(say("boards", "show", "RECT"), "D-1N4004").split()[2:5] == ["1N4004", "4", "kitted"]


def test_a_build_is_finished_when_its_kits_are_empty_and_what_is_taken_off_it_can_be_given_back(say: Say) -> None:
    refused = say("boards", "build", "CURLEW", "--state", "finished", code=3).stderr
    assert refused.startswith("Build CURLEW is not finished yet. Parts still lie in its kits.")
    say("boards", "give-back", "CURLEW/AUDIO")
    say("boards", "build", "CURLEW", "--state", "finished")
    say("boards", "unfit", "CURLEW/FUSE/R1", "1", "--build", "curlew")
    assert say("boards", "give-back", "CURLEW/FUSE", "--build", "curlew").stdout.startswith("Gave back ")
    refused = say("boards", "kit", "CURLEW/MIX", "--build", "CURLEW", "--anyway", code=3).stderr
    assert refused == "No parts go to build CURLEW. It is finished. Make it active again first.\n"


def test_a_shared_board_wants_its_build_named(say: Say) -> None:
    say("boards", "build", "SECOND", "--of", "WREN/AMP")
    result = say("boards", "kit", "AMP", code=2)
    assert result.stderr == (
        "It is not clear which build is meant. There are CURLEW, LINNET, WREN, SECOND. Name one with --build.\n"
    )
    assert say("boards", "kit", "AMP", "--build", "second", "--stand-ins").exit_code == 0


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["kit", "XYZ"], 2, "There is no assembly XYZ."),
        (["kit", "CURLEW/FUSE", "--build", "WREN"], 3, "Build WREN does not make CURLEW/FUSE."),
        (["kit", "FUSE", "--build", "CURLEW"], 3, "Nothing was kitted on CURLEW/FUSE."),
        (["fit", "MIX", "R99"], 2, "No R99 is to be fitted on CURLEW/MIX."),
        (["unfit", "MIX/R1", "1"], 3, "Nothing was moved."),
        (["unfit", "MIX/R1", "many"], 2, "The quantity was not understood."),
        (["give-back", "MIX"], 3, "Nothing was given back."),
        (["lose", "MIX/R99", "1"], 2, "There is no line MIX/R99."),
        (["show", "IFF"], 2, "There is no assembly IFF."),
        (["cost", "--at", "0"], 2, "0 is no list of numbers of units."),
        (["cost", "--build", "NONE"], 2, "There is no build NONE."),
        (["put", "MIX", "--inside", "MIX"], 3, "CURLEW/MIX was not put inside CURLEW/MIX."),
        (["new", "CURLEW"], 2, "The project CURLEW was not made."),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_a_code(say: Say, words: list[str], code: int, said: str) -> None:
    result = say("boards", *words, code=code)
    assert result.stderr.startswith(said)
    assert result.stderr.count("\n") == 1
    assert result.stdout == ""


# --- what is defined -------------------------------------------------------------------------------------------------


def test_a_project_is_drawn_line_by_line(say: Say) -> None:
    assert say("boards", "new", "PIPIT", "--name", "Pipit clock", "--units", "2").stdout.startswith(
        "Started project PIPIT, with one build of that code"
    )
    assert say("boards", "new", "PIPIT/DISP", "--name", "Display").stdout.startswith("Added PIPIT/DISP;")
    say("boards", "add-line", "DISP", "R-4K7-0.6W", "--refs", "R1-R4", "--note", "anodes")
    say("boards", "add-line", "DISP", "W-RD-0.25", "--qty", "250 mm", "--loss", "10")
    say("boards", "change-line", "DISP/R1", "--refs", "R1-R3", "--qty", "3")
    result = say("boards", "show", "PIPIT/DISP")
    assert lines_of(result)[0] == "PIPIT/DISP, Display: can be kitted; 0 of 7 fitted."
    assert row_of(result, "W-RD-0.25").split()[3:6] == ["RD", "550", "mm"]
    say("boards", "put", "FUSE", "--inside", "PIPIT", "--qty", "2")
    assert "4 x Fuse and discharge board" in say("boards", "--build", "PIPIT").stdout
    assert say("boards", "ready-made", "FUSE", "9").stdout == "CURLEW/FUSE: 9 ready-made.\n"
    assert "ready-made" in row_of(say("boards", "--build", "PIPIT"), "FUSE")
    say("boards", "take-out", "FUSE", "--inside", "PIPIT")
    say("boards", "drop-line", "DISP/R1")
    assert lines_of(say("boards", "--build", "PIPIT"))[0] == (
        "PIPIT, 2 units: 2 sections, 1 can be kitted, 1 without parts."
    )
    say("boards", "build", "PIPIT", "--state", "finished")
    assert say("boards", "--build", "PIPIT", code=2).stderr.startswith("There is no build PIPIT.")
    assert say("workshop", "check").stdout.startswith("The workshop is sound")


def test_a_list_goes_out_and_comes_in_again_unchanged(say: Say, tmp_path: Path) -> None:
    file = tmp_path / "if.csv"
    assert say("boards", "export", "IF", str(file)).stdout.startswith("Wrote the parts list of CURLEW/IF to")
    with file.open(encoding="utf-8-sig", newline="") as text:
        rows = list(csv.reader(text))
    assert len(rows) == 1 + len(told(say, "boards", "show", "IF")["lines"])
    before = say("boards", "show", "IF", "--json").stdout
    result = say("boards", "import", str(file), "--into", "CURLEW/IF")
    assert "0 " in result.stdout or "nothing" in result.stdout or "unchanged" in result.stdout
    assert say("boards", "show", "IF", "--json").stdout == before


def test_an_empty_workshop_file_is_told_with_the_ways_on(say: Say, tmp_path: Path) -> None:
    result = say("boards", db=tmp_path / "none.db", code=2)
    assert result.stderr.startswith("There is no workshop at")
    (tmp_path / "text.db").write_text("This is no workshop at all, but a letter to the miller of Mill Lane. " * 20)
    assert say("boards", db=tmp_path / "text.db", code=4).stderr.count("\n") == 1
