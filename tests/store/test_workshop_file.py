"""Whatever lies where the workshop should be, and whatever the disk does: a sentence, and nothing is lost."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from pathlib import Path
from tempfile import gettempdir

import pytest

from buildbook.errors import BadInput, Damaged, StoreFault
from buildbook.store.checkup import check
from buildbook.store.journal import action, undo
from buildbook.store.tables import Part
from buildbook.store.workshop import HEAD, Workshop, open_workshop, revision_of


def add_part(shop: Workshop, key: str, note: str = "") -> None:
    with action(shop, f"Add {key}") as work:
        work.add(Part(key=key, note=note))


def keys(shop: Workshop) -> list[str]:
    return [row[0] for row in shop.reads.execute("SELECT key FROM part ORDER BY id")]


def whole(shop: Workshop) -> bool:
    return all(proof.holds for proof in check(shop))


# --- what is no workshop ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [b"\x89PNG\r\n\x1a\n" + bytes(5000), b"part;qty\nR-4k7;10\n", b"\x00", b"SQLite format 2\x00" + bytes(900)],
)
def test_another_kind_of_file_is_refused_and_not_touched(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "photo.png"
    path.write_bytes(content)
    with pytest.raises(
        StoreFault, match=r"photo.png is not a workshop file. It is not an SQLite database. Name another"
    ):
        open_workshop(path)
    assert path.read_bytes() == content
    assert os.listdir(tmp_path) == ["photo.png"]


def test_a_file_that_only_begins_like_a_database_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "workshop.db"
    path.write_bytes(b"SQLite format 3\x00" + b"\x77" * 9000)
    with pytest.raises(StoreFault, match=r"It is not an SQLite database."):
        open_workshop(path)


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StoreFault, match=r"is not a workshop file. It is a folder. Name a file inside it with --db."):
        open_workshop(tmp_path)


def test_a_pipe_or_a_device_is_refused_without_reading_from_it(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (pipe, Path(os.devnull)):
        with pytest.raises(StoreFault, match=r"is not a workshop file. It is a pipe or a device."):
            open_workshop(path)
    assert os.listdir(tmp_path) == ["pipe"]


def test_a_workshop_that_does_not_say_its_migration_is_refused(shop: Workshop) -> None:
    shop.close()
    db = sqlite3.connect(shop.path)
    with db:
        db.execute("DELETE FROM alembic_version")
    db.close()
    with pytest.raises(Damaged, match=r"It does not say at which migration it stands. Restore the last backup"):
        open_workshop(shop.path)


def test_the_database_of_another_program_is_refused_and_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "songs.db"
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE song (title)")
    db.close()
    before = path.read_bytes()
    with pytest.raises(StoreFault, match=r"songs.db is not a workshop file. It is a database of another program."):
        open_workshop(path)
    assert path.read_bytes() == before


def test_a_name_that_leads_through_a_file_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "note").write_text("a file")
    with pytest.raises(StoreFault, match=r"cannot be opened"):
        open_workshop(tmp_path / "note" / "workshop.db")


# --- a workshop is made ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("content", [None, b""])
def test_where_nothing_is_a_workshop_is_made(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "with spaces" / "100 %, Ω #1?.db" if content is None else tmp_path / "empty.db"
    if content is not None:
        path.write_bytes(content)
    shop = open_workshop(path)
    add_part(shop, "A")
    assert keys(shop) == ["A"]
    assert whole(shop)
    shop.close()
    assert os.listdir(path.parent) == [path.name]
    assert revision_of(path) == HEAD


def test_a_workshop_whose_making_broke_off_is_made_again(tmp_path: Path) -> None:
    path = tmp_path / "workshop.db"
    db = sqlite3.connect(path)
    db.execute("PRAGMA journal_mode = WAL")  # writes the first page, before there is a table
    db.close()
    assert path.stat().st_size > 0
    shop = open_workshop(path)
    assert whole(shop)
    shop.close()


def test_without_leave_to_make_one_none_is_made(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"There is no workshop at .*Make one with"):
        open_workshop(tmp_path / "none.db", create=False)
    assert os.listdir(tmp_path) == []


# --- somebody else has it --------------------------------------------------------------------------------------------


def test_while_another_program_writes_an_action_is_refused_in_the_time_given(shop: Workshop) -> None:
    add_part(shop, "A")
    hurried = Workshop(shop.path, busy_ms=50)
    other = sqlite3.connect(shop.path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(StoreFault, match=r"Another program is writing to it. Nothing was written; try again"):
        add_part(hurried, "B")
    with pytest.raises(StoreFault, match=r"Another program is writing to it."):
        undo(hurried)
    assert keys(hurried) == ["A"]  # reading goes on
    other.execute("ROLLBACK")
    other.close()
    add_part(hurried, "B")
    assert keys(shop) == ["A", "B"]
    hurried.close()


def test_two_programs_take_turns(shop: Workshop) -> None:
    other = open_workshop(shop.path)
    for number in range(5):
        add_part(shop, f"A{number}")
        add_part(other, f"B{number}")
    assert undo(shop) == "Add B4"
    assert keys(other) == keys(shop) == [f"{letter}{n}" for n in range(5) for letter in "AB"][:-1]
    assert whole(shop)
    other.close()


def test_a_workshop_locked_altogether_is_a_sentence(shop: Workshop) -> None:
    shop.close()
    other = sqlite3.connect(shop.path, isolation_level=None)
    other.execute("PRAGMA journal_mode = DELETE")
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(StoreFault, match=r"Another program is writing to it."):
        open_workshop(shop.path, busy_ms=50)
    other.close()


# --- the file may only be read ---------------------------------------------------------------------------------------

READ_ONLY = """
import os, sys
from pathlib import Path
from buildbook.errors import StoreFault
from buildbook.store.journal import action
from buildbook.store.tables import Part
from buildbook.store.workshop import open_workshop
from buildbook.store.checkup import check
if os.getuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
shop = open_workshop(Path(sys.argv[1]))
print([row[0] for row in shop.reads.execute("SELECT key FROM part")], all(proof.holds for proof in check(shop)))
try:
    with action(shop, "Write") as work:
        work.add(Part(key="B"))
