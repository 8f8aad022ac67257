"""Backups while the workshop is in use, and putting one back."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from buildbook.errors import BadInput, StoreFault
from buildbook.store.workshop import HEAD, Workshop, connect_for_reading, faults_named, revision_of


def copy_database(source: Path, target: Path) -> None:
    """Copy a database with SQLite's online backup, complete at one moment even while others write."""
    reading = connect_for_reading(source)
    try:
        with faults_named(target):
            writing = sqlite3.connect(target)
            try:
                reading.backup(writing)
            finally:
                writing.close()
    finally:
        reading.close()


def back_up(shop: Workshop, target: Path) -> int:
    """Write a backup to `target`, prove that it can be read, and return its size in bytes.

    Raises BadInput when `target` exists, StoreFault when it cannot be written.
    """
    if target.exists():
        raise BadInput(f"The backup {target} was not written.", "A file of that name exists.", "Choose another name.")
    if not target.absolute().parent.is_dir():
        raise BadInput(f"The backup {target} was not written.", "Its folder does not exist.", "Make the folder first.")
    unfinished = target.with_name(target.name + ".unfinished")
    try:
        copy_database(shop.path, unfinished)
        prove_readable(unfinished)
        os.replace(unfinished, target)
    except OSError as error:
        raise StoreFault(
            f"The backup {target} was not written.", f"{error.strerror}.", "Choose another place."
        ) from error
    finally:
        unfinished.unlink(missing_ok=True)
    return target.stat().st_size


def put_back(shop: Workshop, source: Path) -> Path:
    """Replace the workshop's contents by those of a backup; return where the contents replaced were kept.

    Raises StoreFault when `source` is no sound workshop of this version, before anything is touched.
    """
    revision = revision_of(source)
    if revision is None:
        raise BadInput(f"The backup {source} was not put back.", "There is no such file.", "Check its name.")
    if revision != HEAD:
        raise StoreFault(
            f"The backup {source} was not put back.",
            f"It stands at migration {revision}, not {HEAD}.",
            "Open it once with --db, which brings it up to date.",
        )
    prove_readable(source)
    kept = free_name(shop.path.with_name(f"{shop.path.stem}-before-restore.db"))
    copy_database(shop.path, kept)
    shop.close()
    copy_database(source, shop.path)
    return kept


def prove_readable(path: Path) -> None:
    """Raise StoreFault unless SQLite finds the whole file sound."""
    connection = connect_for_reading(path)
    try:
        with faults_named(path):
            verdict = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    finally:
        connection.close()
    if verdict != "ok":
        raise StoreFault(f"{path} is damaged.", f"SQLite says: {verdict}.", "Use another backup.")


def free_name(path: Path) -> Path:
    """`path`, or the first of its numbered neighbours that does not exist."""
    number = 2
    name = path
    while name.exists():
        name = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return name
