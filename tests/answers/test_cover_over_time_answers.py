"""Cover over time: what lay of a part after each change, what is coming, and whether the builds have enough."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from buildbook.actions import buying, kits, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.cover_over_time import cover_over_time
from buildbook.cli.main import app
from buildbook.errors import BadInput, Forbidden

Walked = list[tuple[str, int, int]]


def walk(shop: Workshop, key: str) -> Walked:
    """The ledger read row by row: the moments at which what lies there was another afterwards than before."""
    rows = shop.reads.execute(
        "SELECT m.at, m.bin_qty FROM movement m JOIN part p ON p.id = m.part_id WHERE p.key = ? ORDER BY m.id", (key,)
    ).fetchall()
    found: Walked = []
    lies = before = 0
    for place, (at, qty) in enumerate(rows):
        lies += qty
        if place + 1 == len(rows) or rows[place + 1][0] != at:
            if lies != before:
                found.append((at, lies - before, lies))
            before = lies
    return found


def told(shop: Workshop, key: str) -> Walked:
    return [(row.at, row.change, row.on_hand) for row in cover_over_time(shop, key).rows]


def test_every_part_of_the_demo_tells_what_a_walk_through_the_ledger_tells(demo_to_read: Workshop) -> None:
    keys = [key for (key,) in demo_to_read.reads.execute("SELECT key FROM part ORDER BY id")]
    for key in keys[::3]:
        walked = walk(demo_to_read, key)
        assert told(demo_to_read, key) == walked
        assert cover_over_time(demo_to_read, key).on_hand == (walked[-1][2] if walked else 0)


@pytest.mark.parametrize("key", ["T-IFT-455", "SP-M3-10", "SC-M4X8", "R-4K7-0.6W", "BT-9V"])
def test_the_figures_balance(demo_to_read: Workshop, key: str) -> None:
    answer = cover_over_time(demo_to_read, key)
    assert answer.on_hand == answer.spoken_for + answer.free
    assert answer.wanted == answer.spoken_for + answer.short + sum(one.coming for one in answer.builds)
    lies = answer.on_hand
    for row in answer.arrivals:
        lies += row.qty
        assert row.then == lies


@contextmanager
def drawers(template: Path) -> Iterator[Workshop]:
    """A workshop with one part and two bins."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(shutil.copyfile(template, Path(folder) / "workshop.db"))
        shop = Workshop(path, durable=False)
        stores.new_part(shop, "R-4K7", kind="resistor", value="4k7")
        stores.new_bin(shop, "A1")
        stores.new_bin(shop, "A2")
        try:
            yield shop
        finally:
            shop.close()


DEEDS = st.lists(
    st.tuples(
        st.sampled_from(["receive", "count", "scrap", "move", "undo"]),
        st.sampled_from(["A1", "A2"]),
        st.integers(1, 9),
    ),
    max_size=8,
)


@settings(deadline=None, max_examples=12)
@given(deeds=DEEDS)
def test_whatever_is_done_the_levels_are_those_of_the_ledger(template: Path, deeds: list[tuple[str, str, int]]) -> None:
    with drawers(template) as shop:
        acts: dict[str, Callable[[str, int], object]] = {
            "receive": lambda bin, qty: stores.receive(shop, "R-4K7", bin, qty),
            "count": lambda bin, qty: stores.count(shop, "R-4K7", bin, qty),
            "scrap": lambda bin, qty: stores.scrap(shop, "R-4K7", bin, qty),
            "move": lambda bin, qty: stores.move(shop, "R-4K7", bin, "A2" if bin == "A1" else "A1", qty),
            "undo": lambda bin, qty: undo(shop) if shop.reads.execute("SELECT 1 FROM movement").fetchone() else None,
        }
        for what, bin, qty in deeds:
            try:
                acts[what](bin, qty)
            except (BadInput, Forbidden):
                continue
            if not shop.reads.execute("SELECT 1 FROM part").fetchone():
                return
        assert told(shop, "R-4K7") == walk(shop, "R-4K7")
        rows = cover_over_time(shop, "R-4K7").rows
        assert all(row.change for row in rows)
        assert [row.at for row in rows] == sorted(row.at for row in rows)


