"""What was ever written is found by its words, as a builder types them, and no text is too odd to be looked for."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, log, snags, stores
from buildbook.answers.search import KINDS, expression, pieces_of, search
from buildbook.errors import BadInput, StoreFault
from buildbook.store.read.search import TEXTS
from buildbook.store.words import OPTIONS, ROOM, SOURCES
from buildbook.store.workshop import Workshop

Found = Callable[..., list[tuple[str, str]]]


@pytest.fixture
def bench(shop: Workshop) -> Workshop:
    """The Curlew, with parts and notes that a builder looks for."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    for key, value, name in (
        ("D-1N4007", "", "Rectifier 1N4007"),
        ("R-114", "4k7", "Resistor"),
        ("V-EF91", "", "Sharp-cutoff pentode"),
        ("C-BIG", "22 µF", "Reservoir"),
    ):
        stores.new_part(shop, key, value=value, name=name)
    log.note(shop, "Swapped R114 for 4k7, the hum is gone", build="CURLEW")
    log.note(shop, "Gehäuse of the mains transformer gets warm: 45 °C after 1 h", build="CURLEW")
    log.note(shop, "Heater of the EF91 glows; smoothing choke hums", build="CURLEW")
    return shop


@pytest.fixture
def found(bench: Workshop) -> Found:
    """Kind and what of each text that is found, notes and parts alone."""

    def find(text: str) -> list[tuple[str, str]]:
        return [(row.kind, row.what) for row in search(bench, text).rows if row.kind in ("note", "part")]

    return find


@pytest.mark.parametrize(
    ("typed", "there"),
    [
        ("1N4007", "D-1N4007"),
        ("1n40", "D-1N4007"),
        ("D-1N4007", "D-1N4007"),
        ("R114", "Swapped R114"),
        ("ef91", "V-EF91"),
        ("4k7", "R-114"),
        ("4K7", "Swapped R114"),
        ("R-114", "R-114"),
        ("4.7k", "R-114"),
        ("4.7kΩ hum", "Swapped R114"),
        ("22uF", "C-BIG"),
        ("22µ", "C-BIG"),
        ("pento", "V-EF91"),
        ("cutoff sharp", "V-EF91"),
        ("gehause", "Gehäuse of"),
        ("45 °C", "Gehäuse of"),
        ("smooth", "Heater of"),
        ('"smoothing choke"', "Heater of"),
        ("“smoothing choke", "Heater of"),
        ("hum", "Swapped R114"),
        ("4007", "D-1N4007"),
        ("ransform", "Gehäuse of"),
        ("°", "Gehäuse of"),
    ],
)
def test_it_is_found_as_a_builder_types_it(found: Found, typed: str, there: str) -> None:
    assert any(what.startswith(there) for _, what in found(typed))


@pytest.mark.parametrize(
    "typed",
    ["choke smoothing glows now", '"choke smoothing"', "hu gone", "hum glow ", "smooth ", "R1144", "gone OR hum"],
)
def test_all_words_must_be_there_and_only_the_last_may_be_begun(bench: Workshop, typed: str) -> None:
    answer = search(bench, typed)
    assert answer.within or not answer.rows


def test_the_newest_comes_first_and_what_has_no_date_last(bench: Workshop) -> None:
    answer = search(bench, "ef91")
    assert [row.kind for row in answer.rows] == ["note", "action", "part"]
    assert answer.sentence == "“ef91” stands in 1 note, 1 action and 1 part."
    log.note(bench, "Another EF91 tried", build="CURLEW")
    assert [row.what[:7] for row in search(bench, "ef91").rows][:2] == ["Another", "Heater "]


def test_what_stands_around_the_words_is_given_with_their_places(bench: Workshop) -> None:
    log.note(bench, "One line.\n" + "Word after word. " * 40 + "Then the primer ran.\n" + "And so on. " * 40)
    (row,) = search(bench, "primer ran").rows
    assert "\n" not in row.said
    assert len(row.said) < 200
    assert [row.said[start:end] for start, end in row.marks] in (["primer", "ran"], ["primer ran"])
    (part,) = search(bench, "4007").rows[-1:]
    assert [part.said[start:end] for start, end in part.marks] == ["4007"] * 2


