"""Proofs that the workshop file is whole: its pages, its rules, its ledger and its journal.

Everything is read in one transaction, so that another program may go on writing. The sums are SQL's, and share no code
with the ledger and the journal that they are held against.
"""

from __future__ import annotations

import json
import sqlite3
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import chain, islice
from typing import Any, NamedTuple

from buildbook.errors import StoreFault
from buildbook.store.workshop import APPLICATION_ID, HEAD, Workshop, fault

# So many faults are named of each proof; who has more has no use for more.
MOST = 20


@dataclass(frozen=True, slots=True)
class Proof:
    """One thing that was to be proved of the file: what was proved, with counts, or the rows that speak against it."""

    name: str
    holds: bool
    sentence: str
    faults: tuple[str, ...]


class Evidence(NamedTuple):
    """What a proof says when no fault is found, and the faults, found one by one."""

    sentence: str
    faults: Iterable[str]


def check(shop: Workshop) -> tuple[Proof, ...]:
    """Prove all that can be proved of the workshop file; never raises for a file that is damaged."""
    with _one_moment(shop):
        return tuple(_prove(shop, name, question) for name, question in QUESTIONS)


@contextmanager
def _one_moment(shop: Workshop) -> Iterator[None]:
    """All reading inside sees the file as it is now. A file that cannot even be opened is left to the proofs."""
    try:
        shop.reads.execute("BEGIN")
    except (sqlite3.Error, StoreFault):
        yield
        return
    try:
        yield
    finally:
        if shop.reads.in_transaction:
            shop.reads.execute("ROLLBACK")


def _prove(shop: Workshop, name: str, question: Callable[[sqlite3.Connection], Evidence]) -> Proof:
    try:
        evidence = question(shop.reads)
        faults = tuple(islice(evidence.faults, MOST))
    except StoreFault as error:
        faults = (error.why,)
    except sqlite3.Error as error:
        faults = (fault(shop.path, error).why,)
    except (TypeError, ValueError):
        # Only on a damaged page does a strict table hand out something of another type.
        faults = ("What stands there cannot be read.",)
    if faults:
        count = _many(len(faults), "fault") + (" or more" if len(faults) == MOST else "")
        return Proof(name, holds=False, sentence=f"{count} found.", faults=faults)
    return Proof(name, holds=True, sentence=evidence.sentence, faults=())


def _many(count: int, one: str, many: str = "") -> str:
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def _count(db: sqlite3.Connection, statement: str) -> int:
    return int(db.execute(statement).fetchone()[0])


def _texts(db: sqlite3.Connection, *statements: str) -> Iterator[str]:
    """The faults that statements find; each row is one, in words."""
    return (str(row[0]) for statement in statements for row in db.execute(statement))


# --- pages, references, schema ---------------------------------------------------------------------------------------

REFERENCES = """
    SELECT count(*) FROM sqlite_master AS t JOIN pragma_foreign_key_list(t.name) WHERE t.type = 'table'
"""
OWN_TABLES = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
NOT_STRICT = """
    SELECT 'table ' || name || ' is not strict' FROM pragma_table_list
     WHERE schema = 'main' AND type = 'table' AND NOT strict AND name NOT LIKE 'sqlite_%' AND name <> 'alembic_version'
"""
NO_TRIGGER = """
    WITH grows (tab, verb) AS (
        SELECT tab, verb FROM (SELECT 'movement' AS tab UNION SELECT 'journal_entry' UNION SELECT 'journal_change')
          JOIN (SELECT 'update' AS verb UNION SELECT 'delete')
    )
    SELECT 'nothing forbids ' || verb || ' in table ' || tab FROM grows
     WHERE NOT EXISTS (
        SELECT 1 FROM sqlite_master
         WHERE type = 'trigger' AND tbl_name = tab AND name = tab || '_no_' || verb AND sql LIKE '%RAISE(ABORT%'
     )
"""


def pages_are_whole(db: sqlite3.Connection) -> Evidence:
    """SQLite's own check of every page, index and rule."""
    pages = _count(db, "PRAGMA page_count")
    # SQLite puts several findings into one row, below a line with stars around the name of the database.
    said = (words for row in db.execute(f"PRAGMA integrity_check({MOST})") for words in str(row[0]).splitlines())
    return Evidence(
        f"{_many(pages, 'page')} read; indexes and rules agree with the rows.",
        (f"SQLite says: {words}" for words in said if words != "ok" and not words.startswith("***")),
    )


