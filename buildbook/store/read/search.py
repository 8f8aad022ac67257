"""The rows behind a search: where words stand, in which context, and what each such text is."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from buildbook.store.read.boards import PATH
from buildbook.store.read.log import ABOUT_SNAG, SNAG_PLACE
from buildbook.store.words import ROOM, SOURCES

# What stands before and after a word found; no text from outside holds either, since both are cleaned away.
OPENS, CLOSES = "\x02", "\x03"
# So many words of context go with a hit.
CONTEXT = 22


class TextRow(NamedTuple):
    """A text that was found, as what it is: when (UTC), for which build, what about; `head` names what it belongs to.

    `key` is by what the place that holds it knows it again.
    """

    number: int
    at: str
    build: str
    what: str
    about: str
    head: str
    key: str


# Each is asked for by its numbers in its own table. Index: the numbers themselves, and those of the tables joined.
OF_EPISODE = "JOIN episode AS e ON e.id = x.episode_id JOIN build AS b ON b.id = e.build_id"
EPISODE_SAID = "'episode ' || e.number || ', ' || e.title"
OF_ASSEMBLY = "JOIN assembly AS a ON a.id = x.assembly_id JOIN project AS p ON p.id = a.project_id"
ABOUT_FILE = f"coalesce({PATH} || coalesce(', ' || w.name, ''), r.key, 'snag ' || s.number, {EPISODE_SAID}, '')"
TEXTS: Mapping[str, str] = {
    "entry": f"""
        SELECT x.id, x.at, coalesce(b.code, ''), x.text,
               coalesce({PATH} || coalesce(', ' || w.name, ''), w.name, r.key, ''), '', ''
          FROM entry AS x LEFT JOIN build AS b ON b.id = x.build_id LEFT JOIN step AS w ON w.id = x.step_id
          LEFT JOIN assembly AS a ON a.id = coalesce(x.assembly_id, w.assembly_id)
          LEFT JOIN project AS p ON p.id = a.project_id LEFT JOIN part AS r ON r.id = x.part_id""",
    "snag": f"""
        SELECT x.id, s.opened_at, b.code, 'Snag ' || s.number || ': ' || s.title, {SNAG_PLACE},
               'Snag ' || s.number || ': ', iif(s.state = 'open', b.code || '/' || s.number, '')
          FROM snag AS x JOIN snag AS s ON s.id = x.id {ABOUT_SNAG}""",
    "snag_try": f"""
        SELECT x.id, x.at, b.code,
               'Snag ' || s.number || ', ' || s.title || ': ' || x.tried
                 || iif(x.showed = '', '', '; it showed: ' || x.showed),
               {SNAG_PLACE}, 'Snag ' || s.number || ': ', iif(s.state = 'open', b.code || '/' || s.number, '')
          FROM snag_try AS x JOIN snag AS s ON s.id = x.snag_id {ABOUT_SNAG}""",
    "journal_entry": """
        SELECT x.id, x.at, coalesce(b.code, ''), x.title, '', '', ''
          FROM journal_entry AS x LEFT JOIN build AS b ON b.id = x.build_id""",
    "episode": """
        SELECT x.id, x.opened_at, b.code, x.title, x.recap, '', x.title
          FROM episode AS x JOIN build AS b ON b.id = x.build_id""",
    "mark": f"SELECT x.id, x.at, b.code, x.title, {EPISODE_SAID}, '', e.title FROM mark AS x {OF_EPISODE}",
    "shot": f"""
        SELECT x.id, iif(x.done_at = '', e.opened_at, x.done_at), b.code, x.text, {EPISODE_SAID}, '', e.title
          FROM shot AS x {OF_EPISODE}""",
    "audience_question": f"""
        SELECT x.id, x.at, b.code, x.text || iif(x.answer = '', '', ' ' || x.answer), coalesce({EPISODE_SAID}, ''), '',
               coalesce(e.title, '')
          FROM audience_question AS x JOIN build AS b ON b.id = x.build_id
          LEFT JOIN episode AS e ON e.id = x.episode_id""",
    "attachment": f"""
        SELECT x.id, x.at, coalesce(b.code, ''), iif(x.caption = '', x.name, x.caption || ' (' || x.name || ')'),
               {ABOUT_FILE}, '', coalesce(r.key, '')
          FROM attachment AS x LEFT JOIN step AS w ON w.id = x.step_id
          LEFT JOIN assembly AS a ON a.id = coalesce(x.assembly_id, w.assembly_id)
          LEFT JOIN project AS p ON p.id = a.project_id LEFT JOIN part AS r ON r.id = x.part_id
          LEFT JOIN snag AS s ON s.id = x.snag_id LEFT JOIN episode AS e ON e.id = x.episode_id
          LEFT JOIN build AS b ON b.id = coalesce(x.build_id, s.build_id, e.build_id)""",
    "reading": f"""
        SELECT x.id, x.at, b.code, x.text || iif(x.note = '', '', ', ' || x.note), {PATH} || '/' || t.code, '',
               {PATH} || '/' || t.code
          FROM reading AS x JOIN build AS b ON b.id = x.build_id JOIN test_point AS t ON t.id = x.point_id
          JOIN assembly AS a ON a.id = t.assembly_id JOIN project AS p ON p.id = a.project_id""",
    "step_run": f"""
        SELECT x.id, iif(x.signed_at = '', x.finished_at, x.signed_at), b.code,
               trim(x.signed || iif(x.signed_by = '', '', ' (' || x.signed_by || ')') || ' ' || x.early),
               {PATH} || ', ' || w.name, '', w.name
          FROM step_run AS x JOIN build AS b ON b.id = x.build_id JOIN step AS w ON w.id = x.step_id
          JOIN assembly AS a ON a.id = w.assembly_id JOIN project AS p ON p.id = a.project_id""",
    "delivery": """
        SELECT x.id, x.at, '', x.note, 'order ' || o.ref, '', o.ref
          FROM delivery AS x JOIN purchase AS o ON o.id = x.purchase_id""",
    "delivery_line": """
        SELECT x.id, d.at, '', trim(x.note || ' ' || x.reason), 'order ' || o.ref || ', ' || r.key, '', o.ref
          FROM delivery_line AS x JOIN delivery AS d ON d.id = x.delivery_id
          JOIN purchase_line AS l ON l.id = x.purchase_line_id
          JOIN purchase AS o ON o.id = l.purchase_id JOIN part AS r ON r.id = l.part_id""",
    "purchase": """
        SELECT x.id, x.placed_on, '', x.ref || iif(x.note = '', '', ': ' || x.note), s.code, '', x.ref
          FROM purchase AS x JOIN supplier AS s ON s.id = x.supplier_id""",
    "choice": """
        SELECT x.id, '', '', iif(x.question = '', x.code, x.question), x.reason, '', p.code || '/' || x.code
          FROM choice AS x JOIN project AS p ON p.id = x.project_id""",
    "choice_option": """
        SELECT x.id, '', '', iif(x.name = '', x.code, x.name), iif(c.question = '', c.code, c.question), '',
               p.code || '/' || c.code
          FROM choice_option AS x JOIN choice AS c ON c.id = x.choice_id JOIN project AS p ON p.id = c.project_id""",
    "step": f"SELECT x.id, '', '', x.name, {PATH}, '', x.name FROM step AS x {OF_ASSEMBLY}",
    "test_point": f"""
        SELECT x.id, '', '', iif(x.name = '', x.code, x.name), {PATH} || '/' || x.code, '', {PATH} || '/' || x.code
          FROM test_point AS x {OF_ASSEMBLY}""",
    "project": "SELECT x.id, '', '', x.code, x.name, '', x.code FROM project AS x",
    "assembly": f"""
        SELECT x.id, '', '', {PATH}, a.name, '', {PATH}
          FROM assembly AS x JOIN assembly AS a ON a.id = x.id JOIN project AS p ON p.id = a.project_id""",
    "build": """
        SELECT x.id, '', x.code, x.code, iif(x.note = '', p.name, x.note), '', x.code
          FROM build AS x JOIN project AS p ON p.id = x.project_id""",
    "line": f"""
        SELECT x.id, '', '', x.note, {PATH} || ', ' || iif(x.refs = '', r.key, x.refs), '', {PATH}
          FROM line AS x JOIN part AS r ON r.id = x.part_id {OF_ASSEMBLY}""",
    "supplier": "SELECT x.id, '', '', x.code, x.name, '', x.code FROM supplier AS x",
    "offer": """
        SELECT x.id, '', '', x.note, s.code || ', ' || r.key, '', r.key
          FROM offer AS x JOIN supplier AS s ON s.id = x.supplier_id JOIN part AS r ON r.id = x.part_id""",
    "stand_in": """
        SELECT x.id, '', '', x.reason, a.key || ' for ' || r.key, '', r.key
          FROM stand_in AS x JOIN part AS r ON r.id = x.part_id JOIN part AS a ON a.id = x.alt_id""",
    "bin": "SELECT x.id, '', '', x.name, x.note, '', x.name FROM bin AS x",
    "part": "SELECT x.id, '', '', x.key, x.name, '', x.key FROM part AS x",
}
KINDS = tuple(source.tab for source in SOURCES)
# Index: said, which gives the rows in falling order of their numbers without a sort.
MATCHES = "SELECT rowid FROM said WHERE said MATCH ? ORDER BY rowid DESC"
CONTEXTS = f"""
    SELECT rowid, snippet(said, 0, char({ord(OPENS)}), char({ord(CLOSES)}), '…', {CONTEXT}) FROM said
     WHERE said MATCH :asked AND rowid BETWEEN :lowest AND :highest ORDER BY rowid DESC
