"""Projects, the tree of assemblies and the builds in their order."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, kits
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains, Loop, order
from buildbook.store.read import kitting, standing

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def tree(shop: Workshop) -> set[tuple[str, str, int]]:
    names = kitting.assembly_paths(shop.reads)
    return {(names[parent], names[child], qty) for parent, child, qty in kitting.all_links(shop.reads)}


def in_order(shop: Workshop) -> list[tuple[int, str]]:
    return [(build.priority, build.code) for build in standing.builds(shop.reads)]


def test_a_project_comes_with_its_unit_and_a_build(shop: Workshop) -> None:
    assert boards.new_project(shop, " linnet ", "Bench supply", units=2, target_on="2026-12-04") == "LINNET"
    (build,) = standing.builds(shop.reads)
    assert (build.code, build.assembly, build.units, build.state) == ("LINNET", "LINNET", 2, "active")
    assert (build.priority, build.target_on) == (1, "2026-12-04")


def test_assemblies_go_inside_the_unit_or_where_they_are_said_to(curlew: Workshop) -> None:
    assert boards.new_assembly(curlew, "curlew", "coil", inside="if", qty=3) == "CURLEW/COIL"
    assert tree(curlew) == {
        ("CURLEW", "CURLEW/IF", 1),
        ("CURLEW", "CURLEW/AUDIO", 1),
        ("CURLEW/IF", "CURLEW/COIL", 3),
    }


def test_an_assembly_of_another_project_may_be_used(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN")
    boards.put_inside(curlew, "WREN", "CURLEW/AUDIO", 2)
    boards.put_inside(curlew, "WREN", "AUDIO", 4)
    assert ("WREN", "CURLEW/AUDIO", 4) in tree(curlew)
    boards.take_out(curlew, "WREN", "AUDIO")
    assert ("WREN", "CURLEW/AUDIO", 4) not in tree(curlew)
    with pytest.raises(BadInput, match=r"WREN does not hold CURLEW/AUDIO."):
        boards.take_out(curlew, "WREN", "AUDIO")


def test_an_assembly_inside_for_one_answer_only(curlew: Workshop) -> None:
    boards.put_inside(curlew, "IF", "AUDIO", 2, option="RECT:VALVE")
    boards.put_inside(curlew, "IF", "AUDIO", 3, option="silicon")
    assert ("CURLEW/IF", "CURLEW/AUDIO", 5) in tree(curlew)
    boards.take_out(curlew, "IF", "AUDIO", option="VALVE")
    assert ("CURLEW/IF", "CURLEW/AUDIO", 3) in tree(curlew)


def test_a_loop_is_refused_by_its_names(curlew: Workshop, dump: Dump) -> None:
    boards.put_inside(curlew, "IF", "AUDIO", option="SILICON")
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        boards.put_inside(curlew, "AUDIO", "IF")
    assert refused.value.what == "CURLEW/IF was not put inside CURLEW/AUDIO."
    assert refused.value.why == "A loop would close: CURLEW/AUDIO holds CURLEW/IF holds CURLEW/AUDIO."
    with pytest.raises(Forbidden, match=r"A loop would close: CURLEW/IF holds CURLEW/IF."):
        boards.put_inside(curlew, "IF", "IF")
    assert dump(curlew) == before


@settings(deadline=None, max_examples=8)
@given(pairs=st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=5, max_size=12))
def test_whatever_is_put_inside_no_loop_ever_closes(template: Path, pairs: list[tuple[int, int]]) -> None:
    with TemporaryDirectory() as folder:
        shop = Workshop(Path(folder) / "workshop.db")
        copyfile(template, shop.path)
        boards.new_project(shop, "P")
        codes = [boards.new_assembly(shop, "P", f"A{number}") for number in range(5)]
        for parent, child in pairs:
            links = [Contains(*link) for link in kitting.all_links(shop.reads)]
            numbers = {path: number for number, path in kitting.assembly_paths(shop.reads).items()}
            new = Contains(numbers[codes[parent]], numbers[codes[child]], 1)
            try:
                order([*links, new])
            except Loop:
                with pytest.raises(Forbidden, match=r"A loop would close"):
                    boards.put_inside(shop, codes[parent], codes[child])
            else:
                boards.put_inside(shop, codes[parent], codes[child])
        order([Contains(*link) for link in kitting.all_links(shop.reads)])
        shop.close()


@pytest.mark.parametrize("code", ["", "A/B", "-A", "A B", "X" * 25, "Ä"])
def test_a_code_is_short_and_plain(shop: Workshop, code: str) -> None:
    with pytest.raises(BadInput, match=r"cannot be the code of a project"):
        boards.new_project(shop, code)


def test_an_assembly_is_given_another_code(curlew: Workshop) -> None:
    assert boards.change_assembly(curlew, "IF", code=" if-2 ", name="IF strip") == "CURLEW/IF-2"
    assert boards.change_assembly(curlew, "IF-2", code="IF-2") == "CURLEW/IF-2"
    with pytest.raises(BadInput, match=r"There is an assembly AUDIO in CURLEW already."):
        boards.change_assembly(curlew, "IF-2", code="audio")
    with pytest.raises(Forbidden, match=r"CURLEW was not given another code. It is the unit that bears the code"):
        boards.change_assembly(curlew, "CURLEW", code="UNIT")
    with pytest.raises(BadInput, match=r"cannot be the code of an assembly"):
        boards.change_assembly(curlew, "IF-2", code="A/B")
    assert tree(curlew) == {("CURLEW", "CURLEW/IF-2", 1), ("CURLEW", "CURLEW/AUDIO", 1)}


def test_a_code_is_used_once(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"The project CURLEW was not made. There is one of that code already."):
        boards.new_project(curlew, "Curlew")
    with pytest.raises(BadInput, match=r"The assembly CURLEW/IF was not made."):
        boards.new_assembly(curlew, "CURLEW", "if")
    with pytest.raises(BadInput, match=r"The build CURLEW was not made."):
        boards.new_build(curlew, "CURLEW", "IF")


def test_what_is_not_possible_is_refused_and_nothing_is_written(curlew: Workshop, dump: Dump) -> None:
    before = dump(curlew)
    for wrong, said in (
        (lambda: boards.new_project(curlew, "WREN", units=0), "0 units cannot be."),
        (lambda: boards.new_project(curlew, "WREN", target_on="Friday"), "“Friday” is no day."),
        (lambda: boards.new_assembly(curlew, "CURLEW", "X", kind="shed"), "There is no kind of assembly “shed”."),
        (lambda: boards.change_build(curlew, "CURLEW", state="lost"), "There is no state of a build “lost”."),
        (lambda: boards.set_ready_made(curlew, "IF", -1), "-1 ready-made cannot be."),
        (lambda: boards.put_inside(curlew, "IF", "AUDIO", 0), "0 of it cannot be."),
    ):
        with pytest.raises(BadInput) as refused:
            wrong()
        assert refused.value.what == said
    assert dump(curlew) == before


def test_builds_make_room_for_each_other(curlew: Workshop) -> None:
    boards.new_build(curlew, "SECOND", "IF")
    boards.new_build(curlew, "FIRST", "IF", priority=1)
    assert in_order(curlew) == [(1, "FIRST"), (2, "CURLEW"), (3, "SECOND")]
    boards.change_build(curlew, "FIRST", priority=99)
    assert in_order(curlew) == [(1, "CURLEW"), (2, "SECOND"), (3, "FIRST")]
    undo(curlew)
    assert in_order(curlew) == [(1, "FIRST"), (2, "CURLEW"), (3, "SECOND")]


def test_a_build_with_a_kit_is_not_dropped(curlew: Workshop) -> None:
    kits.kit_assembly(curlew, "CURLEW", "IF")
    with pytest.raises(Forbidden, match=r"Build CURLEW is not dropped yet. Parts still lie in its kits."):
        boards.change_build(curlew, "CURLEW", state="dropped")
    kits.give_back(curlew, "CURLEW")
    boards.change_build(curlew, "CURLEW", state="dropped")
    assert standing.builds(curlew.reads)[0].state == "dropped"


def test_words_from_outside_are_cleaned(curlew: Workshop) -> None:
    boards.change_project(curlew, "CURLEW", name="Cur\x1b[31mlew\u202e  receiver", note="one\r\ntwo")
    assert curlew.reads.execute("SELECT name, note FROM project").fetchone() == ("Curlew receiver", "one\ntwo")
