"""How fast questions are answered, against the rows alone: plain `sqlite3` that fetches what the answer is made of."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Sequence
from time import process_time
from typing import Any

from buildbook.answers.buying import Shortage, short
from buildbook.answers.cost import UNITS, build_cost
from buildbook.answers.standing import builds_that_count
from buildbook.store.workshop import Workshop
from tests.bench.race import Ground, Race

# The rows that a whole-workshop shortage is made of. Of the parts only those that it names are fetched.
WHOLE = (
    "SELECT id, assembly_id, units, priority FROM build",
    "SELECT assembly_id, part_id, qty, loss_bp, fitted, option_id FROM line",
    "SELECT parent_id, child_id, qty, option_id FROM contains",
    "SELECT part_id, bin_id, qty FROM balance",
    "SELECT build_id, line_id, kitted, fitted FROM holding",
    "SELECT part_id, alt_id, rank FROM stand_in",
    "SELECT part_id, qty, received_qty, due_on FROM purchase_line",
)
NAMED = "SELECT id, key, kind, name, value_text, package, unit FROM part WHERE id IN (SELECT value FROM json_each(?))"

# The shortage of one build, said in one statement as well as SQL can say it: what each build needs and still wants of
# every part that this one needs, what those before it in priority take, and what lies there. All builds are counted,
# since the answer also tells what is left free. Stand-ins, orders and what stands ready-made are left out of it.
ONE_BUILD = """
    WITH RECURSIVE tree (place, build_id, assembly_id, n) AS (
        SELECT row_number() OVER (ORDER BY priority, id), id, assembly_id, units
          FROM build WHERE state IN ('planned', 'active')
        UNION ALL
        SELECT t.place, t.build_id, c.child_id, t.n * c.qty
          FROM tree AS t JOIN contains AS c ON c.parent_id = t.assembly_id
         WHERE c.option_id IS NULL OR c.option_id IN (SELECT id FROM choice_option WHERE chosen = 1)
    ),
    needed (place, build_id, assembly_id, n) AS MATERIALIZED (
        SELECT place, build_id, assembly_id, sum(n) FROM tree GROUP BY place, assembly_id
    ),
    own (place, part_id) AS MATERIALIZED (
        SELECT DISTINCT d.place, l.part_id
          FROM needed AS d CROSS JOIN line AS l ON l.assembly_id = d.assembly_id
         WHERE d.build_id = :build AND l.fitted = 1
           AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
    ),
    wanted (own, place, part_id, need, got) AS (
        SELECT p.place, d.place, l.part_id, (d.n * l.qty * (10000 + l.loss_bp) + 9999) / 10000,
               coalesce((SELECT sum(fitted + kitted) FROM holding WHERE build_id = d.build_id AND line_id = l.id), 0)
          FROM own AS p CROSS JOIN line AS l ON l.part_id = p.part_id
          CROSS JOIN needed AS d ON d.assembly_id = l.assembly_id
         WHERE l.fitted = 1
           AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen = 1))
    ),
    summed (own, place, part_id, need, want) AS (
        SELECT own, place, part_id, sum(need), sum(max(0, need - got)) FROM wanted GROUP BY place, part_id
    )
    SELECT t.id, t.key, t.kind, t.name, t.value_text, t.package, t.unit, f.*
      FROM (SELECT s.part_id, sum(iif(s.place = s.own, s.need, 0)) AS need,
                   sum(iif(s.place = s.own, s.want, 0)) AS want, sum(iif(s.place < s.own, s.want, 0)) AS before,
                   sum(s.want) AS all_want,
                   coalesce((SELECT sum(b.qty) FROM balance AS b WHERE b.part_id = s.part_id), 0) AS on_hand
              FROM summed AS s GROUP BY s.part_id) AS f
      JOIN part AS t ON t.id = f.part_id
     WHERE f.want > max(0, f.on_hand - f.before)
