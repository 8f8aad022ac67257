"""What the Log answers: the stream, an episode with all that is in it, and where a text stands."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import bench, boards, checklists, log, stores
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.log import episode, first_note, search, stream
from buildbook.errors import BadInput


@pytest.fixture
def two(shop: Workshop) -> Workshop:
    """Two builds; the Curlew has a step."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_project(shop, "LINNET", "Linnet bench supply")
    checklists.add_step(shop, "CURLEW/CURLEW", NewStep("Deburr the case"))
    return shop


def told(shop: Workshop, build: str | None = None) -> list[tuple[str, str]]:
    return [(row.kind, row.what) for row in stream(shop, build).rows]


def test_notes_and_actions_run_in_one_stream(two: Workshop) -> None:
    log.note(two, "The blade wandered", build="CURLEW", step="Deburr")
    bench.start(two, "CURLEW", "Deburr")
    answer = stream(two)
    assert [(row.kind, row.what) for row in answer.rows][:2] == [
        ("action", "Start: Deburr the case"),
        ("note", "The blade wandered"),
    ]
    assert answer.rows[1].about == "CURLEW, Deburr the case"
    assert answer.rows[1].build == "CURLEW"
    assert [row.at for row in answer.rows] == sorted((row.at for row in answer.rows), reverse=True)
    assert answer.sentence == "5 things done and written down."


def test_a_note_taken_back_is_gone_without_a_trace_in_the_stream(two: Workshop) -> None:
    before = told(two)
    log.note(two, "Never mind")
    undo(two)
    assert told(two) == before


def test_an_action_taken_back_is_told_with_its_taking_back(two: Workshop) -> None:
    bench.start(two, "CURLEW", "Deburr")
    undo(two)
    assert [what for _, what in told(two)][:2] == ["Undo: Start: Deburr the case", "Start: Deburr the case"]


def test_the_last_so_many(two: Workshop) -> None:
    answer = stream(two, most=2)
    assert len(answer.rows) == 2
    assert answer.sentence == "The last 2 of 3 things done and written down."
    assert len(stream(two, most=None).rows) == 3


def test_only_one_build(two: Workshop) -> None:
    log.note(two, "Wound the choke", build="LINNET")
    assert told(two, "linnet") == [("note", "Wound the choke")]
    with pytest.raises(BadInput, match="WREN"):
        stream(two, "WREN")


def test_nothing_has_happened(shop: Workshop) -> None:
    assert stream(shop).sentence == "Nothing has happened yet."
    assert first_note(shop) == ""


def test_an_episode_holds_what_fell_into_it(two: Workshop) -> None:
    log.note(two, "Before", build="CURLEW")
    log.open_episode(two, "CURLEW", "Metalwork")
    log.note(two, "During", build="CURLEW")
    log.note(two, "Elsewhere", build="LINNET")
    stores.new_part(two, "C-22U")
    bench.start(two, "CURLEW", "Deburr")
    assert stream(two).sentence.endswith("; episode 1 of CURLEW (Metalwork) is open.")
    log.close_episode(two, "CURLEW", "Holes are round")
    log.note(two, "After", build="CURLEW")
    answer = episode(two)
    whats = [row.what for row in answer.rows]
    assert "During" in whats
    # What is done in the drawers belongs to no build, and is told too.
    assert any("C-22U" in what for what in whats)
    assert "Start: Deburr the case" in whats
    assert not {"Before", "Elsewhere", "After"} & set(whats)
    assert [row.at for row in answer.rows] == sorted(row.at for row in answer.rows)
    assert (answer.number, answer.recap, answer.opened_at < answer.closed_at) == (1, "Holes are round", True)
    assert answer.sentence == "Episode 1 of CURLEW, Metalwork: 1 note and 4 actions."
    assert first_note(two) == "Before"


def test_the_open_episode_is_meant_before_the_last(two: Workshop) -> None:
    log.open_episode(two, "CURLEW", "Metalwork")
    log.open_episode(two, "LINNET", "Winding")
    log.close_episode(two, "LINNET")
    assert episode(two).title == "Metalwork"
    log.close_episode(two, "CURLEW")
    assert episode(two).title == "Winding"
    assert episode(two, build="curlew").title == "Metalwork"
    with pytest.raises(BadInput, match="--build"):
        episode(two, 1)
    assert episode(two, 1, "CURLEW").title == "Metalwork"
    with pytest.raises(BadInput, match=r"1 \(Metalwork\)"):
        episode(two, 2, "CURLEW")


def test_a_text_is_found_in_notes_actions_episodes_and_parts(two: Workshop) -> None:
    log.open_episode(two, "CURLEW", "The choke")
    log.note(two, "Choke hums", build="CURLEW")
    stores.new_part(two, "CHOKE-10H", name="Smoothing choke")
    answer = search(two, "choke")
    assert [row.kind for row in answer.rows] == ["action", "note", "action", "episode", "part"]
    assert answer.rows[-1].what == "CHOKE-10H"
    with pytest.raises(BadInput):
        search(two, "  ")


@given(st.sampled_from(["%", "_", "\\", "100%", "a_b", "\\%"]), st.booleans())
@settings(deadline=None, max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_signs_with_a_meaning_for_sql_are_looked_for_as_they_are(
    two: Workshop, tmp_path: Path, text: str, there: bool
) -> None:
    copy = tmp_path / "copy.db"
    two.close()
    shutil.copyfile(two.path, copy)
    shop = Workshop(copy, clock=two.clock)
    log.note(shop, f"Reads {text if there else 'nothing'} on the meter")
    assert bool(search(shop, text).rows) is there
    shop.close()
