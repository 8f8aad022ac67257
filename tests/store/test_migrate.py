"""A workshop is made whole, is never half migrated, and an older one is copied before anything changes in it."""

from __future__ import annotations

import re
import shutil
import sqlite3
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlmodel import SQLModel

from buildbook.errors import StoreFault
from buildbook.store import migrate
from buildbook.store.backup import copy_database
from buildbook.store.checkup import check
from buildbook.store.engine import make_engine
from buildbook.store.journal import action
from buildbook.store.tables import Bin, Line, Part, PartAlias
from buildbook.store.workshop import APPLICATION_ID, HEAD, Workshop, open_workshop, revision_of

NEXT = """
from alembic import op
import sqlalchemy as sa
revision, down_revision, branch_labels, depends_on = "later", "{head}", None, None

def upgrade():
{upgrade}

def downgrade():
    pass
"""


def schema(path: Path) -> dict[str, list[str]]:
    """Every table, index and trigger of a file: its clauses, sorted, without quotes and spacing."""
    db = sqlite3.connect(path)
    rows = db.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    db.close()
    return {
        name: sorted(filter(None, (plain(clause) for clause in re.split(r",?\n|, ", apart(sql)))))
        for name, sql in rows
        if name != "alembic_version" and not name.startswith("sqlite_")
    }


def apart(sql: str) -> str:
    """A reference written behind its column, as one added later has to be, written as a clause of its own."""
    return re.sub(r"(\w+) INTEGER REFERENCES (\w+)", r"\1 INTEGER, FOREIGN KEY(\1) REFERENCES \2", sql)


def plain(clause: str) -> str:
    return re.sub(r"\s+", " ", clause.replace('"', "")).strip(" ()")


def contents(path: Path) -> list[str]:
    db = sqlite3.connect(path)
    lines = list(db.iterdump())
    db.close()
    return lines


