"""The Log on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable

from typer.testing import Result

from buildbook.actions import boards
from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


def test_the_stream_tells_notes_and_actions_the_newest_first(say: Say, curlew: Workshop) -> None:
    assert say("log", "note", "Meter came without nuts", "--assembly", "PANEL").stdout == "Written down.\n"
    say("bench", "start", "CASE/1")
    lines = say("log").stdout.splitlines()
    assert lines[0].endswith("done and written down.")
    told = [line for line in lines if "action" in line or "note" in line]
    assert "Start: Deburr the holes" in told[0]
    assert told[1].split()[2] == "note"
    assert "Meter came without nuts" in told[1]
    assert "CURLEW/PANEL" in told[1]
    # The writing of a note is not told a second time as an action.
    assert sum("Meter came" in line for line in lines) == 1


def test_all_of_it_or_the_last(say: Say, curlew: Workshop) -> None:
    for number in range(40):
        boards.change_project(curlew, "CURLEW", note=f"Note {number}")
    short = say("log").stdout.splitlines()
    assert short[0].startswith("The last 30 of ")
    assert len(short) == 3 + 30
    total = json.loads(say("log", "--json").stdout)["total"]
    assert len(say("log", "--all").stdout.splitlines()) == 3 + total


def test_a_note_may_have_lines_and_is_told_whole(say: Say, curlew: Workshop) -> None:
    say("log", "note", "First line\nSecond line", "--step", "CASE/2", "--part", "C-22U")
    row = json.loads(say("log", "--json").stdout)["rows"][0]
    assert row["what"] == "First line\nSecond line"
    assert row["build"] == "CURLEW"
    assert "First line Second line" in say("log").stdout


def test_an_episode_is_opened_told_and_closed(say: Say, curlew: Workshop) -> None:
    assert say("log", "episode", "start", "Metalwork").stdout == "Episode 1 is open.\n"
    say("log", "note", "The blade wandered")
    say("bench", "start", "CASE/1")
    assert "episode 1 of CURLEW (Metalwork) is open" in say("log").stdout.splitlines()[0]
    opened = say("log", "show").stdout
    assert opened.splitlines()[0].startswith("Episode 1 of CURLEW, Metalwork: open, 1 note and ")
    assert "The blade wandered" in opened
    assert "still open" in opened
    closed = say("log", "episode", "close", "--recap", "Holes are deburred").stdout
    assert closed == "Episode 1 is closed.\n"
    told = say("log", "show", "1").stdout
    assert told.splitlines()[-1] == "Holes are deburred"
    assert "Start: Deburr the holes" in told
    # What went before the episode is not in it.
    assert "New project" not in told


def test_episodes_that_are_not_there_are_told(say: Say, curlew: Workshop) -> None:
    assert "episode start" in say("log", "show", code=2).stderr
    say("log", "episode", "start", "Metalwork")
    assert "1 (Metalwork)" in say("log", "show", "7", code=2).stderr
    assert say("log", "episode", "start", "Paint", code=3).stderr
    assert "whole number" in say("log", "show", "two", code=2).stderr


def test_a_text_is_found_wherever_it_stands(say: Say, curlew: Workshop) -> None:
    say("log", "note", "Smoothing choke hums")
    result = say("log", "search", "smoothing")
    assert result.stdout.splitlines()[0] == "“smoothing” stands in 1 note and 1 part."
    assert "C-22U" in result.stdout
    assert say("log", "search", "100%").stdout == "“100%” stands in nothing.\n"
    say("log", "search", " ", code=2)


def test_a_note_belongs_to_the_build_only_when_that_is_clear(say: Say, curlew: Workshop) -> None:
    boards.new_project(curlew, "LINNET", "Linnet bench supply")
    say("log", "note", "Swept the bench")
    say("log", "note", "Wound the choke", "--build", "linnet")
    rows = json.loads(say("log", "--json").stdout)["rows"]
    assert [row["build"] for row in rows[:2]] == ["LINNET", ""]
    only = json.loads(say("log", "--build", "LINNET", "--json").stdout)["rows"]
    assert [row["what"] for row in only] == ["Wound the choke"]
    assert "LINNET" in say("log", "episode", "start", "x", code=2).stderr


def test_the_context_of_a_hit_is_printed_plain(say: Say, curlew: Workshop) -> None:
    say("log", "note", "The earth stud was masked with tape, and the primer went on over it")
    told = say("log", "search", "primer stud").stdout
    assert "The earth stud was masked with tape, and the primer went on over it" in told
    assert not set(told) & {"\x02", "\x03"}


def test_a_search_as_json_says_where_the_words_stand(say: Say, curlew: Workshop) -> None:
    say("log", "note", "The earth stud was masked")
    row = json.loads(say("log", "search", "earth mas", "--json").stdout)["rows"][0]
    assert [row["said"][start:end] for start, end in row["marks"]] == ["earth", "masked"]
