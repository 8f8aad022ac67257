"""The Curlew on the bench: an IF board with four lines, parts in three drawers, one order; and what stands written."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import boards, buying, checklists, checks, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop, set_setting

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]
Lying = Callable[[str, str], int]
Held = Callable[[str], tuple[int, int, int]]


@pytest.fixture
def curlew(tmp_path: Path, curlew_file: Path) -> Iterator[Workshop]:
    """The IF board wants three R-4K7 (R1 to R3), two C-100N (C1, C2), two IFT-455 (T1, T2) and 600 mm of red wire."""
    path = tmp_path / "curlew.db"
    shutil.copyfile(curlew_file, path)
    shop = Workshop(path, clock=ticking())
    yield shop
    shop.close()


def ticking() -> Callable[[], datetime]:
    """A clock that shows a second more each time."""
    seconds = count()
    return lambda: datetime(2026, 11, 2, 18, 0, tzinfo=UTC) + timedelta(seconds=next(seconds))


@pytest.fixture(scope="session")
def curlew_file(tmp_path_factory: pytest.TempPathFactory, template: Path) -> Path:
    """The file of that workshop, filled once; tests copy it and never open it."""
    path = tmp_path_factory.mktemp("curlew") / "curlew.db"
    shutil.copyfile(template, path)
    shop = Workshop(path, clock=ticking())
    fill(shop)
    shop.close()
    return path


def fill(shop: Workshop) -> None:
    """Draw the Curlew, fill three drawers, order what is missing."""
    set_setting(shop, "currency", "eur")
    boards.new_project(shop, "curlew", "Curlew receiver", target_on="2026-12-24")
    boards.new_assembly(shop, "CURLEW", "if", "IF board")
    boards.new_assembly(shop, "CURLEW", "AUDIO", "Audio board")
    for key, kind, value in (
        ("R-4K7", "resistor", "4k7"),
        ("R-4K7-CF", "resistor", "4k7"),
        ("C-100N", "capacitor", "100n"),
        ("IFT-455", "transformer", ""),
    ):
        stores.new_part(shop, key, kind=kind, value=value)
    stores.new_part(shop, "WIRE-RED", kind="wire", unit="mm")
    for name in ("A1", "A2", "B1"):
        stores.new_bin(shop, name)
    lists.add_line(shop, "IF", "R-4K7", refs="R1-R3")
    lists.add_line(shop, "IF", "C-100N", refs="C1,C2", loss_bp=5000)
    lists.add_line(shop, "IF", "IFT-455", refs="T1 T2")
    lists.add_line(shop, "IF", "WIRE-RED", "600 mm")
    stores.receive(shop, "R-4K7", "A1", 10, price_micros=20_000)
    stores.receive(shop, "R-4K7", "A2", 2)
    stores.receive(shop, "C-100N", "B1", 1, price_micros=150_000)
    stores.receive(shop, "WIRE-RED", "B1", "5 m", price_micros=300_000, per_qty=1000)
    stores.count(shop, "R-4K7-CF", "A2", 4)
    stores.allow_stand_in(shop, "R-4K7", "R-4K7-CF", "Carbon film will do here.")
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "Valve", "SILICON": "Silicon diodes"})
    checklists.add_steps(
        shop,
        "IF",
        [NewStep("Fit the resistors", 20), NewStep("Fit the coils", 30, after=(After("Fit the resistors"),))],
    )
    buying.new_supplier(shop, "QUAYSIDE", "Quayside Spares")
    buying.place_order(shop, "Q-1", "QUAYSIDE", [OrderLine("IFT-455", 3, 4_000_000), OrderLine("C-100N", 10, 1, 3)])


@pytest.fixture
def dump() -> Dump:
    """All that stands in the workshop but the ledger and the journal, which only grow."""

    def everything(shop: Workshop) -> dict[str, list[tuple[Any, ...]]]:
        # Nor the index of words, which has a proof of its own.
        statement = """
            SELECT name FROM pragma_table_list
             WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name
        """
        tables = [name for (name,) in shop.reads.execute(statement)]
        grows = ("movement", "journal_entry", "journal_change", "sqlite_sequence")
        return {
            name: sorted(shop.reads.execute(f"SELECT * FROM {name}"), key=repr) for name in tables if name not in grows
        }

    return everything


@pytest.fixture
def lying(curlew: Workshop) -> Lying:
    """How many of a part lie in a bin."""

    def many(part: str, place: str) -> int:
        statement = """
            SELECT coalesce(sum(b.qty), 0) FROM balance AS b JOIN part AS p ON p.id = b.part_id
              JOIN bin AS n ON n.id = b.bin_id WHERE p.key = ? AND n.name = ?
        """
        return int(curlew.reads.execute(statement, (part, place)).fetchone()[0])

    return many


@pytest.fixture
def held(curlew: Workshop) -> Held:
    """What the Curlew build holds of a part: kitted, fitted, lost."""

    def figures(part: str) -> tuple[int, int, int]:
        statement = """
            SELECT coalesce(sum(h.kitted), 0), coalesce(sum(h.fitted), 0), coalesce(sum(h.lost), 0)
              FROM holding AS h JOIN part AS p ON p.id = h.part_id JOIN build AS b ON b.id = h.build_id
             WHERE p.key = ? AND b.code = 'CURLEW'
        """
        row = curlew.reads.execute(statement, (part,)).fetchone()
        return int(row[0]), int(row[1]), int(row[2])

    return figures
