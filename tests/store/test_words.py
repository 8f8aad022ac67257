"""The index of words: kept by every change and its undo, proved, made anew, and filled when an older file is opened."""

from __future__ import annotations

import importlib.util
import sqlite3

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.store import migrate
from buildbook.store.checkup import check
from buildbook.store.journal import action, redo, undo
from buildbook.store.tables import Bin, Build, Entry, Episode, Part, Snag, SnagTry
from buildbook.store.words import OPTIONS, SOURCES, rebuild
from buildbook.store.workshop import HEAD, Workshop


def found(shop: Workshop, word: str) -> list[str]:
    """The texts in which a word stands."""
    rows = shop.reads.execute("SELECT what FROM said WHERE said MATCH ? ORDER BY rowid", (f'"{word}"',))
    return [row[0] for row in rows]


def sound(shop: Workshop) -> bool:
    return all(proof.holds for proof in check(shop))


def test_the_program_and_the_migration_name_the_same_texts() -> None:
    path = migrate.migrations_folder() / "versions" / "0007_words.py"
    spec = importlib.util.spec_from_file_location("words_migration", path)
    assert spec
    assert spec.loader
    migration = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(migration)
    assert [tuple(source) for source in SOURCES] == list(migration.SOURCES)
    assert migration.OPTIONS == OPTIONS


def test_an_index_made_anew_is_the_one_that_the_migration_made(wren: Workshop) -> None:
    made = "SELECT name, sql FROM sqlite_master WHERE name LIKE '%said%' AND sql IS NOT NULL ORDER BY name"
    before = wren.reads.execute(made).fetchall()
    assert len(before) > 3 * 26
    rebuild(wren)
    assert wren.reads.execute(made).fetchall() == before


def test_a_text_is_in_the_index_as_long_as_it_stands_in_its_table(wren: Workshop) -> None:
    with action(wren, "Write it down") as work:
        work.add(Entry(at="2026-11-02T18:00:00.000Z", text="Gehäuse lacquered, 4k7 in place"))
    assert found(wren, "gehause") == found(wren, "4K7")[:1] == ["Gehäuse lacquered, 4k7 in place"]
    with action(wren, "Say it better") as work:
        entry = work.get(Entry, 1)
        assert entry is not None
        entry.text = "Case lacquered"
    assert found(wren, "gehause") == []
    assert found(wren, "case") == ["Case lacquered"]
    undo(wren)
    assert found(wren, "gehause") == ["Gehäuse lacquered, 4k7 in place"]
    undo(wren)
    assert found(wren, "lacquered") == []
    redo(wren)
    assert len(found(wren, "lacquered")) == 1
    assert sound(wren)


def test_writing_a_note_is_found_as_the_note_alone(wren: Workshop) -> None:
    with action(wren, "Note: choke hums") as work:
        work.add(Entry(at="2026-11-02T18:00:00.000Z", text="The choke hums"))
    with action(wren, "Open snag: choke") as work:
        work.add(Snag(build_id=1, number=1, title="Choke too hot", opened_at="2026-11-02T18:00:00.000Z"))
    with action(wren, "Close the snag of the choke") as work:
        snag = work.get(Snag, 1)
        assert snag is not None
        snag.cause, snag.state = "Wrong tapping", "closed"
    assert found(wren, "choke") == ["The choke hums", "Choke too hot\nWrong tapping", "Close the snag of the choke"]
    assert sound(wren)


