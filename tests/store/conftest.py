"""A small workshop with something in it, and a way to meddle with its file behind the program's back."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from buildbook.store.journal import action
from buildbook.store.tables import Assembly, Bin, Build, Line, Part, Project
from buildbook.store.workshop import Workshop

Meddle = Callable[..., None]


@pytest.fixture
def wren(shop: Workshop) -> Workshop:
    """The Wren signal tracer: parts 1 to 3, bins 1 to 3, line n of board 1 asks for part n, build 1 makes one of it."""
    with action(shop, "Draw the Wren") as work:
        work.add(Project(code="WREN"))
        work.insert_many(Part, [{"key": key} for key in ("R-4k7", "C-100n", "BC547B")])
        work.insert_many(Bin, [{"name": name} for name in ("A1", "A2", "B1")])
        work.flush()
        work.add(Assembly(project_id=1, code="PROBE"))
        work.flush()
        work.insert_many(Line, [{"assembly_id": 1, "part_id": part, "qty": 2} for part in (1, 2, 3)])
        work.add(Build(code="WREN-1", project_id=1, assembly_id=1))
    return shop


@contextmanager
def opened(shop: Workshop) -> Iterator[sqlite3.Connection]:
    db = sqlite3.connect(shop.path)
    try:
        yield db
        db.commit()
    finally:
        db.close()


@pytest.fixture
def meddle() -> Meddle:
    """Runs statements on a workshop's file with a connection that knows no rules."""

    def run(shop: Workshop, *statements: str) -> None:
        with opened(shop) as db:
            db.execute("PRAGMA ignore_check_constraints = ON")
            for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
                if any(name.removesuffix("_no_update").removesuffix("_no_delete") in words for words in statements):
                    kept = db.execute("SELECT sql FROM sqlite_master WHERE name = ?", (name,)).fetchone()[0]
                    db.execute(f"DROP TRIGGER {name}")
                    statements = (*statements, kept)
            for words in statements:
                db.execute(words)

    return run