def test_what_only_moves_from_bin_to_bin_changes_nothing(wren: Workshop) -> None:
    stores.new_bin(wren, "B2")
    stores.move(wren, "R-4K7", "A1", "B2", 3)
    kits.kit_assembly(wren, "WREN", "AMP")
    kits.fit_lines(wren, "WREN", "AMP", refs="R1,R2")
    rows = cover_over_time(wren, "R-4K7").rows
    assert [(row.kind, row.change, row.on_hand) for row in rows] == [("received", 10, 10), ("kitted", -2, 8)]


def order(shop: Workshop, ref: str, qty: int, due: str) -> None:
    buying.place_order(shop, ref, "TERN", [OrderLine("T-OUT", qty)], placed_on="2024-03-01", due_on=due)


def test_nobody_wants_it_or_it_is_short_or_it_is_coming_or_it_is_there(wren: Workshop) -> None:
    assert cover_over_time(wren, "W-RED").sentence == "W-RED: none on hand, no build wants more of it."
    assert cover_over_time(wren, "R-4K7").sentence == "R-4K7: 10 on hand, 2 wanted, all of it there."
    answer = cover_over_time(wren, "T-OUT")
    assert answer.sentence == "T-OUT: none on hand, 1 wanted, 1 short."
    assert (answer.wanted, answer.short, answer.covered_on) == (1, 1, "")
    order(wren, "Q-1", 4, "2024-03-15")
    answer = cover_over_time(wren, "T-OUT")
    assert answer.sentence == "T-OUT: none on hand, 1 wanted, the last of it due 2024-03-15; 4 coming."
    assert (answer.wanted, answer.short, answer.covered_on) == (1, 0, "2024-03-15")


def test_without_a_day_it_is_not_known_when_it_is_enough(wren: Workshop) -> None:
    order(wren, "Q-1", 1, "")
    answer = cover_over_time(wren, "T-OUT")
    assert answer.sentence == "T-OUT: none on hand, 1 wanted, of which no day is known; 1 coming."
    assert answer.covered_on == ""
    assert [(row.due_on, row.overdue) for row in answer.arrivals] == [("", False)]


def test_what_is_coming_stands_by_its_day_and_adds_up(wren: Workshop) -> None:
    stores.receive(wren, "T-OUT", "A1", 5)
    order(wren, "Q-1", 4, "")
    order(wren, "Q-2", 3, "2024-03-20")
    order(wren, "Q-3", 2, "2024-02-20")
    answer = cover_over_time(wren, "T-OUT")
    assert [(row.order, row.supplier, row.overdue, row.then) for row in answer.arrivals] == [
        ("Q-3", "TERN", True, 7),
        ("Q-2", "TERN", False, 10),
        ("Q-1", "TERN", False, 14),
    ]


def test_the_moment_of_asking_is_never_before_the_last_change(wren: Workshop) -> None:
    wren.clock = lambda: datetime(2020, 1, 1, tzinfo=UTC)
    answer = cover_over_time(wren, "R-4K7")
    assert answer.asked_at == answer.rows[-1].at
    assert cover_over_time(wren, "W-RED").asked_at == "2020-01-01T00:00:00.000Z"


def test_an_unknown_part_is_refused(wren: Workshop) -> None:
    with pytest.raises(BadInput):
        cover_over_time(wren, "NO-SUCH")


def test_the_command_line_tells_the_same(wren: Workshop) -> None:
    order(wren, "Q-1", 4, "2024-03-15")
    stores.receive(wren, "T-OUT", "A1", 2)
    wren.close()

    def say(*words: str) -> str:
        result = CliRunner().invoke(app, ["stores", "cover", "T-OUT", *words], env={"BUILDBOOK_DB": str(wren.path)})
        assert result.exit_code == 0, result.output
        return str(result.stdout)

    plain = say().splitlines()
    found = json.loads(say("--json"))
    assert list(found)[:2] == ["sentence", "schema"]
    assert found["sentence"] == plain[0] == "T-OUT: 2 on hand, 1 wanted, all of it there; 4 coming."
    assert plain[3].split()[-3:] == ["received", "+2", "2"]
    assert plain[6].split() == ["2024-03-15", "overdue", "4", "6", "Q-1", "TERN"]
    assert plain[9].split() == ["WREN", "1", "1"]