except StoreFault as error:
    print(error.why, error.mend)
"""


@pytest.mark.process
@pytest.mark.skipif(not hasattr(os, "setuid"), reason="files are not kept from others in this way here")
@pytest.mark.parametrize("logged", [False, True], ids=["at rest", "while its owner has it open"])
def test_a_file_of_somebody_else_is_read_and_not_written(shop: Workshop, logged: bool) -> None:
    add_part(shop, "A")
    if not logged:
        shop.close()
    home = shop.path.parent
    for folder in home.parents:
        if folder == Path(gettempdir()):
            break
        folder.chmod(0o755)
    for file in home.iterdir():
        file.chmod(0o444)
    home.chmod(0o555)
    done = subprocess.run(
        [sys.executable, "-c", READ_ONLY, str(shop.path)], capture_output=True, text=True, check=False
    )
    home.chmod(0o755)
    assert done.stderr == ""
    assert done.stdout.splitlines() == [
        "['A'] True",
        "It may only be read. Nothing was written; check who may write the file and its folder.",
    ]


# --- the disk --------------------------------------------------------------------------------------------------------


def test_a_damaged_page_is_a_sentence_when_it_is_met(shop: Workshop) -> None:
    add_part(shop, "A")
    shop.close()
    db = sqlite3.connect(shop.path)
    page = db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'part'").fetchone()[0]
    db.close()
    with shop.path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xff" * 4096)
    with pytest.raises(
        StoreFault, match=r"A page of the file is damaged. Keep the file, then `buildbook workshop rest"
    ):
        add_part(shop, "B")


def test_a_file_cut_short_is_a_sentence(shop: Workshop) -> None:
    shop.close()
    with shop.path.open("r+b") as file:
        file.truncate(9000)
    with pytest.raises(StoreFault, match=r"damaged"):
        open_workshop(shop.path)


def test_on_a_full_disk_nothing_is_written_and_nothing_is_lost(shop: Workshop) -> None:
    add_part(shop, "A")
    pages = shop.reads.execute("PRAGMA page_count").fetchone()[0]
    with shop.engine.connect() as connection:
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 2}")
    with pytest.raises(StoreFault, match=r"The disk is full. Nothing was written; make room and do it again."):
        add_part(shop, "B", note="x" * 100_000)
    assert keys(shop) == ["A"]
    assert whole(shop)
    with shop.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
    add_part(shop, "B", note="x" * 100_000)
    assert keys(shop) == ["A", "B"]
    assert whole(shop)


FULL = """
import resource, sys
from pathlib import Path
from buildbook.errors import StoreFault
from buildbook.store.journal import action
from buildbook.store.tables import Part
from buildbook.store.workshop import open_workshop
path, limit = Path(sys.argv[1]), int(sys.argv[2])
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
try:
    shop = open_workshop(path)
    for number in range(1000):
        with action(shop, f"Add {number}") as work:
            work.add(Part(key=f"P{number}", note="x" * 5000))
        print(number, flush=True)
except StoreFault as error:
    print(error.why, error.mend)
"""


def run_full(path: Path, limit: int) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(path), str(limit)], capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return done.stdout.splitlines()


@pytest.mark.process
def test_a_process_that_may_write_no_more_says_so_and_loses_nothing(shop: Workshop) -> None:
    add_part(shop, "A")
    shop.close()
    *done, said = run_full(shop.path, 600_000)
    assert said == "The disk refused to read or write. Nothing was written; check the disk and its free space."
    assert len(done) > 3
    assert keys(shop) == ["A", *(f"P{number}" for number in done)]
    assert whole(shop)


@pytest.mark.process
def test_a_workshop_that_could_not_be_made_for_want_of_room_can_be_made_later(tmp_path: Path) -> None:
    path = tmp_path / "workshop.db"
    (said,) = run_full(path, 50_000)
    assert said.startswith("The disk refused to read or write.")
    shop = open_workshop(path)
    assert whole(shop)
    shop.close()


def test_opening_it_again_takes_no_lock_from_those_who_have_it_open(shop: Workshop) -> None:
    # SQLite, "How To Corrupt An SQLite Database File", 2.2: closing a file of one's own drops the locks of the process.
    assert shop.reads.execute("SELECT count(*) FROM part").fetchone() == (0,)
    open_workshop(shop.path).close()
    script = (
        "import sys; from pathlib import Path; from buildbook.actions.stores import new_part;"
        "from buildbook.actions.workshop import open_workshop;"
        "shop = open_workshop(Path(sys.argv[1])); new_part(shop, 'R-4K7'); shop.close()"
    )
    subprocess.run([sys.executable, "-c", script, str(shop.path)], check=True)
    assert shop.path.with_name(shop.path.name + "-wal").exists(), "the log was cleared under an open connection"
    assert shop.reads.execute("SELECT count(*) FROM part").fetchone() == (1,)
