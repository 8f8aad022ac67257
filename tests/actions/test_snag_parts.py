"""What a snag cost and which parts it had to do with: written down, refused, taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import boards, lists, snag_parts, snags, stores
from buildbook.actions.workshop import Workshop, redo, undo
from buildbook.errors import BadInput, Forbidden
from buildbook.store.checkup import check

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


@pytest.fixture
def humming(shop: Workshop) -> Workshop:
    """Two boards of a receiver, each with an R1, and a snag about one of them."""
    boards.new_project(shop, "CURLEW")
    for code in ("IF", "AUDIO"):
        boards.new_assembly(shop, "CURLEW", code)
    for key, kind in (("R-4K7", "resistor"), ("C-100N", "capacitor")):
        stores.new_part(shop, key, kind=kind)
    lists.add_line(shop, "IF", "R-4K7", refs="R1-R3")
    lists.add_line(shop, "IF", "C-100N", refs="C1 C2")
    lists.add_line(shop, "AUDIO", "R-4K7", refs="R1 R9")
    snags.open_snag(shop, "CURLEW", "It hums", assembly="IF")
    snags.open_snag(shop, "CURLEW", "It crackles")
    return shop


def touched(shop: Workshop) -> list[tuple[Any, ...]]:
    """Snag, line and designators of every part touched."""
    return list(shop.reads.execute("SELECT snag_id, line_id, refs, note FROM snag_part ORDER BY id"))


def test_a_try_keeps_its_minutes_and_its_joints(humming: Workshop) -> None:
    snags.add_try(humming, "1", "Resoldered R1", "The same", minutes="1h10", joints="2 joints")
    snags.add_try(humming, "1", "Looked at it")
    found = list(humming.reads.execute("SELECT minutes, joints FROM snag_try ORDER BY id"))
    assert found == [(70, 2), (None, 0)]


@pytest.mark.parametrize(("minutes", "joints"), [("-1 min", ""), ("soon", ""), ("", "-2"), ("", "some")])
def test_a_cost_that_is_none_is_refused_and_nothing_is_written(
    humming: Workshop, dump: Dump, minutes: str, joints: str
) -> None:
    before = dump(humming)
    with pytest.raises(BadInput):
        snags.add_try(humming, "1", "Prodded it", minutes=minutes, joints=joints)
    assert dump(humming) == before


def test_a_bare_designator_is_that_of_the_board_of_the_snag(humming: Workshop) -> None:
    assert snag_parts.touch_parts(humming, "1", "R1, c2", note="lifted") == "CURLEW/1"
    snag_parts.touch_parts(humming, "1", "R3 R2")
    assert touched(humming) == [(1, 1, "R1-R3", "lifted"), (1, 2, "C2", "lifted")]


def test_a_designator_elsewhere_is_found_if_it_is_clear(humming: Workshop) -> None:
    snag_parts.touch_parts(humming, "1", "R9")
    snag_parts.touch_parts(humming, "2", "AUDIO/R1")
    assert touched(humming) == [(1, 3, "R9", ""), (2, 3, "R1", "")]


WRONG: dict[str, tuple[str, str, str]] = {
    "on two boards": ("2", "R1", r"CURLEW/IF/R1 and CURLEW/AUDIO/R1"),
    "nowhere": ("1", "R77", "stands in no parts list"),
    "on another board": ("1", "IF/R9", "It stands on CURLEW/AUDIO"),
    "no designator": ("1", "R-", "not understood"),
    "nothing": ("1", " , ", "None is named"),
    "no such board": ("1", "XX/R1", "no assembly"),
    "no such snag": ("9", "R1", "There is no snag 9"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_is_not_clear_is_refused_and_nothing_is_written(humming: Workshop, dump: Dump, wrong: str) -> None:
    snag, refs, said = WRONG[wrong]
    before = dump(humming)
    with pytest.raises(BadInput, match=said):
        snag_parts.touch_parts(humming, snag, refs)
    assert dump(humming) == before


def test_parts_are_taken_off_again(humming: Workshop) -> None:
    snag_parts.touch_parts(humming, "1", "R1-R3, C1")
    snag_parts.leave_parts(humming, "1", "R2, C1")
    assert touched(humming) == [(1, 1, "R1, R3", "")]
    with pytest.raises(BadInput, match="has no R2 of CURLEW/IF"):
        snag_parts.leave_parts(humming, "1", "R1 R2")
    assert touched(humming) == [(1, 1, "R1, R3", "")]


ACTIONS: dict[str, Callable[[Workshop], object]] = {
    "try": lambda shop: snags.add_try(shop, "1", "x", minutes="5 min", joints="1"),
    "touch": lambda shop: snag_parts.touch_parts(shop, "1", "R2, C2"),
    "leave": lambda shop: snag_parts.leave_parts(shop, "1", "R1"),
    "drop the line": lambda shop: lists.drop_line(shop, "IF/R1"),
}


@pytest.mark.parametrize("name", ACTIONS)
def test_it_is_taken_back_and_done_again_exactly(humming: Workshop, dump: Dump, name: str) -> None:
    snag_parts.touch_parts(humming, "1", "R1")
    before = dump(humming)
    ACTIONS[name](humming)
    after = dump(humming)
    assert after != before
    undo(humming)
    assert dump(humming) == before
    redo(humming)
    assert dump(humming) == after
    assert all(proof.holds for proof in check(humming))


def test_a_closed_snag_still_takes_parts(humming: Workshop) -> None:
    snags.close_snag(humming, "1", "A dry joint")
    snag_parts.touch_parts(humming, "1", "R1")
    with pytest.raises(Forbidden):
        snags.add_try(humming, "1", "Prodded it")
    assert len(touched(humming)) == 1
