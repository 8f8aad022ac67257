"""Whatever is done, undone and done again, the file stays whole, and undoing it all leads back to the start."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from buildbook.errors import Forbidden
from buildbook.store.checkup import check
from buildbook.store.journal import Work, action, redo, undo
from buildbook.store.ledger import Move, post
from buildbook.store.tables import Bin, Line, Part, PartAlias
from buildbook.store.workshop import Workshop

START = Path(tempfile.gettempdir())  # set by the test below to an empty workshop

KEYS = st.sampled_from([f"P{n}" for n in range(6)])
NUMBERS = st.integers(1, 4)
QTY = st.integers(1, 9)
LIVE = """
    SELECT count(*) FROM journal_entry AS e
     WHERE kind = 'do' AND (SELECT count(*) FROM journal_entry AS t WHERE t.target_id = e.id) % 2 = 0
"""
LEFT = """
    SELECT part_id, bin_id, build_id, line_id FROM movement GROUP BY 1, 2, 3, 4
    HAVING sum(bin_qty) OR sum(kit_qty) OR sum(fit_qty) OR sum(lost_qty) OR sum(value_micros) OR sum(unpriced_qty)
"""


OWN = "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'"


def dump(shop: Workshop) -> dict[str, list[Any]]:
    """Every table, but those that only grow, and the index of words, which has a proof of its own."""
    tables = [row[0] for row in shop.reads.execute(OWN)]
    left_out = ("movement", "journal_entry", "journal_change", "sqlite_sequence")
    return {
        tab: sorted(shop.reads.execute(f"SELECT * FROM {tab}").fetchall(), key=repr)
        for tab in tables
        if tab not in left_out
    }


class AnyHistory(RuleBasedStateMachine):
    """Somebody at a bench who does whatever comes to mind; what is refused is left at that."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        shutil.copyfile(START, self.folder / "workshop.db")
        self.shop = Workshop(self.folder / "workshop.db")
        self.redoable: list[dict[str, list[Any]]] = []
        self.start = dump(self.shop)
        stock = [Move("received", part, part, 20, value_micros=part * 1001) for part in (1, 2, 3)]
        kits = [Move("kitted", n, n, -6, kit_qty=6, build_id=1, line_id=n) for n in (1, 2, 3)]
        self.try_to("Stock up and kit", lambda work: post(work, [*stock, *kits]))

    def try_to(self, title: str, write: Callable[[Work], object]) -> None:
        """Do it, if it is allowed; in any case nothing half done may stand there."""
        before, live = dump(self.shop), self.live()
        try:
            with action(self.shop, title) as work:
                write(work)
        except Forbidden:
            assert dump(self.shop) == before
        else:
            if self.live() > live:
                self.redoable = []
            else:
                assert dump(self.shop) == before

    @rule(key=KEYS)
    def add_part(self, key: str) -> None:
        self.try_to("Add a part", lambda work: work.add(Part(key=key)))

    @rule(number=NUMBERS, key=KEYS)
    def rename_part(self, number: int, key: str) -> None:
        def write(work: Work) -> None:
            part = work.get(Part, number)
            if part is not None:
                part.key = key
                work.add(PartAlias(part_id=number, alias=f"was once {key}"))

        self.try_to("Rename a part", write)

    @rule(number=NUMBERS, model=st.sampled_from([Part, Bin, Line, PartAlias]))
    def delete(self, number: int, model: type[Part | Bin | Line | PartAlias]) -> None:
        def write(work: Work) -> None:
            row = work.get(model, number)
            if row is not None:
                work.delete(row)

        self.try_to("Throw something out", write)

    @rule(names=st.lists(KEYS, min_size=1, max_size=4))
    def add_bins(self, names: list[str]) -> None:
        self.try_to("Add bins", lambda work: work.insert_many(Bin, [{"name": name} for name in names]))

    @rule(number=NUMBERS, name=KEYS)
    def rename_bin(self, number: int, name: str) -> None:
        def write(work: Work) -> None:
            place = work.get(Bin, number)
            if place is not None:
                place.name = name

        self.try_to("Rename a bin", write)

    @rule(part=NUMBERS, qty=QTY)
    def add_line(self, part: int, qty: int) -> None:
        self.try_to("Add a line", lambda work: work.add(Line(assembly_id=1, part_id=part, qty=qty)))

    @rule(moves=st.lists(st.tuples(NUMBERS, NUMBERS, QTY, st.none() | st.integers(0, 10_000)), min_size=1, max_size=4))
    def receive(self, moves: list[tuple[int, int, int, int | None]]) -> None:
        booked = [Move("received", part, place, qty, value_micros=value) for part, place, qty, value in moves]
        self.try_to("Receive", lambda work: post(work, booked))

    @rule(part=NUMBERS, place=NUMBERS, found=st.integers(0, 9))
    def count(self, part: int, place: int, found: int) -> None:
        lies = "SELECT coalesce(sum(qty), 0) FROM balance WHERE part_id = ? AND bin_id = ?"
        more = found - self.shop.reads.execute(lies, (part, place)).fetchone()[0]
        self.try_to("Count", lambda work: post(work, [Move("counted", part, place, more)]) if more else None)

    @rule(which=NUMBERS, line=NUMBERS, takings=st.lists(st.integers(-4, 6), min_size=1, max_size=4))
    def kit_and_return(self, which: int, line: int, takings: list[int]) -> None:
        part, place = self.pick("SELECT part_id, bin_id FROM balance", which)
        booked = [
            Move("kitted" if qty >= 0 else "returned", part, place, -qty, kit_qty=qty, build_id=1, line_id=line)
            for qty in takings
        ]
        self.try_to("Kit", lambda work: post(work, booked))

    @rule(which=NUMBERS, qty=st.integers(-2, 4))
    def fit(self, which: int, qty: int) -> None:
        part, line = self.pick("SELECT part_id, line_id FROM holding", which)
        move = Move("fitted", part, kit_qty=-qty, fit_qty=qty, build_id=1, line_id=line)
        self.try_to("Fit", lambda work: post(work, [move]))

    @rule(which=NUMBERS, qty=QTY)
    def scrap_from_bin(self, which: int, qty: int) -> None:
        part, place = self.pick("SELECT part_id, bin_id FROM balance", which)
        self.try_to("Scrap", lambda work: post(work, [Move("scrapped", part, place, -qty)]))

    @rule(which=NUMBERS, qty=QTY)
    def scrap_from_kit(self, which: int, qty: int) -> None:
        part, line = self.pick("SELECT part_id, line_id FROM holding", which)
        move = Move("scrapped", part, kit_qty=-qty, lost_qty=qty, build_id=1, line_id=line)
        self.try_to("Scrap", lambda work: post(work, [move]))

    @rule(which=NUMBERS, to=NUMBERS, qty=QTY)
    def move(self, which: int, to: int, qty: int) -> None:
        part, place = self.pick("SELECT part_id, bin_id FROM balance", which)
        moves = [Move("moved", part, place, -qty), Move("moved", part, to, qty)]
        self.try_to("Move", lambda work: post(work, moves))

    def pick(self, statement: str, which: int) -> tuple[int, int]:
        """One of the rows found, or numbers that perhaps mean something."""
        rows = self.shop.reads.execute(statement).fetchall()
        return rows[which % len(rows)] if rows else (which, which)

    @precondition(lambda self: self.live() > 1)
    @rule()
    def undo_one(self) -> None:
        self.redoable.append(dump(self.shop))
        undo(self.shop)

    @precondition(lambda self: self.redoable)
    @rule()
    def redo_one(self) -> None:
        redo(self.shop)
        assert dump(self.shop) == self.redoable.pop()

    @precondition(lambda self: not self.redoable)
    @rule()
    def redo_none(self) -> None:
        with pytest.raises(Forbidden, match=r"There is nothing to redo."):
            redo(self.shop)

    def live(self) -> int:
        """How many actions stand."""
        return int(self.shop.reads.execute(LIVE).fetchone()[0])

    @invariant()
    def the_file_is_whole(self) -> None:
        assert [proof for proof in check(self.shop) if not proof.holds] == []

    def teardown(self) -> None:
        """All the way back."""
        try:
            for _ in range(self.live() - 1):
                undo(self.shop)
            assert dump(self.shop) == self.start
            undo(self.shop)
            assert [tab for tab, rows in dump(self.shop).items() if rows] == ["alembic_version"]
            assert self.shop.reads.execute(LEFT).fetchall() == []
            self.the_file_is_whole()
        finally:
            self.shop.close()
            shutil.rmtree(self.folder)


def test_any_history_can_be_taken_back(wren: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    wren.close()
    monkeypatch.setitem(globals(), "START", wren.path)
    run_state_machine_as_test(
        AnyHistory,
        settings=settings(
            deadline=None, max_examples=20, stateful_step_count=20, suppress_health_check=list(HealthCheck)
        ),
    )
