"""What each build gets is the same figure from wherever it is looked at, and equals the sum of the plain rows."""

from __future__ import annotations

import shutil
import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.answers.buying import short
from buildbook.answers.standing import Standing, stand, stand_together
from buildbook.reckon.cover import Arrival, Share, Want, cover
from buildbook.store.read import standing as read
from buildbook.store.read.standing import LineNeed
from buildbook.store.workshop import Workshop

PARTS = range(1, 6)
ASSEMBLIES = range(1, 4)
few = st.integers(0, 4)


class Line(NamedTuple):
    """One line, as it is drawn; the option is 1 (chosen) or 2 (not chosen)."""

    assembly: int
    part: int
    qty: int
    loss_bp: int
    fitted: int
    option: int | None


class Held(NamedTuple):
    """What a build holds for a line."""

    build: int
    line: int
    part: int
    kitted: int
    fitted: int


class Build(NamedTuple):
    """A build; the place in the list is its number."""

    assembly: int
    units: int
    priority: int
    state: str


@dataclass(frozen=True)
class Drawn:
    """A small workshop. Assemblies hold only those of a higher number, so that none holds itself."""

    links: dict[tuple[int, int], int] = field(default_factory=dict)
    dead_links: dict[tuple[int, int], int] = field(default_factory=dict)
    lines: list[Line] = field(default_factory=list)
    builds: list[Build] = field(default_factory=list)
    stock: dict[int, list[int]] = field(default_factory=dict)
    held: dict[tuple[int, int, int], tuple[int, int]] = field(default_factory=dict)
    stand_ins: list[tuple[int, int]] = field(default_factory=list)
    orders: list[tuple[int, int, int, str, str]] = field(default_factory=list)


@st.composite
def workshops(draw: st.DrawFn) -> Drawn:
    """Workshops in which parts are contested, stand-ins are shared, and builds hold more or less than they need."""
    pairs = [(parent, child) for parent in ASSEMBLIES for child in ASSEMBLIES if parent < child]
    parts, assemblies = st.sampled_from(PARTS), st.sampled_from(ASSEMBLIES)
    line = st.builds(
        Line,
        assemblies,
        parts,
        st.integers(1, 3),
        st.sampled_from((0, 0, 500, 3333)),
        st.sampled_from((1, 1, 1, 0)),
        st.sampled_from((None, None, None, 1, 2)),
    )
    state = st.sampled_from(("active", "active", "active", "planned", "finished"))
    build = st.builds(Build, assemblies, st.sampled_from((1, 1, 2, 3)), st.integers(1, 4), state)
    lines = draw(st.lists(line, min_size=3, max_size=12))
    builds = draw(st.lists(build, min_size=2, max_size=5))
    place = st.tuples(st.integers(1, len(builds)), st.integers(1, len(lines)), parts)
    pair = st.tuples(parts, parts).filter(lambda two: two[0] != two[1])
    day = st.sampled_from(("", "2024-05-01", "2024-06-01"))
    return Drawn(
        links=draw(st.dictionaries(st.sampled_from(pairs), st.integers(1, 2), max_size=2)),
        dead_links=draw(st.dictionaries(st.sampled_from(pairs), st.integers(1, 3), max_size=1)),
        lines=lines,
        builds=builds,
        stock=draw(st.dictionaries(parts, st.lists(st.integers(1, 6), min_size=1, max_size=2), min_size=2)),
        held=draw(st.dictionaries(place, st.tuples(few, few), max_size=6)),
        stand_ins=draw(st.lists(pair, unique=True, min_size=2, max_size=8)),
        orders=draw(st.lists(st.tuples(parts, st.integers(1, 9), st.integers(0, 9), day, day), max_size=4)),
    )