def test_a_try_says_to_which_snag_it_belongs(bench: Workshop) -> None:
    snags.open_snag(bench, "CURLEW", "Hum in the headphones")
    snags.add_try(bench, "CURLEW/1", "Lifted the screen", "Less by half")
    (row,) = search(bench, "lifted screen").rows
    assert (row.kind, row.said, row.key) == ("try", "Snag 1: Lifted the screen, Less by half", "CURLEW/1")
    assert [row.said[start:end] for start, end in row.marks] == ["Lifted", "screen"]


def test_only_the_newest_of_each_kind_where_that_is_asked_and_all_are_counted(bench: Workshop) -> None:
    for number in range(7):
        log.note(bench, f"Primer coat {number}", build="CURLEW")
    answer = search(bench, "primer", most=3)
    assert [row.what for row in answer.rows] == ["Primer coat 6", "Primer coat 5", "Primer coat 4"]
    assert answer.total == 7
    assert answer.sentence == "“primer” stands in 7 notes; the newest of each are shown."
    assert len(search(bench, "primer").rows) == 7


def test_within_words_is_said_to_be_so(bench: Workshop) -> None:
    answer = search(bench, "ransformer warm")
    assert answer.sentence == "“ransformer warm” stands within words of 1 note."
    assert answer.within
    assert not search(bench, "transformer warm").within
    assert search(bench, "never written").sentence == "“never written” stands in nothing."


def test_what_is_taken_back_is_no_longer_found(bench: Workshop) -> None:
    from buildbook.actions.workshop import redo, undo

    log.note(bench, "Lacquer wrinkled", build="CURLEW")
    undo(bench)
    assert search(bench, "lacquer wrinkled").rows == ()
    redo(bench)
    assert [row.kind for row in search(bench, "lacquer wrinkled").rows] == ["note"]


def test_every_kind_of_text_is_told_as_what_it_is(bench: Workshop) -> None:
    assert list(KINDS) == list(TEXTS) == [source.tab for source in SOURCES]
    assert [source.number for source in SOURCES] == list(range(1, len(SOURCES) + 1))
    for statement in TEXTS.values():
        columns = bench.reads.execute(f"{statement} WHERE x.id IN (1)").description
        assert len(columns) == 7


ODD = st.text(st.sampled_from("ab1 \"'*^:()+-{}~%_\\,.;NOTANDORNEAR“”Ω°\n"), max_size=30) | st.text(max_size=40)


@given(ODD)
@settings(deadline=None, max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_text_is_too_odd_to_be_looked_for(bench: Workshop, text: str) -> None:
    try:
        answer = search(bench, text)
    except BadInput:
        return
    assert answer.total == len(answer.rows)
    for row in answer.rows:
        assert all(0 <= start < end <= len(row.said) for start, end in row.marks)


WORDS = st.lists(st.sampled_from(["hum", "choke", "4k7", "R114", "mains", "Gehäuse", "1N4007"]), min_size=1, max_size=4)


@given(st.lists(WORDS, min_size=1, max_size=5), WORDS)
@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_found_is_what_holds_all_the_words_by_a_plain_reading(notes: list[list[str]], asked: list[str]) -> None:
    db = sqlite3.connect(":memory:")
    db.execute(f"CREATE VIRTUAL TABLE said USING fts5(what, {OPTIONS})")
    db.executemany("INSERT INTO said VALUES (?)", [(" ".join(words),) for words in notes])
    sought = expression(pieces_of(" ".join(asked)), begins=False)
    found = [number for (number,) in db.execute("SELECT rowid FROM said WHERE said MATCH ? ORDER BY rowid", (sought,))]
    assert found == [at for at, words in enumerate(notes, 1) if set(asked) <= set(words)]
    db.close()


@pytest.mark.parametrize("harm", ["DELETE FROM said_data WHERE id > 10", "DELETE FROM said_content", "DROP TABLE said"])
def test_an_index_that_cannot_be_read_is_told_and_made_anew(bench: Workshop, harm: str) -> None:
    from buildbook.actions.workshop import rebuild_words

    db = sqlite3.connect(bench.path)
    db.execute(harm)
    db.commit()
    db.close()
    with pytest.raises(StoreFault, match=r"index of words is damaged.*check --rebuild"):
        search(bench, "transformer")
    rebuild_words(bench)
    assert search(bench, "transformer").total == 1


def test_room_is_larger_than_any_table() -> None:
    assert len(SOURCES) * ROOM < 2**62
