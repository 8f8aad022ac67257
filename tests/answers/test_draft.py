"""The draft of an episode says what the record says: its figures are those of the other answers, and of SQL."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, log
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench
from buildbook.answers.draft import Draft, draft
from buildbook.answers.log import episode
from buildbook.answers.measuring import sheet
from buildbook.errors import BadInput


def said(told: Draft, title: str) -> str:
    return "\n".join(one.text for section in told.sections if section.title == title for one in section.sentences)


def test_the_second_episode_of_the_demo_tells_what_happened_in_it(demo_to_read: Workshop) -> None:
    told = draft(demo_to_read, 2, "CURLEW")
    assert said(told, "What was done").splitlines()[1].startswith("Band coil strip: populate the three strips")
    assert "312 kΩ" in said(told, "What was measured")
    assert "Snag 1: grid leak R6 reads low in the board." in said(told, "What went wrong")
    assert "before it, 0 of 96 steps" in said(told, "Time and progress").lower()
    assert said(told, "What comes next") == ""


def test_its_figures_are_those_of_sql(demo_to_read: Workshop) -> None:
    told = draft(demo_to_read, 2, "CURLEW")
    span = (told.opened_at, told.closed_at)
    one = demo_to_read.reads.execute
    build = one("SELECT id FROM build WHERE code = 'CURLEW'").fetchone()[0]
    ticked, minutes = one(
        "SELECT count(*), coalesce(sum(minutes), 0) FROM step_run WHERE build_id = ? AND state = 'done'"
        " AND finished_at BETWEEN ? AND ?",
        (build, *span),
    ).fetchone()
    tries = one(
        "SELECT coalesce(sum(y.minutes), 0) FROM snag_try AS y JOIN snag AS s ON s.id = y.snag_id"
        " WHERE s.build_id = ? AND y.at BETWEEN ? AND ?",
        (build, *span),
    ).fetchone()[0]
    taken = one(
        "SELECT -sum(value_micros) FROM movement WHERE build_id = ? AND at BETWEEN ? AND ? AND bin_id IS NOT NULL",
        (build, *span),
    ).fetchone()[0]
    figures = told.figures
    assert (figures.steps_finished, figures.minutes, figures.taken_micros) == (ticked, minutes + tries, taken)
    assert figures.done_after - figures.done_before == ticked


def test_its_figures_are_those_of_the_other_answers(demo_to_read: Workshop) -> None:
    told = draft(demo_to_read, 3, "CURLEW")
    now = bench(demo_to_read, "CURLEW")
    assert told.figures.steps_total == sum(one.steps for one in now.progress)
    assert told.figures.done_after == sum(one.done for one in now.progress)
    assert f"The bench says: {now.sentence}" in said(told, "What comes next")
    read = draft(demo_to_read, 2, "CURLEW")
    measured = {row.name for row in sheet(demo_to_read, "CURLEW").rows if row.times}
    assert all(any(name in line for name in measured) for line in said(read, "What was measured").splitlines())
    notes = [row.what for row in episode(demo_to_read, 2, "CURLEW").rows if row.kind == "note"]
    assert all(note.rstrip(".") in said(read, "What was noted") for note in notes)


def test_every_sentence_leads_to_rows_that_are_there(demo_to_read: Workshop) -> None:
    for number in (1, 2, 3):
        for section in draft(demo_to_read, number, "CURLEW").sections:
            assert section.sentences, section.title
            for sentence in section.sentences:
                assert sentence.text.endswith((".", "!", "?", "…"))
                assert sentence.rows, sentence.text
                for tab, row in sentence.rows:
                    found = demo_to_read.reads.execute(f"SELECT 1 FROM {tab} WHERE id = ?", (row,)).fetchone()
                    assert found, (sentence.text, tab, row)


def test_the_builder_may_speak(demo_to_read: Workshop) -> None:
    told = draft(demo_to_read, 2, "CURLEW", first_person=True)
    assert "I read" in said(told, "What was measured")
    assert "I fitted" in said(told, "What was done")
    assert "I " not in "".join(one.text for s in draft(demo_to_read, 2, "CURLEW").sections for one in s.sentences)


def test_an_empty_episode_is_told_all_the_same(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    with pytest.raises(BadInput):
        draft(shop, 1, "CURLEW")
    log.open_episode(shop, "CURLEW", "Nothing yet")
    told = draft(shop, 1, "CURLEW")
    assert told.title == "Nothing yet"
    assert told.figures.steps_finished == 0
