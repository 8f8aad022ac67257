"""How fast things are written: one journalled action, and a long list, against writing the bare rows."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import count
from pathlib import Path

from sqlalchemy import insert
from sqlmodel import Session

from buildbook.actions.boards import new_assembly, new_project
from buildbook.actions.stores import new_bin
from buildbook.exchange.boards import apply, prepare
from buildbook.store.journal import table_of
from buildbook.store.tables import Bin, Line
from buildbook.store.workshop import Workshop
from tests.bench.race import Ground, Race

ACTIONS = 50
ROUNDS = 30


def writable(ground: Ground, name: str) -> Workshop:
    """A copy of the workshop to write to."""
    shop = Workshop(ground.workshop_copy(name))
    ground.closing.callback(shop.close)
    return shop


def one_action(ground: Ground) -> Race:
    """Journalled actions of one row each, against bare transactions of one row: 0.5 times the rate is 2 times the time.

    Both take the same engine, so that both are as durable: in the write-ahead log, and synced with every commit.
    """
    ours, bare = writable(ground, "actions"), writable(ground, "bare")
    numbers = count(1)

    def act() -> int:
        for _ in range(ACTIONS):
            new_bin(ours, f"N{next(numbers)}")
        return bins(ours)

    def insert_bare() -> int:
        for _ in range(ACTIONS):
            with Session(bare.engine) as session:
                session.add(Bin(name=f"N{next(numbers)}"))
                session.commit()
        return bins(bare)

    return Race(
        f"{ACTIONS} journalled actions of one row",
        "bare SQLModel transactions of one row, as durable",
        2,
        act,
        insert_bare,
        lambda mine, theirs: bool(mine == theirs),
    )


def bins(shop: Workshop) -> int:
    """How many bins there are."""
    return int(shop.reads.execute("SELECT count(*) FROM bin").fetchone()[0])


def import_list(ground: Ground) -> Race:
    """A parts list of as many rows as there are parts: understood, matched and journalled, against the bare rows."""
    import pandas as pd

    ours, bare = writable(ground, "import"), writable(ground, "insert")
    path = ground.folder / "list.csv"
    rows = write_list(ours, path)
    fresh_ours, fresh_bare = assemblies(ours), assemblies(bare)
    numbers: dict[str, int] = dict(bare.reads.execute("SELECT key, id FROM part"))

    def take_in() -> int:
        number, name = next(fresh_ours)
        apply(ours, prepare(ours, path, name))
        return lines_of(ours, number)

    def insert_bare() -> int:
        number, _ = next(fresh_bare)
        frame = pd.read_csv(path)
        listed = zip(frame["Part"], frame["Qty"], frame["Ref"], strict=True)
        values = [
            {"assembly_id": number, "part_id": numbers[part], "position": place, "qty": int(qty), "refs": refs}
            for place, (part, qty, refs) in enumerate(listed)
        ]
        with bare.engine.begin() as connection:
            connection.execute(insert(table_of(Line)), [{**LINE, **one} for one in values])
        return lines_of(bare, number)

    return Race(
        f"import of {rows:,} CSV rows, matched and journalled",
        "pandas reads it, one bulk insert of the same rows",
        3,
        take_in,
        insert_bare,
        lambda mine, theirs: bool(mine == theirs == rows),
    )


LINE = {"fitted": 1, "loss_bp": 0, "option_id": None, "note": ""}


def write_list(shop: Workshop, path: Path) -> int:
    """Write a list that names every part of the workshop once; return how many rows it has."""
    found = shop.reads.execute("SELECT key FROM part WHERE unit = 'pc' ORDER BY id").fetchall()
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["Ref", "Qty", "Part"])
        writer.writerows([f"X{place}", 1, key] for place, (key,) in enumerate(found, 1))
    return len(found)


def assemblies(shop: Workshop) -> Iterator[tuple[int, str]]:
    """Empty assemblies, one for each round: number and name."""
    new_project(shop, "LISTS")
    names = [new_assembly(shop, "LISTS", f"L{place}") for place in range(ROUNDS)]
    found = shop.reads.execute("SELECT id FROM assembly ORDER BY id DESC LIMIT ?", (ROUNDS,)).fetchall()
    return iter([(number, name) for (number,), name in zip(reversed(found), names, strict=True)])


def lines_of(shop: Workshop, assembly: int) -> int:
    """How many lines an assembly has."""
    return int(shop.reads.execute("SELECT count(*) FROM line WHERE assembly_id = ?", (assembly,)).fetchone()[0])
