"""A changed parts list comes in again: what is new, gone, changed and the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.difference import ListLine, difference

LINES = st.builds(
    ListLine,
    line=st.none(),
    part=st.integers(1, 4),
    qty=st.integers(1, 3),
    refs=st.lists(st.sampled_from(["R1", "R2", "R3", "C1", "C2", "V1"]), max_size=4, unique=True).map(tuple),
    fitted=st.booleans(),
    note=st.sampled_from(["", "match to 1 %"]),
    loss_bp=st.sampled_from([0, 150]),
    option=st.sampled_from([None, 1, 2]),
)
LISTS = st.lists(LINES, max_size=8)
PRESENT = LISTS.map(lambda lines: [replace(line, line=100 + place) for place, line in enumerate(lines)])


def heap(lines: Iterable[ListLine]) -> Counter[ListLine]:
    """The lines without their numbers, the designators in one order."""
    return Counter(replace(line, line=None, refs=tuple(sorted(line.refs))) for line in lines)


@given(PRESENT, LISTS)
@settings(deadline=None, max_examples=150)
def test_carrying_out_the_difference_gives_the_new_list(present: list[ListLine], new: list[ListLine]) -> None:
    found = difference(present, new)
    assert heap(new) == heap([*found.same, *(one.after for one in found.changed), *found.added])


@given(PRESENT, LISTS)
@settings(deadline=None, max_examples=150)
def test_every_line_at_hand_is_accounted_for_once(present: list[ListLine], new: list[ListLine]) -> None:
    found = difference(present, new)
    kept = [*found.same, *(one.before for one in found.changed)]
    assert Counter(present) == Counter([*kept, *found.gone])
    assert all(one.before.line == one.after.line and one.what for one in found.changed)
    assert all(line.line is None for line in found.added)


@given(PRESENT, st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=150)
def test_a_list_does_not_differ_from_itself_in_any_order(present: list[ListLine], chance: Random) -> None:
    again = [replace(line, line=None, refs=line.refs[::-1]) for line in present]
    chance.shuffle(again)
    found = difference(present, again)
    assert (found.added, found.gone, found.changed) == ((), (), ())
    assert found.same == tuple(present)


@given(PRESENT, LISTS)
@settings(deadline=None, max_examples=150)
def test_no_part_is_both_gone_and_added(present: list[ListLine], new: list[ListLine]) -> None:
    found = difference(present, new)
    assert not {line.part for line in found.gone} & {line.part for line in found.added}


@given(PRESENT, LISTS)
@settings(deadline=None, max_examples=150)
def test_no_designator_is_both_gone_and_added_with_its_line(present: list[ListLine], new: list[ListLine]) -> None:
    found = difference(present, new)
    assert not {ref for line in found.gone for ref in line.refs} & {ref for line in found.added for ref in line.refs}


# --- the cases a builder meets ---------------------------------------------------------------------------------------


def test_another_value_at_the_same_designators_is_the_same_line() -> None:
    found = difference([ListLine(31, 10, 1, ("R7",))], [ListLine(None, 22, 1, ("R7",))])
    assert [(one.after.line, one.after.part, one.what) for one in found.changed] == [(31, 22, ("another part",))]


def test_designators_that_move_between_lines_stay_with_the_parts() -> None:
    present = [ListLine(1, 10, 3, ("R1", "R2", "R3")), ListLine(2, 22, 1, ("R4",))]
    new = [ListLine(None, 10, 1, ("R1",)), ListLine(None, 22, 3, ("R2", "R3", "R4"))]
    found = difference(present, new)
    assert [(one.after.line, one.what) for one in found.changed] == [
        (1, ("quantity 1, was 3", "R2, R3 gone")),
        (2, ("quantity 3, was 1", "R2, R3 added")),
    ]
    assert (found.added, found.gone) == ((), ())


def test_of_several_lines_the_one_that_shares_most_is_it() -> None:
    new = [ListLine(None, 47, 1, ("R1",)), ListLine(None, 33, 2, ("R2", "R3"))]
    found = difference([ListLine(1, 10, 3, ("R1", "R2", "R3"))], new)
    assert [one.after.part for one in found.changed] == [33]
    assert [line.part for line in found.added] == [47]


def test_a_valve_and_its_socket_share_a_designator() -> None:
    present = [ListLine(1, 81, 1, ("V1",)), ListLine(2, 9, 1, ("V1",))]
    new = [ListLine(None, 9, 1, ("V1",), note="ceramic"), ListLine(None, 82, 1, ("V1",))]
    found = difference(present, new)
    assert [(one.after.line, one.what) for one in found.changed] == [(1, ("another part",)), (2, ("another note",))]


def test_screws_without_designators_are_known_by_their_part() -> None:
    found = difference([ListLine(1, 60, 8), ListLine(2, 61, 4)], [ListLine(None, 60, 12), ListLine(None, 62, 4)])
    assert [(one.before.line, one.what) for one in found.changed] == [(1, ("quantity 12, was 8",))]
    assert [line.line for line in found.gone] == [2]
    assert [line.part for line in found.added] == [62]


def test_screws_with_the_same_quantity_are_the_likelier_line() -> None:
    present = [ListLine(1, 60, 8, note="lid"), ListLine(2, 60, 4, note="foot")]
    found = difference(present, [ListLine(None, 60, 4, note="feet"), ListLine(None, 60, 8, note="cover")])
    assert [(one.before.note, one.after.note) for one in found.changed] == [("lid", "cover"), ("foot", "feet")]


def test_a_line_without_designators_is_rather_one_without() -> None:
    present = [ListLine(1, 60, 8, ("H1",)), ListLine(2, 60, 4)]
    found = difference(present, [ListLine(None, 60, 5)])
    assert [(one.before.line, one.what) for one in found.changed] == [(2, ("quantity 5, was 4",))]


def test_a_renumbered_board_keeps_its_lines() -> None:
    found = difference([ListLine(1, 10, 2, ("R1", "R2"))], [ListLine(None, 10, 2, ("R11", "R12"))])
    assert [(one.after.line, one.what) for one in found.changed] == [(1, ("R11, R12 added", "R1, R2 gone"))]


def test_alternatives_with_the_same_designator_stay_in_their_option() -> None:
    present = [ListLine(1, 10, 1, ("V9",), option=1), ListLine(2, 20, 1, ("V9",), option=2)]
    new = [ListLine(None, 10, 1, ("V9",), option=2), ListLine(None, 30, 1, ("V9",), option=1)]
    found = difference(present, new)
    assert [(one.after.line, one.after.part, one.after.option) for one in found.changed] == [(1, 30, 1), (2, 10, 2)]


BASE = ListLine(1, 10, 2, ("C3", "C4"))


@pytest.mark.parametrize(
    ("after", "what"),
    [
        (replace(BASE, fitted=False), ("now not fitted",)),
        (replace(BASE, loss_bp=250), ("loss 2.5 %, was 0 %",)),
        (replace(BASE, option=3), ("another option",)),
        (replace(BASE, note="X2"), ("another note",)),
        (replace(BASE, part=11, qty=3), ("another part", "quantity 3, was 2")),
        (replace(BASE, refs=("C4", "C5")), ("C5 added", "C3 gone")),
    ],
)
def test_what_has_changed_is_said_in_words(after: ListLine, what: tuple[str, ...]) -> None:
    assert [one.what for one in difference([BASE], [after]).changed] == [what]
    assert difference([replace(after, fitted=False)], [replace(after, fitted=True)]).changed[0].what == ("now fitted",)


def test_thousands_of_lines_with_one_designator_are_read_in_one_pass() -> None:
    present = [ListLine(n, n, 1, ("X1",)) for n in range(3000)]
    new = [ListLine(None, n, 2, ("X1",)) for n in range(3000)]
    found = difference(present, new)
    assert len(found.changed) == 3000
