"""What the test sheets and the snags answer."""

from __future__ import annotations

import json

import pytest

from buildbook.actions import boards, checklists, checks, measuring, snags
from buildbook.actions.checklists import NewStep
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.checks import checks as all_checks
from buildbook.answers.form import as_json
from buildbook.answers.log import episode, search, stream
from buildbook.answers.measuring import history, point_meant, sheet
from buildbook.answers.snags import About, one_snag, snag_about
from buildbook.answers.snags import snags as all_snags
from buildbook.errors import BadInput


@pytest.fixture
def bench(shop: Workshop) -> Workshop:
    """The Curlew with two boards and four points; the Wren, of which two are built, with a board of the Curlew's."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board")
    boards.new_assembly(shop, "CURLEW", "AUDIO", "Audio board")
    checklists.add_steps(shop, "IF", [NewStep("Align it")])
    measuring.add_points(shop, "IF", [NewPoint("VK1", "cathode", "1.6-2.2 V"), NewPoint("F", limits="455 kHz")])
    measuring.add_points(shop, "AUDIO", [NewPoint("INS", limits="min 1 Mohm"), NewPoint("PE", limits="max 0.1 ohm")])
    measuring.hold_step_by_point(shop, "IF/1", "VK1")
    return shop


def states(shop: Workshop, build: str | None = None) -> list[tuple[str, str, str]]:
    """Each point with its state and its reading in words."""
    return [(row.code, row.state, row.said) for row in sheet(shop, build).rows]


def test_points_stand_board_by_board_with_limits_in_words(bench: Workshop) -> None:
    answer = sheet(bench)
    assert answer.sentence == "0 of 4 points read."
    assert [(row.point, row.limits, row.state) for row in answer.rows] == [
        ("CURLEW/IF/VK1", "1.6 to 2.2 V", "to read"),
        ("CURLEW/IF/F", "455 kHz", "to read"),
        ("CURLEW/AUDIO/INS", "at least 1 MΩ", "to read"),
        ("CURLEW/AUDIO/PE", "at most 0.1 Ω", "to read"),
    ]
    assert answer.rows[0].held == ("Align it",)
    assert sheet(bench, assembly="audio").sentence == "0 of 2 points read."
    assert sheet(bench, assembly="CURLEW/CURLEW").sentence == "CURLEW has no test points."


def test_a_reading_is_within_or_out_by_how_much(bench: Workshop) -> None:
    for point, text in (("VK1", "2.31"), ("F", "455.2k"), ("INS", ">200M"), ("PE", "0.12")):
        measuring.read(bench, "CURLEW", point, text)
    assert states(bench) == [
        ("VK1", "out", "2.31 V, 0.11 V above 2.2 V"),
        ("F", "read", "455.2 kHz"),
        ("INS", "within", "over 200 MΩ, within limits"),
        ("PE", "out", "0.12 Ω, 0.02 Ω above 0.1 Ω"),
    ]
    assert sheet(bench).sentence == "4 of 4 points read, 2 out of limits."
    assert [row.off for row in sheet(bench).rows] == [0.11, 0.0, 0.0, 0.02]
    measuring.read(bench, "CURLEW", "VK1", "2.1", note="after R3")
    assert states(bench)[0] == ("VK1", "within", "2.1 V, within limits")
    first = sheet(bench).rows[0]
    assert (first.times, first.note) == (2, "after R3")
    assert [old.said for old in history(bench, first)] == ["2.1 V, within limits", "2.31 V, 0.11 V above 2.2 V"]
    undo(bench)
    assert states(bench)[0][1] == "out"


def test_every_unit_is_read_by_itself(bench: Workshop) -> None:
    boards.new_build(bench, "PAIR", "CURLEW/IF", 2)
    measuring.read(bench, "PAIR", "VK1", "2", unit_number=2)
    rows = [(row.code, row.unit_number, row.state) for row in sheet(bench, "PAIR").rows]
    assert rows == [("VK1", 1, "to read"), ("VK1", 2, "within"), ("F", 1, "to read"), ("F", 2, "to read")]
    assert sheet(bench, "PAIR").sentence == "1 of 4 points read."
    assert sheet(bench, "CURLEW").sentence == "0 of 4 points read."
    with pytest.raises(BadInput, match="CURLEW and PAIR have it"):
        point_meant(bench, "VK1")
    assert point_meant(bench, "VK1", "PAIR", 2).said == "2 V, within limits"
    with pytest.raises(BadInput, match="in no build that was asked for"):
        point_meant(bench, "INS", "PAIR")


def test_limits_that_change_judge_the_readings_anew(bench: Workshop) -> None:
    measuring.read(bench, "CURLEW", "VK1", "2.31")
    measuring.change_point(bench, "VK1", limits="1.6-2.4 V")
    assert states(bench)[0] == ("VK1", "within", "2.31 V, within limits")


def test_where_there_is_nothing_that_is_said(shop: Workshop) -> None:
    assert sheet(shop).sentence == "No test point has been written down yet."
    assert all_snags(shop).sentence == "No snag has been written down yet."
    with pytest.raises(BadInput, match="WREN"):
        all_snags(shop, "WREN")


def test_open_snags_come_first_with_what_was_tried(bench: Workshop) -> None:
    taken = measuring.read(bench, "CURLEW", "VK1", "2.31")
    snags.open_snag(bench, "CURLEW", "It hums", assembly="AUDIO")
    snags.open_snag(bench, "CURLEW", "Cathode high", reading=taken.number)
    snags.open_snag(bench, "CURLEW", "It whistles", step="IF/1")
    snags.add_try(bench, "2", "Changed R3", "2.3 V")
    snags.add_try(bench, "2", "Changed V1")
    snags.close_snag(bench, "3", "C7 too far away")
    answer = all_snags(bench)
    assert answer.sentence == "2 snags open, 1 closed."
    assert [(row.number, row.state, row.about) for row in answer.rows] == [
        (2, "open", "CURLEW/IF"),
        (1, "open", "CURLEW/AUDIO"),
        (3, "closed", "CURLEW/IF, Align it"),
    ]
    first = answer.rows[0]
    assert first.reading == "VK1: 2.31 V, 0.11 V above 2.2 V"
    assert [(one.tried, one.showed) for one in first.tries] == [("Changed R3", "2.3 V"), ("Changed V1", "")]
    assert answer.rows[2].cause == "C7 too far away"
    assert one_snag(bench, "2").sentence == "Snag CURLEW/2, Cathode high: open, 2 tries."


def test_checks_says_how_questions_sheets_and_snags_stand(bench: Workshop) -> None:
    assert all_checks(bench).sentence == "0 of 4 points read."
    checks.ask(bench, "CURLEW", "RECT", "Which rectifier?", {"A": "Valve", "B": "Silicon"})
    measuring.read(bench, "CURLEW", "VK1", "2.31")
    measuring.read(bench, "CURLEW", "PE", "0.05")
    snags.open_snag(bench, "CURLEW", "It hums")
    answer = all_checks(bench)
    assert answer.sentence == "1 question open; 1 snag open; 2 of 4 points read, 1 out of limits."
    assert (len(answer.points), len(answer.snags)) == (4, 1)
    assert json.loads(json.dumps(as_json(answer)))["points"][0]["said"] == "2.31 V, 0.11 V above 2.2 V"
    boards.new_project(bench, "WREN")
    assert all_checks(bench, "WREN").sentence == "No question has been asked yet."


def test_nothing_is_ever_called_safe(bench: Workshop) -> None:
    measuring.read(bench, "CURLEW", "INS", ">200M")
    measuring.read(bench, "CURLEW", "PE", "0.02")
    assert "safe" not in json.dumps(as_json(sheet(bench))).casefold()


def test_a_snag_and_its_tries_are_told_in_the_log_once(bench: Workshop) -> None:
    from buildbook.actions import log

    log.open_episode(bench, "CURLEW", "First measurements")
    snags.open_snag(bench, "CURLEW", "It hums", assembly="IF")
    snags.add_try(bench, "1", "Earthed the screen", "Silent")
    snags.close_snag(bench, "1", "The screen was not earthed")
    rows = [(row.kind, row.what, row.about) for row in stream(bench).rows[:3]]
    assert rows == [
        ("action", "Close snag 1 of CURLEW, It hums: The screen was not earthed", ""),
        ("try", "Snag 1, It hums: Earthed the screen; it showed: Silent", "CURLEW/IF"),
        ("snag", "Snag 1: It hums", "CURLEW/IF"),
    ]
    assert episode(bench).sentence.endswith("open, no notes, 1 snag, 1 try and 2 actions.")
    assert search(bench, "earthed").sentence == "“earthed” stands in 1 snag, 1 try and 1 action."
    total = stream(bench).total
    undo(bench)
    undo(bench)
    # The try is gone as if it had not been; that the closing was taken back is told.
    assert [row.kind for row in stream(bench).rows[:3]] == ["action", "action", "snag"]
    assert stream(bench).total == total


def test_what_a_snag_is_about_is_found_by_its_name(bench: Workshop) -> None:
    assert snag_about(bench, "CURLEW", "if") == About(assembly="CURLEW/IF")
    assert snag_about(bench, "CURLEW", "IF/VK1") == About(assembly="CURLEW/IF")
    number = measuring.read(bench, "CURLEW", "VK1", "2.31").number
    assert snag_about(bench, "CURLEW", "IF/VK1") == About(reading=number)
    step = snag_about(bench, "CURLEW", "IF/1").step
    assert step == snag_about(bench, "CURLEW", "align").step
    with pytest.raises(BadInput, match="no step"):
        snag_about(bench, "CURLEW", "nowhere")
