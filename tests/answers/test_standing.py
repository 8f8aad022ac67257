"""What each build gets is the same figure from wherever it is looked at, and equals the sum of the plain rows."""

from __future__ import annotations

import shutil
import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.answers.buying import short
from buildbook.answers.standing import Standing, stand, stand_together
from buildbook.reckon.cover import Share
from buildbook.store.read import standing as read
from buildbook.store.read.standing import LineNeed
from buildbook.store.workshop import Workshop
from tests.answers.drawn import (
    ASSEMBLIES,
    PARTS,
    Build,
    Drawn,
    Line,
    fill,
    needs_by_hand,
    order_of_priority,
    shares_by_hand,
    workshops,
)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, template: Path) -> Path:
    """A place for one workshop after the other."""
    folder = tmp_path_factory.mktemp("standing")
    shutil.copyfile(template, folder / "empty.db")
    return folder


@contextmanager
def opened(bench: Path, drawn: Drawn) -> Iterator[Workshop]:
    path = bench / "workshop.db"
    shutil.copyfile(bench / "empty.db", path)
    fill(path, drawn)
    shop = Workshop(path)
    try:
        yield shop
    finally:
        shop.close()


class Figures(NamedTuple):
    """What can be said of one build and one part from any distance."""

    need: int
    want: int
    own: int
    stood_in: tuple[tuple[int, int], ...]
    coming: tuple[tuple[str, int], ...]
    short: int


def figures(rows: list[tuple[int, int, int, Share]]) -> dict[tuple[int, int], Figures]:
    """Sum up rows of (build, part, need, share) per build and part; nothing needed is nothing said."""
    groups: dict[tuple[int, int], list[tuple[int, Share]]] = defaultdict(list)
    for build, part, need, share in rows:
        groups[build, part].append((need, share))
    found = {}
    for place, some in groups.items():
        stood_in: Counter[int] = Counter()
        coming: Counter[str] = Counter()
        for _, share in some:
            for other in share.stood_in:
                stood_in[other.part] += other.qty
            for due in share.coming:
                coming[due.when] += due.qty
        found[place] = Figures(
            sum(need for need, _ in some),
            sum(share.qty for _, share in some),
            sum(share.own for _, share in some),
            tuple(sorted(stood_in.items())),
            tuple(sorted(coming.items())),
            sum(share.short for _, share in some),
        )
    return found


def seen(standing: Standing) -> dict[tuple[int, int], Figures]:
    pairs = zip(standing.needs, standing.shares, strict=True)
    return figures([(need.build, need.part, need.need, share) for need, share in pairs])


def by_hand(drawn: Drawn) -> dict[tuple[int, int], Figures]:
    needs = needs_by_hand(drawn)
    shares = shares_by_hand(drawn, needs)
    return figures([(need.build, need.part, need.need, share) for need, share in zip(needs, shares, strict=True)])


# --- the tests -------------------------------------------------------------------------------------------------------

tries = settings(max_examples=60, deadline=None)


@tries
@given(drawn=workshops())
def test_the_whole_workshop_is_as_counted_by_hand(bench: Path, drawn: Drawn) -> None:
    with opened(bench, drawn) as shop:
        expected = by_hand(drawn)
        every = [number for number, _ in order_of_priority(drawn)]
        assert seen(stand(shop)) == expected
        assert seen(stand(shop, closely=every)) == expected
        assert stand(shop).free.items() >= stand(shop, closely=every).free.items()


@tries
@given(drawn=workshops(), data=st.data())
def test_a_build_looked_at_closely_gets_what_it_gets_from_afar(bench: Path, drawn: Drawn, data: st.DataObject) -> None:
    with opened(bench, drawn) as shop:
        every = [number for number, _ in order_of_priority(drawn)]
        closely = data.draw(st.lists(st.sampled_from(every), min_size=1, unique=True) if every else st.just([]))
        expected = by_hand(drawn)
        standing = stand(shop, closely=closely)
        near = {place: figure for place, figure in seen(standing).items() if place[0] in closely}
        assert near == {place: figure for place, figure in expected.items() if place[0] in closely}
        whole = stand(shop)
        looked_at = {part for build, part in near}
        assert {part: qty for part, qty in standing.free.items() if part in looked_at} == {
            part: qty for part, qty in whole.free.items() if part in looked_at
        }


