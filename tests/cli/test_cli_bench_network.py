"""The order of work on the command line: what is forgotten, links, holds, recipes, why a step stands as it does."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from typer.testing import Result

from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import StepRow, bench
from buildbook.answers.order import order

Say = Callable[..., Result]


@pytest.fixture
def loose(say: Say, curlew: Workshop) -> Workshop:
    """The case again, but with only one thing said of its order: the patch is masked after the deburring."""
    say("bench", "after", "CASE/2", "CASE/1")
    say("bench", "not-after", "CASE/3", "CASE/2")
    return curlew


def step(shop: Workshop, name: str) -> StepRow:
    return next(row for row in bench(shop).rows if row.name == name)


def told(result: Result) -> Any:
    return json.loads(result.stdout)


def test_what_is_forgotten_is_named_with_its_reason(say: Say, loose: Workshop) -> None:
    lines = say("bench", "order").stdout.splitlines()
    assert lines[0] == (
        "Nothing says that “Mask the earth patch” comes before “Prime inside and out”: "
        "paint under the stud breaks the protective earth."
    )
    assert lines[3].split("  ")[0] == "dangerous"
    assert "CURLEW/CASE/2  Mask the earth patch" in lines[3]
    assert lines[3].endswith("Paint under the stud breaks the protective earth.")
    answer = told(say("bench", "order", "--json"))
    assert answer["schema"] == "buildbook.order/1"
    assert [(row["before"], row["after"]) for row in answer["rows"]] == [("CURLEW/CASE/2", "CURLEW/CASE/3")]


def test_a_link_mends_it_and_a_reason_dismisses_it(say: Say, loose: Workshop) -> None:
    assert say("bench", "after", "Prime", "Deburr").stdout == "Prime inside and out comes after Deburr the holes.\n"
    said = say("bench", "needs-not", "Prime", "Mask", "--reason", "A plated insert.").stdout
    assert said == "Prime inside and out need not come after Mask the earth patch: A plated insert.\n"
    lines = say("bench", "order", "curlew").stdout.splitlines()
    assert lines == [
        "Nothing is forgotten that the natural order of work knows of. 1 pair does not matter here.",
    ]
    assert "needs a reason" in say("bench", "needs-not", "Prime", "Mask", "--reason", " ", code=3).stderr


def test_begun_is_enough_and_a_least_wait(say: Say, loose: Workshop) -> None:
    say("bench", "after", "Prime", "Deburr", "--ss", "--wait", "1h30")
    kind, wait = loose.reads.execute("SELECT link, wait_min FROM step_need WHERE step_id = 3").fetchone()
    assert (kind, wait) == ("SS", 90)
    assert "not one duration" in say("bench", "after", "Prime", "Deburr", "--wait", "1-2 h", code=2).stderr


def test_a_loop_is_named(say: Say, loose: Workshop) -> None:
    say("bench", "after", "Prime", "Mask")
    result = say("bench", "after", "Deburr", "Prime", code=3)
    assert "Deburr the holes before Mask the earth patch before Prime inside and out" in result.stderr


def test_a_step_is_held_and_let_go(say: Say, loose: Workshop) -> None:
    assert say("bench", "holds", "CASE/1", "--question", "RECT").stdout.endswith("while CURLEW/RECT is open.\n")
    assert step(loose, "Deburr the holes").held_by == ("question CURLEW/RECT",)
    say("bench", "holds", "CASE/1", "--question", "RECT", "--free")
    assert step(loose, "Deburr the holes").held_by == ()
    say("boards", "add-line", "CASE", "C-22U", "--refs", "C1-C3")
    assert say("bench", "holds", "CASE/1", "--fits", "C1-C2").stdout == "Deburr the holes fits 1 line.\n"
    assert len(step(loose, "Deburr the holes").held) == 1
    say("bench", "holds", "CASE/1", "--free")
    assert step(loose, "Deburr the holes").held_by == ()
    for words in ([], ["--fits", "C1", "--free"]):
        assert "It is not clear what is meant." in say("bench", "holds", "CASE/1", *words, code=2).stderr


def test_why_tells_every_reason_and_what_releases_it(say: Say, loose: Workshop) -> None:
    say("bench", "after", "Prime", "Mask")
    say("bench", "holds", "CASE/1", "--question", "RECT")
    lines = say("bench", "why", "Prime").stdout.splitlines()
    assert lines[0] == "Prime inside and out is held by 1: Mask the earth patch."
    assert [line.split("  ")[0] for line in lines[3:4]] == ["Mask the earth patch"]
    assert lines[4].startswith("  Deburr the holes")
    assert lines[5].startswith("    question CURLEW/RECT")
    assert "Settle the question CURLEW/RECT." in lines[5]
    assert lines[7] == "It cannot be undone, and would close off, the most serious first:"
    assert lines[8].endswith("Mask the earth patch. Dangerous: paint under the stud breaks the protective earth.")
    answer = told(say("bench", "why", "Prime", "--json"))
    assert answer["schema"] == "buildbook.why-step/1"
    assert [term["depth"] for term in answer["terms"]] == [0, 1, 2]
    assert answer["closes_off"][0]["serious"] == "dangerous"


def test_a_one_way_step_is_refused_with_what_it_closes_off(say: Say, loose: Workshop) -> None:
    lines = say("bench", "start", "Prime", code=3).stderr.splitlines()
    assert lines[0].startswith("Prime inside and out was not begun. It cannot be undone.")
    assert lines[1].strip().startswith("Nothing says it, but to come before it: Mask the earth patch. Dangerous:")
    assert lines[2].strip().startswith("Nothing says it, but to come before it: Deburr the holes. Cannot be undone:")
    say("bench", "start", "Prime", "--anyway")
    assert step(loose, "Prime inside and out").early == "Mask the earth patch; Deburr the holes"


def test_recipes_are_listed_and_taken(say: Say, loose: Workshop) -> None:
    assert say("bench", "recipe", "list").stdout.startswith("There are recipes for metalwork, paint,")
    assert told(say("bench", "recipe", "list", "--json"))["rows"][1]["code"] == "paint"
    assert say("bench", "recipe", "take", "letter", "panel", "--for", "the front").stdout == (
        "3 steps on the checklist of PANEL.\n"
    )
    assert step(loose, "Letter the front").held_by == ("Cut meter opening",)
    assert say("bench", "recipe", "take", "PANEL", "--like", "CASE").stdout == "3 steps on the checklist of PANEL.\n"
    assert "none of metalwork" in say("bench", "recipe", "take", "bake", "PANEL", code=2).stderr
    for words in (["PANEL"], ["paint", "PANEL", "--like", "CASE"]):
        assert say("bench", "recipe", "take", *words, code=2).stderr.startswith("Nothing was")


def test_a_step_is_changed(say: Say, loose: Workshop) -> None:
    words = ["--takes", "20/30/1h", "--wait", "24h/48h", "--wait-kind", "dry", "--occupies", "oven", "--tools", "gun"]
    say("bench", "change", "Prime", *words, "--hold-point", "--can-be-undone", "--caution", "")
    row = step(loose, "Prime inside and out")
    assert (row.low_min, row.likely_min, row.high_min) == (20, 30, 60)
    assert (row.wait_low_min, row.wait_high_min, row.wait_kind, row.occupies) == (1440, 2880, "dry", "oven")
    assert (row.tools, row.one_way, row.hold_point, row.caution) == ("gun", False, True, "")
    say("bench", "change", "Prime", "--takes", "25min", "--name", "Prime it", "--no-hold-point", "--one-way")
    row = step(loose, "Prime it")
    assert (row.low_min, row.likely_min, row.high_min, row.one_way, row.hold_point) == (25, 25, 25, True, False)
    assert "do not stand in order" in say("bench", "change", "Prime", "--takes", "60/30/20", code=2).stderr
    assert "It wants one duration, or 3" in say("bench", "change", "Prime", "--takes", "20/30", code=2).stderr
    assert "Nothing was changed." in say("bench", "change", "Prime", code=2).stderr


def test_the_demo_tells_before_the_primer_what_still_has_to_happen(say: Say, at_demo: Any) -> None:
    result = say("bench", "start", "Prime inside and out", "--build", "CURLEW", code=3)
    assert (
        "to come before it: Mask the bare-metal patch under the earth stud. Dangerous" in result.stderr.splitlines()[1]
    )
    shop = Workshop(at_demo)
    assert len(order(shop).rows) == 1
    shop.close()