def references_lead_somewhere(db: sqlite3.Connection) -> Evidence:
    """Every row that is referred to exists."""
    dangling = db.execute("PRAGMA foreign_key_check")
    return Evidence(
        f"{_many(_count(db, REFERENCES), 'kind')} of reference, each leading to a row that is there.",
        (f"row {row} of {tab} refers to a row of {parent} that is not there" for tab, row, parent, _ in dangling),
    )


def schema_is_ours(db: sqlite3.Connection) -> Evidence:
    """The file stands at this program's migration; its tables are strict; ledger and journal only grow."""
    if _count(db, "PRAGMA application_id") != APPLICATION_ID:
        return Evidence("", ["the file is not marked as a workshop"])
    revisions = [row[0] for row in db.execute("SELECT version_num FROM alembic_version")]
    wrong = [] if revisions == [HEAD] else [f"the file stands at migration {revisions}, the program at {HEAD}"]
    return Evidence(
        f"{_many(_count(db, OWN_TABLES), 'table')} at migration {HEAD}, all strict; ledger and journal only grow.",
        chain(wrong, _texts(db, NOT_STRICT, NO_TRIGGER)),
    )


# --- the ledger ------------------------------------------------------------------------------------------------------

# One pass over the movements (no index) and a sort; kept rows and sums meet in the grouping.
BALANCES = """
    SELECT printf('part %d (%s), bin %d (%s): %d kept, %d by the ledger', part_id, p.key, bin_id, b.name, kept, moved)
      FROM (SELECT part_id, bin_id, sum(kept) AS kept, sum(moved) AS moved
              FROM (SELECT part_id, bin_id, qty AS kept, 0 AS moved FROM balance
                    UNION ALL
                    SELECT part_id, bin_id, 0, bin_qty FROM movement WHERE bin_qty <> 0)
             GROUP BY part_id, bin_id HAVING sum(kept) <> sum(moved))
      LEFT JOIN part AS p ON p.id = part_id LEFT JOIN bin AS b ON b.id = bin_id
"""
# What a movement does to the worth of a part stands in it; moves within the stores and on the bench do nothing.
WORTHS = """
    SELECT printf('part %d (%s): %d more kept than by the ledger, %d more without price, %d millionths more worth',
                  part_id, p.key, qty, unpriced_qty, value_micros)
      FROM (SELECT part_id, sum(qty) AS qty, sum(unpriced_qty) AS unpriced_qty, sum(value_micros) AS value_micros
              FROM (SELECT part_id, qty, unpriced_qty, value_micros FROM worth
                    UNION ALL
                    SELECT part_id, -bin_qty, -unpriced_qty, -value_micros FROM movement)
             GROUP BY part_id HAVING sum(qty) <> 0 OR sum(unpriced_qty) <> 0 OR sum(value_micros) <> 0)
      LEFT JOIN part AS p ON p.id = part_id
"""
# What left the bins for a line is held by the build at the value it left with.
HOLDINGS = """
    SELECT printf('build %d, line %d, part %d (%s): %d more kitted than by the ledger, %d more fitted, %d more lost, '
                  || '%d more without price, %d millionths more worth',
                  build_id, line_id, part_id, p.key, kitted, fitted, lost, unpriced_qty, value_micros)
      FROM (SELECT build_id, line_id, part_id, sum(kitted) AS kitted, sum(fitted) AS fitted, sum(lost) AS lost,
                   sum(unpriced_qty) AS unpriced_qty, sum(value_micros) AS value_micros
              FROM (SELECT build_id, line_id, part_id, kitted, fitted, lost, unpriced_qty, value_micros FROM holding
                    UNION ALL
                    SELECT build_id, line_id, part_id, -kit_qty, -fit_qty, -lost_qty,
                           iif(bin_qty = 0, 0, unpriced_qty), iif(bin_qty = 0, 0, value_micros)
                      FROM movement WHERE line_id IS NOT NULL)
             GROUP BY build_id, line_id, part_id
            HAVING sum(kitted) <> 0 OR sum(fitted) <> 0 OR sum(lost) <> 0
                OR sum(unpriced_qty) <> 0 OR sum(value_micros) <> 0)
      LEFT JOIN part AS p ON p.id = part_id
"""
GONE = """
    SELECT printf('part %d, bin %s, build %s, line %s: one of them is gone, and its movements up to %d leave something',
                  part_id, coalesce(bin_id, 'none'), coalesce(build_id, 'none'), coalesce(line_id, 'none'), max(id))
      FROM movement
     WHERE part_id NOT IN (SELECT id FROM part)
        OR bin_id IS NOT NULL AND bin_id NOT IN (SELECT id FROM bin)
        OR build_id IS NOT NULL AND build_id NOT IN (SELECT id FROM build)
        OR line_id IS NOT NULL AND line_id NOT IN (SELECT id FROM line)
     GROUP BY part_id, bin_id, build_id, line_id
    HAVING sum(bin_qty) <> 0 OR sum(kit_qty) <> 0 OR sum(fit_qty) <> 0 OR sum(lost_qty) <> 0
        OR sum(value_micros) <> 0 OR sum(unpriced_qty) <> 0
"""
NOT_OPPOSITE = """
    SELECT 'movement ' || r.id || ' is not the opposite of movement ' || coalesce(r.reverses_id, 'nothing')
      FROM movement AS r LEFT JOIN movement AS m ON m.id = r.reverses_id AND m.id < r.id
     WHERE (r.reverses_id IS NOT NULL OR r.kind = 'reversed')
       AND ((m.part_id, m.bin_id, m.build_id, m.line_id, m.purchase_line_id, 'reversed')
            IS NOT (r.part_id, r.bin_id, r.build_id, r.line_id, r.purchase_line_id, r.kind)
         OR (m.bin_qty, m.kit_qty, m.fit_qty, m.lost_qty, m.value_micros, m.unpriced_qty)
            IS NOT (-r.bin_qty, -r.kit_qty, -r.fit_qty, -r.lost_qty, -r.value_micros, -r.unpriced_qty))
"""
REVERSED_TWICE = """
    SELECT 'movement ' || reverses_id || ' is reversed by ' || group_concat(id, ' and ') FROM movement
     WHERE reverses_id IS NOT NULL GROUP BY reverses_id HAVING count(*) > 1
"""