"""
WITHIN = "SELECT rowid FROM said WHERE {} ORDER BY rowid DESC"
WHOLE = "SELECT rowid, what FROM said WHERE rowid IN (SELECT value FROM json_each(?))"


def matching(reads: sqlite3.Connection, asked: str) -> list[int]:
    """The numbers in the index of all texts in which the words stand (an expression of FTS5), the highest first."""
    return [number for (number,) in reads.execute(MATCHES, (asked,))]


def holding(reads: sqlite3.Connection, pieces: Sequence[str]) -> list[int]:
    """The same of all texts that hold each of the pieces anywhere, in small or capital letters A to Z."""
    likes = [f"%{escaped(piece)}%" for piece in pieces]
    condition = " AND ".join(["what LIKE ? ESCAPE '\\'"] * len(likes))
    return [number for (number,) in reads.execute(WITHIN.format(condition), likes)]


def escaped(text: str) -> str:
    """A text whose signs mean nothing to LIKE."""
    for sign in "\\%_":
        text = text.replace(sign, f"\\{sign}")
    return text


def contexts(reads: sqlite3.Connection, asked: str, runs: Sequence[Sequence[int]]) -> dict[int, str]:
    """For each run of texts that match, highest number first and none left out: what stands around the words found."""
    found: dict[int, str] = {}
    for run in runs:
        found.update(reads.execute(CONTEXTS, {"asked": asked, "lowest": run[-1], "highest": run[0]}))
    return found


def whole(reads: sqlite3.Connection, numbers: Sequence[int]) -> dict[int, str]:
    """The texts of these numbers in the index, in full."""
    return dict(reads.execute(WHOLE, (json.dumps(numbers),)))


def told(reads: sqlite3.Connection, kind: str, numbers: Sequence[int]) -> Iterator[TextRow]:
    """What the texts of one table (one of KINDS) are; `number` is again that in the index."""
    first = (KINDS.index(kind) + 1) * ROOM
    statement = f"{TEXTS[kind]} WHERE x.id IN (SELECT value FROM json_each(?))"
    for row in reads.execute(statement, (json.dumps([number - first for number in numbers]),)):
        yield TextRow(row[0] + first, *row[1:])