def fill(shop: Workshop) -> None:
    with action(shop, "Count the drawers") as work:
        work.add(Part(key="R-4k7", kind="resistor", value_si=4700.0))
        work.add(Bin(name="A1"))
        work.flush()
        work.add(PartAlias(part_id=1, alias="4k7"))


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A migrations folder with one migration more; a test writes what it does with `write_later`."""
    folder = tmp_path / "migrations"
    shutil.copytree(migrate.migrations_folder(), folder, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(migrate, "migrations_folder", lambda: folder)
    return folder


def write_later(folder: Path, *upgrade: str) -> None:
    body = "\n".join(f"    {line}" for line in upgrade)
    (folder / "versions" / "later.py").write_text(NEXT.format(head=HEAD, upgrade=body))


def test_head_is_the_newest_migration_of_the_folder() -> None:
    assert ScriptDirectory.from_config(migrate.configuration()).get_heads() == [HEAD]
    assert migrate.known_revisions()[-1] == HEAD


def test_the_file_is_marked_with_the_same_number_that_is_looked_for(shop: Workshop) -> None:
    assert shop.reads.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
    assert APPLICATION_ID.to_bytes(4, "big") == b"BBws"
    assert shop.path.read_bytes()[68:72] == b"BBws"  # where a tool that tells files apart looks for it


def test_migrations_make_exactly_the_tables_that_the_program_writes_to(shop: Workshop, tmp_path: Path) -> None:
    fresh = tmp_path / "fresh.db"
    engine = make_engine(fresh, 1000)
    SQLModel.metadata.create_all(engine)
    engine.dispose()
    # Triggers, and the index of words with the tables that SQLite keeps it in, are no tables that a program writes to.
    migrated = {
        name: rule
        for name, rule in schema(shop.path).items()
        if "CREATE TRIGGER" not in " ".join(rule) and name.partition("_")[0] != "said"
    }
    assert migrated == schema(fresh)
    assert len(migrated) > 60


def test_a_filled_workshop_goes_down_and_up_again(shop: Workshop) -> None:
    fill(shop)
    shop.close()
    before = schema(shop.path)
    migrate.run(shop.path, "base", down=True)
    assert schema(shop.path) == {}
    assert sqlite3.connect(shop.path).execute("PRAGMA application_id").fetchone() == (0,)
    migrate.run(shop.path, HEAD)
    assert schema(shop.path) == before
    assert all(proof.holds for proof in check(shop))


def test_hold_points_ticked_before_there_were_signatures_count_as_signed(tmp_path: Path) -> None:
    path = tmp_path / "workshop.db"
    migrate.run(path, "0001")
    db = sqlite3.connect(path)
    db.executescript("""
        INSERT INTO project (code, name, consumables_bp, note) VALUES ('CURLEW', '', 0, '');
        INSERT INTO assembly (project_id, code, name, kind, position, ready_made, note)
             VALUES (1, 'CURLEW', '', 'unit', 0, 0, '');
        INSERT INTO build (code, project_id, assembly_id, units, priority, state, target_on, note)
             VALUES ('CURLEW', 1, 1, 1, 1, 'active', '', '');
        INSERT INTO step (assembly_id, position, name, work, low_min, likely_min, high_min, wait_low_min, wait_high_min,
                          one_way, hold_point, caution)
             VALUES (1, 1, 'Mask', 'mask', 5, 5, 5, 0, 0, 0, 1, ''), (1, 2, 'Prime', 'prime', 5, 5, 5, 0, 0, 1, 0, '');
        INSERT INTO step_run (build_id, step_id, state, started_at, finished_at, minutes)
             VALUES (1, 1, 'done', '', '2026-11-01T18:00:00Z', 4), (1, 2, 'done', '', '2026-11-02T18:00:00Z', 40);
    """)
    db.close()
    migrate.run(path, HEAD)
    db = sqlite3.connect(path)
    assert db.execute("SELECT signed_at FROM step_run ORDER BY id").fetchall() == [("2026-11-01T18:00:00Z",), ("",)]
    assert db.execute("SELECT wait_kind, occupies, tools FROM step").fetchall() == [("", "", "")] * 2
    db.close()
    migrate.run(path, "0001", down=True)
    db = sqlite3.connect(path)
    assert db.execute("SELECT name, minutes FROM step JOIN step_run ON step_id = step.id").fetchall() == [
        ("Mask", 4),
        ("Prime", 40),
    ]
    db.close()


def test_opening_a_workshop_of_today_runs_nothing_and_copies_nothing(shop: Workshop, tmp_path: Path) -> None:
    fill(shop)
    shop.close()
    before = shop.path.read_bytes()
    open_workshop(shop.path).close()
    assert shop.path.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["workshop.db"]


def test_a_newer_workshop_is_refused_and_not_touched(shop: Workshop, tmp_path: Path) -> None:
    db = sqlite3.connect(shop.path)
    db.execute("UPDATE alembic_version SET version_num = '9999'")
    db.commit()
    db.close()
    before = shop.path.read_bytes()
    with pytest.raises(StoreFault, match=r"newer Buildbook.*migration 9999, this program knows up to .*nothing was"):
        open_workshop(shop.path)
    assert shop.path.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["workshop.db"]


def test_an_older_workshop_is_copied_first_then_brought_up_to_date(shop: Workshop, later: Path) -> None:
    fill(shop)
    shop.close()
    before = contents(shop.path)
    write_later(later, "op.execute('CREATE TABLE shelf (id INTEGER PRIMARY KEY) STRICT')")
    backup = migrate.bring_up_to_date(shop.path, HEAD, stamp="20240301-180000", target="later")
    assert backup == shop.path.with_name("workshop-before-later-20240301-180000.db")
    assert contents(backup) == before
    assert revision_of(shop.path) == "later"
    assert "shelf" in schema(shop.path)


def test_a_migration_that_breaks_off_leaves_the_workshop_as_it_was(shop: Workshop, later: Path) -> None:
    fill(shop)
    shop.close()
    before = contents(shop.path)
    write_later(later, "op.execute('CREATE TABLE shelf (id INTEGER)')", "op.execute('DROP TABLE no_such_table')")
    with pytest.raises(StoreFault, match=r"Tables are missing"):
        migrate.bring_up_to_date(shop.path, HEAD, stamp="now", target="later")
    assert contents(shop.path) == before
    assert all(proof.holds for proof in check(shop))


@pytest.mark.filterwarnings("ignore:Skipped unsupported reflection of expression-based index")
def test_a_migration_may_make_a_table_anew_that_others_refer_to(shop: Workshop, later: Path) -> None:
    fill(shop)
    shop.close()
    write_later(
        later,
        "with op.batch_alter_table('part', table_kwargs={'sqlite_strict': True, 'sqlite_autoincrement': True}) as it:",
        "    it.add_column(sa.Column('shelf', sa.Text(), nullable=False, server_default=''))",
        "    it.create_check_constraint('key_said', \"key <> ''\")",
    )
    migrate.bring_up_to_date(shop.path, HEAD, stamp="now", target="later")
    db = sqlite3.connect(shop.path)
    assert db.execute("SELECT key, shelf FROM part").fetchall() == [("R-4k7", "")]
    assert db.execute("SELECT part_id, alias FROM part_alias").fetchall() == [(1, "4k7")]
    assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    db.close()
    assert [proof.name for proof in check(shop) if not proof.holds] == ["schema"]  # it is newer than this program


def test_a_migration_that_orphans_a_row_is_taken_back(shop: Workshop, later: Path) -> None:
    fill(shop)
    shop.close()
    before = contents(shop.path)
    write_later(later, "op.execute('DELETE FROM part')")
    with pytest.raises(StoreFault, match=r"A row of part_alias would refer to a row of part that is not there\."):
        migrate.bring_up_to_date(shop.path, HEAD, stamp="now", target="later")
    assert contents(shop.path) == before


def test_a_copy_of_a_workshop_is_a_workshop(shop: Workshop, tmp_path: Path) -> None:
    fill(shop)
    copy_database(shop.path, tmp_path / "copy.db")
    assert revision_of(tmp_path / "copy.db") == HEAD
    with action(open_workshop(tmp_path / "copy.db"), "Take out a line") as work:
        assert work.get(Line, 1) is None