def _movements(db: sqlite3.Connection) -> str:
    return _many(_count(db, "SELECT count(*) FROM movement"), "movement")


def balances_equal_ledger(db: sqlite3.Connection) -> Evidence:
    """What lies in each bin is the sum of its movements."""
    kept = _many(_count(db, "SELECT count(*) FROM balance"), "balance equals", "balances equal")
    return Evidence(f"{kept} the sum of {_movements(db)}.", _texts(db, BALANCES))


def worth_equals_ledger(db: sqlite3.Connection) -> Evidence:
    """What the stock of each part is worth is the sum of its movements."""
    kept = _many(_count(db, "SELECT count(*) FROM worth"), "part", "parts")
    return Evidence(f"The worth of {kept} in stock equals the sum of {_movements(db)}.", _texts(db, WORTHS))


def holdings_equal_ledger(db: sqlite3.Connection) -> Evidence:
    """What each build holds for each line is the sum of its movements."""
    kept = _many(_count(db, "SELECT count(*) FROM holding"), "holding of a build", "holdings of builds")
    moved = _many(_count(db, "SELECT count(*) FROM movement WHERE line_id IS NOT NULL"), "movement")
    return Evidence(f"The sum of {moved} for lines gives {kept}.", _texts(db, HOLDINGS))


def gone_nets_to_nothing(db: sqlite3.Connection) -> Evidence:
    """Nothing is left of a part, bin, build or line that an undo took away."""
    return Evidence(f"{_movements(db)} leave nothing where a part, bin, build or line is gone.", _texts(db, GONE))


def reversals_are_opposite(db: sqlite3.Connection) -> Evidence:
    """Each reversal takes back one earlier movement exactly, and no movement is taken back twice."""
    count = _count(db, "SELECT count(*) FROM movement WHERE reverses_id IS NOT NULL")
    said = _many(count, "reversal takes", "reversals take")
    return Evidence(f"{said} back one movement each, exactly.", _texts(db, NOT_OPPOSITE, REVERSED_TWICE))


# --- the journal -----------------------------------------------------------------------------------------------------

