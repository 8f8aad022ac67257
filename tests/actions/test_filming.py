"""What is kept for the camera: own words that no draft touches, marks, shots, and questions from the audience."""

from __future__ import annotations

from datetime import timedelta

import pytest

from buildbook.actions import filming, log
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers import filming as answers
from buildbook.answers.draft import draft
from buildbook.answers.log import stream
from buildbook.errors import BadInput


@pytest.fixture
def stage(curlew: Workshop) -> Workshop:
    """The Curlew with an episode open."""
    log.open_episode(curlew, "CURLEW", "The heap")
    return curlew


def later(shop: Workshop, seconds: int) -> None:
    """The clock stands so much later."""
    now = shop.clock() + timedelta(seconds=seconds)
    shop.clock = lambda: now


def test_own_words_stay_whatever_is_drafted(stage: Workshop) -> None:
    assert filming.write_words(stage, "It begins with a sum.", build="curlew") == 1
    log.note(stage, "Sorted the drawers", build="CURLEW")
    told = draft(stage, 1, "CURLEW")
    assert told.words == "It begins with a sum."
    assert all("begins with a sum" not in one.text for section in told.sections for one in section.sentences)
    log.close_episode(stage, "CURLEW", "All counted.")
    again = draft(stage, 1, "CURLEW")
    assert (again.words, again.recap) == ("It begins with a sum.", "All counted.")
    undo(stage)
    assert draft(stage, 1, "CURLEW").words == "It begins with a sum."


def test_marks_count_on_from_the_first_of_their_take(stage: Workshop) -> None:
    later(stage, 0)
    assert filming.mark(stage, "2:00 the first joint", build="CURLEW", take="bench") == 120
    later(stage, 45)
    assert filming.mark(stage, "it flows", build="CURLEW", take="bench") == 165
    assert filming.mark(stage, "another camera", build="CURLEW", take="top") == 0
    rows = answers.chapters(stage, take="bench").rows
    assert [row.line for row in rows] == ["0:00 Start", "2:00 the first joint", "2:45 it flows"]
    with pytest.raises(BadInput, match=r"There are: “bench”, “top”. Name one with --take."):
        answers.chapters(stage)
    assert filming.drop_mark(stage, 1) == "the first joint"
    with pytest.raises(BadInput, match=r"There is no mark 1."):
        filming.drop_mark(stage, 1)


def test_shots_are_ticked_and_taken_back(stage: Workshop) -> None:
    first = filming.add_shot(stage, "The dividers", build="CURLEW")
    second = filming.add_shot(stage, "The drill", build="CURLEW")
    assert filming.tick_shot(stage, first) == "The dividers"
    assert answers.shots(stage).sentence == "Episode 1 of CURLEW: 2 shots, 1 still to film."
    filming.tick_shot(stage, first, done=False)
    assert answers.shots(stage).sentence.endswith("2 still to film.")
    filming.drop_shot(stage, second)
    with pytest.raises(BadInput, match=rf"There is no shot {second}."):
        filming.tick_shot(stage, second)
    with pytest.raises(BadInput, match=r"It is not said what to film."):
        filming.add_shot(stage, "  ", build="CURLEW")


def test_questions_are_open_until_they_are_answered(stage: Workshop) -> None:
    filming.ask_from_audience(stage, "Why valves?", build="CURLEW", by="Maud", episode=1)
    filming.ask_from_audience(stage, "Which paint?", build="CURLEW")
    assert "2 questions from the audience are open" in stream(stage).sentence
    assert filming.answer_audience(stage, 1, "They glow.") == "Why valves?"
    found = answers.audience(stage, "CURLEW")
    assert found.sentence == "2 questions from the audience, 1 open."
    assert [row.text for row in found.rows] == ["Which paint?", "Why valves?"]
    assert [row.text for row in answers.audience(stage, "CURLEW", episode=1).rows] == ["Why valves?"]
    for number, text in ((1, " "), (9, "Nobody asked")):
        with pytest.raises(BadInput):
            filming.answer_audience(stage, number, text)


def test_without_an_episode_nothing_is_kept(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"There is no episode of CURLEW. Start one"):
        filming.mark(curlew, "0:10 too early", build="CURLEW")
