"""What is frozen of finished builds, and what their record needs besides the answers."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

from buildbook.store.read.boards import PATH


class FrozenRow(NamedTuple):
    """The record of a finished build as it was frozen: JSON with its hash."""

    at: str
    sha256: str
    record: str


def frozen(reads: sqlite3.Connection, build: int) -> FrozenRow | None:
    """What was frozen of a build. Index: the unique one of as_built."""
    found = reads.execute("SELECT at, sha256, record FROM as_built WHERE build_id = ?", (build,)).fetchone()
    return FrozenRow(*found) if found else None


def noted(reads: sqlite3.Connection, build: int) -> str:
    """What was noted on a build."""
    return str(reads.execute("SELECT note FROM build WHERE id = ?", (build,)).fetchone()[0])


def project_note(reads: sqlite3.Connection, project: int) -> str:
    """What was noted on a project."""
    return str(reads.execute("SELECT note FROM project WHERE id = ?", (project,)).fetchone()[0])


def words_of(reads: sqlite3.Connection, build: int) -> dict[int, str]:
    """The builder's own words by the number of the episode."""
    return dict(reads.execute("SELECT number, words FROM episode WHERE build_id = ?", (build,)))


class AttachedRow(NamedTuple):
    """A photo or file of a build, by the hash of its content, and what it is about."""

    sha256: str
    name: str
    media: str
    caption: str
    at: str
    kind: str
    about: str


# Attachments are some hundred.
ATTACHED = f"""
    SELECT t.sha256, t.name, t.media, t.caption, t.at,
           CASE WHEN t.snag_id IS NOT NULL THEN 'snag' WHEN t.episode_id IS NOT NULL THEN 'episode'
                WHEN t.part_id IS NOT NULL THEN 'part' WHEN a.id IS NOT NULL THEN 'section' ELSE 'build' END,
           coalesce(CAST(n.number AS TEXT), CAST(d.number AS TEXT), r.key, {PATH}, '')
      FROM attachment AS t LEFT JOIN snag AS n ON n.id = t.snag_id LEFT JOIN episode AS d ON d.id = t.episode_id
      LEFT JOIN part AS r ON r.id = t.part_id LEFT JOIN step AS s ON s.id = t.step_id
      LEFT JOIN reading AS g ON g.id = t.reading_id LEFT JOIN test_point AS m ON m.id = g.point_id
      LEFT JOIN assembly AS a ON a.id = coalesce(t.assembly_id, s.assembly_id, m.assembly_id)
      LEFT JOIN project AS p ON p.id = a.project_id
     WHERE t.build_id = ? OR t.build_id IS NULL AND p.id = ?
     ORDER BY t.at, t.id
"""


def attached(reads: sqlite3.Connection, build: int, project: int) -> list[AttachedRow]:
    """What is attached to a build, and to the assemblies of its project, the oldest first."""
    return [AttachedRow._make(row) for row in reads.execute(ATTACHED, (build, project))]
