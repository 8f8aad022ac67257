"""The order that nobody wrote down, asked of a workshop: what is forgotten is named, and nothing else is."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import networkx as nx
import pytest

from buildbook.actions import bench as actions
from buildbook.actions import boards, checklists, checks, network
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.order import order
from buildbook.answers.why_step import closing, why_step
from buildbook.errors import BadInput
from buildbook.trade.workorder import ENOUGH, RULE_OF
from buildbook.trade.workorder_words import apart, named

MASK, PRIME = "Mask the bare-metal patch under the earth stud", "Prime inside and out"


@pytest.fixture
def case(shop: Workshop) -> Workshop:
    """A case to be degreased, masked and primed, of which only the degreasing is said to come first."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    steps = [
        NewStep("Degrease the metal", 20, work="degrease"),
        NewStep("Mask the earth patch", 5, after=(After("Degrease the metal"),)),
        NewStep("Prime inside and out", 30, one_way=True, after=(After("Degrease the metal"),)),
    ]
    checklists.add_steps(shop, "CASE", steps)
    return shop


def test_nothing_says_that_the_patch_is_masked_before_the_primer(case: Workshop) -> None:
    answer = order(case)
    (row,) = answer.rows
    assert answer.sentence == row.said
    assert row.said == (
        "Nothing says that “Mask the earth patch” comes before “Prime inside and out”: "
        "paint under the stud breaks the protective earth."
    )
    assert (row.before, row.after, row.serious, row.how) == ("CURLEW/CASE/2", "CURLEW/CASE/3", "dangerous", "missing")


def test_once_linked_it_is_forgotten_no_more(case: Workshop) -> None:
    network.put_after(case, "Prime", "Mask")
    assert order(case).sentence == "Nothing is forgotten that the natural order of work knows of."
    assert order(case, "CURLEW").rows == ()


def test_what_does_not_matter_here_is_counted_and_no_longer_named(case: Workshop) -> None:
    network.waive(case, "Prime", "Mask", "The stud stands on a plated insert.")
    answer = order(case)
    assert (answer.rows, answer.dismissed) == ((), 1)
    assert answer.sentence.endswith(" 1 pair does not matter here.")


