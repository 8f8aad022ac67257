"""An action is written whole or not at all, and is taken back and done again exactly."""

from __future__ import annotations

import json
import sqlite3
from typing import Any

import pytest

from buildbook.errors import Forbidden
from buildbook.store.journal import BLOCK, action, redo, undo
from buildbook.store.tables import Assembly, Bin, Choice, Line, Option, Part, PartAlias, Project
from buildbook.store.workshop import Workshop


def asked(shop: Workshop, statement: str) -> list[Any]:
    return shop.reads.execute(statement).fetchall()


def entries(shop: Workshop) -> list[Any]:
    return asked(shop, "SELECT id, kind, target_id, title FROM journal_entry ORDER BY id")


def keys(shop: Workshop) -> list[str]:
    return [row[0] for row in asked(shop, "SELECT key FROM part ORDER BY id")]


def add_part(shop: Workshop, key: str) -> None:
    with action(shop, f"Add {key}") as work:
        work.add(Part(key=key))


def told(shop: Workshop) -> list[tuple[str, int, int, Any, Any]]:
    """The journal's changes, each image as a mapping of the first row."""
    changes = []
    for tab, first, rows, fields, *images in asked(
        shop, "SELECT tab, first_id, rows, fields, before, after FROM journal_change ORDER BY id"
    ):
        before, after = (dict(zip(json.loads(fields), json.loads(it)[0], strict=True)) if it else None for it in images)
        changes.append((tab, first, rows, before, after))
    return changes


# --- images ----------------------------------------------------------------------------------------------------------


def test_each_row_is_told_as_it_was_and_as_it_is(shop: Workshop) -> None:
    with action(shop, "Add a drawer", build_id=7) as work:
        work.add(Bin(name="A1", note="film capacitors"))
    with action(shop, "Rename the drawer") as work:
        drawer = work.get(Bin, 1)
        assert drawer is not None
        drawer.name = "B1"
    with action(shop, "Throw the drawer out") as work:
        work.delete(work.get(Bin, 1))
    was, became = {"name": "A1", "note": "film capacitors"}, {"name": "B1", "note": "film capacitors"}
    assert told(shop) == [("bin", 1, 1, None, was), ("bin", 1, 1, was, became), ("bin", 1, 1, became, None)]
    assert asked(shop, "SELECT at, title, build_id FROM journal_entry WHERE id = 1") == [
        ("2024-03-01T18:00:00.000Z", "Add a drawer", 7)
    ]


def test_a_row_changed_twice_in_one_action_is_taken_back_whole(shop: Workshop) -> None:
    with action(shop, "Add and correct") as work:
        part = Part(key="R-4k7")
        work.add(part)
        work.flush()
        part.key = "R-47k"
        work.flush()
        part.note = "measured"
    assert [after["key"] for *_, after in told(shop)] == ["R-4k7", "R-47k", "R-47k"]
    undo(shop)
    assert keys(shop) == []
    redo(shop)
    assert asked(shop, "SELECT key, note FROM part") == [("R-47k", "measured")]


def test_an_action_that_changes_nothing_leaves_no_entry(shop: Workshop) -> None:
    add_part(shop, "R-4k7")
    with action(shop, "Look at it") as work:
        part = work.get(Part, 1)
        assert part is not None
        part.key = "R-4k7"
    with action(shop, "Add none") as work:
        assert work.insert_many(Part, []) == range(0)
    assert len(entries(shop)) == 1


def test_odd_words_and_numbers_come_back_as_they_were(shop: Workshop) -> None:
    key, value = 'Ω "\\" \x00 \U0001f50c ‮ x', 4.7e-12
    with action(shop, "Add a strange part") as work:
        work.add(Part(key=key, value_si=value, note="a\nb" * 1000))
    before = asked(shop, "SELECT * FROM part")
    undo(shop)
    redo(shop)
    assert asked(shop, "SELECT * FROM part") == before
    assert before[0][1] == key
    assert value in before[0]


# --- whole or not at all ---------------------------------------------------------------------------------------------


def test_an_action_that_fails_leaves_nothing(shop: Workshop) -> None:
    add_part(shop, "R-4k7")

    def break_off() -> None:
        with action(shop, "Break off") as work:
            work.add(Part(key="C-100n"))
            work.flush()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        break_off()
    assert keys(shop) == ["R-4k7"]
    assert len(entries(shop)) == 1
    add_part(shop, "C-100n")
    assert [row[0] for row in entries(shop)] == [1, 2]


