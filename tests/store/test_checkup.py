"""Each proof holds for a workshop in use, and falls as soon as exactly its own thing is tampered with."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from buildbook.store.backup import copy_database
from buildbook.store.checkup import MOST, Proof, check
from buildbook.store.journal import action, redo, undo
from buildbook.store.ledger import Move, post
from buildbook.store.tables import Assembly, Bin, Contains, Line, Part, StandIn, Step, StepNeed
from buildbook.store.workshop import Workshop

Meddle = Callable[..., None]


@pytest.fixture
def used(wren: Workshop) -> Workshop:
    """The Wren with a history: parts received, kitted, fitted, one kit taken back and done again, one part undone."""
    with action(wren, "Receive") as work:
        post(work, [Move("received", part, 1, 100, value_micros=1000 * part) for part in (1, 2)])
        post(work, [Move("received", 3, 2, 10)])
    with action(wren, "Kit and fit") as work:
        post(work, [Move("kitted", part, 1, -2, kit_qty=2, build_id=1, line_id=part) for part in (1, 2)])
        post(work, [Move("fitted", 1, kit_qty=-1, fit_qty=1, build_id=1, line_id=1)])
    undo(wren)
    redo(wren)
    with action(wren, "A part that did not stay") as work:
        work.add(Part(key="L-10u"))
        work.flush()
        post(work, [Move("received", 4, 3, 5)])
    undo(wren)
    with action(wren, "Steps, boards, a stand-in") as work:
        work.insert_many(Assembly, [{"project_id": 1, "code": code} for code in ("CASE", "UNIT")])
        work.insert_many(Contains, [{"parent_id": 3, "child_id": 2}, {"parent_id": 2, "child_id": 1}])
        work.insert_many(Step, [{"assembly_id": 1, "name": name} for name in ("cut", "drill", "prime")])
        work.insert_many(StepNeed, [{"step_id": 2, "needs_id": 1}, {"step_id": 3, "needs_id": 2}])
        work.add(StandIn(part_id=1, alt_id=2))
    with action(wren, "Change the note") as work:
        part = work.get(Part, 1)
        assert part is not None
        part.note = "1 %, film"
    return wren


def red(shop: Workshop) -> dict[str, tuple[str, ...]]:
    return {proof.name: proof.faults for proof in check(shop) if not proof.holds}


def test_a_workshop_in_use_is_proved_with_counts(used: Workshop) -> None:
    proofs = {proof.name: proof for proof in check(used)}
    assert all(proof.holds and proof.faults == () for proof in proofs.values())
    assert [proofs[name].sentence for name in list(proofs)[2:]] == [
        "57 tables at migration 0007, all strict; ledger and journal only grow.",
        "3 balances equal the sum of 14 movements.",
        "The worth of 3 parts in stock equals the sum of 14 movements.",
        "The sum of 9 movements for lines gives 2 holdings of builds.",
        "14 movements looked through; nothing is left of a part, bin, build or line gone.",
        "7 reversals take back one movement each, exactly.",
        "9 entries without a gap; undo and redo take turns.",
        "24 changes lead to 36 rows as the tables hold them.",
        "3 assemblies, none inside itself.",
        "3 steps, none waiting for itself.",
        "1 stand-in, none a part in its own place.",
        "0 lines of 0 parcels agree with the orders and the ledger.",
        "23 texts in the index, each as it stands in its table; each word leads there.",
        "0 attachments, 0 files with the content that was attached.",
    ]


def test_an_empty_workshop_is_whole(shop: Workshop) -> None:
    assert red(shop) == {}


def test_an_emptied_bin_and_line_may_be_thrown_out(used: Workshop) -> None:
    with action(used, "Empty the bin and the kit") as work:
        post(work, [Move("returned", 2, 2, 2, kit_qty=-2, build_id=1, line_id=2), Move("scrapped", 2, 2, -2)])
        post(work, [Move("moved", 3, 2, -10), Move("moved", 3, 3, 10)])
    with action(used, "Throw them out") as work:
        work.delete(work.get(Bin, 2))
        work.delete(work.get(Line, 2))
    assert red(used) == {}


def test_one_is_not_many(shop: Workshop) -> None:
    with action(shop, "Add a part") as work:
        work.add(Part(key="R-4k7"))
    said = {proof.name: proof.sentence for proof in check(shop)}
    assert said["journal"] == "1 entry without a gap; undo and redo take turns."
    assert said["history"] == "1 change leads to 1 row as the tables hold them."


TAMPERED: list[tuple[str, list[str], str]] = [
    # what falls, what was done, what is said of it
    (
        "balances",
        ["UPDATE balance SET qty = 97 WHERE part_id = 1"],
        "part 1 (R-4k7), bin 1 (A1): 97 kept, 98 by the ledger",
    ),
    ("balances", ["DELETE FROM balance WHERE part_id = 3"], "part 3 (BC547B), bin 2 (A2): 0 kept, 10 by the ledger"),
    ("balances", ["INSERT INTO balance VALUES (3, 3, 7)"], "part 3 (BC547B), bin 3 (B1): 7 kept, 0 by the ledger"),
    (
        "worth",
        ["UPDATE worth SET value_micros = value_micros + 1 WHERE part_id = 2"],
        "part 2 (C-100n): 0 more kept than by the ledger, 0 more without price, 1 millionths more worth",
    ),
    (
        "worth",
        ["UPDATE worth SET unpriced_qty = 8 WHERE part_id = 3"],
        "part 3 (BC547B): 0 more kept than by the ledger, -2 more without price, 0 millionths more worth",
    ),
    (
        "worth",
        ["DELETE FROM worth WHERE part_id = 3"],
        "part 3 (BC547B): -10 more kept than by the ledger, -10 more without price, 0 millionths more worth",
    ),
    (
        "holdings",
        ["UPDATE holding SET fitted = 2, kitted = 0 WHERE line_id = 1"],
        "build 1, line 1, part 1 (R-4k7): -1 more kitted than by the ledger, 1 more fitted, 0 more lost, "
        "0 more without price, 0 millionths more worth",
    ),
    (
        "holdings",
        ["UPDATE holding SET value_micros = 21 WHERE line_id = 1"],
        "build 1, line 1, part 1 (R-4k7): 0 more kitted than by the ledger, 0 more fitted, 0 more lost, "
        "0 more without price, 1 millionths more worth",
    ),
    (
        "references history",
        ["UPDATE line SET part_id = 77 WHERE id = 2"],
        "row 2 of line refers to a row of part that is not there",
    ),
    (
        "stand-ins pages history",
        ["UPDATE stand_in SET alt_id = 1"],
        "stand-in 1: part 1 stands in for itself",
    ),
    (
        "assemblies history",
        ["INSERT INTO contains (parent_id, child_id, qty) VALUES (1, 3, 1)"],
        "assembly 1 contains 3 contains 2 contains 1",
    ),
    (
        "steps history",
        ["INSERT INTO step_need (step_id, needs_id, link, wait_min) VALUES (1, 3, 'SS', 0)"],
        "step 1 needs 3 needs 2 needs 1",
    ),
    ("history", ["UPDATE part SET note = 'x' WHERE id = 1"], "row 1 of part is not as its last change left it"),
    ("history", ["UPDATE part SET value_si = 1.0 WHERE id = 3"], "row 3 of part is not as its last change left it"),
    ("history", ["DELETE FROM stand_in"], "row 1 of stand_in is gone without a record"),
    ("history", ["INSERT INTO bin (name, note) VALUES ('C1', '')"], "row 4 of bin was never journalled"),
    ("history words", ["INSERT INTO bin VALUES (-1, 'C1', '')"], "row -1 of bin was never journalled"),
    (
        "history",
        ["UPDATE journal_change SET before = '' WHERE id = (SELECT max(id) FROM journal_change)"],
        "row 1 of part: change 24 does not begin where the one before it ended",
    ),
    (
        "history",
        ["UPDATE journal_change SET tab = 'shelf' WHERE tab = 'stand_in'"],
        "row 1 of stand_in was never journalled",
    ),
    (
        "history",
        ["UPDATE journal_change SET tab = 'shelf' WHERE tab = 'stand_in'"],
        "change 23 tells of a table shelf that is not there",
    ),
    ("history", ["UPDATE journal_change SET after = '[[' WHERE id = 1"], "What stands there cannot be read."),
    ("history", ["UPDATE journal_change SET after = '[]' WHERE id = 1"], "What stands there cannot be read."),
    (
        "history",
        ["UPDATE movement SET note = 'late' WHERE id = 3"],
        "row 3 of movement is not as its last change left it",
    ),
    (
        "reversals history",
        ["UPDATE movement SET reverses_id = 1 WHERE id = 7"],
        "movement 7 is not the opposite of movement 1",
    ),
    (
        "reversals history",
        ["UPDATE movement SET reverses_id = 6, kind = 'reversed' WHERE id = 12"],
        "movement 12 is not the opposite of movement 6",
    ),
    (
        "reversals history",
        ["UPDATE movement SET reverses_id = 12 WHERE id = 7"],  # its opposite, but booked after it
        "movement 7 is not the opposite of movement 12",
    ),
    (
        "reversals history",
        ["UPDATE movement SET reverses_id = 6 WHERE id IN (7, 12)"],
        "movement 6 is reversed by 7 and 12",
    ),
    (
        "reversals history",
        ["UPDATE movement SET reverses_id = NULL WHERE id = 7"],
        "movement 7 is not the opposite of movement nothing",
    ),
    (
        "reversals history",
        [
            "UPDATE movement SET lost_qty = 1, kit_qty = kit_qty - 1 WHERE id = 7",
            "UPDATE movement SET lost_qty = -1, kit_qty = kit_qty + 1 WHERE id = 10",
        ],
        "movement 10 is not the opposite of movement 9",
    ),
    (
        "gone balances worth history",
        [
            "INSERT INTO movement (at, kind, part_id, bin_id, bin_qty, kit_qty, fit_qty, lost_qty, value_micros, "
            "unpriced_qty, note) VALUES ('', 'received', 4, 3, 1, 0, 0, 0, 0, 1, '')"
        ],
        "part 4 is gone, and its movements leave 1 in bins, 0 kitted, 0 fitted, 0 lost, 0 millionths",
    ),
    (
        "gone references history",
        ["DELETE FROM bin WHERE id = 2"],
        "bin 2 is gone, and the movements of part 3 leave 10 in it",
    ),
    (
        "gone references history",
        ["DELETE FROM line WHERE id = 1"],
        "line 1 or build 1 is gone, and the movements of part 1 leave 1 kitted, 1 fitted, 0 lost",
    ),
    (
        "gone references history",
        ["DELETE FROM build"],
        "line 2 or build 1 is gone, and the movements of part 2 leave 2 kitted, 0 fitted, 0 lost",
    ),
    ("journal history", ["DELETE FROM journal_change WHERE entry_id = 9"], "entry 9 tells of no row"),
    (
        "journal references words",
        ["DELETE FROM journal_entry WHERE id = 9"],
        "journal_entry: the last number given is 9, and 8 stand there",
    ),
    (
        "journal",
        ["UPDATE journal_entry SET kind = 'undo' WHERE id = 5"],
        "entry 5 (undo) of entry 3 is out of turn",
    ),
    (
        "journal",
        ["UPDATE journal_entry SET target_id = 8 WHERE id = 7"],
        "entry 7 (undo) has no action before it to act on",
    ),
    (
        "journal",
        ["UPDATE journal_entry SET target_id = 4 WHERE id = 7"],
        "entry 7 (undo) has no action before it to act on",
    ),
    (
        "journal",
        ["UPDATE journal_entry SET target_id = 1 WHERE id = 9"],
        "entry 9 (do) has no action before it to act on",
    ),
    (
        "schema",
        ["UPDATE alembic_version SET version_num = '0000'"],
        "the file stands at migration ['0000'], the program at 0007",
    ),
    ("schema", ["PRAGMA application_id = 1"], "the file is not marked as a workshop"),
    ("schema", ["CREATE TABLE shelf (name)"], "table shelf is not strict"),
]


@pytest.mark.parametrize(("falls", "statements", "said"), TAMPERED, ids=[case[2] for case in TAMPERED])
def test_tampering_is_found(used: Workshop, meddle: Meddle, falls: str, statements: list[str], said: str) -> None:
    meddle(used, *statements)
    found = red(used)
    assert set(found) == set(falls.split())
    assert said in [fault for faults in found.values() for fault in faults]


@pytest.mark.parametrize("trigger", ["movement_no_update", "journal_change_no_delete"])
def test_a_missing_guard_is_found(used: Workshop, trigger: str) -> None:
    db = sqlite3.connect(used.path)
    db.execute(f"DROP TRIGGER {trigger}")
    db.close()
    tab, verb = trigger.split("_no_")
    assert red(used) == {"schema": (f"nothing forbids {verb} in table {tab}",)}


def test_an_index_that_disagrees_with_its_table_is_found(used: Workshop) -> None:
    db = sqlite3.connect(used.path)
    db.execute("PRAGMA writable_schema = ON")
    db.execute("UPDATE sqlite_master SET sql = replace(sql, '(kind)', '(name)') WHERE name = 'ix_part_kind'")
    db.commit()
    db.close()
    assert any("ix_part_kind" in fault for fault in red(used)["pages"])


def test_a_column_added_since_is_no_fault(used: Workshop) -> None:
    db = sqlite3.connect(used.path)
    db.execute("ALTER TABLE part ADD COLUMN shelf TEXT NOT NULL DEFAULT ''")
    db.close()
    assert red(used) == {}


def test_no_more_faults_than_anybody_reads(used: Workshop, meddle: Meddle) -> None:
    meddle(used, *(f"INSERT INTO bin (name, note) VALUES ('X{n}', '')" for n in range(MOST + 5)))
    (proof,) = (proof for proof in check(used) if not proof.holds)
    assert len(proof.faults) == MOST
    assert proof.sentence == "20 faults or more found."


def test_nothing_is_locked_and_nothing_changes_under_the_check(used: Workshop) -> None:
    assert red(used) == {}
    assert not used.reads.in_transaction
    with action(used, "Go on working") as work:
        work.add(Part(key="D1"))
        assert red(used) == {}
    assert red(used) == {}


class Interrupted(Workshop):
    """A workshop that somebody else adds a part to each time it is looked at."""

    @property
    def reads(self) -> sqlite3.Connection:
        with action(self, "Meanwhile") as work:
            work.insert_many(Part, [{"key": f"L{work.at}"}])
        return super().reads


def test_all_proofs_speak_of_the_same_moment(used: Workshop) -> None:
    before = {proof.name: proof.sentence for proof in check(used)}
    busy = Interrupted(used.path, clock=used.clock)
    during = {proof.name: proof.sentence for proof in check(busy)}
    after = {proof.name: proof.sentence for proof in check(used)}
    assert during["journal"] == "11 entries without a gap; undo and redo take turns."
    assert during["history"] == "26 changes lead to 38 rows as the tables hold them."
    assert before["journal"] != during["journal"] != after["journal"]
    busy.close()


def test_without_a_table_the_other_proofs_go_on(used: Workshop) -> None:
    db = sqlite3.connect(used.path)
    db.execute("DROP TABLE worth")
    db.close()
    assert red(used) == {"worth": ("Tables are missing from it.",)}


# --- damaged files ---------------------------------------------------------------------------------------------------


def test_a_damaged_page_is_a_sentence(used: Workshop) -> None:
    used.close()
    db = sqlite3.connect(used.path)
    page = db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'movement'").fetchone()[0]
    db.close()
    with used.path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xff" * 4096)
    found = red(used)
    assert set(found) >= {"pages", "balances", "worth", "reversals", "history"}
    assert found["balances"] == ("A page of the file is damaged.",)
    assert "steps" not in found


def test_a_file_that_is_no_database_at_all_is_a_sentence(used: Workshop) -> None:
    used.close()
    used.path.write_bytes(b"\x89PNG\r\n" * 2000)
    proofs = check(used)
    assert {proof.faults for proof in proofs} == {("It is not an SQLite database or is damaged.",)}


def test_a_file_that_is_gone_is_a_sentence(tmp_path: Path) -> None:
    assert {proof.faults for proof in check(Workshop(tmp_path / "none.db"))} == {("It cannot be opened.",)}


def test_wherever_a_file_is_damaged_the_check_answers(used: Workshop, tmp_path: Path) -> None:
    whole = tmp_path / "whole.db"
    copy_database(used.path, whole)
    image = whole.read_bytes()
    dice = random.Random(1)
    hurt: list[tuple[Proof, ...]] = []
    for _ in range(60):
        damaged = bytearray(image)
        start = dice.choice([dice.randrange(len(image)), dice.randrange(0, len(image), 4096)])
        hit = slice(start, min(start + dice.choice([1, 8, 100, 4096]), len(image)))
        damaged[hit] = dice.choice([b"\xff", b"\x00", b"\x37"]) * (hit.stop - hit.start)
        used.close()
        used.path.write_bytes(damaged)
        hurt.append(check(used))
    assert sum(not all(proof.holds for proof in proofs) for proofs in hurt) > 15