@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        ("DELETE FROM said WHERE what LIKE '%C-100n%'", "row 2 of part is not in the index of words"),
        ("UPDATE said SET what = 'x' WHERE what = 'C-100n'", "row 2 of part is not in the index of words as it stands"),
        (
            "INSERT INTO said (rowid, what) VALUES (27 * 1099511627776 + 77, 'L-10u')",
            "row 77 of part stands in",
        ),
        ("INSERT INTO said (rowid, what) VALUES (7, 'L-10u')", "row 7 of the index of words belongs to no table"),
        (
            "UPDATE said_content SET c0 = 'C-100p' WHERE c0 = 'C-100n'",
            "row 2 of part is not in the index of",
        ),
        ("DELETE FROM said_data WHERE id > 10", "does not lead to the texts in which it stands|damaged"),
    ],
)
def test_an_index_that_was_meddled_with_is_found_out_and_made_anew(wren: Workshop, statement: str, fault: str) -> None:
    import re

    db = sqlite3.connect(wren.path)
    db.execute(statement)
    db.commit()
    db.close()
    fallen = {proof.name: proof.faults for proof in check(wren) if not proof.holds}
    assert "words" in fallen
    assert re.search(fault, " ".join(fallen["words"]))
    assert rebuild(wren) == wren.reads.execute("SELECT count(*) FROM said").fetchone()[0]
    assert sound(wren)


def test_a_trigger_that_is_gone_is_named_and_comes_back(wren: Workshop) -> None:
    db = sqlite3.connect(wren.path)
    db.execute("DROP TRIGGER part_said_update")
    db.commit()
    db.close()
    fallen = {proof.name: proof.faults for proof in check(wren) if not proof.holds}
    assert fallen == {"schema": ("changes of table part are not kept up in the index of words",)}
    rebuild(wren)
    assert sound(wren)


def test_the_check_leaves_nothing_behind_and_the_connection_goes_on_refusing_to_write(wren: Workshop) -> None:
    assert sound(wren)
    assert wren.reads.execute("SELECT count(*) FROM temp.sqlite_master").fetchone() == (0,)
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        wren.reads.execute("DELETE FROM bin")


def test_an_older_workshop_has_its_texts_in_the_index_once_it_is_opened(wren: Workshop) -> None:
    with action(wren, "Note: choke hums") as work:
        work.add(Entry(at="2026-11-02T18:00:00.000Z", text="The choke hums"))
    wren.close()
    migrate.run(wren.path, "0006", down=True)
    left = sqlite3.connect(wren.path).execute("SELECT name FROM sqlite_master WHERE name LIKE '%said%'").fetchall()
    assert left == []
    migrate.run(wren.path, HEAD)
    assert found(wren, "choke") == ["The choke hums"]
    assert sound(wren)


NOTES = st.text("ab ä%\"*'-1", max_size=12)
DEEDS = st.lists(st.tuples(st.integers(0, 6), NOTES), max_size=12)


@given(DEEDS)
@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_done_and_taken_back_the_index_tells_of_it(wren: Workshop, deeds: list[tuple[int, str]]) -> None:
    for what, text in deeds:
        if what == 0 and wren.reads.execute("SELECT count(*) FROM journal_entry WHERE kind = 'do'").fetchone()[0] > 1:
            undo(wren)
            continue
        with action(wren, f"Do {text}") as work:
            if what == 1:
                work.insert_many(Bin, [{"name": f"B{work.shop.now()}{at}", "note": text} for at in range(2)])
            elif what == 2:
                work.change_many(Part, {1: {"note": text}, 2: {"name": text}})
            elif what == 3:
                work.add(Entry(at="2026-11-02T18:00:00.000Z", text=text, build_id=1))
            elif what == 4:
                build = work.get(Build, 1)
                assert build is not None
                build.note = text
            elif what == 5:
                number = int(work.run("SELECT coalesce(max(number), 0) + 1 FROM episode").scalar_one())
                work.add(Episode(build_id=1, number=number, title=text, recap=text, opened_at="2026"))
            else:
                number = int(work.run("SELECT coalesce(max(number), 0) + 1 FROM snag").scalar_one())
                snag = Snag(build_id=1, number=number, title=text, opened_at="2026")
                work.add(snag)
                work.flush()
                assert snag.id is not None
                work.add(SnagTry(snag_id=snag.id, at="2026", tried=text))
    assert [proof.faults for proof in check(wren) if not proof.holds] == []