GAPS = """
    SELECT printf('%s: the last number given is %d, and %d stand there', s.name, s.seq, t.stand)
      FROM sqlite_sequence AS s
      JOIN (SELECT 'journal_entry' AS name, count(*) AS stand FROM journal_entry
            UNION ALL SELECT 'journal_change', count(*) FROM journal_change) AS t ON t.name = s.name
     WHERE s.seq <> t.stand
"""
EMPTY_ENTRIES = """
    SELECT 'entry ' || id || ' tells of no row' FROM journal_entry
     WHERE id NOT IN (SELECT entry_id FROM journal_change)
"""
TARGETS = """
    SELECT printf('entry %d (%s) has no action before it to act on', e.id, e.kind) FROM journal_entry AS e
     WHERE (e.kind = 'do') <> (e.target_id IS NULL)
        OR e.target_id IS NOT NULL
           AND NOT EXISTS (SELECT 1 FROM journal_entry AS t WHERE t.id = e.target_id AND t.kind = 'do' AND t.id < e.id)
"""
ALTERNATE = """
    SELECT printf('entry %d (%s) of entry %d is out of turn', id, kind, target_id)
      FROM (SELECT id, kind, target_id, row_number() OVER (PARTITION BY target_id ORDER BY id) AS turn
              FROM journal_entry WHERE target_id IS NOT NULL)
     WHERE kind <> iif(turn % 2 = 1, 'undo', 'redo')
"""
# The tables whose rows the journal tells of: all that number their rows, but the journal itself.
JOURNALLED = """
    SELECT t.name FROM sqlite_master AS t JOIN pragma_table_info(t.name) AS c
     WHERE t.type = 'table' AND c.name = 'id' AND t.name NOT IN ('journal_entry', 'journal_change') ORDER BY t.name
"""
STRAY = """
    SELECT 'change ' || min(id) || ' tells of a table ' || tab || ' that is not there' FROM journal_change
     WHERE tab NOT IN (SELECT t.name FROM sqlite_master AS t WHERE t.type = 'table') GROUP BY tab
"""
# Index: journal_change_row, which ends in the number of the change.
TELLINGS = """
    SELECT id, first_id, rows, fields, before, after FROM journal_change WHERE tab = ? ORDER BY first_id, id
"""

Values = Sequence[Any]
Told = tuple[int, str, Values | None, Values | None]


def journal_is_in_order(db: sqlite3.Connection) -> Evidence:
    """Entries are numbered without gaps, and undo and redo take turns on actions that exist."""
    count = _count(db, "SELECT count(*) FROM journal_entry")
    return Evidence(
        f"{_many(count, 'entry', 'entries')} without a gap; undo and redo take turns.",
        _texts(db, GAPS, EMPTY_ENTRIES, TARGETS, ALTERNATE),
    )


def journal_tells_every_row(db: sqlite3.Connection) -> Evidence:
    """Each change of a row begins where the one before it ended, and the last one ends with the row as it stands."""
    tables = [str(row[0]) for row in db.execute(JOURNALLED)]
    changes = _count(db, "SELECT count(*) FROM journal_change")
    rows = sum(_count(db, f"SELECT count(*) FROM {tab}") for tab in tables)
    return Evidence(
        f"{_many(changes, 'change leads', 'changes lead')} to {_many(rows, 'row')} as the tables hold them.",
        chain(_texts(db, STRAY), *(_broken_chains(db, tab) for tab in tables)),
    )


def _broken_chains(db: sqlite3.Connection, tab: str) -> Iterator[str]:
    """Walk a table and its changes side by side, in the order of the rows' numbers."""
    names = [str(row[1]) for row in db.execute(f"PRAGMA table_info({tab})") if row[1] != "id"]
    fields = json.dumps(names, separators=(",", ":"))
    standing = db.execute(f"SELECT id, {', '.join(names)} FROM {tab} ORDER BY id")
    row = standing.fetchone()
    for number, story in _stories(db, tab):
        while row is not None and row[0] < number:
            yield f"row {row[0]} of {tab} was never journalled"
            row = standing.fetchone()
        now = None
        if row is not None and row[0] == number:
            now = list(row[1:])
            row = standing.fetchone()
        yield from _breaks(tab, number, story, (fields, now))
    while row is not None:
        yield f"row {row[0]} of {tab} was never journalled"
        row = standing.fetchone()


