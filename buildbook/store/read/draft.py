"""The rows of a span of time that the draft of an episode is made of."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from typing import NamedTuple

from buildbook.store.read.boards import PATH


class Span(NamedTuple):
    """From a moment up to another (UTC); `closed` is empty where it goes on."""

    build: int
    opened: str
    closed: str


class SnagTold(NamedTuple):
    """A snag, as it stands."""

    id: int
    number: int
    title: str
    opened_at: str
    closed_at: str
    cause: str


class TryTold(NamedTuple):
    """A try at a snag."""

    id: int
    snag: int
    tried: str
    showed: str
    minutes: int | None


def _values(span: Span) -> dict[str, object]:
    return {"build": span.build, "opened": span.opened, "closed": span.closed or "9999"}


# Index: the unique one of snag.
SNAGS = """
    SELECT id, number, title, opened_at, closed_at, cause FROM snag
     WHERE build_id = :build AND opened_at <= :closed AND (closed_at = '' OR closed_at >= :opened)
     ORDER BY number
"""


def snags(reads: sqlite3.Connection, span: Span) -> list[SnagTold]:
    """The snags that were open in a span."""
    return [SnagTold._make(row) for row in reads.execute(SNAGS, _values(span))]


# Index: ix_snag_try_snag_id.
TRIES = """
    SELECT y.id, y.snag_id, y.tried, y.showed, y.minutes FROM snag_try AS y JOIN snag AS s ON s.id = y.snag_id
     WHERE s.build_id = :build AND y.at BETWEEN :opened AND :closed ORDER BY y.at, y.id
"""


def tries(reads: sqlite3.Connection, span: Span) -> list[TryTold]:
    """What was tried at snags in a span, in order."""
    return [TryTold._make(row) for row in reads.execute(TRIES, _values(span))]


class ReadTold(NamedTuple):
    """A reading taken in a span; `text` as typed, `value` in SI units."""

    id: int
    point: int
    name: str
    unit: str
    text: str
    value: float
    unit_number: int
    note: str


# Index: ix_reading_build_id. The last one of the span counts.
READINGS = f"""
    SELECT max(r.id), t.id, {PATH} || ', ' || t.name, t.unit, r.text, r.value, r.unit_number, r.note
      FROM reading AS r JOIN test_point AS t ON t.id = r.point_id JOIN assembly AS a ON a.id = t.assembly_id
      JOIN project AS p ON p.id = a.project_id
     WHERE r.build_id = :build AND r.at BETWEEN :opened AND :closed
     GROUP BY t.id, r.unit_number ORDER BY 1
"""


def readings(reads: sqlite3.Connection, span: Span) -> list[ReadTold]:
    """The last reading of each point in a span."""
    return [ReadTold._make(row) for row in reads.execute(READINGS, _values(span))]


class NoteTold(NamedTuple):
    """Something that was written down."""

    id: int
    at: str
    text: str


# Indexes: ix_entry_episode_id, ix_entry_at.
NOTES = """
    SELECT id, at, text FROM entry WHERE build_id = :build AND at BETWEEN :opened AND :closed ORDER BY at, id
"""


def notes(reads: sqlite3.Connection, span: Span) -> list[NoteTold]:
    """What was written down about a build in a span."""
    return [NoteTold._make(row) for row in reads.execute(NOTES, _values(span))]


class CameRow(NamedTuple):
    """Pieces of a part that came in: what was paid for them, and how many of them nobody knows the price of."""

    part: int
    key: str
    name: str
    unit: str
    supplier: str
    qty: int
    value_micros: int
    unpriced_qty: int


# Every movement of the time has to be looked at; no index goes by time. What was reversed in the span is not told.
CAME = """
    SELECT p.id, p.key, p.name, p.unit, coalesce(nullif(s.name, ''), s.code, ''),
           sum(m.bin_qty), sum(m.value_micros), sum(m.unpriced_qty)
      FROM movement AS m JOIN part AS p ON p.id = m.part_id
      LEFT JOIN movement AS o ON o.id = m.reverses_id
      LEFT JOIN purchase_line AS l ON l.id = m.purchase_line_id LEFT JOIN purchase AS u ON u.id = l.purchase_id
      LEFT JOIN supplier AS s ON s.id = u.supplier_id
     WHERE m.at BETWEEN :opened AND :closed AND 'received' IN (m.kind, o.kind)
       AND m.part_id IN (SELECT part_id FROM line WHERE assembly_id IN (SELECT value FROM json_each(:tree)))
     GROUP BY p.id, 5 HAVING sum(m.bin_qty) > 0 ORDER BY 5, min(m.id)
