"""Answers side by side and combined, on the command line; steps and areas that are written down for them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from typer.testing import Result

from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


def test_the_answers_stand_side_by_side(say: Say, at_demo: Path) -> None:
    lines = say("checks", "weigh", "CURLEW/RECT").stdout.splitlines()
    assert lines[0].startswith("CURLEW/RECT, open. VALVE: nothing to spend")
    assert any(line.split() == ["HTR", "97", "%,", "too", "tight", "73", "%"] for line in lines)
    assert any(line.startswith("board area") and "706 mm2" in line for line in lines)
    full = say("checks", "weigh", "RECT", "--full").stdout
    assert "RT-120R: 1 short, 0 coming" in full
    assert "less the same with no answer" in full


def test_the_answers_as_json(say: Say, at_demo: Path) -> None:
    answer = json.loads(say("checks", "weigh", "RECT", "--json").stdout)
    assert answer["schema"] == "buildbook.weigh/1"
    assert [(row["code"], row["unbeaten"]) for row in answer["rows"]] == [("VALVE", False), ("SI", True)]
    assert answer["rows"][1]["difference"]["to_spend_micros"] == 1_210_000


def test_combinations_left_and_all_of_them(say: Say, at_demo: Path) -> None:
    left = say("checks", "combine").stdout
    assert left.startswith("6 combinations of RECT and METER: 3 break a limit, 1 is beaten by no other.")
    assert "5 more are not shown; --all" in left
    every = say("checks", "combine", "RECT", "METER", "--all").stdout
    assert every.count("HTR too tight") == 3
    answer = json.loads(say("checks", "combine", "--json").stdout)
    assert (answer["combinations"], answer["struck"], len(answer["rows"])) == (6, 3, 6)
    assert "There is no question" in say("checks", "combine", "NOSUCH", code=2).stderr


def test_a_step_is_written_for_an_answer(say: Say, curlew: Workshop) -> None:
    say("bench", "add", "CURLEW/PANEL", "Cut the vents", "--option", "RECT:VALVE")
    assert "Cut the vents" not in say("bench").stdout
    say("checks", "settle", "RECT", "VALVE", "--reason", "In the drawer.")
    assert "Cut the vents" in say("bench").stdout
    say("bench", "change", "Cut the vents", "--option", "RECT:SIL")
    assert "Cut the vents" not in say("bench").stdout
    say("bench", "change", "Cut the vents", "--option", "")
    assert "Cut the vents" in say("bench").stdout


def test_the_room_of_a_part_is_written_down(say: Say, curlew: Workshop) -> None:
    say("stores", "new-part", "XV-9", "--area", "26 x 26 mm")
    say("stores", "change-part", "C-22U", "--area", "50 mm2")
    areas = dict(curlew.reads.execute("SELECT key, area_um2 FROM part").fetchall())
    assert areas == {"XV-9": 676_000_000, "C-22U": 50_000_000}
    say("stores", "change-part", "C-22U", "--area", "")
    assert curlew.reads.execute("SELECT area_um2 FROM part WHERE key = 'C-22U'").fetchone() == (None,)
    assert "is no area" in say("stores", "change-part", "C-22U", "--area", "wide", code=2).stderr


def test_the_answers_are_drawn_side_by_side(say: Say, at_demo: Path, tmp_path: Path) -> None:
    out = tmp_path / "rectifier.svg"
    assert say("checks", "plot", "options", "RECT", "--out", str(out)).stdout == f"Drew 2 answers into {out}.\n"
    assert "1.21 EUR" in out.read_text(encoding="utf-8")
    assert "were not drawn" in say("checks", "plot", "options", "--out", str(out), code=2).stderr
    history = tmp_path / "noise.pdf"
    assert "WREN/AMP/NOISE" in say("checks", "plot", "history", "NOISE", "--out", str(history)).stdout
    assert history.read_bytes().startswith(b"%PDF")
