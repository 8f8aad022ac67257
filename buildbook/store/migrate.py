"""Bringing a workshop file up to date: a new one is made, an older one is backed up first, a newer one is refused."""

from __future__ import annotations

import contextlib
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy.exc import DatabaseError

from buildbook.errors import StoreFault
from buildbook.store.backup import copy_database
from buildbook.store.engine import make_engine
from buildbook.store.workshop import BUSY_MS, HEAD, fault, faults_named


def migrations_folder() -> Path:
    """Where the migrations lie: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    shipped = package / "_migrations"
    return shipped if shipped.is_dir() else package.parent / "migrations"


def configuration() -> Config:
    """Alembic's configuration, without an ini file."""
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    return config


def known_revisions() -> list[str]:
    """Every migration of this program, oldest first."""
    walk = ScriptDirectory.from_config(configuration()).walk_revisions()
    return [script.revision for script in reversed(list(walk))]


def bring_up_to_date(path: Path, revision: str | None, *, stamp: str, target: str = HEAD) -> Path | None:
    """Run the migrations that are missing; return the backup made before, if there was anything to back up."""
    if revision is not None and revision not in known_revisions():
        raise StoreFault(
            f"The workshop {path} is from a newer Buildbook.",
            f"It stands at migration {revision}, this program knows up to {HEAD}.",
            "Update Buildbook; nothing was changed.",
        )
    backup = None
    if revision is not None:
        backup = path.with_name(f"{path.stem}-before-{target}-{stamp}.db")
        copy_database(path, backup)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        run(path, target)
    except OSError as error:
        raise StoreFault(
            f"The workshop {path} could not be made.", f"{error.strerror}.", "Name another place with --db."
        ) from error
    except DatabaseError as error:
        raise fault(path, error.orig or error) from error
    return backup


def run(path: Path, target: str, *, down: bool = False) -> None:
    """Walk the file's schema to `target` in one transaction."""
    engine = make_engine(path, BUSY_MS)
    try:
        # A table that others refer to is changed by making it anew. SQLite allows that only with its references
        # unwatched, which must be said before the transaction begins; so they are proved before it ends.
        with faults_named(path), contextlib.closing(engine.raw_connection()) as raw:
            raw.cursor().execute("PRAGMA foreign_keys = OFF")
        with engine.begin() as connection:
            config = configuration()
            config.attributes["connection"] = connection
            (command.downgrade if down else command.upgrade)(config, target)
            orphan = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
            if orphan is not None:
                raise StoreFault(
                    f"The workshop {path} was not brought up to date.",
                    f"A row of {orphan[0]} would refer to a row of {orphan[2]} that is not there.",
                    "Nothing was changed; run `buildbook workshop check`.",
                )
    finally:
        with contextlib.suppress(DatabaseError):
            engine.dispose()
