"""A backup is whole while others write, nothing is overwritten, and putting one back keeps what it replaces."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from buildbook.errors import BadInput, StoreFault
from buildbook.store.backup import back_up, free_name, put_back
from buildbook.store.checkup import check
from buildbook.store.journal import action
from buildbook.store.tables import Part
from buildbook.store.workshop import Workshop, open_workshop

Meddle = Callable[..., None]


def add_part(shop: Workshop, key: str) -> None:
    with action(shop, f"Add {key}") as work:
        work.add(Part(key=key))


def keys(path: Path) -> list[str]:
    shop = open_workshop(path, create=False)
    assert all(proof.holds for proof in check(shop))
    found = [row[0] for row in shop.reads.execute("SELECT key FROM part ORDER BY id")]
    shop.close()
    return found


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_backup_holds_everything_and_nothing_lies_beside_it(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    target = tmp_path / "kept" / "monday.db"
    target.parent.mkdir()
    size = back_up(shop, target)
    assert size == target.stat().st_size > 100_000
    assert names(target.parent) == ["monday.db"]
    add_part(shop, "B")
    assert keys(target) == ["A"]


def test_a_backup_made_in_the_middle_of_a_write_holds_what_was_committed(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    other = open_workshop(shop.path)
    with action(other, "Add many") as work:
        work.insert_many(Part, [{"key": f"P{n}"} for n in range(5000)])
        back_up(shop, tmp_path / "backup.db")
    assert keys(tmp_path / "backup.db") == ["A"]
    other.close()


def test_backups_made_while_somebody_goes_on_writing_are_each_whole(shop: Workshop, tmp_path: Path) -> None:
    writer = open_workshop(shop.path)
    enough = threading.Event()

    def write() -> None:
        number = 0
        while not enough.is_set():
            with action(writer, "Add two") as work:
                work.insert_many(Part, [{"key": f"P{number}"}, {"key": f"Q{number}"}])
            number += 1

    thread = threading.Thread(target=write)
    thread.start()
    for number in range(5):
        back_up(shop, tmp_path / f"{number}.db")
    enough.set()
    thread.join()
    counts = [len(keys(tmp_path / f"{number}.db")) for number in range(5)]
    assert counts == sorted(counts)
    assert all(count % 2 == 0 for count in counts)
    writer.close()


def test_a_file_that_exists_is_not_overwritten(shop: Workshop, tmp_path: Path) -> None:
    (tmp_path / "backup.db").write_text("something else")
    with pytest.raises(BadInput, match=r"backup.db was not written. A file of that name exists. Choose another name."):
        back_up(shop, tmp_path / "backup.db")
    assert (tmp_path / "backup.db").read_text() == "something else"


def test_a_folder_that_does_not_exist_is_not_made(shop: Workshop, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"Its folder does not exist. Make the folder first."):
        back_up(shop, tmp_path / "no" / "backup.db")
    assert not (tmp_path / "no").exists()


def test_a_damaged_workshop_makes_no_backup(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    hurt(shop)
    with pytest.raises(StoreFault, match=r"/workshop.db is damaged\."):
        back_up(shop, tmp_path / "backup.db")
    shop.close()
    assert names(tmp_path) == ["workshop.db"]


def hurt(shop: Workshop) -> None:
    """Overwrite the page where the parts lie."""
    shop.close()
    db = sqlite3.connect(shop.path)
    page = db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'part'").fetchone()[0]
    db.close()
    with shop.path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xff" * 4096)


# --- putting one back ------------------------------------------------------------------------------------------------


def test_putting_one_back_keeps_what_it_replaces(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    add_part(shop, "B")
    kept = put_back(shop, tmp_path / "backup.db")
    assert kept == tmp_path / "workshop-before-restore.db"
    assert [row[0] for row in shop.reads.execute("SELECT key FROM part")] == ["A"]
    assert keys(kept) == ["A", "B"]
    add_part(shop, "C")
    assert put_back(shop, kept) == tmp_path / "workshop-before-restore-2.db"
    assert keys(shop.path) == ["A", "B"]
    assert keys(tmp_path / "backup.db") == ["A"]


def test_another_program_sees_the_workshop_put_back(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    add_part(shop, "B")
    other = open_workshop(shop.path)
    assert other.reads.execute("SELECT count(*) FROM part").fetchone() == (2,)
    put_back(shop, tmp_path / "backup.db")
    assert other.reads.execute("SELECT count(*) FROM part").fetchone() == (1,)
    add_part(other, "C")
    other.close()
    assert keys(shop.path) == ["A", "C"]


@pytest.mark.parametrize("whole", [False, True], ids=["a page", "all of it"])
def test_a_damaged_workshop_is_replaced_and_kept_as_it_was(shop: Workshop, tmp_path: Path, whole: bool) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    hurt(shop)
    if whole:
        shop.path.write_bytes(b"\xff" * 50_000)
    before = shop.path.read_bytes()
    kept = put_back(shop, tmp_path / "backup.db")
    assert kept
    header = 0 if whole else 100  # SQLite counts in the header how often a file was written
    assert kept.read_bytes()[header:] == before[header:]
    shop.close()
    assert keys(shop.path) == ["A"]


@pytest.mark.parametrize("statement", ["DROP TABLE alembic_version", "DELETE FROM alembic_version"])
def test_a_workshop_without_its_tables_is_replaced_and_kept(
    shop: Workshop, tmp_path: Path, meddle: Meddle, statement: str
) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    meddle(shop, statement)
    assert put_back(shop, tmp_path / "backup.db") == tmp_path / "workshop-before-restore.db"
    shop.close()
    assert keys(open_workshop(shop.path).path) == ["A"]


def test_where_nothing_was_a_backup_is_put_and_nothing_kept(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    new = Workshop(tmp_path / "new" / "workshop.db")
    assert put_back(new, tmp_path / "backup.db") is None
    assert keys(new.path) == ["A"]
    assert names(new.path.parent) == ["workshop.db"]


def test_the_database_of_another_program_is_not_replaced(shop: Workshop, tmp_path: Path) -> None:
    back_up(shop, tmp_path / "backup.db")
    songs = tmp_path / "songs.db"
    db = sqlite3.connect(songs)
    db.execute("CREATE TABLE song (title)")
    db.close()
    before = songs.read_bytes()
    with pytest.raises(StoreFault, match=r"It is a database of another program."):
        put_back(Workshop(songs), tmp_path / "backup.db")
    assert songs.read_bytes() == before
    assert not (tmp_path / "songs-before-restore.db").exists()


@pytest.mark.parametrize(
    ("said", "statement"),
    [
        (r"It stands at migration 0000, not 0007\. Open it once", "UPDATE alembic_version SET version_num = '0000'"),
        (r"It is a database of another program\.", "PRAGMA application_id = 0"),
    ],
)
def test_what_is_no_workshop_of_today_is_not_put_back(
    shop: Workshop, tmp_path: Path, meddle: Meddle, said: str, statement: str
) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    meddle(Workshop(tmp_path / "backup.db"), statement)
    with pytest.raises(StoreFault, match=said):
        put_back(shop, tmp_path / "backup.db")
    assert keys(shop.path) == ["A"]
    assert names(tmp_path)[:1] == ["backup.db"]
    assert not any("restore" in name for name in names(tmp_path))


def test_a_damaged_backup_is_not_put_back(shop: Workshop, tmp_path: Path) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    hurt(Workshop(tmp_path / "backup.db"))
    with pytest.raises(StoreFault, match=r"backup.db is damaged. SQLite says: Page .*Use a backup that is whole."):
        put_back(shop, tmp_path / "backup.db")
    assert keys(shop.path) == ["A"]


def test_a_backup_that_is_not_there_is_not_put_back(shop: Workshop, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"none.db was not put back. There is no such file. Check its name."):
        put_back(shop, tmp_path / "none.db")


def test_while_another_program_is_writing_nothing_is_put_back(
    shop: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_part(shop, "A")
    back_up(shop, tmp_path / "backup.db")
    add_part(shop, "B")
    patient = sqlite3.connect

    def impatient(*given: object, **more: object) -> sqlite3.Connection:
        return patient(*given, **{"timeout": 0.05, **more})  # type: ignore[call-overload,no-any-return]

    monkeypatch.setattr(sqlite3, "connect", impatient)
    other = sqlite3.connect(shop.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreFault, match=r"Another program is writing to it"):
        put_back(shop, tmp_path / "backup.db")
    other.execute("ROLLBACK")
    other.close()
    shop.close()
    assert keys(shop.path) == ["A", "B"]


def test_a_free_name_is_the_first_that_is_not_taken(tmp_path: Path) -> None:
    wanted = tmp_path / "a.db"
    for expected in ("a.db", "a-2.db", "a-3.db"):
        free = free_name(wanted)
        assert free.name == expected
        free.touch()