def fill(path: Path, drawn: Drawn) -> None:
    """Write the workshop straight into the tables."""
    db = sqlite3.connect(path)
    db.execute("INSERT INTO project VALUES (1, 'WREN', '', 0, '')")
    db.execute("INSERT INTO choice VALUES (1, 1, 'Q', '', 'chosen', '')")
    db.execute("INSERT INTO choice_option VALUES (1, 1, 'A', '', 1), (2, 1, 'B', '', 0)")
    put(db, "assembly", [(n, 1, f"A{n}", "", "board", n, 0, "") for n in ASSEMBLIES])
    links: list[tuple[int | None, ...]] = [(*pair, qty, None) for pair, qty in drawn.links.items()]
    links += [(*pair, qty, 2) for pair, qty in drawn.dead_links.items()]
    put(db, "contains", [(n, *link) for n, link in enumerate(links, 1)])
    put(db, "part", [(n, f"P{n}", "other", "", "", None, "", "", "", "pc", "") for n in PARTS])
    put(db, "bin", [(1, "A1", ""), (2, "A2", "")])
    rows = [
        (n, line.assembly, line.part, n, line.qty, "", line.fitted, line.loss_bp, line.option, "")
        for n, line in enumerate(drawn.lines, 1)
    ]
    put(db, "line", rows)
    builds = [
        (n, f"B{n}", 1, one.assembly, one.units, one.priority, one.state, "", "")
        for n, one in enumerate(drawn.builds, 1)
    ]
    put(db, "build", builds)
    put(db, "balance", [(part, n, qty) for part, bins in drawn.stock.items() for n, qty in enumerate(bins, 1)])
    put(db, "worth", [(part, sum(bins), 0, 0) for part, bins in drawn.stock.items()])
    put(db, "holding", [(*place, kitted, fitted, 0, 0, 0) for place, (kitted, fitted) in drawn.held.items()])
    put(db, "stand_in", [(n, *pair, rank_of(n), "") for n, pair in enumerate(drawn.stand_ins, 1)])
    put(db, "supplier", [(1, "QUAY", "", "")])
    orders = list(enumerate(drawn.orders, 1))
    put(db, "purchase", [(n, f"PO{n}", 1, "placed", "", day, "") for n, (*_, day) in orders])
    put(
        db,
        "purchase_line",
        [(n, n, part, "", qty, None, 1, min(qty, got), day) for n, (part, qty, got, day, _) in orders],
    )
    db.commit()
    db.close()


def rank_of(number: int) -> int:
    """How far back the stand-in of that number comes; not the order in which they were approved."""
    return 3 - number % 3


def put(db: sqlite3.Connection, table: str, rows: Sequence[tuple[object, ...]]) -> None:
    if rows:
        db.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)


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


# --- the same by hand ------------------------------------------------------------------------------------------------


class Need(NamedTuple):
    """What one build needs for one line."""

    build: int
    line: int
    part: int
    need: int
    want: int


def ways_down(drawn: Drawn, assembly: int, times: int) -> Iterator[tuple[int, int]]:
    """Every path from an assembly down, with the product of the quantities on it."""
    yield assembly, times
    for (parent, child), qty in drawn.links.items():
        if parent == assembly:
            yield from ways_down(drawn, child, times * qty)


def order_of_priority(drawn: Drawn) -> list[tuple[int, Build]]:
    counting = [(n, one) for n, one in enumerate(drawn.builds, 1) if one.state in ("planned", "active")]
    return sorted(counting, key=lambda pair: (pair[1].priority, pair[0]))


def needs_by_hand(drawn: Drawn) -> list[Need]:
    """Every need, by path enumeration; builds in the order of priority, within a build by part, then by line."""
    found = []
    for number, build in order_of_priority(drawn):
        counts: Counter[int] = Counter()
        for assembly, n in ways_down(drawn, build.assembly, build.units):
            counts[assembly] += n
        own = []
        for place, line in enumerate(drawn.lines, 1):
            if not counts[line.assembly] or not line.fitted or line.option == 2:
                continue
            whole = counts[line.assembly] * line.qty * (10_000 + line.loss_bp)
            need = whole // 10_000 + (whole % 10_000 > 0)
            got = sum(sum(held) for (b, one, _), held in drawn.held.items() if (b, one) == (number, place))
            own.append((line.assembly, Need(number, place, line.part, need, max(0, need - got))))
        own.sort(key=lambda pair: (pair[1].part, pair[0], pair[1].line))
        found += [need for _, need in own]
    return found


def shares_by_hand(drawn: Drawn, needs: list[Need]) -> tuple[Share, ...]:
    """The shares of these needs, by `cover`."""
    stand_ins: dict[int, list[int]] = {}
    for _, (part, alt) in sorted(enumerate(drawn.stand_ins, 1), key=lambda row: (rank_of(row[0]), row[0])):
        stand_ins.setdefault(part, []).append(alt)
    coming: dict[int, list[Arrival]] = {}
    for number, (part, qty, got, own_day, day) in enumerate(drawn.orders, 1):
        if qty > got:
            coming.setdefault(part, []).append(Arrival(own_day or day, qty - got, number))
    on_hand = {part: sum(bins) for part, bins in drawn.stock.items()}
    wants = [Want(place, need.part, need.want) for place, need in enumerate(needs)]
    return cover(wants, on_hand, stand_ins, coming).shares


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