def test_a_checklist_worked_from_the_top_down_is_ordered(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW")
    checklists.add_steps(shop, "CURLEW", [NewStep("Mask the earth patch"), NewStep("Prime the case")])
    assert order(shop).rows == ()
    checklists.add_steps(shop, "CURLEW", [NewStep("Degrease the case")])
    assert [(row.before_name, row.how) for row in order(shop).rows] == [("Degrease the case", "reversed")]
    assert "against the natural order of work" in order(shop).sentence


def test_what_is_done_already_is_not_forgotten_by_its_build(case: Workshop) -> None:
    boards.new_build(case, "SECOND", "CURLEW/CURLEW")
    actions.tick(case, "CURLEW", "Mask")
    assert order(case, "CURLEW").rows == ()
    assert len(order(case, "SECOND").rows) == 1
    assert len(order(case).rows) == 1


def test_the_most_serious_stands_first_and_sections_stand_together(case: Workshop) -> None:
    boards.new_assembly(case, "CURLEW", "PANEL", "Panel", "panel")
    loose = [
        NewStep("Deburr the panel"),
        NewStep("Degrease the panel"),
        NewStep("Spare", after=(After("Deburr the panel"),)),
    ]
    checklists.add_steps(case, "PANEL", loose)
    answer = order(case)
    assert [row.serious for row in answer.rows] == ["dangerous", "work done twice"]
    assert answer.sentence == ("2 pairs of steps are in no order that ought to be: 1 dangerous, 1 work done twice.")


def test_an_unknown_name_is_told_and_a_project_without_builds_is_looked_at(case: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no build or project HERON. There are: CURLEW"):
        order(case, "HERON")
    boards.change_build(case, "CURLEW", state="finished")
    assert len(order(case, "curlew").rows) == 1
    assert order(case).sentence == "No build is planned or under way."


# --- the demo --------------------------------------------------------------------------------------------------------


class Said(NamedTuple):
    """A link of the demo, with both steps."""

    step: int
    before: int
    kind: str
    wait_min: int


LINKS = """
    SELECT n.step_id, n.needs_id, lower(n.link), n.wait_min FROM step_need AS n
      JOIN step AS s ON s.id = n.step_id JOIN assembly AS a ON a.id = s.assembly_id
      JOIN project AS p ON p.id = a.project_id JOIN step AS b ON b.id = n.needs_id
     WHERE p.code = 'CURLEW' AND s.option_id IS NULL AND b.option_id IS NULL ORDER BY n.id
"""
STEPS = """
    SELECT s.id, s.assembly_id, s.work, s.name FROM step AS s JOIN assembly AS a ON a.id = s.assembly_id
      JOIN project AS p ON p.id = a.project_id WHERE p.code = 'CURLEW' AND s.option_id IS NULL
"""


def by_the_rules(shop: Workshop) -> set[tuple[int, int]]:
    """All pairs of steps of one assembly that a rule orders, read pair by pair from the table of rules."""
    steps = shop.reads.execute(STEPS).fetchall()
    found = set()
    for a, home, early, first in steps:
        for b, other, late, then in steps:
            rule = RULE_OF.get((early, late))
            asunder = rule and rule.by_piece and apart(named(first), named(then))
            if home == other and rule and rule.strict != ENOUGH and not asunder:
                found.add((a, b))
    return found


def ordered(links: set[tuple[int, int]]) -> set[tuple[int, int]]:
    closure = nx.transitive_closure_dag(nx.DiGraph(links))
    return set(closure.edges)


def test_the_demo_has_forgotten_one_thing(demo: Workshop) -> None:
    (row,) = order(demo).rows
    assert (row.before_name, row.after_name, row.serious) == (MASK, PRIME, "dangerous")


def test_every_link_of_the_rules_taken_out_of_the_demo_is_named_or_follows(demo: Workshop) -> None:
    """Each in turn, through the public actions; put back, nothing is forgotten."""
    network.put_after(demo, PRIME, MASK)
    boards.new_build(demo, "FRESH", "CURLEW/CURLEW")
    assert order(demo, "FRESH").rows == ()
    rules = by_the_rules(demo)
    links = [Said(*row) for row in demo.reads.execute(LINKS)]
    pairs = {(one.before, one.step) for one in links}
    told = ordered(pairs) & rules
    named_pairs = 0
    for one in links:
        network.set_free(demo, one.step, one.before)
        found = {(row.before_step, row.after_step) for row in order(demo, "FRESH").rows if row.how == "missing"}
        left = pairs - {(one.before, one.step)} | from_the_top_down(demo)
        assert told <= ordered(left | found)
        assert not found & ordered(left)
        named_pairs += bool(found)
        network.put_after(demo, one.step, one.before, link=one.kind, wait_min=one.wait_min)
        assert order(demo, "FRESH").rows == ()
    assert named_pairs > 20


def from_the_top_down(shop: Workshop) -> set[tuple[int, int]]:
    """The order of the checklists in which no step says anything, each step after the one above."""
    statement = """
        SELECT assembly_id, id FROM step WHERE assembly_id NOT IN (
            SELECT s.assembly_id FROM step AS s JOIN step_need AS n ON n.step_id = s.id
        ) ORDER BY assembly_id, position, id
    """
    rows = shop.reads.execute(statement).fetchall()
    return {(above, below) for (home, above), (other, below) in pairwise(rows) if home == other}


def test_before_the_primer_the_tool_says_what_still_has_to_happen(demo: Workshop) -> None:
    """The patch that must be masked stands first, though nothing in the project says so."""
    answer = why_step(demo, "CURLEW", PRIME)
    assert [(one.name, one.why) for one in answer.closes_off][:2] == [
        (MASK, "forgotten"),
        ("Degrease all sheet metal", "needed"),
    ]
    assert answer.sentence.endswith("It cannot be undone, and 1 step ought to come before it, though nothing says so.")


# --- why a step stands as it does ------------------------------------------------------------------------------------


def test_each_thing_that_holds_a_step_is_followed_by_what_holds_that(case: Workshop) -> None:
    network.hold_for_question(case, "Degrease", ask(case))
    answer = why_step(case, "curlew", "Prime")
    assert [(term.depth, term.what, term.where) for term in answer.terms] == [
        (0, "Degrease the metal", "Bench"),
        (1, "question CURLEW/COLOUR", "Checks"),
    ]
    assert answer.terms[1].release == "Settle the question CURLEW/COLOUR."
    assert answer.sentence.startswith("Prime inside and out is held by 1: Degrease the metal.")


def test_what_holds_two_that_hold_a_step_is_taken_apart_once(case: Workshop) -> None:
    network.put_after(case, "Prime", "Mask")
    network.hold_for_question(case, "Degrease", ask(case))
    terms = [(term.depth, term.what) for term in why_step(case, "CURLEW", "Prime").terms]
    assert sorted(terms) == [
        (0, "Degrease the metal"),
        (0, "Mask the earth patch"),
        (1, "Degrease the metal"),
        (1, "question CURLEW/COLOUR"),
    ]


def ask(shop: Workshop) -> str:
    """Ask a question of the Curlew."""
    checks.ask(shop, "CURLEW", "COLOUR", "Which primer?", {"RED": "Red", "GREY": "Grey"})
    return "COLOUR"


def test_a_step_that_nothing_holds_says_so(case: Workshop) -> None:
    answer = why_step(case, "CURLEW", "Degrease")
    assert (answer.sentence, answer.terms) == ("Degrease the metal is ready: nothing stands against it.", ())


def test_what_was_said_not_to_matter_or_is_done_is_not_closed_off(case: Workshop) -> None:
    actions.tick(case, "CURLEW", "Degrease")
    assert [one.why for one in closing(case, "CURLEW", 3)] == ["forgotten"]
    network.waive(case, "Prime", "Mask", "Plated insert.")
    assert closing(case, "CURLEW", 3) == ()
    assert why_step(case, "CURLEW", "Prime").sentence == "Prime inside and out is ready: nothing stands against it."


def test_a_step_of_another_build_is_told(case: Workshop) -> None:
    boards.new_project(case, "WREN")
    with pytest.raises(BadInput, match=r"Mask the earth patch is no step of build WREN"):
        why_step(case, "WREN", "Mask")