"""

# The rows that the cost of one build is made of: the tree and the builds, for the parts of this build their lines in
# every assembly, what builds hold for those, where they lie and what that is worth, who offers them for how much.
COST_TREE = (
    "SELECT id, assembly_id, units, priority FROM build",
    "SELECT parent_id, child_id, qty, option_id FROM contains",
    "SELECT part_id, alt_id, rank FROM stand_in",
    "SELECT id, part_id, qty, received_qty, price_micros, per_qty, due_on FROM purchase_line",
    "SELECT id, project_id, code, name, ready_made FROM assembly",
    "SELECT assembly_id, likely_min FROM step",
)
COST_PARTS = (
    "SELECT id, key, kind, name, unit FROM part AS t JOIN p ON p.part = t.id",
    "SELECT id, assembly_id, part_id, qty, loss_bp, fitted, option_id FROM line AS l JOIN p ON p.part = l.part_id",
    """SELECT h.build_id, h.line_id, h.kitted, h.fitted, h.value_micros, h.unpriced_qty
         FROM holding AS h CROSS JOIN line AS l ON l.id = h.line_id JOIN p ON p.part = l.part_id""",
    "SELECT part_id, bin_id, qty FROM balance AS b JOIN p ON p.part = b.part_id",
    "SELECT part_id, qty, unpriced_qty, value_micros FROM worth AS w JOIN p ON p.part = w.part_id",
    """SELECT o.id, o.supplier_id, o.part_id, o.order_code, o.per_qty, o.pack_qty, o.min_qty, b.from_qty, b.price_micros
         FROM p CROSS JOIN offer AS o ON p.part = o.part_id JOIN offer_break AS b ON b.offer_id = o.id""",
)
INSIDE = """
    WITH RECURSIVE inside (id) AS (
        SELECT assembly_id FROM build WHERE id = ?
        UNION SELECT c.child_id FROM inside AS i JOIN contains AS c ON c.parent_id = i.id
    )
    SELECT DISTINCT l.part_id FROM inside AS i CROSS JOIN line AS l ON l.assembly_id = i.id WHERE l.fitted = 1
