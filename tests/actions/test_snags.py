"""Snags from the first sign to the cause."""

from __future__ import annotations

from typing import Any

import pytest

from buildbook.actions import boards, measuring, snags
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden


def standing(shop: Workshop) -> list[tuple[Any, ...]]:
    """What stands of each snag."""
    return list(shop.reads.execute("SELECT number, title, state, cause, closed_at > opened_at FROM snag ORDER BY id"))


def tries(shop: Workshop) -> list[tuple[Any, ...]]:
    """What was tried."""
    return list(shop.reads.execute("SELECT snag_id, tried, showed FROM snag_try ORDER BY id"))


def test_a_snag_is_opened_tried_at_and_closed_with_its_cause(curlew: Workshop) -> None:
    assert snags.open_snag(curlew, "curlew", " It\x1b[1m hums ", assembly="if") == "CURLEW/1"
    assert snags.open_snag(curlew, "CURLEW", "It crackles") == "CURLEW/2"
    assert snags.add_try(curlew, "1", "Earthed the screen", "Less,\r\nnot gone") == "CURLEW/1"
    assert snags.add_try(curlew, "curlew/1", "Turned the choke round") == "CURLEW/1"
    assert snags.close_snag(curlew, "1", "The choke stood beside T1.") == "CURLEW/1"
    assert standing(curlew) == [
        (1, "It hums", "closed", "The choke stood beside T1.", 1),
        (2, "It crackles", "open", "", 0),
    ]
    assert tries(curlew) == [(1, "Earthed the screen", "Less,\nnot gone"), (1, "Turned the choke round", "")]


def test_a_closed_snag_is_opened_again_and_its_thought_cause_stays(curlew: Workshop) -> None:
    snags.open_snag(curlew, "CURLEW", "It hums")
    with pytest.raises(Forbidden, match="is open"):
        snags.reopen(curlew, "1", "Why not")
    snags.close_snag(curlew, "1", "A dry joint")
    with pytest.raises(Forbidden, match="needs a reason"):
        snags.reopen(curlew, "1", " ")
    snags.reopen(curlew, "1", "It hums again")
    assert standing(curlew) == [(1, "It hums", "open", "", 0)]
    assert tries(curlew)[0][1].endswith("the cause was thought to be: A dry joint")
    assert tries(curlew)[0][2] == "It hums again"


def test_nothing_is_tried_at_a_closed_snag_and_it_is_closed_once(curlew: Workshop) -> None:
    snags.open_snag(curlew, "CURLEW", "It hums")
    with pytest.raises(Forbidden, match="closed with its cause"):
        snags.close_snag(curlew, "1", "")
    snags.close_snag(curlew, "1", "A dry joint")
    with pytest.raises(Forbidden, match=r"snag 1 of CURLEW, It hums is closed\. Open it again first"):
        snags.add_try(curlew, "1", "Prodded it")
    with pytest.raises(Forbidden, match="closed already"):
        snags.close_snag(curlew, "1", "Another")
    assert tries(curlew) == []


def test_a_snag_is_about_a_reading_of_its_own_build(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", NewPoint("VK1", limits="1-2 V"))
    taken = measuring.read(curlew, "CURLEW", "VK1", "3")
    snags.open_snag(curlew, "CURLEW", "Too high", reading=taken.number)
    assert curlew.reads.execute("SELECT reading_id FROM snag").fetchall() == [(taken.number,)]
    boards.new_project(curlew, "WREN")
    for build, reading in (("WREN", taken.number), ("CURLEW", 99)):
        with pytest.raises(BadInput, match=f"There is no reading {reading} of {build}"):
            snags.open_snag(curlew, build, "Too high", reading=reading)


def test_a_snag_says_what_is_wrong_and_is_found_by_its_number(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match="not said what is wrong"):
        snags.open_snag(curlew, "CURLEW", " ")
    snags.open_snag(curlew, "CURLEW", "It hums")
    with pytest.raises(BadInput, match="not said what was tried"):
        snags.add_try(curlew, "1", "\u200b")
    with pytest.raises(BadInput, match=r"There is no snag 7. Open are CURLEW/1 \(It hums\)"):
        snags.add_try(curlew, "7", "Prodded it")
    boards.new_project(curlew, "WREN")
    snags.open_snag(curlew, "WREN", "It whistles")
    with pytest.raises(BadInput, match=r"CURLEW/1 .* and WREN/1"):
        snags.add_try(curlew, "1", "Prodded it")
    assert snags.add_try(curlew, "1", "Prodded it", build="WREN") == "WREN/1"
