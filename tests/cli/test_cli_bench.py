"""The Bench on the command line."""

from __future__ import annotations

import re
from collections.abc import Callable

from typer.testing import Result

from buildbook.actions import boards
from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


def row_of(result: Result, piece: str) -> str:
    """The line of the output in which a piece of text stands."""
    return next(line for line in result.stdout.splitlines() if piece in line)


def test_the_bench_says_what_is_ready_and_what_holds_the_rest(say: Say, curlew: Workshop) -> None:
    result = say("bench")
    assert result.stdout.splitlines()[0] == "2 steps ready, 2 held for earlier steps."
    assert row_of(result, "Deburr the holes").startswith("ready")
    prime = row_of(result, "Prime inside and out")
    assert prime.startswith("held")
    assert "by 1: Deburr the holes" in prime
    assert "one-way" in prime
    assert row_of(result, "Dial panel").split()[-5:] == ["0", "of", "1", "~40", "min"]


def test_what_can_be_done_stands_first_and_what_is_held_last(say: Say, curlew: Workshop) -> None:
    say("bench", "start", "PANEL/1")
    lines = say("bench").stdout.splitlines()[3:7]
    assert [line[:7].strip() for line in lines] == ["in hand", "ready", "held", "held"]
    assert [line[9:].split()[0] for line in lines] == ["PANEL/1", "CASE/1", "CASE/2", "CASE/3"]


def test_a_project_is_named_where_there_are_several(say: Say, curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN", "Wren signal tracer")
    say("bench", "add", "WREN/WREN", "Populate the board")
    assert "WREN/1" in row_of(say("bench"), "Populate the board")
    assert row_of(say("bench"), "Deburr").split()[1] == "CURLEW/CASE/1"
    assert "build" not in say("bench").stdout.splitlines()[2]


def test_a_step_is_started_finished_and_out_of_the_way(say: Say, curlew: Workshop) -> None:
    assert say("bench", "start", "CASE/1").stdout == "In hand: Deburr the holes.\n"
    assert row_of(say("bench"), "Deburr").startswith("in hand")
    assert say("bench", "finish", "CASE/1", "--took", "25min").stdout == "Done: Deburr the holes.\n"
    assert "Deburr" not in say("bench").stdout
    done = row_of(say("bench", "--all"), "Deburr")
    assert done.startswith("done")
    assert "25 min" in done
    assert re.search(r"  \d{4}-\d\d-\d\d$", done)
    assert row_of(say("bench"), "Mask").startswith("ready")


def test_starting_a_held_one_way_step_speaks_up(say: Say, curlew: Workshop) -> None:
    assert "Deburr the holes" in say("bench", "start", "prime", code=3).stderr
    lines = say("bench", "start", "prime", "--anyway").stdout.splitlines()
    assert lines == [
        "In hand: Prime inside and out.",
        "Not done yet, and to come before it: Deburr the holes.",
        "It cannot be undone.",
        "Air the room; no flames near solvents.",
    ]
    assert "by 1: Deburr the holes" in row_of(say("bench"), "Prime")


def test_a_step_is_dropped_and_reopened(say: Say, curlew: Workshop) -> None:
    assert say("bench", "drop", "PANEL/1").stdout == "Dropped: Cut meter opening.\n"
    assert "Cut meter opening" not in say("bench").stdout
    assert say("bench", "reopen", "PANEL/1").stdout == "To be done again: Cut meter opening.\n"
    assert row_of(say("bench"), "Cut meter opening").startswith("ready")


def test_a_step_is_added_with_what_it_comes_after(say: Say, curlew: Workshop) -> None:
    say(
        "bench",
        "add",
        "PANEL",
        "First coat of lacquer",
        "--takes",
        "20min",
        "--wait",
        "6h",
        "--after",
        "Cut meter",
        "--hold-point",
    )
    row = row_of(say("bench"), "First coat")
    assert "by 1: Cut meter opening" in row
    assert "hold point" in row
    assert "~20 min" in row


def test_a_build_has_to_be_named_where_there_are_several(say: Say, curlew: Workshop) -> None:
    boards.new_build(curlew, "SECOND", "CURLEW/CURLEW")
    result = say("bench", "start", "CASE/1", code=2)
    assert "CURLEW, SECOND" in result.stderr
    say("bench", "--build", "second", "start", "CASE/1")
    both = say("bench")
    assert both.stdout.splitlines()[2].split()[:3] == ["state", "build", "step"]
    assert {line.split("  ")[0] for line in both.stdout.splitlines() if "Deburr" in line and "by 1" not in line} == {
        "ready",
        "in hand",
    }
    assert "SECOND" not in say("bench", "--build", "CURLEW").stdout


def test_wrong_names_and_times_are_told(say: Say, curlew: Workshop) -> None:
    assert "no step" in say("bench", "start", "CASE/9", code=2).stderr
    assert "no build" in say("bench", "--build", "NONE", code=2).stderr
    assert "2-3" in say("bench", "finish", "CASE/1", "--took", "2-3 h", code=2).stderr
    assert say("bench", "reopen", "CASE/1", code=3).stderr


def test_without_builds_or_steps_it_says_so(say: Say, shop: Workshop) -> None:
    assert say("bench").stdout == "No build is planned or under way.\n"
    boards.new_project(shop, "WREN", "Wren signal tracer")
    assert say("bench").stdout == "No steps are written down yet.\n"
