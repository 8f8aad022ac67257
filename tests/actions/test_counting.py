"""What builds, trees and lists multiply to stays a whole number that the store can hold."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, lists, stores, tree
from buildbook.actions.counting import COUNT_AT_MOST, LINE_AT_MOST, LOSS_AT_MOST_BP, UNITS_AT_MOST
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.difference import ListLine, difference
from buildbook.reckon.explode import Contains, Demand, explode, line_need
from buildbook.store.read import standing

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda shop: boards.new_project(shop, "WREN", units=UNITS_AT_MOST + 1),
        lambda shop: boards.new_build(shop, "TWO", "IF", UNITS_AT_MOST + 1),
        lambda shop: boards.change_build(shop, "CURLEW", units=UNITS_AT_MOST + 1),
        lambda shop: boards.put_inside(shop, "CURLEW", "IF", COUNT_AT_MOST + 1),
        lambda shop: boards.set_ready_made(shop, "IF", COUNT_AT_MOST + 1),
        lambda shop: lists.add_line(shop, "IF", "R-4K7", LINE_AT_MOST + 1),
        lambda shop: lists.change_line(shop, "IF/R1", qty=LINE_AT_MOST + 1),
        lambda shop: lists.change_line(shop, 4, qty="2000 km"),
        lambda shop: lists.change_line(shop, "IF/R1", loss_bp=LOSS_AT_MOST_BP + 1),
        lambda shop: lists.apply_list(shop, "IF", difference([], [ListLine(None, 1, LINE_AT_MOST + 1)])),
    ],
)
def test_absurd_numbers_are_refused(curlew: Workshop, dump: Dump, wrong: Callable[[Workshop], object]) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput):
        wrong(curlew)
    assert dump(curlew) == before


def test_a_tree_that_multiplies_beyond_a_million_is_refused(curlew: Workshop, dump: Dump) -> None:
    boards.new_assembly(curlew, "CURLEW", "COIL", inside="IF", qty=1000)
    boards.put_inside(curlew, "CURLEW", "IF", 1000)
    before = dump(curlew)
    for wrong in (
        lambda: boards.change_build(curlew, "CURLEW", units=2),
        lambda: boards.new_build(curlew, "TWO", "CURLEW", 2),
        lambda: boards.put_inside(curlew, "IF", "COIL", 1001),
        lambda: boards.put_inside(curlew, "CURLEW", "COIL", 1),
        lambda: boards.new_assembly(curlew, "CURLEW", "CORE", inside="COIL", qty=2),
    ):
        with pytest.raises(Forbidden) as refused:
            wrong()
        assert "would need too much for CURLEW/CO" in refused.value.why
    with pytest.raises(Forbidden) as refused:
        tree.copy_assembly(curlew, "IF", "CURLEW", "IF-B")
    assert refused.value.why == (
        "Build CURLEW would need too much for CURLEW/COIL: 1,001,000 of it, and there may be 1,000,000."
    )
    assert dump(curlew) == before


def test_a_line_that_nobody_could_count_is_refused(curlew: Workshop, dump: Dump) -> None:
    boards.put_inside(curlew, "CURLEW", "IF", 10_000)
    before = dump(curlew)
    for wrong in (
        lambda: lists.add_line(curlew, "IF", "WIRE-RED", LINE_AT_MOST, loss_bp=1),
        lambda: lists.change_line(curlew, 4, qty=LINE_AT_MOST, loss_bp=1),
        lambda: lists.apply_list(curlew, "IF", difference([], [ListLine(None, 1, LINE_AT_MOST, loss_bp=1)])),
    ):
        with pytest.raises(Forbidden) as refused:
            wrong()
        assert refused.value.why == (
            "Build CURLEW would need too much for CURLEW/IF: more for one line than can be counted."
        )
    assert dump(curlew) == before
    lists.change_line(curlew, 4, qty=LINE_AT_MOST)
    with pytest.raises(Forbidden, match=r"more for one line than can be counted"):
        boards.change_build(curlew, "CURLEW", units=2)


@settings(deadline=None, max_examples=10)
@given(
    units=st.integers(1, UNITS_AT_MOST),
    inside=st.integers(1, COUNT_AT_MOST),
    rows=st.lists(st.tuples(st.integers(1, LINE_AT_MOST), st.integers(0, LOSS_AT_MOST_BP)), min_size=1, max_size=3),
)
def test_what_is_let_in_is_counted_exactly(
    template: Path, units: int, inside: int, rows: list[tuple[int, int]]
) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "workshop.db"
        copyfile(template, path)
        shop = Workshop(path)
        boards.new_project(shop, "P", units=units)
        boards.new_assembly(shop, "P", "A")
        stores.new_part(shop, "W", unit="mm")
        with suppress(Forbidden):
            boards.put_inside(shop, "P", "A", inside)
        for qty, loss in rows:
            with suppress(Forbidden):
                lists.add_line(shop, "A", "W", qty, loss_bp=loss)
        links = [Contains(*link) for link in standing.links(shop.reads)]
        made = explode([Demand(1, 1, units)], links).net
        lines = shop.reads.execute("SELECT assembly_id, qty, loss_bp FROM line").fetchall()
        counts = [(0, 1, assembly, count) for (_, assembly), count in made.items()]
        needs = standing.needs_by_part(shop.reads, counts)
        want = sum(line_need(made[1, assembly], qty, loss) for assembly, qty, loss in lines)
        assert [(type(one.need), one.need) for one in needs] == ([(int, want)] if lines else [])
        shop.close()
