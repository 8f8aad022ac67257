"""Snags on the command line: what they cost, the parts they touched, and where they come again."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from typer.testing import Result

Say = Callable[..., Result]


def test_a_try_with_its_cost_and_a_part_by_its_designator(say: Say, at_demo: Any) -> None:
    say(
        "log", "try", "CURLEW/1", "Lifted C2", "--showed", "471k: it leaks", "--minutes", "1h10", "--joints", "2 joints"
    )
    told = json.loads(say("log", "snag-part", "CURLEW/1", "R7", "--note", "resoldered", "--json").stdout)
    (row,) = told["rows"]
    assert (row["minutes"], row["joints"]) == (10 + 45 + 70, 2)
    assert [(part["refs"], part["note"]) for part in row["parts"]] == [("R6", ""), ("C2", ""), ("R7", "resoldered")]
    assert say("log", "snag-part", "CURLEW/1", "R7", "--drop").stdout == "Taken off snag CURLEW/1: R7.\n"


def test_what_is_no_time_is_told_in_one_sentence_each(say: Say, at_demo: Any) -> None:
    said = say("log", "try", "CURLEW/1", "Prodded it", "--minutes=-5", code=2).stderr
    assert "-5" in said
    assert "Traceback" not in said


def test_snags_that_come_again(say: Say, at_demo: Any) -> None:
    plain = say("log", "snags", "--recurring").stdout
    assert plain.startswith("1 habit of snags, 1 of them across builds (LINNET and WREN).")
    assert "Snags count as the same habit when" in plain
    told = json.loads(say("log", "snags", "--recurring", "--json").stdout)
    assert told["schema"] == "buildbook.snag-habits/1"
    assert told["rows"][0]["builds"] == ["LINNET", "WREN"]


def test_the_cost_by_build_stands_below(say: Say, at_demo: Any) -> None:
    plain = say("log", "snags").stdout
    assert "2 h 35 min, 11 joints lost to them." in plain
    assert "CURLEW      1     1      2  55 min" in plain


def test_a_board_with_an_open_snag_says_so(say: Say, at_demo: Any) -> None:
    line = next(line for line in say("boards", "--build", "CURLEW").stdout.splitlines() if "AUDIO" in line)
    assert "1 snag open" in line
    assert "1 snag open" in say("boards", "show", "CURLEW/AUDIO").stdout
