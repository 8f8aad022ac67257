"""What is attached: each photo or file with what it is about, in words."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

from buildbook.store.read.boards import PATH


class AttachmentRow(NamedTuple):
    """A photo or file; `kind` is what it is about (build, assembly, step, ...), `about` the same in words."""

    number: int
    at: str
    name: str
    media: str
    size: int
    sha256: str
    caption: str
    build: str
    kind: str
    about: str
    build_id: int
    assembly_id: int
    part_id: int


# Attachments are some hundred; each is joined by the primary key of what it is about.
EVERY = f"""
    SELECT t.id, t.at, t.name, t.media, t.size, t.sha256, t.caption, coalesce(b.code, '') AS build,
           CASE WHEN t.entry_id IS NOT NULL THEN 'note' WHEN t.reading_id IS NOT NULL THEN 'reading'
                WHEN t.snag_id IS NOT NULL THEN 'snag' WHEN t.episode_id IS NOT NULL THEN 'episode'
                WHEN t.part_id IS NOT NULL THEN 'part' WHEN t.step_id IS NOT NULL THEN 'step'
                WHEN t.assembly_id IS NOT NULL THEN 'assembly' ELSE 'build' END AS kind,
           coalesce(
               'note: ' || e.text,
               {PATH} || '/' || m.code || ': ' || g.text,
               'snag ' || n.number || ': ' || n.title,
               'episode ' || d.number || ': ' || d.title,
               r.key,
               {PATH} || ', ' || s.name,
               {PATH},
               b.code, '') AS about,
           coalesce(t.build_id, 0), coalesce(t.assembly_id, s.assembly_id, 0), coalesce(t.part_id, 0)
      FROM attachment AS t
      LEFT JOIN build AS b ON b.id = t.build_id LEFT JOIN entry AS e ON e.id = t.entry_id
      LEFT JOIN reading AS g ON g.id = t.reading_id LEFT JOIN test_point AS m ON m.id = g.point_id
      LEFT JOIN snag AS n ON n.id = t.snag_id LEFT JOIN episode AS d ON d.id = t.episode_id
      LEFT JOIN part AS r ON r.id = t.part_id LEFT JOIN step AS s ON s.id = t.step_id
      LEFT JOIN assembly AS a ON a.id = coalesce(t.assembly_id, s.assembly_id, m.assembly_id)
      LEFT JOIN project AS p ON p.id = a.project_id
"""
NEWEST_FIRST = "ORDER BY t.at DESC, t.id DESC"


def attachments(reads: sqlite3.Connection) -> list[AttachmentRow]:
    """Everything that is attached, the newest first."""
    return [AttachmentRow._make(row) for row in reads.execute(f"{EVERY} {NEWEST_FIRST}")]


def attached_at(reads: sqlite3.Connection, moment: str) -> list[AttachmentRow]:
    """What was attached at a moment, as the journal tells of it."""
    return [AttachmentRow._make(row) for row in reads.execute(f"{EVERY} WHERE t.at = ? {NEWEST_FIRST}", (moment,))]


def attachment(reads: sqlite3.Connection, number: int) -> AttachmentRow | None:
    """The attachment of that number; None when there is none."""
    found = reads.execute(f"{EVERY} WHERE t.id = ?", (number,)).fetchone()
    return AttachmentRow._make(found) if found else None
