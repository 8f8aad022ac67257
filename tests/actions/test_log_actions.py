"""Entries and the episodes that gather them."""

from __future__ import annotations

import pytest

from buildbook.actions import log
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden


def test_an_entry_goes_into_the_open_episode_of_its_build(curlew: Workshop) -> None:
    log.note(curlew, "Before.", build="CURLEW")
    assert log.open_episode(curlew, "CURLEW", "The IF board") == 1
    log.note(curlew, "During.\nTwo lines.", build="curlew", assembly="if", step="coils", part="r-4k7")
    log.note(curlew, "By the way.")
    assert log.close_episode(curlew, "CURLEW", "It\r\nhums.") == 1
    log.note(curlew, "After.", build="CURLEW")
    assert log.open_episode(curlew, "CURLEW", "The audio board") == 2
    rows = curlew.reads.execute("SELECT text, build_id, step_id, part_id, episode_id FROM entry ORDER BY id").fetchall()
    assert rows == [
        ("Before.", 1, None, None, None),
        ("During.\nTwo lines.", 1, 2, 1, 1),
        ("By the way.", None, None, None, None),
        ("After.", 1, None, None, None),
    ]
    recaps = curlew.reads.execute("SELECT title, recap, closed_at > opened_at FROM episode ORDER BY number").fetchall()
    assert recaps == [("The IF board", "It\nhums.", 1), ("The audio board", "", 0)]


def test_one_episode_is_open_at_a_time(curlew: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"No episode was closed. CURLEW has none open. Open one first."):
        log.close_episode(curlew, "CURLEW")
    log.open_episode(curlew, "CURLEW", "The IF board")
    with pytest.raises(Forbidden, match=r"Episode 1 of CURLEW, The IF board, is still open. Close it first."):
        log.open_episode(curlew, "CURLEW", "Another")


def test_an_entry_says_something_and_not_too_much(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"Nothing was written down. The entry is empty."):
        log.note(curlew, " \u200b\n")
    with pytest.raises(BadInput, match=r"The entry was not taken. It is 20,001 characters long"):
        log.note(curlew, "x" * 20_001)
    with pytest.raises(BadInput, match=r"The episode has no title."):
        log.open_episode(curlew, "CURLEW", "")


def test_a_note_is_written_anew_or_taken_away(curlew: Workshop) -> None:
    number = log.note(curlew, "The coil sings.", build="CURLEW", part="R-4K7")
    assert log.change_note(curlew, number, "It was the\r\ntransformer.") == number
    statement = "SELECT text, build_id, part_id FROM entry"
    assert curlew.reads.execute(statement).fetchall() == [("It was the\ntransformer.", 1, 1)]
    with pytest.raises(BadInput, match=r"Nothing was written down. The entry is empty."):
        log.change_note(curlew, number, " ")
    log.drop_note(curlew, number)
    assert curlew.reads.execute(statement).fetchall() == []
    with pytest.raises(BadInput, match=r"There is no note 1."):
        log.change_note(curlew, number, "Too late.")
    with pytest.raises(BadInput, match=r"There is no note 1."):
        log.drop_note(curlew, number)


def test_the_title_of_a_long_entry_is_cut(curlew: Workshop) -> None:
    log.note(curlew, "word " * 100)
    title = curlew.reads.execute("SELECT title FROM journal_entry ORDER BY id DESC").fetchone()[0]
    assert title.startswith("Note: word word")
    assert len(title) < 80
