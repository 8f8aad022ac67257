"""Assemblies copied, put in another place and taken away, and whole projects taken away."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import bench, boards, checklists, checks, kits, lists, log, tree
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains, Demand, explode
from buildbook.store.read import kitting, standing

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def lines(shop: Workshop, code: str, project: str = "CURLEW") -> list[tuple[Any, ...]]:
    statement = """
        SELECT r.key, l.position, l.qty, l.refs, l.fitted, l.loss_bp, l.option_id, l.note
          FROM line AS l JOIN part AS r ON r.id = l.part_id JOIN assembly AS a ON a.id = l.assembly_id
          JOIN project AS p ON p.id = a.project_id WHERE a.code = ? AND p.code = ? ORDER BY l.position, l.id
    """
    return shop.reads.execute(statement, (code, project)).fetchall()


def inside(shop: Workshop, path: str) -> set[tuple[str, int]]:
    names = kitting.assembly_paths(shop.reads)
    return {(names[child], qty) for parent, child, qty in kitting.all_links(shop.reads) if names[parent] == path}


def in_order(shop: Workshop) -> list[str]:
    return [code for (code,) in shop.reads.execute("SELECT code FROM assembly ORDER BY project_id, position, id")]


def needed(shop: Workshop, path: str) -> dict[int, int]:
    """What one of an assembly needs of each part, as the choices stand."""
    number = {name: number for number, name in kitting.assembly_paths(shop.reads).items()}[path]
    links = [Contains(*link) for link in standing.links(shop.reads)]
    counts = [(0, 1, assembly, n) for (_, assembly), n in explode([Demand(1, number, 1)], links).net.items()]
    return {one.part: one.need for one in standing.needs_by_part(shop.reads, counts)}


# --- copies ----------------------------------------------------------------------------------------------------------


def test_a_copy_has_the_same_list_assemblies_and_checklist(curlew: Workshop) -> None:
    boards.new_assembly(curlew, "CURLEW", "COIL", inside="IF", qty=3)
    lists.add_line(curlew, "IF", "R-4K7-CF", refs="R9", option="SILICON", note="Only so", fitted=False)
    boards.set_ready_made(curlew, "IF", 2)
    checklists.add_step(curlew, "AUDIO", NewStep("Drill", after=(After("IF/1"),)))
    checklists.change_step(curlew, "IF/2", after=[After("IF/1", "ss", 30)], caution="Hot")
    assert tree.copy_assembly(curlew, "if", "curlew", "if-b", "Second IF board") == "CURLEW/IF-B"
    assert in_order(curlew) == ["CURLEW", "IF", "AUDIO", "COIL", "IF-B"]
    assert lines(curlew, "IF-B") == lines(curlew, "IF")
    assert len(lines(curlew, "IF-B")) == 5
    assert inside(curlew, "CURLEW/IF-B") == {("CURLEW/COIL", 3)}
    assert ("CURLEW/IF-B", 1) in inside(curlew, "CURLEW")
    statement = "SELECT name, kind, ready_made FROM assembly WHERE code = 'IF-B'"
    assert curlew.reads.execute(statement).fetchone() == ("Second IF board", "board", 0)
    steps = """
        SELECT s.name, s.caution, b.name, n.link, n.wait_min FROM step AS s JOIN assembly AS a ON a.id = s.assembly_id
          LEFT JOIN step_need AS n ON n.step_id = s.id LEFT JOIN step AS b ON b.id = n.needs_id AND b.assembly_id = a.id
         WHERE a.code = 'IF-B' ORDER BY s.position
    """
    assert curlew.reads.execute(steps).fetchall() == [
        ("Fit the resistors", "", None, None, None),
        ("Fit the coils", "Hot", "Fit the resistors", "SS", 30),
    ]


def test_a_step_that_waits_for_another_board_waits_for_nothing_in_the_copy(curlew: Workshop) -> None:
    checklists.add_step(curlew, "AUDIO", NewStep("Drill", after=(After("IF/1"),)))
    before = curlew.reads.execute("SELECT count(*) FROM step_need").fetchone()
    tree.copy_assembly(curlew, "AUDIO", "CURLEW", "AUDIO-B")
    assert curlew.reads.execute("SELECT count(*) FROM step_need").fetchone() == before


def test_into_another_project_go_the_lines_that_count(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN")
    lists.add_line(curlew, "IF", "R-4K7-CF", 7, option="SILICON")
    lists.add_line(curlew, "IF", "R-4K7-CF", 9, option="VALVE")
    boards.put_inside(curlew, "IF", "AUDIO", 2)
    boards.put_inside(curlew, "IF", "AUDIO", 3, option="SILICON")
    checks.settle(curlew, "CURLEW", "RECT", "SILICON", "There is room.")
    tree.copy_assembly(curlew, "IF", "WREN", "IF")
    assert [(row[0], row[2], row[6]) for row in lines(curlew, "IF", "WREN")][-1:] == [("R-4K7-CF", 7, None)]
    assert len(lines(curlew, "IF", "WREN")) == 5
    assert inside(curlew, "WREN/IF") == {("CURLEW/AUDIO", 5)}
    assert needed(curlew, "WREN/IF") == needed(curlew, "CURLEW/IF")


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rows=st.lists(
        st.tuples(
            st.sampled_from(["R-4K7", "C-100N", "IFT-455"]),
            st.integers(1, 50),
            st.booleans(),
            st.sampled_from([None, "SILICON", "VALVE"]),
            st.integers(0, 3000),
        ),
        max_size=6,
    ),
    held=st.lists(st.tuples(st.integers(1, 9), st.sampled_from([None, "SILICON", "VALVE"])), max_size=3),
    chosen=st.sampled_from(["SILICON", "VALVE", None]),
)
def test_a_copy_needs_what_its_model_needs(
    curlew: Workshop,
    rows: list[tuple[str, int, bool, str | None, int]],
    held: list[tuple[int, str | None]],
    chosen: str | None,
) -> None:
    boards.new_assembly(curlew, "CURLEW", "M")
    boards.new_project(curlew, "WREN")
    for part, qty, fitted, option, loss in rows:
        lists.add_line(curlew, "M", part, qty, fitted=fitted, option=option, loss_bp=loss)
    for qty, option in held:
        boards.put_inside(curlew, "M", "IF", qty, option=option)
    if chosen:
        checks.settle(curlew, "CURLEW", "RECT", chosen, "Why not.")
    model = needed(curlew, "CURLEW/M")
    assert needed(curlew, tree.copy_assembly(curlew, "CURLEW/M", "CURLEW", "C")) == model
    assert needed(curlew, tree.copy_assembly(curlew, "CURLEW/M", "WREN", "C")) == model
    while curlew.reads.execute("SELECT count(*) FROM assembly WHERE code = 'M'").fetchone()[0]:
        undo(curlew)


def test_a_copy_that_would_hold_its_own_unit_is_not_made(curlew: Workshop, dump: Dump) -> None:
    boards.new_project(curlew, "WREN")
    boards.put_inside(curlew, "IF", "WREN")
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        tree.copy_assembly(curlew, "IF", "WREN", "X")
    assert refused.value.what == "WREN/X was not made."
    assert refused.value.why == "A loop would close: WREN holds WREN/X holds WREN."
    assert dump(curlew) == before


def test_a_copy_needs_a_code_of_its_own(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"The assembly CURLEW/AUDIO was not made."):
        tree.copy_assembly(curlew, "IF", "CURLEW", "audio")


# --- places ----------------------------------------------------------------------------------------------------------


def test_an_assembly_takes_its_place_among_those_beside_it(curlew: Workshop) -> None:
    for code, home in (("COIL", "IF"), ("MIXER", ""), ("SCREEN", "IF")):
        boards.new_assembly(curlew, "CURLEW", code, inside=home)
    assert in_order(curlew) == ["CURLEW", "IF", "AUDIO", "COIL", "MIXER", "SCREEN"]
    assert tree.move_assembly(curlew, "MIXER", 1) == "CURLEW/MIXER"
    assert in_order(curlew) == ["CURLEW", "MIXER", "IF", "COIL", "AUDIO", "SCREEN"]
    tree.move_assembly(curlew, "COIL", 99)
    assert in_order(curlew) == ["CURLEW", "MIXER", "IF", "SCREEN", "AUDIO", "COIL"]
    with pytest.raises(BadInput, match=r"0 as place cannot be."):
        tree.move_assembly(curlew, "COIL", 0)


def test_assemblies_that_stand_nowhere_are_beside_each_other(curlew: Workshop) -> None:
    for code in ("IF", "AUDIO"):
        boards.take_out(curlew, "CURLEW", code)
    tree.move_assembly(curlew, "AUDIO", 1)
    assert in_order(curlew) == ["AUDIO", "CURLEW", "IF"]


# --- taken away ------------------------------------------------------------------------------------------------------


def test_an_assembly_goes_with_its_list_and_checklist(curlew: Workshop) -> None:
    boards.new_assembly(curlew, "CURLEW", "COIL", inside="IF", qty=3)
    checklists.add_step(curlew, "AUDIO", NewStep("Drill", after=(After("IF/1"),)))
    tree.drop_assembly(curlew, "IF")
    assert in_order(curlew) == ["CURLEW", "AUDIO", "COIL"]
    assert inside(curlew, "CURLEW") == {("CURLEW/AUDIO", 1)}
    counts = "SELECT (SELECT count(*) FROM line), (SELECT count(*) FROM step), (SELECT count(*) FROM step_need)"
    assert curlew.reads.execute(counts).fetchone() == (0, 1, 0)


@pytest.mark.parametrize(
    ("first", "why"),
    [
        (lambda shop: kits.kit_assembly(shop, "CURLEW", "IF"), "Parts for it are held, or were lost, by CURLEW."),
        (lambda shop: bench.tick(shop, "CURLEW", "IF/1"), "A step of it has been begun: Fit the resistors."),
        (lambda shop: log.note(shop, "It hums.", assembly="IF"), "The log tells of it: “It hums.”."),
        (lambda shop: log.note(shop, "It hums.", step="IF/1"), "The log tells of it: “It hums.”."),
        (lambda shop: boards.new_build(shop, "ONE", "IF"), "It is what ONE makes."),
    ],
)
def test_an_assembly_with_a_past_stays(
    curlew: Workshop, dump: Dump, first: Callable[[Workshop], object], why: str
) -> None:
    first(curlew)
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        tree.drop_assembly(curlew, "IF")
    assert (refused.value.what, refused.value.why) == ("CURLEW/IF was not taken away.", why)
    assert dump(curlew) == before


def test_what_was_lost_stays_on_record(curlew: Workshop) -> None:
    kits.kit_assembly(curlew, "CURLEW", "IF")
    kits.scrap_from_kit(curlew, "CURLEW", "IF/R1", 1)
    kits.give_back(curlew, "CURLEW")
    with pytest.raises(Forbidden, match=r"Parts for it are held, or were lost, by CURLEW."):
        tree.drop_assembly(curlew, "IF")


def test_a_project_goes_with_all_that_is_in_it(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN")
    lists.add_line(curlew, "IF", "R-4K7-CF", 7, option="SILICON")
    tree.drop_project(curlew, "curlew")
    assert in_order(curlew) == ["WREN"]
    for table in ("line", "step", "step_need", "choice", "choice_option", "contains"):
        assert curlew.reads.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,)
    assert [build.code for build in standing.builds(curlew.reads)] == ["WREN"]


@pytest.mark.parametrize(
    ("first", "why"),
    [
        (lambda shop: kits.kit_assembly(shop, "CURLEW", "IF"), "Parts for it are held, or were lost, by CURLEW."),
        (lambda shop: log.note(shop, "It hums.", build="CURLEW"), "Work on build CURLEW is on record."),
        (lambda shop: log.open_episode(shop, "CURLEW", "The case"), "Work on build CURLEW is on record."),
        (lambda shop: boards.put_inside(shop, "WREN", "CURLEW/IF"), "WREN uses a piece of it."),
    ],
)
def test_a_project_with_a_past_stays(
    curlew: Workshop, dump: Dump, first: Callable[[Workshop], object], why: str
) -> None:
    boards.new_project(curlew, "WREN")
    first(curlew)
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        tree.drop_project(curlew, "CURLEW")
    assert (refused.value.what, refused.value.why) == ("Project CURLEW was not taken away.", why)
    assert dump(curlew) == before
