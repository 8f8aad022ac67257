"""Small workshops as Hypothesis draws them, and what each build of one needs and gets, counted by hand."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from hypothesis import strategies as st

from buildbook.reckon.cover import Arrival, Share, Want, cover

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
    """Write rows; columns that a table got later keep what they hold by themselves."""
    if rows:
        names = [row[1] for row in db.execute(f"PRAGMA table_info({table})")][: len(rows[0])]
        db.executemany(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})", rows)


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
