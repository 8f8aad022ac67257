"""Every benchmark runs on a tiny workshop, and ours says the same as what it is raced against."""

from __future__ import annotations

import sqlite3
from contextlib import ExitStack
from pathlib import Path

import pytest

from buildbook.store.checkup import check
from buildbook.store.workshop import Workshop
from tests.bench import huge, race
from tests.bench.filling import DEEP, Size
from tests.bench.race import Ground, Outcome, Race
from tests.bench.run import RACES

TINY = 0.02


@pytest.fixture
def ground(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, tiny: Path) -> Ground:
    """A place for a trial on the tiny workshop."""
    monkeypatch.setattr(race, "huge_workshop", lambda _scale: tiny)
    return Ground(tmp_path, TINY, ExitStack(), trial=True)


@pytest.fixture(scope="module")
def tiny(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tiny workshop, with nothing on the shelf: what stands ready-made is more than a bare statement knows of."""
    path = tmp_path_factory.mktemp("bench") / "tiny.db"
    huge.fill(path, scale=TINY)
    db = sqlite3.connect(path)
    db.execute("UPDATE assembly SET ready_made = 0")
    db.commit()
    db.close()
    return path


@pytest.mark.process
@pytest.mark.parametrize("name", RACES)
def test_each_benchmark_runs_and_both_sides_agree(name: str, ground: Ground) -> None:
    with ground.closing:
        made = RACES[name](ground)
        ours, baseline = made.ours(), made.baseline()
        assert made.agree is None or made.agree(ours, baseline)
        assert ours
        assert baseline or name in ("version", "help")


def test_those_that_can_be_compared_are(ground: Ground) -> None:
    with ground.closing:
        silent = {name for name, make in RACES.items() if make(ground).agree is None}
    assert silent == {"version", "help", "cost", "cost-at-units"}


def test_the_generated_workshop_is_whole_but_for_the_journal(tiny: Path) -> None:
    shop = Workshop(tiny)
    proofs = check(shop)
    shop.close()
    # Nothing was journalled, so nothing can be proved of where the rows come from.
    assert [proof.name for proof in proofs if not proof.holds] == ["history"]


def test_the_same_seed_makes_the_same_workshop(tmp_path: Path, tiny: Path) -> None:
    again = tmp_path / "again.db"
    huge.fill(again, scale=TINY)
    for table in ("line", "contains", "movement", "balance", "holding", "offer_break", "build"):
        assert rows_of(again, table) == rows_of(tiny, table)


def test_the_size_of_the_huge_workshop_is_as_promised() -> None:
    size = Size.at(1)
    assert (size.projects, size.assemblies, size.lines, size.parts) == (200, 2_000, 100_000, 20_000)
    assert (size.movements, size.offers) == (500_000, 40_000)


def test_the_workshop_has_what_makes_the_questions_hard(tiny: Path) -> None:
    db = sqlite3.connect(tiny)
    count = {
        what: db.execute(f"SELECT count(*) FROM {what}").fetchone()[0]
        for what in (
            "stand_in",
            "holding WHERE fitted > 0",
            "holding WHERE kitted > 0",
            "purchase_line WHERE qty > received_qty",
            "line WHERE option_id IN (SELECT id FROM choice_option WHERE chosen = 0)",
            "contains WHERE option_id IS NOT NULL",
            "worth WHERE unpriced_qty > 0",
        )
    }
    depth = db.execute("""
        WITH RECURSIVE down (id, depth) AS (
            SELECT assembly_id, 1 FROM build
            UNION SELECT c.child_id, d.depth + 1 FROM down AS d JOIN contains AS c ON c.parent_id = d.id
        )
        SELECT max(depth) FROM down
    """).fetchone()[0]
    db.close()
    assert all(count.values()), count
    assert depth >= DEEP


def test_a_race_is_run_in_turns_and_judged_by_its_medians() -> None:
    order: list[str] = []
    made = Race("this", "that", 2, lambda: order.append("ours"), lambda: order.append("baseline"))
    race.run(made, 3)
    assert order == ["ours", "baseline", *["baseline", "ours"] * 3]
    assert Outcome(made, ours_s=2.0, baseline_s=1.0).met
    assert not Outcome(made, ours_s=2.1, baseline_s=1.0).met


def rows_of(path: Path, table: str) -> list[tuple[object, ...]]:
    db = sqlite3.connect(path)
    found = db.execute(f"SELECT * FROM {table} ORDER BY 1, 2, 3").fetchall()
    db.close()
    return found