@tries
@given(drawn=workshops(), parts=st.sets(st.sampled_from(PARTS)), close=st.booleans())
def test_a_few_parts_stand_as_they_do_among_all(bench: Path, drawn: Drawn, parts: set[int], close: bool) -> None:
    with opened(bench, drawn) as shop:
        every = [number for number, _ in order_of_priority(drawn)]
        standing = stand(shop, parts=parts, closely=every[:1] if close else ())
        near = {
            place: figure for place, figure in seen(standing).items() if place[1] in parts and place[0] in every[:1]
        }
        expected = by_hand(drawn)
        assert near == {
            place: figure for place, figure in expected.items() if place[1] in parts and place[0] in every[:1]
        }
        if not close:
            assert {place: one for place, one in seen(standing).items() if place[1] in parts} == {
                place: one for place, one in expected.items() if place[1] in parts
            }
        free = {part: qty for part, qty in stand(shop).free.items() if part in parts}
        assert {part: qty for part, qty in standing.free.items() if part in parts} == free


@tries
@given(drawn=workshops())
def test_all_builds_together_are_the_sum_of_all_builds(bench: Path, drawn: Drawn) -> None:
    with opened(bench, drawn) as shop:
        expected: dict[int, list[Figures]] = defaultdict(list)
        for (_, part), figure in by_hand(drawn).items():
            expected[part].append(figure)
        lacking = {one.part: one for one in stand_together(shop)}
        assert lacking.keys() == {part for part, some in expected.items() if any(one.own < one.want for one in some)}
        for part, one in lacking.items():
            some = expected[part]
            assert one.need == sum(figure.need for figure in some)
            assert one.need - one.fitted - one.kitted == sum(figure.want for figure in some)
            assert one.own == sum(figure.own for figure in some)
            assert one.stood_in == sum(qty for figure in some for _, qty in figure.stood_in)
            assert one.coming == sum(qty for figure in some for _, qty in figure.coming)
            assert one.short == sum(figure.short for figure in some)
            days = {day for figure in some for day, _ in figure.coming}
            assert one.due_on == ("" if "" in days else max(days, default=""))


@tries
@given(drawn=workshops())
def test_nothing_is_given_out_twice_and_nothing_gets_lost(bench: Path, drawn: Drawn) -> None:
    with opened(bench, drawn) as shop:
        standing = stand(shop)
        taken: Counter[int] = Counter()
        promised: Counter[int] = Counter()
        for need, share in zip(standing.needs, standing.shares, strict=True):
            assert need.need == need.fitted + need.kitted + need.want
            assert min(need.fitted, need.kitted, need.want) >= 0
            assert need.want == share.qty
            assert share.qty == share.own + share.short + sum(qty for _, qty in share.stood_in) + sum(
                due.qty for due in share.coming
            )
            taken[share.part] += share.own
            taken.update({other.part: other.qty for other in share.stood_in})
            promised[share.part] += sum(due.qty for due in share.coming)
        assert {part: taken[part] + standing.free[part] for part in drawn.stock} == {
            part: sum(bins) for part, bins in drawn.stock.items()
        }
        assert all(part in drawn.stock for part, qty in taken.items() if qty)
        for part, left in standing.coming_free.items():
            assert promised[part] + left == sum(row.qty for row in standing.coming.values() if row.part == part)


@tries
@given(drawn=workshops())
def test_the_rows_of_a_shortage_add_up_and_builds_add_up_to_all(bench: Path, drawn: Drawn) -> None:
    with opened(bench, drawn) as shop:
        whole = {row.part: row for row in short(shop).rows}
        sums: Counter[int] = Counter()
        expected = by_hand(drawn)
        for number, _ in order_of_priority(drawn):
            rows = short(shop, f"B{number}").rows
            assert {row.part for row in rows} == {
                part for (build, part), one in expected.items() if build == number and one.own < one.want
            }
            for row in rows:
                filled = row.fitted + row.kitted + row.spoken_for + row.stood_in + row.coming + row.short
                assert row.need == filled
                assert min(row.fitted, row.kitted, row.spoken_for, row.free) >= 0
                sums[row.part] += row.short
                assert (row.on_hand, row.free) == (whole[row.part].on_hand, whole[row.part].free)
        for row in whole.values():
            assert row.need == row.fitted + row.kitted + row.spoken_for + row.stood_in + row.coming + row.short
        assert {part: row.short for part, row in whole.items() if row.short} == {
            n: qty for n, qty in sums.items() if qty
        }


@tries
@given(drawn=workshops())
def test_a_section_lacks_what_its_lines_lack(bench: Path, drawn: Drawn) -> None:
    with opened(bench, drawn) as shop:
        needs = needs_by_hand(drawn)
        lacking: dict[int, Counter[int]] = defaultdict(Counter)
        for need, share in zip(needs, shares_by_hand(drawn, needs), strict=True):
            lacking[drawn.lines[need.line - 1].assembly][need.part] += share.short
        for assembly in ASSEMBLIES:
            rows = short(shop, assembly=f"A{assembly}").rows
            assert {row.part: row.short for row in rows if row.short} == {
                part: qty for part, qty in lacking[assembly].items() if qty
            }