def _stories(db: sqlite3.Connection, tab: str) -> Iterator[tuple[int, list[Told]]]:
    """All that the journal tells of each row, row by row, reading every change once and holding a few at a time.

    Changes come in the order of their first row, so all is told of the rows before it; and the rows still held follow
    each other without a gap, so that the oldest is always the lowest.
    """
    held: OrderedDict[int, list[Told]] = OrderedDict()
    for change, first, rows, fields, before, after in db.execute(TELLINGS, (tab,)):
        while held and next(iter(held)) < first:
            yield held.popitem(last=False)
        was, became = ([None] * rows if not image else json.loads(image) for image in (before, after))
        if not len(was) == len(became) == rows:
            raise ValueError("the images do not fit the rows")
        for index in range(rows):
            held.setdefault(first + index, []).append((change, fields, was[index], became[index]))
    yield from held.items()


def _breaks(tab: str, number: int, story: list[Told], now: tuple[str, Values | None]) -> Iterator[str]:
    fields, state = "", None
    for change, named, before, after in sorted(story, key=lambda told: told[0]):
        if not _same(fields, state, named, before):
            yield f"row {number} of {tab}: change {change} does not begin where the one before it ended"
        fields, state = named, after
    if not _same(fields, state, *now):
        what = "is gone without a record" if now[1] is None else "is not as its last change left it"
        yield f"row {number} of {tab} {what}"


def _same(fields: str, one: Values | None, other_fields: str, other: Values | None) -> bool:
    """Whether two images agree, in the columns that both know: a migration may have added one in between."""
    if one is None or other is None or fields == other_fields:
        return one == other
    left = dict(zip(json.loads(fields), one, strict=True))
    right = dict(zip(json.loads(other_fields), other, strict=True))
    return all(left[name] == right[name] for name in left.keys() & right.keys())


# --- what no row may say ---------------------------------------------------------------------------------------------

OWN_STAND_INS = """
    SELECT 'stand-in ' || id || ': part ' || part_id || ' stands in for itself' FROM stand_in WHERE part_id = alt_id
"""


def assemblies_hold_no_loop(db: sqlite3.Connection) -> Evidence:
    """No assembly contains itself, whatever options are chosen."""
    count = _many(_count(db, "SELECT count(*) FROM assembly"), "assembly", "assemblies")
    edges = db.execute("SELECT parent_id, child_id FROM contains ORDER BY id")
    return Evidence(f"{count}, none inside itself.", _loop(edges, "assembly", "contains"))


def steps_hold_no_loop(db: sqlite3.Connection) -> Evidence:
    """No step waits for itself."""
    count = _count(db, "SELECT count(*) FROM step")
    edges = db.execute("SELECT step_id, needs_id FROM step_need ORDER BY id")
    return Evidence(f"{_many(count, 'step')}, none waiting for itself.", _loop(edges, "step", "needs"))


def _loop(edges: Iterable[tuple[int, int]], noun: str, verb: str) -> Iterator[str]:
    graph: TopologicalSorter[int] = TopologicalSorter()
    for node, before in edges:
        graph.add(node, before)
    try:
        graph.prepare()
    except CycleError as error:
        # graphlib names the loop backwards: each node stands before the one that it comes after.
        nodes = error.args[1][:0:-1]
        start = nodes.index(min(nodes))
        yield f"{noun} " + f" {verb} ".join(str(node) for node in [*nodes[start:], *nodes[: start + 1]])


def no_part_is_its_own_stand_in(db: sqlite3.Connection) -> Evidence:
    """A stand-in is another part."""
    count = _count(db, "SELECT count(*) FROM stand_in")
    return Evidence(f"{_many(count, 'stand-in')}, none a part in its own place.", _texts(db, OWN_STAND_INS))


QUESTIONS: tuple[tuple[str, Callable[[sqlite3.Connection], Evidence]], ...] = (
    ("pages", pages_are_whole),
    ("references", references_lead_somewhere),
    ("schema", schema_is_ours),
    ("balances", balances_equal_ledger),
    ("worth", worth_equals_ledger),
    ("holdings", holdings_equal_ledger),
    ("gone", gone_nets_to_nothing),
    ("reversals", reversals_are_opposite),
    ("journal", journal_is_in_order),
    ("history", journal_tells_every_row),
    ("assemblies", assemblies_hold_no_loop),
    ("steps", steps_hold_no_loop),
    ("stand-ins", no_part_is_its_own_stand_in),
)
