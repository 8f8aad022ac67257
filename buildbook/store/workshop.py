"""One file is one workshop: where it is, how it is opened, and the plain connection that answers read from."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.errors import BadInput, Damaged, StoreFault

if TYPE_CHECKING:
    from sqlalchemy import Engine

# The newest migration; a test holds it against the migrations folder, so that a read needs no Alembic.
HEAD = "0007"
# "BBws" in ASCII, in the header of the file: tells a workshop from any other SQLite database.
APPLICATION_ID = 0x42427773
BUSY_MS = 5000
# STRICT tables came with 3.37, the ->> operator with 3.38 (SQLite release history).
SQLITE_NEEDED = (3, 38, 0)
# No SQLite database that holds anything is smaller than one page of the least size (SQLite file format, 1.3.2).
SMALLEST_PAGE = 512


def utc_now() -> datetime:
    """The clock of everyday use; tests bring their own."""
    return datetime.now(UTC)


def default_place() -> Path:
    """Where the workshop lies when nobody says otherwise: the user's data folder."""
    from platformdirs import user_data_path

    return user_data_path("buildbook", appauthor=False) / "workshop.db"


def demo_place() -> Path:
    """Where the demo workshop lies: beside the user's own, never in it."""
    return default_place().with_name("demo.db")


class Workshop:
    """An open workshop: `reads` for answers; writing goes through `journal.action` only.

    `busy_ms` is how long to wait for another program's write, in milliseconds. A workshop that is thrown away unless it
    is finished need not be `durable` on the way; every other one has each action on the disk before it goes on.
    """

    def __init__(
        self,
        path: Path,
        *,
        clock: Callable[[], datetime] = utc_now,
        busy_ms: int = BUSY_MS,
        durable: bool = True,
    ) -> None:
        self.path = path
        self.clock = clock
        self.busy_ms = busy_ms
        self.durable = durable
        self._reads: sqlite3.Connection | None = None
        self._engine: Engine | None = None

    @property
    def reads(self) -> sqlite3.Connection:
        """The connection for answers. It refuses every write."""
        if self._reads is None:
            self._reads = connect_for_reading(self.path, self.busy_ms)
        return self._reads

    @property
    def engine(self) -> Engine:
        """The SQLAlchemy engine of the write side, made when first needed."""
        if self._engine is None:
            from buildbook.store.engine import make_engine

            self._engine = make_engine(self.path, self.busy_ms, durable=self.durable)
        return self._engine

    def now(self) -> str:
        """This moment as the store writes it: UTC, ISO 8601, milliseconds."""
        return self.clock().astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def close(self) -> None:
        """Let go of the file."""
        if self._reads is not None:
            self._reads.close()
            self._reads = None
        if self._engine is not None:
            self._engine.dispose()
            self._engine = None


def connect_for_reading(path: Path, busy_ms: int = BUSY_MS) -> sqlite3.Connection:
    """A connection that cannot write; a file in a folder that cannot be written is still read."""
    with faults_named(path):
        writable = os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)
        # Where nothing may be written, nobody can be writing either, unless a log of writes lies beside the file.
        logged = path.with_name(f"{path.name}-wal").exists()
        query = "mode=rw" if writable else "mode=ro" if logged else "mode=ro&immutable=1"
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?{query}",
            uri=True,
            isolation_level=None,
            check_same_thread=False,
            timeout=busy_ms / 1000,
        )
        connection.execute("PRAGMA query_only = ON")
        return connection


def revision_of(path: Path, busy_ms: int = BUSY_MS) -> str | None:
    """The migration that the file stands at; None when there is no file yet.

    Raises StoreFault when the file is something else than a workshop, Damaged when it can no longer be read as one.
    """
    size = size_of(path)
    if size == 0:
        return None
    if size < SMALLEST_PAGE:
        raise Damaged(f"{path} is not a workshop file.", "It is not an SQLite database.", "Name another with --db.")
    connection = connect_for_reading(path, busy_ms)
    try:
        with faults_named(path):
            if connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0:
                return None  # Nothing in it: it was being made, and something broke off before the first table.
            if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                raise StoreFault(
                    f"{path} is not a workshop file.",
                    "It is a database of another program.",
                    "Name another with --db.",
                )
            row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except StoreFault as error:
        if isinstance(error.__cause__, sqlite3.Error) and "not a database" in str(error.__cause__):
            why = "It is not an SQLite database."
            raise Damaged(f"{path} is not a workshop file.", why, "Name another with --db.") from error
        raise
    finally:
        connection.close()
    if row is None:
        raise Damaged(
            f"The workshop {path} could not be used.",
            "It does not say at which migration it stands.",
            "Restore the last backup with `buildbook workshop restore`.",
        )
    return str(row[0])