@pytest.mark.parametrize(
    ("row", "rule"),
    [
        (Part(key="r-4K7"), "UNIQUE constraint failed"),
        (Part(key="L1", unit="furlong"), "unit_known"),
        (PartAlias(part_id=99, alias="none"), "FOREIGN KEY constraint failed"),
        (Bin(), "NOT NULL constraint failed: bin.name"),
    ],
)
def test_what_the_tables_forbid_is_refused_whole(shop: Workshop, row: Any, rule: str) -> None:
    add_part(shop, "R-4k7")

    def add_more() -> None:
        with action(shop, "Add more") as work:
            work.add(Bin(name="A1"))
            work.flush()
            work.add(row)

    with pytest.raises(Forbidden, match=rf"^Nothing was written. A rule of the workshop forbids it: .*{rule}"):
        add_more()
    assert asked(shop, "SELECT count(*) FROM bin") == [(0,)]
    assert len(entries(shop)) == 1


def test_others_see_an_action_only_when_it_is_done(shop: Workshop) -> None:
    with action(shop, "Add a part") as work:
        work.add(Part(key="R-4k7"))
        work.flush()
        assert keys(shop) == []
    assert keys(shop) == ["R-4k7"]


@pytest.mark.parametrize("tab", ["journal_entry", "journal_change"])
@pytest.mark.parametrize("statement", ["UPDATE {} SET id = id + 1", "DELETE FROM {}"])
def test_the_journal_only_grows(shop: Workshop, tab: str, statement: str) -> None:
    add_part(shop, "R-4k7")
    db = sqlite3.connect(shop.path)
    with pytest.raises(sqlite3.IntegrityError, match=f"{tab} only grows"):
        db.execute(statement.format(tab))
    db.close()


# --- many at once ----------------------------------------------------------------------------------------------------


def test_many_rows_go_in_at_once_and_come_out_at_once(shop: Workshop) -> None:
    with action(shop, "Read the list") as work:
        work.add(Part(key="first"))
        numbers = work.insert_many(Part, [{"key": f"P{n}", "value_si": float(n)} for n in range(2 * BLOCK + 1)])
    assert numbers == range(2, 2 * BLOCK + 3)
    assert [(tab, first, rows) for tab, first, rows, *_ in told(shop)] == [
        ("part", 1, 1),
        ("part", 2, BLOCK),
        ("part", 2 + BLOCK, BLOCK),
        ("part", 2 + 2 * BLOCK, 1),
    ]
    before = asked(shop, "SELECT * FROM part")
    undo(shop)
    assert keys(shop) == []
    redo(shop)
    assert asked(shop, "SELECT * FROM part") == before
    assert before[5] == (6, "P4", "other", "", "", 4.0, "", "", "", "pc", "", None, 0)


def test_rows_put_in_at_once_can_be_changed_in_the_same_action(shop: Workshop) -> None:
    with action(shop, "Read and correct the list") as work:
        numbers = work.insert_many(Part, [{"key": "A"}, {"key": "B"}])
        part = work.get(Part, numbers[1])
        assert part is not None
        part.key = "C"
    undo(shop)
    redo(shop)
    assert keys(shop) == ["A", "C"]


# --- undo and redo ---------------------------------------------------------------------------------------------------


def test_undo_and_redo_walk_back_and_forth(shop: Workshop) -> None:
    for key in ("A", "B", "C"):
        add_part(shop, key)
    assert [undo(shop), undo(shop)] == ["Add C", "Add B"]
    assert keys(shop) == ["A"]
    assert [redo(shop), redo(shop)] == ["Add B", "Add C"]
    assert keys(shop) == ["A", "B", "C"]
    assert undo(shop) == "Add C"
    assert entries(shop)[3:] == [
        (4, "undo", 3, "Undo: Add C"),
        (5, "undo", 2, "Undo: Add B"),
        (6, "redo", 2, "Redo: Add B"),
        (7, "redo", 3, "Redo: Add C"),
        (8, "undo", 3, "Undo: Add C"),
    ]


def test_with_nothing_to_take_back_or_do_again_nothing_is_done(shop: Workshop) -> None:
    for toggle, said in ((undo, "There is nothing to undo."), (redo, "There is nothing to redo.")):
        with pytest.raises(Forbidden, match=said):
            toggle(shop)
    add_part(shop, "A")
    with pytest.raises(Forbidden, match=r"There is nothing to redo."):
        redo(shop)
    undo(shop)
    with pytest.raises(Forbidden, match=r"There is nothing to undo."):
        undo(shop)
    assert len(entries(shop)) == 2


def test_what_was_undone_before_something_else_was_done_is_not_done_again(shop: Workshop) -> None:
    add_part(shop, "A")
    undo(shop)
    add_part(shop, "B")
    with pytest.raises(Forbidden, match=r"nothing to redo"):
        redo(shop)
    undo(shop)
    assert redo(shop) == "Add B"
    with pytest.raises(Forbidden, match=r"nothing to redo"):
        redo(shop)
    assert keys(shop) == ["B"]


