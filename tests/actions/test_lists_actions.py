"""Lines of parts lists: one by one, and whole lists that come in again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import kits, lists
from buildbook.actions.incoming import NewPart, Remembered
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.difference import ListLine, difference
from buildbook.store.read.naming import find_part

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]

RESISTORS = ListLine(1, 1, 3, ("R1", "R2", "R3"))
CAPACITORS = ListLine(2, 3, 2, ("C1", "C2"), loss_bp=5000)
COILS = ListLine(3, 4, 2, ("T1", "T2"))
WIRE = ListLine(4, 5, 600)
PRESENT = [RESISTORS, CAPACITORS, COILS, WIRE]


def lines(shop: Workshop, assembly: str = "IF") -> list[tuple[str, int, str]]:
    statement = """
        SELECT p.key, l.qty, l.refs FROM line AS l JOIN part AS p ON p.id = l.part_id
          JOIN assembly AS a ON a.id = l.assembly_id WHERE a.code = ? ORDER BY l.position
    """
    return shop.reads.execute(statement, (assembly,)).fetchall()


def test_there_are_as_many_as_designators(curlew: Workshop) -> None:
    assert lines(curlew) == [
        ("R-4K7", 3, "R1-R3"),
        ("C-100N", 2, "C1, C2"),
        ("IFT-455", 2, "T1, T2"),
        ("WIRE-RED", 600, ""),
    ]
    lists.add_line(curlew, "AUDIO", "R-4K7")
    assert lines(curlew, "AUDIO") == [("R-4K7", 1, "")]


def test_a_line_is_changed_where_it_stands(curlew: Workshop) -> None:
    number = lists.change_line(curlew, "IF/R2", part="R-4K7-CF", qty=4, refs="r1-r4", fitted=False, option="SILICON")
    assert lines(curlew)[0] == ("R-4K7-CF", 4, "R1-R4")
    row = curlew.reads.execute("SELECT fitted, option_id IS NOT NULL FROM line WHERE id = ?", (number,)).fetchone()
    assert row == (0, 1)
    lists.change_line(curlew, number, option="")
    assert curlew.reads.execute("SELECT option_id FROM line WHERE id = ?", (number,)).fetchone() == (None,)


def test_a_line_whose_parts_a_build_holds_stays(curlew: Workshop) -> None:
    kits.kit_assembly(curlew, "CURLEW", "IF")
    with pytest.raises(Forbidden) as refused:
        lists.drop_line(curlew, "IF/R1")
    assert refused.value.what == "R-4K7 was not taken off the list of CURLEW/IF."
    assert refused.value.why == "Parts for it are held by CURLEW."
    with pytest.raises(Forbidden, match=r"The part of line 1 was not changed."):
        lists.change_line(curlew, 1, part="WIRE-RED")
    kits.give_back(curlew, "CURLEW")
    lists.drop_line(curlew, "IF/R1")
    assert len(lines(curlew)) == 3


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda shop: lists.add_line(shop, "IF", "R-4K7", 0), "A quantity of 0 was not taken."),
        (lambda shop: lists.add_line(shop, "IF", "R-4K7", refs="R"), "The designators were not understood."),
        (lambda shop: lists.add_line(shop, "IF", "R-4K7", loss_bp=-1), "-1 hundredths of a per cent cannot be."),
        (lambda shop: lists.add_line(shop, "IF", "R-4K7", option="NONE"), "There is no option NONE."),
        (lambda shop: lists.add_line(shop, "IF", "WIRE-RED", "1 kg"), "The quantity was not understood."),
    ],
)
def test_what_is_no_line_is_refused(curlew: Workshop, wrong: Callable[[Workshop], int], said: str) -> None:
    with pytest.raises(BadInput) as refused:
        wrong(curlew)
    assert refused.value.what == said


def test_a_list_that_comes_in_again_changes_what_differs(curlew: Workshop) -> None:
    new = [ListLine(None, 1, 4, ("R1", "R2", "R3", "R4")), CAPACITORS, ListLine(None, -1, 2, ("D1", "D2"), note="Si")]
    done = lists.apply_list(
        curlew,
        "if",
        difference(PRESENT, new),
        new_parts=[NewPart("D-SIG", "diodes", name="Signal diode")],
        title="Take in if-board.csv",
        remembered=Remembered({"Diode Si": "D-SIG"}, "parts list", "Ref|Part", "refs,part"),
    )
    assert done == (1, 1, 2, 1, 1)
    assert lines(curlew) == [("R-4K7", 4, "R1-R4"), ("C-100N", 2, "C1, C2"), ("D-SIG", 2, "D1, D2")]
    assert find_part(curlew, "diode si").key == "D-SIG"
    assert curlew.reads.execute("SELECT kind FROM part WHERE key = 'D-SIG'").fetchone() == ("diode",)
    assert (
        curlew.reads.execute("SELECT title FROM journal_entry ORDER BY id DESC").fetchone()[0] == "Take in if-board.csv"
    )


def test_the_same_headings_may_be_read_otherwise_the_next_time(curlew: Workshop) -> None:
    nothing = difference(PRESENT, PRESENT)
    for mapping in ("a", "b"):
        lists.apply_list(curlew, "IF", nothing, remembered=Remembered({"res": "R-4K7"}, "parts list", "X|Y", mapping))
    lists.apply_list(curlew, "IF", nothing, remembered=Remembered({"RES": "R-4K7-CF"}))
    assert curlew.reads.execute("SELECT headings, mapping FROM column_map").fetchall() == [("X|Y", "b")]
    assert find_part(curlew, "res").key == "R-4K7-CF"


def test_a_list_does_not_take_away_what_a_build_holds(curlew: Workshop, dump: Dump) -> None:
    kits.kit_assembly(curlew, "CURLEW", "IF")
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        lists.apply_list(curlew, "IF", difference(PRESENT, [CAPACITORS]), new_parts=[NewPart("D-SIG")])
    assert refused.value.what == "The list of CURLEW/IF was not taken in: R1-R3 would go."
    assert dump(curlew) == before


def test_a_list_changed_meanwhile_is_compared_again(curlew: Workshop) -> None:
    stale = difference(PRESENT, [ListLine(None, 1, 9, ("R1", "R2", "R3"))])
    lists.change_line(curlew, 1, qty=5)
    with pytest.raises(Forbidden, match=r"The present list has been changed meanwhile."):
        lists.apply_list(curlew, "IF", stale)


def test_a_new_part_needs_a_key_of_its_own(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"The part r-4k7 was not made. A part has that name already."):
        lists.apply_list(curlew, "IF", difference(PRESENT, PRESENT), new_parts=[NewPart("r-4k7")])
    with pytest.raises(BadInput, match=r"The part x was not made."):
        lists.apply_list(curlew, "IF", difference(PRESENT, PRESENT), new_parts=[NewPart("X"), NewPart("x")])
    with pytest.raises(BadInput, match=r"There is no part gone. Make it first."):
        lists.apply_list(curlew, "IF", difference(PRESENT, PRESENT), remembered=Remembered({"a": "gone"}))