def size_of(path: Path) -> int:
    """How many bytes the file has, 0 when there is none. Raises StoreFault for a folder, a pipe or a device.

    The file is never opened but by SQLite: closing it otherwise would take away the locks that this process holds on it
    (POSIX advisory locks; "How To Corrupt An SQLite Database File", section 2.2), and another program would then clear
    the log of changes under our feet.
    """
    try:
        found = path.stat()
    except FileNotFoundError:
        return 0
    except OSError as error:
        raise StoreFault(
            f"{path} cannot be opened.", f"{error.strerror}.", "Check its path, and who may read it."
        ) from error
    if stat.S_ISDIR(found.st_mode):
        raise StoreFault(f"{path} is not a workshop file.", "It is a folder.", "Name a file inside it with --db.")
    if not stat.S_ISREG(found.st_mode):
        raise StoreFault(f"{path} is not a workshop file.", "It is a pipe or a device.", "Name a file with --db.")
    return found.st_size


def open_workshop(
    path: Path,
    *,
    create: bool = True,
    clock: Callable[[], datetime] = utc_now,
    busy_ms: int = BUSY_MS,
    durable: bool = True,
) -> Workshop:
    """Open the workshop at `path`, making it when it is not there and bringing it up to date when it is older.

    Raises StoreFault when it is no workshop, damaged, locked, read-only and old, or from a newer program.
    """
    if sqlite3.sqlite_version_info < SQLITE_NEEDED:
        needed = ".".join(map(str, SQLITE_NEEDED))
        raise StoreFault(
            "No workshop can be opened.",
            f"This Python brings SQLite {sqlite3.sqlite_version}, and {needed} is needed.",
            "Use a newer Python.",
        )
    revision = revision_of(path, busy_ms)
    if revision is None and not create:
        raise BadInput(
            f"There is no workshop at {path}.",
            "",
            "Make one with `buildbook demo` or `buildbook boards new`.",
        )
    if revision != HEAD:
        from buildbook.store.migrate import bring_up_to_date

        bring_up_to_date(path, revision, stamp=clock().astimezone(UTC).strftime("%Y%m%d-%H%M%S"))
    return Workshop(path, clock=clock, busy_ms=busy_ms, durable=durable)


@contextmanager
def faults_named(path: Path) -> Iterator[None]:
    """Turn what SQLite says of a file in trouble into one sentence each of what, why and what to do."""
    try:
        yield
    except sqlite3.Error as error:
        raise fault(path, error) from error


def fault(path: Path, error: BaseException) -> StoreFault:
    """The StoreFault for what SQLite raised."""
    said = str(error).lower()
    for sign, why, mend in FAULTS:
        if sign in said:
            kind = Damaged if sign in DAMAGE else StoreFault
            return kind(f"The workshop {path} could not be used.", why, mend)
    return StoreFault(
        f"The workshop {path} could not be used.", f"SQLite says: {error}.", "Run `buildbook workshop check`."
    )


FAULTS = (
    ("locked", "Another program is writing to it.", "Nothing was written; try again in a moment."),
    ("readonly", "It may only be read.", "Nothing was written; check who may write the file and its folder."),
    (
        "read-only",
        "It may only be read.",
        "Nothing was written; check who may write the file and its folder.",
    ),
    (
        "malformed",
        "A page of the file is damaged.",
        "Keep the file, then `buildbook workshop restore` the last backup.",
    ),
    (
        "not a database",
        "It is not an SQLite database or is damaged.",
        "Name another with --db, or restore a backup.",
    ),
    ("full", "The disk is full.", "Nothing was written; make room and do it again."),
    (
        "disk i/o",
        "The disk refused to read or write.",
        "Nothing was written; check the disk and its free space.",
    ),
    (
        "no such module",
        "This Python brings an SQLite without full-text search (FTS5).",
        "Nothing was written; use another Python.",
    ),
    ("unable to open", "It cannot be opened.", "Check that its folder exists and who may write there."),
    (
        "no such table",
        "Tables are missing from it.",
        "Restore the last backup with `buildbook workshop restore`.",
    ),
)
DAMAGE = ("malformed", "not a database", "no such table")
