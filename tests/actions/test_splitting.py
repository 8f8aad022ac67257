"""Lines split, joined again and put in another place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import kits, lists, splitting, stores
from buildbook.actions.drawers import Take
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.trade.refdes import join_refs, read_refs

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def lines(shop: Workshop) -> list[tuple[str, int, str]]:
    statement = """
        SELECT p.key, l.qty, l.refs FROM line AS l JOIN part AS p ON p.id = l.part_id
          JOIN assembly AS a ON a.id = l.assembly_id WHERE a.code = 'IF' ORDER BY l.position
    """
    return shop.reads.execute(statement).fetchall()


def test_some_designators_go_to_a_line_directly_below(curlew: Workshop) -> None:
    lists.change_line(curlew, "IF/C1", qty=4, note="Film")
    number = splitting.split_line(curlew, "IF/C1", "c2")
    assert lines(curlew) == [
        ("R-4K7", 3, "R1-R3"),
        ("C-100N", 2, "C1"),
        ("C-100N", 2, "C2"),
        ("IFT-455", 2, "T1, T2"),
        ("WIRE-RED", 600, ""),
    ]
    row = curlew.reads.execute("SELECT loss_bp, note FROM line WHERE id = ?", (number,)).fetchone()
    assert row == (5000, "Film")


def test_some_of_a_length_goes_to_a_line_directly_below(curlew: Workshop) -> None:
    splitting.split_line(curlew, 4, "20 cm")
    splitting.split_line(curlew, 4, 100)
    assert lines(curlew)[3:] == [("WIRE-RED", 300, ""), ("WIRE-RED", 100, ""), ("WIRE-RED", 200, "")]


@pytest.mark.parametrize(
    ("line", "some", "why"),
    [
        ("IF/R1", "R1-R3", "Nothing of it would be left."),
        ("IF/R1", "R4", "R4 is not in it."),
        ("IF/R1", 1, "It has designators: R1-R3."),
        (4, "600 mm", "Nothing of it would be left."),
        (4, "R1", "R1 is not in it."),
        (4, 0, "It must be 1 or more, and 1,000,000,000 at most."),
        (4, "", "No quantity is given."),
    ],
)
def test_what_is_no_part_of_a_line_is_not_split_off(
    curlew: Workshop, dump: Dump, line: str | int, some: str | int, why: str
) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput) as refused:
        splitting.split_line(curlew, line, some)
    assert refused.value.why == why
    assert dump(curlew) == before


def test_a_quantity_that_is_not_spread_evenly_is_not_split_by_designators(curlew: Workshop) -> None:
    lists.change_line(curlew, "IF/R1", qty=4)
    with pytest.raises(BadInput, match=r"Its quantity of 4 is not spread evenly over 3 designators."):
        splitting.split_line(curlew, "IF/R1", "R1")


def test_what_a_build_holds_stays_with_the_first_line(curlew: Workshop) -> None:
    kits.kit(curlew, "CURLEW", "IF", [Take(1, 1, 1, 2)])
    splitting.split_line(curlew, "IF/R1", "R3")
    assert curlew.reads.execute("SELECT line_id, kitted FROM holding").fetchall() == [(1, 2)]
    undo(curlew)
    with pytest.raises(Forbidden) as refused:
        splitting.split_line(curlew, "IF/R1", "R2-R3")
    assert refused.value.why == "Build CURLEW holds 2 for it, more than is left of it."


def test_lines_that_are_not_alike_are_not_joined(curlew: Workshop, dump: Dump) -> None:
    lists.add_line(curlew, "IF", "R-4K7", refs="R7", fitted=False)
    before = dump(curlew)
    for other in ("IF/R7", "IF/C1", "IF/R1"):
        with pytest.raises(Forbidden, match=r"The lines were not joined. They are not two lines of one list"):
            splitting.join_lines(curlew, "IF/R1", other)
    assert dump(curlew) == before


def test_a_line_whose_parts_a_build_holds_is_not_joined_to_another(curlew: Workshop) -> None:
    lists.add_line(curlew, "IF", "R-4K7", refs="R7", note="By the dial")
    kits.kit(curlew, "CURLEW", "IF", [Take(1, 1, 1, 2)])
    with pytest.raises(Forbidden, match=r"Parts for it are held by CURLEW."):
        splitting.join_lines(curlew, "IF/R7", "IF/R1")
    splitting.join_lines(curlew, "IF/R1", "IF/R7")
    assert lines(curlew)[0] == ("R-4K7", 4, "R1-R3, R7")
    assert curlew.reads.execute("SELECT note FROM line WHERE id = 1").fetchone() == ("By the dial",)


def test_a_line_takes_its_place_and_the_others_make_room(curlew: Workshop) -> None:
    splitting.move_line(curlew, "IF/T1", 1)
    assert [row[0] for row in lines(curlew)] == ["IFT-455", "R-4K7", "C-100N", "WIRE-RED"]
    splitting.move_line(curlew, "IF/T1", 99)
    assert [row[0] for row in lines(curlew)] == ["R-4K7", "C-100N", "WIRE-RED", "IFT-455"]
    splitting.move_line(curlew, "IF/T1", 3)
    assert [row[0] for row in lines(curlew)] == ["R-4K7", "C-100N", "IFT-455", "WIRE-RED"]


def test_a_line_that_is_in_its_place_already_is_left_alone(curlew: Workshop) -> None:
    count = "SELECT count(*) FROM journal_entry"
    before = curlew.reads.execute(count).fetchone()
    splitting.move_line(curlew, "IF/C1", 2)
    assert curlew.reads.execute(count).fetchone() == before
    splitting.move_line(curlew, "IF/C1", 1)
    changed = "SELECT sum(rows) FROM journal_change WHERE entry_id = (SELECT max(id) FROM journal_entry)"
    assert curlew.reads.execute(changed).fetchone() == (2,)


@settings(deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    refs=st.sets(st.integers(1, 30), min_size=2, max_size=12),
    each=st.integers(1, 4),
    share=st.floats(0.01, 0.99),
)
def test_what_is_split_and_joined_is_as_it_was(curlew: Workshop, refs: set[int], each: int, share: float) -> None:
    places = [f"R{number}" for number in sorted(refs)]
    some = places[: max(1, min(len(places) - 1, round(share * len(places))))]
    part = stores.new_part(curlew, f"P-{curlew.reads.execute('SELECT count(*) FROM part').fetchone()[0]}")
    line = lists.add_line(curlew, "AUDIO", part, each * len(places), refs=", ".join(places))
    statement = "SELECT qty, refs FROM line WHERE id = ?"
    before = curlew.reads.execute(statement, (line,)).fetchone()
    new = splitting.split_line(curlew, line, join_refs(some))
    parts = [curlew.reads.execute(statement, (number,)).fetchone() for number in (line, new)]
    assert sum(qty for qty, _ in parts) == before[0]
    assert [set(read_refs(one)) for _, one in parts] == [set(places) - set(some), set(some)]
    assert all(qty == each * len(read_refs(one)) for qty, one in parts)
    assert splitting.join_lines(curlew, line, new) == line
    assert curlew.reads.execute(statement, (line,)).fetchone() == before
