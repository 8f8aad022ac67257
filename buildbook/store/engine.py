"""The write side's way into the file: durable, with foreign keys, one writer at a time."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import URL, Engine, create_engine, event
from sqlalchemy.pool import StaticPool


def make_engine(path: Path, busy_ms: int, *, durable: bool = True) -> Engine:
    """An engine on the file whose transactions take the write lock when they begin, so that none fails half-way.

    References are proved when a transaction ends, so that it may write rows in any order, and take them back in any.
    """
    engine = create_engine(
        URL.create("sqlite", database=str(path)),  # not a text: a name may hold a question mark
        poolclass=StaticPool,
        connect_args={"timeout": busy_ms / 1000, "check_same_thread": False, "isolation_level": None},
    )

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: Any) -> None:
        for pragma in ("foreign_keys = ON", "journal_mode = WAL", f"synchronous = {'FULL' if durable else 'OFF'}"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")

    return engine
