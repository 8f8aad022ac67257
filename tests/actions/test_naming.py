"""Names of things: in small or capital letters, short where that is enough, and the nearest ones when it is wrong."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.actions import boards, checks, stores
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput
from buildbook.store.read.naming import (
    find_assembly,
    find_bin,
    find_build,
    find_line,
    find_option,
    find_order,
    find_part,
    find_project,
    find_step,
    find_supplier,
)
from buildbook.trade.plain import fold


def test_letters_may_be_small_or_capital(curlew: Workshop) -> None:
    assert find_project(curlew, "curlew").code == "CURLEW"
    assert find_build(curlew, " Curlew ").code == "CURLEW"
    assert find_assembly(curlew, "curlew/if").path == "CURLEW/IF"
    assert find_part(curlew, "r-4k7").key == "R-4K7"
    assert find_bin(curlew, "a1").code == "A1"
    assert find_supplier(curlew, "quayside").code == "QUAYSIDE"
    assert find_order(curlew, "q-1").code == "Q-1"


def test_an_assembly_needs_its_project_only_when_there_are_two(curlew: Workshop) -> None:
    assert find_assembly(curlew, "IF").path == "CURLEW/IF"
    boards.new_project(curlew, "WREN")
    boards.new_assembly(curlew, "WREN", "IF")
    with pytest.raises(BadInput) as refused:
        find_assembly(curlew, "IF")
    assert str(refused.value) == (
        "IF could be more than one assembly. There are CURLEW/IF and WREN/IF. Name one in full."
    )
    assert find_assembly(curlew, "IF", project_id=find_project(curlew, "WREN").id).path == "WREN/IF"
    assert find_assembly(curlew, "IF", among=[find_assembly(curlew, "CURLEW/IF").id]).path == "CURLEW/IF"


@pytest.mark.parametrize(
    ("find", "wrong", "said"),
    [
        (find_project, "CURLOW", "There is no project CURLOW. Did you mean CURLEW?"),
        (find_build, "CURLE", "There is no build CURLE. Did you mean CURLEW?"),
        (find_assembly, "CURLEW/IFF", "There is no assembly CURLEW/IFF. Did you mean CURLEW/IF?"),
        (find_assembly, "AUDOI", "There is no assembly AUDOI. Did you mean CURLEW/AUDIO?"),
        (find_part, "IFT455", "There is no part IFT455. Did you mean IFT-455?"),
        (find_bin, "A11", "There is no bin A11. Did you mean A1?"),
        (find_supplier, "KEYSIDE", "There is no supplier KEYSIDE. Did you mean QUAYSIDE?"),
        (find_order, "Q-11", "There is no order Q-11. Did you mean Q-1?"),
        (find_step, "fit the coil's", "There is no step fit the coil's. Did you mean Fit the coils?"),
        (find_line, "IF/R9", "There is no line IF/R9. See `buildbook boards show CURLEW/IF`."),
        (find_line, 99, "There is no line 99. Name it by its number, or by assembly and designator, such as IF/R12."),
        (find_project, "zzz", "There is no project zzz."),
        (find_project, "a\x1b[31mb", "There is no project ab."),
    ],
)
def test_a_wrong_name_is_told_with_the_nearest(
    curlew: Workshop, find: Callable[[Workshop, object], object], wrong: str | int, said: str
) -> None:
    with pytest.raises(BadInput) as refused:
        find(curlew, wrong)
    assert str(refused.value) == said


def test_in_an_empty_workshop_there_is_nothing_near(shop: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no part X. There is none yet: make the part first."):
        find_part(shop, "X")


def test_a_step_is_known_by_number_place_and_name(curlew: Workshop) -> None:
    for name in ("2", 2, "IF/2", "curlew/if/2", "fit the coils", "coil"):
        assert find_step(curlew, name)[:4] == (2, "Fit the coils", find_assembly(curlew, "IF").id, "CURLEW/IF/2")
    with pytest.raises(BadInput, match=r"fit could be more than one step. There are CURLEW/IF/1 \(Fit the resistors\)"):
        find_step(curlew, "fit")


@pytest.mark.parametrize("name", ["", "%", "_", "/", "//", "0", "²"])
def test_signs_alone_mean_no_step(curlew: Workshop, name: str) -> None:
    with pytest.raises(BadInput, match=r"There is no step"):
        find_step(curlew, name)


def test_a_line_is_known_by_number_designator_and_part(curlew: Workshop) -> None:
    for name in (1, "1", "IF/R2", "curlew/if/r3", "IF/r-4k7"):
        assert find_line(curlew, name).id == 1
    assert find_line(curlew, "IF/WIRE-RED").id == 4


def test_an_answer_needs_its_question_only_when_there_are_two(curlew: Workshop) -> None:
    project = find_project(curlew, "CURLEW").id
    assert find_option(curlew, project, "silicon") == find_option(curlew, project, "RECT:SILICON")
    checks.ask(curlew, "CURLEW", "BRIDGE", "Which bridge?", {"SILICON": "", "SELENIUM": ""})
    with pytest.raises(BadInput, match=r"silicon could be more than one option"):
        find_option(curlew, project, "silicon")


def test_a_key_goes_before_another_name(curlew: Workshop) -> None:
    stores.change_part(curlew, "R-4K7", key="R-NEW")
    assert find_part(curlew, "r-4k7").key == "R-NEW"


@given(st.text(max_size=30))
def test_folding_twice_changes_nothing_more(text: str) -> None:
    assert fold(fold(text)) == fold(text)