def test_an_undone_row_comes_back_under_its_number_and_no_number_is_used_twice(shop: Workshop) -> None:
    add_part(shop, "A")
    undo(shop)
    add_part(shop, "B")
    assert asked(shop, "SELECT id, key FROM part") == [(2, "B")]
    undo(shop)
    redo(shop)
    assert asked(shop, "SELECT id, key FROM part") == [(2, "B")]
    undo(shop)
    with action(shop, "Add many") as work:
        assert work.insert_many(Part, [{"key": "C"}]) == range(3, 4)


def test_a_row_changed_by_other_means_is_not_overwritten(shop: Workshop) -> None:
    add_part(shop, "A")
    db = sqlite3.connect(shop.path)
    db.execute("UPDATE part SET note = 'by another hand'")
    db.commit()
    db.close()
    with pytest.raises(Forbidden, match=r"Nothing was taken back. A row of part has been changed since by other means"):
        undo(shop)
    assert asked(shop, "SELECT key, note FROM part") == [("A", "by another hand")]
    assert len(entries(shop)) == 1


def test_a_row_that_others_refer_to_by_other_means_is_not_taken_away(shop: Workshop) -> None:
    add_part(shop, "A")
    db = sqlite3.connect(shop.path)
    db.execute("INSERT INTO part_alias (part_id, alias) VALUES (1, 'ay')")
    db.commit()
    db.close()
    with pytest.raises(Forbidden, match=r"FOREIGN KEY"):
        undo(shop)
    assert keys(shop) == ["A"]
    add_part(shop, "B")
    assert [row[0] for row in entries(shop)] == [1, 2]


def test_rows_that_refer_to_each_other_come_back_in_any_order(shop: Workshop) -> None:
    with action(shop, "Draw a board") as work:
        work.add(Part(key="R-4k7"))
        work.add(Project(code="CURLEW"))
        work.flush()
        work.add(Assembly(project_id=1, code="IF"))
        work.flush()
        work.add(Line(assembly_id=1, part_id=1, qty=3))
    before = asked(shop, "SELECT * FROM line JOIN assembly JOIN part JOIN project")
    with action(shop, "Throw it all out") as work:
        for row in (work.get(Project, 1), work.get(Assembly, 1), work.get(Part, 1), work.get(Line, 1)):
            work.delete(row)
    with action(shop, "Nothing to do with it") as work:
        work.add(Bin(name="A1"))
    undo(shop)
    undo(shop)
    assert asked(shop, "SELECT * FROM line JOIN assembly JOIN part JOIN project") == before
    redo(shop)
    assert asked(shop, "SELECT count(*) FROM project") == [(0,)]


def test_names_handed_on_within_one_action_are_handed_back(shop: Workshop) -> None:
    with action(shop, "Add drawers") as work:
        work.insert_many(Bin, [{"name": f"A{n}"} for n in range(30)])
    with action(shop, "Move every label one drawer up") as work:
        # Looked at from the last to the first: the order in which rows are met must not matter.
        drawers = [work.get(Bin, number) for number in range(30, 0, -1)]
        for number, drawer in enumerate(drawers):
            assert drawer is not None
            drawer.name = "A30" if number == 29 else f"A{28 - number}"
    names = asked(shop, "SELECT name FROM bin ORDER BY id")
    undo(shop)
    assert asked(shop, "SELECT name FROM bin ORDER BY id") == [(f"A{n}",) for n in range(30)]
    redo(shop)
    assert asked(shop, "SELECT name FROM bin ORDER BY id") == names


def test_an_answer_changed_is_changed_back(shop: Workshop) -> None:
    with action(shop, "Ask") as work:
        work.add(Project(code="CURLEW"))
        work.flush()
        work.add(Choice(project_id=1, code="RECT", question="Valve or silicon?"))
        work.flush()
        work.insert_many(Option, [{"choice_id": 1, "code": "V", "chosen": 1}, {"choice_id": 1, "code": "S"}])
    with action(shop, "Answer otherwise") as work:
        for number, chosen in ((1, 0), (2, 1)):
            option = work.get(Option, number)
            assert option is not None
            option.chosen = chosen
            work.flush()
    assert asked(shop, "SELECT code FROM choice_option WHERE chosen") == [("S",)]
    undo(shop)
    assert asked(shop, "SELECT code FROM choice_option WHERE chosen") == [("V",)]
    redo(shop)
    assert asked(shop, "SELECT code FROM choice_option WHERE chosen") == [("S",)]
