"""What may be kitted for a build without taking what is spoken for by one before it."""

from __future__ import annotations

import shutil
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import boards, kits, lists, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.buying import short
from buildbook.answers.reserve import left_in_words, reserve_of
from buildbook.errors import Forbidden
from buildbook.reckon.reserve import Reserve


def test_the_first_may_take_what_it_needs_and_the_next_what_is_left(wren: Workshop) -> None:
    boards.new_build(wren, "SECOND", "AMP", 5)
    numbers = dict(wren.reads.execute("SELECT key, id FROM part"))
    resistor, transistor = numbers["R-4K7"], numbers["Q-BC547B"]
    assert reserve_of(wren, "WREN") == Reserve(
        {(resistor, resistor): 2, (transistor, transistor): 1}, {resistor: ["SECOND"]}
    )
    second = reserve_of(wren, "SECOND")
    assert second == Reserve({(resistor, resistor): 8}, {resistor: ["WREN"], transistor: ["WREN"]})
    done = kits.kit_assembly(wren, "SECOND", "AMP", reserve=second)
    assert (done.pieces, [qty for _, qty in done.left]) == (8, [2, 1])
    assert left_in_words(wren, done.left, second) == (
        "2 of R-4K7, spoken for by WREN; 1 of Q-BC547B, spoken for by WREN"
    )


def test_any_section_of_a_build_may_be_kitted_first(wren: Workshop) -> None:
    boards.new_assembly(wren, "WREN", "PROBE", "Probe")
    lists.add_line(wren, "PROBE", "Q-BC547B", refs="Q9")
    # One transistor, two places: the board that is kitted first has it.
    assert kits.kit_assembly(wren, "WREN", "PROBE", reserve=reserve_of(wren, "WREN")).short == ()


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 12), st.integers(0, 4), st.lists(st.integers(1, 5), min_size=2, max_size=4))
def test_kitting_within_the_reserve_takes_nothing_from_those_before(
    tmp_path: Path, template: Path, there: int, instead: int, needs: list[int]
) -> None:
    path = tmp_path / "any.db"
    shutil.copyfile(template, path)
    shop = Workshop(path)
    try:
        for key in ("R-4K7", "R-4K7-CF"):
            stores.new_part(shop, key)
        stores.new_bin(shop, "A1")
        stores.count(shop, "R-4K7", "A1", there)
        stores.count(shop, "R-4K7-CF", "A1", instead)
        stores.allow_stand_in(shop, "R-4K7", "R-4K7-CF", "Carbon film will do.")
        builds = [f"B{number}" for number in range(len(needs))]
        for build, qty in zip(builds, needs, strict=True):
            boards.new_project(shop, build)
            lists.add_line(shop, build, "R-4K7", qty)
        before = {build: sum(row.short for row in short(shop, build).rows) for build in builds}
        # The last in priority kits first.
        for build in reversed(builds):
            try:
                kits.kit_assembly(shop, build, build, stand_ins=True, reserve=reserve_of(shop, build))
            except Forbidden:
                assert before[build] == needs[builds.index(build)]
            assert {one: sum(row.short for row in short(shop, one).rows) for one in builds} == before
    finally:
        shop.close()