def test_what_is_held_beyond_the_need_of_a_line_serves_no_other_line(bench: Path) -> None:
    lines = [Line(1, 1, 2, 0, 1, None), Line(1, 1, 2, 0, 1, None)]
    drawn = Drawn(lines=lines, builds=[Build(1, 1, 1, "active")], held={(1, 1, 1): (0, 3)})
    with opened(bench, drawn) as shop:
        (need,) = stand(shop).needs
        assert (need.need, need.fitted, need.kitted, need.want) == (4, 2, 0, 2)
        assert [(row.need, row.fitted, row.kitted, row.short) for row in short(shop).rows] == [(4, 2, 0, 2)]


def test_what_stands_ready_made_needs_no_parts_and_serves_the_first_in_priority(bench: Path) -> None:
    drawn = Drawn(
        links={(1, 2): 1},
        lines=[Line(2, 1, 3, 0, 1, None)],
        builds=[Build(1, 1, 2, "active"), Build(1, 1, 1, "active")],
    )
    with opened(bench, drawn) as shop:
        db = sqlite3.connect(shop.path)
        db.execute("UPDATE assembly SET ready_made = 1 WHERE id = 2")
        db.commit()
        db.close()
        assert [(need.build, need.want) for need in stand(shop).needs] == [(1, 3)]
        assert [row.short for row in short(shop).rows] == [3]
        assert short(shop, "B2").rows == ()


def test_two_parts_of_one_build_get_a_common_stand_in_the_same_way_from_near_and_far(bench: Path) -> None:
    drawn = Drawn(
        links={(1, 2): 1},
        lines=[Line(1, 2, 1, 0, 1, None), Line(2, 1, 1, 0, 1, None)],
        builds=[Build(1, 1, 1, "active")],
        stock={3: [1]},
        stand_ins=[(1, 3), (2, 3)],
    )
    with opened(bench, drawn) as shop:
        assert {part: one.short for (_, part), one in seen(stand(shop)).items()} == {1: 0, 2: 1}
        assert seen(stand(shop, closely=[1])) == seen(stand(shop))


def test_what_comes_on_an_unknown_day_is_used_last(bench: Path) -> None:
    orders = [(1, 5, 0, "", ""), (1, 5, 0, "2024-06-01", ""), (1, 5, 0, "", "2024-05-01")]
    line, build = Line(1, 1, 7, 0, 1, None), Build(1, 1, 1, "active")
    with opened(bench, Drawn(lines=[line], builds=[build], orders=orders)) as shop:
        assert [(row.coming, row.due_on) for row in short(shop).rows] == [(7, "2024-06-01")]
        assert [(row.coming, row.due_on) for row in short(shop, "B1").rows] == [(7, "2024-06-01")]
    with opened(bench, Drawn(lines=[line, line], builds=[build], orders=orders)) as shop:
        assert [(row.coming, row.due_on) for row in short(shop).rows] == [(14, "")]


def test_builds_not_looked_at_are_summed_up_around_the_one_that_is(bench: Path) -> None:
    builds = [Build(1, 1, place, "active") for place in range(1, 6)]
    with opened(bench, Drawn(lines=[Line(1, 1, 1, 0, 1, None)], builds=builds, stock={1: [3]})) as shop:
        standing = stand(shop, closely=[3])
        assert [(need.build, need.want) for need in standing.needs] == [(0, 2), (3, 1), (0, 2)]
        assert [share.own for share in standing.shares] == [2, 1, 0]
        assert [type(need) is LineNeed for need in standing.needs] == [False, True, False]


def test_the_statements_look_assemblies_up_instead_of_reading_all_counts_for_every_line(shop: Workshop) -> None:
    statements = (
        read.LACKS,
        read.NEEDED.format_map(read.BY_PART) + read.PER_PART,
        read.NEEDED.format_map(read.BY_PART) + read.PER_LINE,
    )
    for statement in statements:
        found = shop.reads.execute(f"EXPLAIN QUERY PLAN {statement}", {"counts": "[]", "parts": "[]"}).fetchall()
        plan = [row[3] for row in found]
        assert "SEARCH d USING AUTOMATIC COVERING INDEX (assembly_id=?)" in plan
        assert any("INDEX line_of_part" in step for step in plan)
        assert "SCAN d" not in plan
