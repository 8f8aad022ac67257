"""Backups while the workshop is in use, and putting one back."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from buildbook.errors import BadInput, Damaged, StoreFault
from buildbook.store.files import bring_along
from buildbook.store.workshop import HEAD, Workshop, connect_for_reading, faults_named, revision_of


def copy_database(source: Path, target: Path) -> None:
    """Copy a database with SQLite's online backup, complete at one moment even while others write."""
    reading = connect_for_reading(source)
    try:
        with faults_named(target):
            writing = sqlite3.connect(target)
            try:
                reading.backup(writing, progress=_stop_when_busy)
            finally:
                writing.close()
    finally:
        reading.close()


def _stop_when_busy(status: int, _left: int, _pages: int) -> None:
    """Give up on a target that another program goes on writing to, where Python would try for ever."""
    if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        raise sqlite3.OperationalError("database is locked")


def back_up(shop: Workshop, target: Path) -> int:
    """Write a backup to `target`, prove that it can be read, and return its size in bytes.

    Attached files come along into a folder of their own beside it.

    Raises BadInput when `target` exists, StoreFault when it cannot be written.
    """
    if target.exists():
        raise BadInput(f"The backup {target} was not written.", "A file of that name exists.", "Choose another name.")
    if not target.absolute().parent.is_dir():
        raise BadInput(f"The backup {target} was not written.", "Its folder does not exist.", "Make the folder first.")
    unfinished = target.with_name(target.name + ".unfinished")
    try:
        copy_database(shop.path, unfinished)
        prove_readable(unfinished, copy_of=shop.path)
        bring_along(shop.path, target)
        os.replace(unfinished, target)
    except OSError as error:
        raise StoreFault(
            f"The backup {target} was not written.", f"{error.strerror}.", "Choose another place."
        ) from error
    finally:
        unfinished.unlink(missing_ok=True)
    return target.stat().st_size


def put_back(shop: Workshop, source: Path) -> Path | None:
    """Replace the workshop's contents by those of a backup; return where the contents replaced were kept, if any.

    A damaged workshop is replaced, too. Raises StoreFault when `source` is no sound workshop of this version, or when
    another program's file would be replaced, before anything is touched.
    """
    revision = revision_of(source)
    if revision is None:
        why = "There is nothing in it." if source.exists() else "There is no such file."
        raise BadInput(f"The backup {source} was not put back.", why, "Check its name.")
    if revision != HEAD:
        raise StoreFault(
            f"The backup {source} was not put back.",
            f"It stands at migration {revision}, not {HEAD}.",
            "Open it once with --db, which brings it up to date.",
        )
    prove_readable(source)
    shop.close()
    kept = _keep(shop.path)
    if kept:
        bring_along(shop.path, kept)
    bring_along(source, shop.path)
    copy_database(source, shop.path)
    return kept


def _keep(path: Path) -> Path | None:
    """Copy the workshop aside; when it is too damaged to be read as one, move it there as it is. Say where it is."""
    kept = free_name(path.with_name(f"{path.stem}-before-restore.db"))
    try:
        if revision_of(path) is None:
            path.parent.mkdir(parents=True, exist_ok=True)
            return None
        copy_database(path, kept)
    except OSError as error:
        raise StoreFault(
            f"The workshop {path} could not be made.", f"{error.strerror}.", "Name another place with --db."
        ) from error
    except Damaged:
        for end in ("", "-wal", "-shm"):
            beside = path.with_name(path.name + end)
            if beside.exists():
                os.replace(beside, kept.with_name(kept.name + end))
    return kept


def prove_readable(path: Path, *, copy_of: Path | None = None) -> None:
    """Raise StoreFault, naming the file or what it is a copy of, unless SQLite finds all of it sound."""
    connection = connect_for_reading(path)
    try:
        with faults_named(path):
            verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    finally:
        connection.close()
    if verdict != "ok":
        said = verdict.splitlines()[-1]
        raise StoreFault(f"{copy_of or path} is damaged.", f"SQLite says: {said}.", "Use a backup that is whole.")


def free_name(path: Path) -> Path:
    """`path`, or the first of its numbered neighbours that does not exist."""
    number = 2
    name = path
    while name.exists():
        name = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return name
