"""Stores on the command line, on a copy of the demo: what lies where, and everything that changes it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

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


def on_hand(say: Say, part: str) -> int:
    """What lies of a part, in base units."""
    return int(json.loads(say("stores", "where", part, "--json").stdout)["on_hand"])


@pytest.mark.parametrize(
    ("words", "schema"),
    [
        (["stores"], "buildbook.stores/1"),
        (["stores", "list", "--on-hand"], "buildbook.stores/1"),
        (["stores", "find", "4k7"], "buildbook.stores/1"),
        (["stores", "where", "V-ECH81"], "buildbook.where/1"),
    ],
)
def test_the_sentence_is_first_in_words_and_as_json(say: Say, words: list[str], schema: str) -> None:
    plain = lines_of(say(*words))[0]
    told = json.loads(say(*words, "--json").stdout)
    assert list(told)[:2] == ["sentence", "schema"]
    assert (told["sentence"], told["schema"]) == (plain, schema)


def test_every_part_with_what_is_spoken_for(say: Say) -> None:
    result = say("stores")
    told = json.loads(say("stores", "--json").stdout)
    rows = {row["key"]: row for row in told["rows"]}
    lying = sum(1 for row in rows.values() if row["on_hand"])
    worth = show_money(told["worth_micros"], told["currency"])
    assert lines_of(result)[0].startswith(f"{len(rows)} parts, {lying} on hand, worth {worth} EUR (")
    film = rows["C-100N-630V"]
    assert row_of(result, "C-100N-630V").split() == (
        f"C-100N-630V 100n PET 630V {film['on_hand']} {film['spoken_for']} {film['free']} B07, B14".split()
    )
    assert len(lines_of(result)) == 3 + len(rows)
    assert len(lines_of(say("stores", "--on-hand"))) == 3 + lying
    assert row_of(result, "T-IFT-455 ").split()[-2:] == ["0", "2"]


@pytest.mark.parametrize("text", ["4k7", "4.7 kΩ", "4700"])
def test_a_value_is_found_in_any_form(say: Say, text: str) -> None:
    found = [line.split()[0] for line in lines_of(say("stores", "find", text))[3:]]
    assert [key for key in found if key.startswith("R-")] == ["R-4K7-0.6W", "R-4K7-1W"]


def test_where_a_part_lies_with_its_units(say: Say) -> None:
    result = say("stores", "where", "w-rg174")
    assert lines_of(result)[:2] == [
        "W-RG174: 500 mm on hand (500 mm in K03), 500 mm spoken for, 0 mm free.",
        "Worth 0.42 EUR.",
    ]
    assert row_of(result, "CURLEW  ").split() == ["CURLEW", "1.1", "m", "500", "mm", "600", "mm"]
    assert "+500 mm" in row_of(result, "counted")
    stand_in = say("stores", "where", "D-1N4007")
    lent = json.loads(say("stores", "where", "D-1N4007", "--json").stdout)["builds"][0]["spoken_for"]
    assert row_of(stand_in, "LINNET").split() == ["LINNET", "as", "a", "stand-in", f"{lent}"]
    assert "it may replace D-1N4004" in stand_in.stdout
    assert "only with RECT:SI" in row_of(stand_in, "CURLEW/HT")
    coming = say("stores", "where", "T-IFT-455", "--last", "0")
    assert "Coming: 2 by order TW-2611 from TERN, due 2026-12-04." in lines_of(coming)


def test_count_receive_move_scrap(say: Say) -> None:
    say("stores", "new-bin", "Z9", "--note", "on the window sill")
    assert say("stores", "count", "R-4K7-0.6W", "A03", "40").stdout == (
        "Counted 40 of R-4K7-0.6W in A03, 10 more than was thought.\n"
    )
    assert say("stores", "count", "W-RG174", "K03", "0.2 m").stdout == (
        "Counted 200 mm of W-RG174 in K03, 300 mm less than was thought.\n"
    )
    assert say("stores", "count", "R-4K7-0.6W", "A03", "40").stdout.endswith("in A03, as was thought.\n")
    assert say("stores", "count", "R-4K7-0.6W", "A03", "39").stdout.endswith("1 fewer than was thought.\n")
    say("stores", "receive", "W-RG174", "Z9", "2 m", "--price", "1.20", "--per", "1 m")
    assert on_hand(say, "W-RG174") == 2200
    assert say("stores", "move", "C-100N-630V", "B14", "Z9", "2").stdout == ("Moved 2 of C-100N-630V from B14 to Z9.\n")
    assert "(3 in B07, 4 in B14, 2 in Z9)" in lines_of(say("stores", "where", "C-100N-630V"))[0]
    assert say("stores", "move", "C-100N-630V", "Z9", "B07").stdout.startswith("Moved all")
    say("stores", "scrap", "C-100N-630V", "B07", "1", "--note", "cracked")
    assert on_hand(say, "C-100N-630V") == 8
    assert "cracked" in row_of(say("stores", "where", "C-100N-630V"), "scrapped")
    for _ in range(3):
        say("workshop", "undo")
    assert on_hand(say, "C-100N-630V") == 9
    for _ in range(3):
        say("workshop", "redo")
    assert on_hand(say, "C-100N-630V") == 8
    assert say("workshop", "check").stdout.startswith("The workshop is sound")


def test_parts_are_made_changed_merged_and_approved(say: Say) -> None:
    say("stores", "new-part", "C-0U1-630V", "--kind", "capacitor", "--value", "0.1u 630V")
    say("stores", "receive", "C-0U1-630V", "B07", "3", "--price", "0.40")
    assert say("stores", "merge", "C-0U1-630V", "C-100N-630V").stdout == "C-0U1-630V is now C-100N-630V.\n"
    assert on_hand(say, "C-100N-630V") == 12
    assert lines_of(say("stores", "where", "c-0u1-630v"))[0].startswith("C-100N-630V: 12 on hand")
    say("stores", "change-part", "C-100N-630V", "--key", "C-100N-PET", "--name", "Film capacitor")
    assert on_hand(say, "C-100N-630V") == 12
    assert row_of(say("stores", "find", "100n"), "C-100N-PET")
    say("stores", "stand-in", "C-47N-630V", "C-100N-PET", "--reason", "for a decoupler it will do")
    assert "C-100N-PET may replace it" in say("stores", "where", "C-47N-630V").stdout
    say("stores", "no-stand-in", "C-47N-630V", "C-100N-PET")
    assert "may replace it" not in say("stores", "where", "C-47N-630V").stdout
    assert say("workshop", "check").stdout.startswith("The workshop is sound")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["where", "V-ECH18"], 2, "There is no part V-ECH18. Did you mean V-ECH81"),
        (["count", "R-4K7-0.6W", "A99", "3"], 2, "There is no bin A99."),
        (["count", "R-4K7-0.6W", "--", "A03", "-3"], 2, "The quantity was not understood."),
        (["receive", "R-4K7-0.6W", "A03", "3", "--price", "cheap"], 2, "The amount was not understood."),
        (["move", "R-4K7-0.6W", "A03", "A03"], 2, "Nothing was moved."),
        (["move", "C-10U-63V", "A01", "A02"], 3, "Nothing was moved. A01 holds no C-10U-63V."),
        (["scrap", "C-10U-63V", "B09", "100"], 3, "Nothing was moved. B09 holds 16 of C-10U-63V, 100 are wanted."),
        (["merge", "C-22N-630V", "C-22N-630V"], 2, "Nothing was merged. Both names mean C-22N-630V."),
        (["stand-in", "W-RG174", "C-10U-63V", "--reason", "x"], 3, "C-10U-63V cannot stand in for W-RG174."),
        (["no-stand-in", "C-10U-63V", "C-1U-63V"], 2, "C-1U-63V is no stand-in for C-10U-63V."),
        (["new-bin", "A03"], 2, "The bin A03 was not made."),
        (["new-part", "R-4K7-0.6W"], 2, "The part"),
        (["change-part", "W-RG174", "--unit", "pc"], 3, "The unit of W-RG174 was not changed."),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_a_code(say: Say, words: list[str], code: int, said: str) -> None:
    result = say("stores", *words, code=code)
    assert result.stderr.startswith(said)
    assert result.stderr.count("\n") == 1
    assert result.stdout == ""


def test_nothing_found_is_no_error(say: Say) -> None:
    assert say("stores", "find", "unobtainium").stdout == "Nothing in the stores is called unobtainium.\n"
    told = json.loads(say("stores", "find", "unobtainium", "--json").stdout)
    assert told["rows"] == []


def test_the_stock_goes_out_and_comes_in_again_unchanged(say: Say, tmp_path: Path) -> None:
    file = tmp_path / "drawers.csv"
    say("stores", "export", str(file))
    before = say("stores", "--json").stdout
    assert "0 of them not as was thought" in say("stores", "import", str(file)).stdout
    assert say("stores", "--json").stdout == before
