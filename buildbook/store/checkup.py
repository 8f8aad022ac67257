"""Proofs that the workshop file is whole: its pages, its rules, its ledger and its journal.

Everything is read in one transaction, so that another program may go on writing. The sums are SQL's, and share no code
with the ledger and the journal that they are held against.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import chain, islice

from buildbook.errors import StoreFault
from buildbook.store.checkup_deliveries import deliveries_agree
from buildbook.store.checkup_files import files_are_there
from buildbook.store.checkup_journal import journal_is_in_order, journal_tells_every_row
from buildbook.store.evidence import Evidence, count_of, many, texts
from buildbook.store.words import triggers_missing, words_tell_every_text
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
        count = many(len(faults), "fault") + (" or more" if len(faults) == MOST else "")
        return Proof(name, holds=False, sentence=f"{count} found.", faults=faults)
    return Proof(name, holds=True, sentence=evidence.sentence, faults=())


# --- pages, references, schema ---------------------------------------------------------------------------------------

INDEX = "FTS5 table main.said"
REFERENCES = """
    SELECT count(*) FROM sqlite_master AS t JOIN pragma_foreign_key_list(t.name) WHERE t.type = 'table'
"""
OWN_TABLES = """
    SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'
"""
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
    pages = count_of(db, "PRAGMA page_count")
    # SQLite puts several findings into one row, below a line with stars around the name of the database.
    said = (words for row in db.execute(f"PRAGMA integrity_check({MOST})") for words in str(row[0]).splitlines())
    return Evidence(
        f"{many(pages, 'page')} read; indexes and rules agree with the rows.",
        # Newer releases look into the index of words as well; that has a proof of its own, and can be made anew.
        (
            f"SQLite says: {words}"
            for words in said
            if words != "ok" and not words.startswith("***") and INDEX not in words
        ),
    )


def references_lead_somewhere(db: sqlite3.Connection) -> Evidence:
    """Every row that is referred to exists."""
    dangling = db.execute("PRAGMA foreign_key_check")
    return Evidence(
        f"{many(count_of(db, REFERENCES), 'kind')} of reference, each leading to a row that is there.",
        (f"row {row} of {tab} refers to a row of {parent} that is not there" for tab, row, parent, _ in dangling),
    )


def schema_is_ours(db: sqlite3.Connection) -> Evidence:
    """The file stands at this program's migration; its tables are strict; ledger and journal only grow."""
    if count_of(db, "PRAGMA application_id") != APPLICATION_ID:
        return Evidence("", ["the file is not marked as a workshop"])
    revisions = [row[0] for row in db.execute("SELECT version_num FROM alembic_version")]
    wrong = [] if revisions == [HEAD] else [f"the file stands at migration {revisions}, the program at {HEAD}"]
    return Evidence(
        f"{many(count_of(db, OWN_TABLES), 'table')} at migration {HEAD}, all strict; ledger and journal only grow.",
        chain(wrong, texts(db, NOT_STRICT, NO_TRIGGER), triggers_missing(db)),
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
# A bin or a part may be thrown out once it is empty, and an undo takes rows away: nothing of them may be left over.
GONE_PARTS = """
    SELECT printf('part %d is gone, and its movements leave %d in bins, %d kitted, %d fitted, %d lost, %d millionths',
                  part_id, sum(bin_qty), sum(kit_qty), sum(fit_qty), sum(lost_qty), sum(value_micros))
      FROM movement WHERE part_id NOT IN (SELECT id FROM part) GROUP BY part_id
    HAVING sum(bin_qty) <> 0 OR sum(kit_qty) <> 0 OR sum(fit_qty) <> 0 OR sum(lost_qty) <> 0
        OR sum(value_micros) <> 0 OR sum(unpriced_qty) <> 0
"""
GONE_BINS = """
    SELECT printf('bin %d is gone, and the movements of part %d leave %d in it', bin_id, part_id, sum(bin_qty))
      FROM movement WHERE bin_id IS NOT NULL AND bin_id NOT IN (SELECT id FROM bin)
     GROUP BY bin_id, part_id HAVING sum(bin_qty) <> 0
"""
GONE_LINES = """
    SELECT printf('line %d or build %d is gone, and the movements of part %d leave %d kitted, %d fitted, %d lost',
                  line_id, build_id, part_id, sum(kit_qty), sum(fit_qty), sum(lost_qty))
      FROM movement
     WHERE line_id IS NOT NULL AND (line_id NOT IN (SELECT id FROM line) OR build_id NOT IN (SELECT id FROM build))
     GROUP BY line_id, build_id, part_id
    HAVING sum(kit_qty) <> 0 OR sum(fit_qty) <> 0 OR sum(lost_qty) <> 0
        OR sum(iif(bin_qty = 0, 0, value_micros)) <> 0 OR sum(iif(bin_qty = 0, 0, unpriced_qty)) <> 0
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
    return many(count_of(db, "SELECT count(*) FROM movement"), "movement")


def balances_equal_ledger(db: sqlite3.Connection) -> Evidence:
    """What lies in each bin is the sum of its movements."""
    kept = many(count_of(db, "SELECT count(*) FROM balance"), "balance equals", "balances equal")
    return Evidence(f"{kept} the sum of {_movements(db)}.", texts(db, BALANCES))


def worth_equals_ledger(db: sqlite3.Connection) -> Evidence:
    """What the stock of each part is worth is the sum of its movements."""
    kept = many(count_of(db, "SELECT count(*) FROM worth"), "part", "parts")
    return Evidence(f"The worth of {kept} in stock equals the sum of {_movements(db)}.", texts(db, WORTHS))


def holdings_equal_ledger(db: sqlite3.Connection) -> Evidence:
    """What each build holds for each line is the sum of its movements."""
    kept = many(count_of(db, "SELECT count(*) FROM holding"), "holding of a build", "holdings of builds")
    moved = many(count_of(db, "SELECT count(*) FROM movement WHERE line_id IS NOT NULL"), "movement")
    return Evidence(f"The sum of {moved} for lines gives {kept}.", texts(db, HOLDINGS))


def gone_nets_to_nothing(db: sqlite3.Connection) -> Evidence:
    """Nothing is left of a part, bin, build or line that was thrown out or that an undo took away."""
    faults = texts(db, GONE_PARTS, GONE_BINS, GONE_LINES)
    return Evidence(f"{_movements(db)} looked through; nothing is left of a part, bin, build or line gone.", faults)


def reversals_are_opposite(db: sqlite3.Connection) -> Evidence:
    """Each reversal takes back one earlier movement exactly, and no movement is taken back twice."""
    count = count_of(db, "SELECT count(*) FROM movement WHERE reverses_id IS NOT NULL")
    said = many(count, "reversal takes", "reversals take")
    return Evidence(f"{said} back one movement each, exactly.", texts(db, NOT_OPPOSITE, REVERSED_TWICE))


# --- what no row may say ---------------------------------------------------------------------------------------------

OWN_STAND_INS = """
    SELECT 'stand-in ' || id || ': part ' || part_id || ' stands in for itself' FROM stand_in WHERE part_id = alt_id
"""


def assemblies_hold_no_loop(db: sqlite3.Connection) -> Evidence:
    """No assembly contains itself, whatever options are chosen."""
    count = many(count_of(db, "SELECT count(*) FROM assembly"), "assembly", "assemblies")
    edges = db.execute("SELECT parent_id, child_id FROM contains ORDER BY id")
    return Evidence(f"{count}, none inside itself.", _loop(edges, "assembly", "contains"))


def steps_hold_no_loop(db: sqlite3.Connection) -> Evidence:
    """No step waits for itself."""
    count = count_of(db, "SELECT count(*) FROM step")
    edges = db.execute("SELECT step_id, needs_id FROM step_need ORDER BY id")
    return Evidence(f"{many(count, 'step')}, none waiting for itself.", _loop(edges, "step", "needs"))


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
    count = count_of(db, "SELECT count(*) FROM stand_in")
    return Evidence(f"{many(count, 'stand-in')}, none a part in its own place.", texts(db, OWN_STAND_INS))


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
    ("deliveries", deliveries_agree),
    ("words", words_tell_every_text),
    ("files", files_are_there),
)