"""


def came(reads: sqlite3.Connection, span: Span, tree: Collection[int]) -> list[CameRow]:
    """The parts of these assemblies that came in a span, by supplier."""
    values = {**_values(span), "tree": json.dumps(sorted(tree))}
    return [CameRow._make(row) for row in reads.execute(CAME, values)]


class OrderedRow(NamedTuple):
    """An order placed in a span with parts of a build: how many lines of it, and what those cost as ordered."""

    id: int
    ref: str
    supplier: str
    due_on: str
    lines: int


# An order has a day, not a moment. Index: ix_purchase_line_purchase_id.
ORDERED = """
    SELECT u.id, u.ref, coalesce(nullif(s.name, ''), s.code), u.due_on, count(*)
      FROM purchase AS u JOIN supplier AS s ON s.id = u.supplier_id JOIN purchase_line AS l ON l.purchase_id = u.id
     WHERE u.state IN ('placed', 'received') AND u.placed_on BETWEEN substr(:opened, 1, 10) AND substr(:closed, 1, 10)
       AND l.part_id IN (SELECT part_id FROM line WHERE assembly_id IN (SELECT value FROM json_each(:tree)))
     GROUP BY u.id ORDER BY u.placed_on, u.id
"""


def ordered(reads: sqlite3.Connection, span: Span, tree: Collection[int]) -> list[OrderedRow]:
    """The orders placed in a span that bring parts of these assemblies."""
    values = {**_values(span), "tree": json.dumps(sorted(tree))}
    return [OrderedRow._make(row) for row in reads.execute(ORDERED, values)]


# Index: ix_movement_build_id. What leaves the bins for a build takes its worth along.
TAKEN = """
    SELECT coalesce(-sum(value_micros), 0), coalesce(sum(kit_qty + fit_qty + lost_qty), 0)
      FROM movement WHERE build_id = :build AND at BETWEEN :opened AND :closed AND bin_id IS NOT NULL
"""


def taken(reads: sqlite3.Connection, span: Span) -> tuple[int, int]:
    """What the parts were worth that a build took in a span, in millionths, less what it gave back; and how many."""
    worth, pieces = reads.execute(TAKEN, _values(span)).fetchone()
    return int(worth), int(pieces)


class FittedRow(NamedTuple):
    """A line of which pieces were fitted in a span."""

    line: int
    assembly: str
    refs: str
    key: str
    name: str
    value: str


# Index: ix_movement_build_id.
FITTED = f"""
    SELECT l.id, {PATH}, l.refs, r.key, r.name, r.value_text
      FROM movement AS m JOIN line AS l ON l.id = m.line_id JOIN part AS r ON r.id = m.part_id
      JOIN assembly AS a ON a.id = l.assembly_id JOIN project AS p ON p.id = a.project_id
     WHERE m.build_id = :build AND m.at BETWEEN :opened AND :closed
     GROUP BY l.id, r.id HAVING sum(m.fit_qty) > 0 ORDER BY a.position, l.position, l.id
"""


def fitted(reads: sqlite3.Connection, span: Span) -> list[FittedRow]:
    """The lines that were fitted in a span, board by board."""
    return [FittedRow._make(row) for row in reads.execute(FITTED, _values(span))]


class Decided(NamedTuple):
    """A question that was settled, shelved or opened again in a span, as it stood after the last time."""

    id: int
    code: str
    question: str
    state: str
    reason: str
    answer: str


# An action counts while it was undone as often as done again. Indexes: ix_journal_entry_at,
# ix_journal_change_entry_id, ix_journal_entry_target_id.
TOUCHED = """
    SELECT c.first_id, c.rows, c.fields, c.after FROM journal_change AS c JOIN journal_entry AS j ON j.id = c.entry_id
     WHERE j.at BETWEEN :opened AND :closed AND c.tab = :tab AND c.before <> '' AND j.kind = 'do'
       AND (SELECT count(*) FROM journal_entry AS u WHERE u.target_id = j.id) % 2 = 0
     ORDER BY j.id, c.id
"""
CHOICES = "SELECT id, code, question FROM choice WHERE project_id = ?"
OPTIONS = "SELECT id, choice_id, coalesce(nullif(name, ''), code), chosen FROM choice_option"


def decided(reads: sqlite3.Connection, span: Span, project: int) -> list[Decided]:
    """The questions of a project that were settled or put off in a span; what was undone since is not told."""
    known = {number: (code, question) for number, code, question in reads.execute(CHOICES, (project,))}
    stood = _images(reads, span, "choice")
    answers = {number: (choice, name) for number, choice, name, _ in reads.execute(OPTIONS)}
    chosen: dict[int, str] = {}
    for number, image in _images(reads, span, "choice_option").items():
        if image.get("chosen") and number in answers:
            chosen[answers[number][0]] = answers[number][1]
    return [
        Decided(number, *known[number], image["state"], image["reason"], chosen.get(number, ""))
        for number, image in stood.items()
        if number in known and image["state"] in ("chosen", "shelved")
    ]


def _images(reads: sqlite3.Connection, span: Span, tab: str) -> dict[int, dict[str, str]]:
    """The rows of a table that were changed in a span, as they stood after the last change."""
    found: dict[int, dict[str, str]] = {}
    for first, rows, fields, after in reads.execute(TOUCHED, {**_values(span), "tab": tab}):
        for at in range(rows):
            found.pop(first + at, None)
        if after:
            names = json.loads(fields)
            for at, image in enumerate(json.loads(after)):
                found[first + at] = dict(zip(names, image, strict=True))
    return found