"""


def opened(ground: Ground) -> tuple[Workshop, sqlite3.Connection]:
    """The workshop, and a plain connection to the same file."""
    shop = Workshop(ground.workshop)
    plain = sqlite3.connect(f"{ground.workshop.as_uri()}?mode=ro", uri=True)
    ground.closing.callback(shop.close)
    ground.closing.callback(plain.close)
    return shop, plain


def middle_build(shop: Workshop) -> tuple[int, str]:
    """The build in the middle of the order of priority: its number and its code."""
    known = builds_that_count(shop)
    chosen = known[len(known) // 2]
    return chosen.id, chosen.code


def whole_shortage(ground: Ground) -> Race:
    """What is short in the whole workshop, against fetching the rows."""
    shop, plain = opened(ground)
    numbers = str([row.part for row in short(shop).rows])

    def fetch() -> list[list[Any]]:
        rows = [plain.execute(statement).fetchall() for statement in WHOLE]
        return [*rows, plain.execute(NAMED, (numbers,)).fetchall()]

    return Race(
        "whole-workshop shortage, cover by priority, stand-ins",
        "F: sqlite3 fetches the same rows",
        1.5,
        lambda: short(shop),
        fetch,
        lambda ours, rows: len(ours.rows) == len(rows[-1]),
        process_time,
    )


def whole_shortage_orm(ground: Ground) -> Race:
    """What is short in the whole workshop, against a walk over objects: each table in one select, each row once."""
    shop, _ = opened(ground)

    def agree(ours: Shortage, lacking: dict[int, int]) -> bool:
        return {row.part: row.need - row.fitted - row.kitted - row.spoken_for for row in ours.rows} == lacking

    return Race(
        "the same",
        "a walk over SQLModel objects, without stand-ins",
        0.1,
        lambda: short(shop),
        lambda: lacking_by_objects(shop),
        agree,
        process_time,
    )


def lacking_by_objects(shop: Workshop) -> dict[int, int]:
    """What the parts' own stock does not cover, walked over objects."""
    from sqlmodel import Session, select

    from buildbook.store.tables import Assembly, Balance, Build, Contains, Holding, Line, Option

    with Session(shop.engine) as session:
        chosen = {option.id for option in session.exec(select(Option)) if option.chosen}
        children: dict[int, list[Contains]] = defaultdict(list)
        for link in session.exec(select(Contains)):
            if link.option_id is None or link.option_id in chosen:
                children[link.parent_id].append(link)
        lines: dict[int, list[Line]] = defaultdict(list)
        for line in session.exec(select(Line)):
            if line.fitted and (line.option_id is None or line.option_id in chosen):
                lines[line.assembly_id].append(line)
        shelf = {assembly.id or 0: assembly.ready_made for assembly in session.exec(select(Assembly))}
        held: dict[tuple[int, int | None], int] = defaultdict(int)
        for holding in session.exec(select(Holding)):
            held[holding.build_id, holding.line_id] += holding.kitted + holding.fitted
        on_hand: dict[int, int] = defaultdict(int)
        for balance in session.exec(select(Balance)):
            on_hand[balance.part_id] += balance.qty
        want: dict[int, int] = defaultdict(int)
        order = topological(shelf, children)
        for build in session.exec(select(Build).order_by(Build.priority, Build.id)):  # type: ignore[arg-type]
            needed = defaultdict(int, {build.assembly_id: build.units})
            for assembly in order:
                count = needed[assembly]
                taken = min(count, shelf.get(assembly, 0))
                shelf[assembly] = shelf.get(assembly, 0) - taken
                if count == taken:
                    continue
                for link in children.get(assembly, ()):
                    needed[link.child_id] += link.qty * (count - taken)
                for line in lines.get(assembly, ()):
                    need = -(-(count - taken) * line.qty * (10_000 + line.loss_bp) // 10_000)
                    want[line.part_id] += max(0, need - held.get((build.id or 0, line.id), 0))
    return {part: qty - on_hand.get(part, 0) for part, qty in want.items() if qty > on_hand.get(part, 0)}


def topological(assemblies: Iterable[int], children: dict[int, list[Any]]) -> list[int]:
    """Every assembly after all that hold it."""
    from graphlib import TopologicalSorter

    sorter: TopologicalSorter[int] = TopologicalSorter(dict.fromkeys(assemblies, ()))
    for parent, links in children.items():
        for link in links:
            sorter.add(link.child_id, parent)
    return list(sorter.static_order())


def build_shortage(ground: Ground) -> Race:
    """What one build in the middle of the order of priority lacks, against one bare statement."""
    shop, plain = opened(ground)
    number, code = middle_build(shop)

    def agree(ours: Shortage, rows: list[tuple[Any, ...]]) -> bool:
        lacking = {row.part: row.need - row.fitted - row.kitted - row.spoken_for for row in ours.rows}
        return lacking == {row[0]: row[9] - max(0, row[12] - row[10]) for row in rows}

    return Race(
        "shortage of one build",
        "the one bare SQL statement, without stand-ins and orders",
        3,
        lambda: short(shop, code),
        lambda: plain.execute(ONE_BUILD, {"build": number}).fetchall(),
        None if plain.execute("SELECT sum(ready_made) FROM assembly").fetchone()[0] else agree,
        process_time,
    )


def cost_of_build(ground: Ground) -> Race:
    """What one build costs with the best prices, against fetching the rows."""
    return cost_race(ground, "cost of one build with best prices", ())


def cost_at_units(ground: Ground) -> Race:
    """The same with what a unit would cost if 1, 5 or 25 were made, all bought: four costs in one answer."""
    return cost_race(ground, "the same, and what a unit costs of 1, 5 and 25", UNITS)


def cost_race(ground: Ground, what: str, at: Sequence[int]) -> Race:
    """The cost of the build in the middle, reckoned anew for each of the counts `at`."""
    shop, plain = opened(ground)
    number, code = middle_build(shop)

    def fetch() -> int:
        parts = str([row[0] for row in plain.execute(INSIDE, (number,))])
        rows = sum(len(plain.execute(statement).fetchall()) for statement in COST_TREE)
        for statement in COST_PARTS:
            named = f"WITH p (part) AS MATERIALIZED (SELECT CAST(value AS INTEGER) FROM json_each(?)) {statement}"
            rows += len(plain.execute(named, (parts,)).fetchall())
        return rows

    return Race(
        what,
        "sqlite3 fetches the same rows",
        3,
        lambda: build_cost(shop, code, at),
        fetch,
        clock=process_time,
    )
