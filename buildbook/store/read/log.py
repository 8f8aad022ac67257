"""The rows behind the Log: what was written down and what was done, in one stream, and what is found in both."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple

from buildbook.store.read.boards import PATH


class LogRow(NamedTuple):
    """A note, a snag, a try or an action: when (UTC), for which build, what, and what it is about."""

    at: str
    kind: str
    build: str
    what: str
    about: str


# What a snag is about: its assembly, its step, or the board on which the reading was taken that showed it.
ABOUT_SNAG = """
      JOIN build AS b ON b.id = s.build_id LEFT JOIN step AS w ON w.id = s.step_id
      LEFT JOIN reading AS r ON r.id = s.reading_id LEFT JOIN test_point AS t ON t.id = r.point_id
      LEFT JOIN assembly AS a ON a.id = coalesce(s.assembly_id, w.assembly_id, t.assembly_id)
      LEFT JOIN project AS p ON p.id = a.project_id
"""
SNAG_PLACE = f"coalesce({PATH} || coalesce(', ' || w.name, ''), '')"
# A note, a snag and a try are told as themselves and not also as the action of writing them, nor is the taking back of
# them. That a snag was closed is told as an action. Snags are few.
# Indexes: ix_entry_at and ix_journal_entry_at give both halves in order; ix_journal_change_entry_id.
HAPPENED = f"""
    SELECT e.at, 'note' AS kind, coalesce(b.code, '') AS build, e.text AS what,
           coalesce({PATH} || coalesce(', ' || s.name, ''), s.name, r.key, '') AS about,
           e.build_id AS build_id, e.episode_id AS episode_id, e.id AS id
      FROM entry AS e
      LEFT JOIN build AS b ON b.id = e.build_id LEFT JOIN step AS s ON s.id = e.step_id
      LEFT JOIN assembly AS a ON a.id = coalesce(e.assembly_id, s.assembly_id)
      LEFT JOIN project AS p ON p.id = a.project_id LEFT JOIN part AS r ON r.id = e.part_id
    UNION ALL
    SELECT s.opened_at, 'snag', b.code, 'Snag ' || s.number || ': ' || s.title, {SNAG_PLACE}, s.build_id, NULL, s.id
      FROM snag AS s {ABOUT_SNAG}
    UNION ALL
    SELECT y.at, 'try', b.code,
           'Snag ' || s.number || ', ' || s.title || ': ' || y.tried
             || iif(y.showed = '', '', '; it showed: ' || y.showed),
           {SNAG_PLACE}, s.build_id, NULL, y.id
      FROM snag_try AS y JOIN snag AS s ON s.id = y.snag_id {ABOUT_SNAG}
    UNION ALL
    SELECT j.at, 'action', coalesce(b.code, ''), j.title, '', j.build_id, NULL, j.id
      FROM journal_entry AS j LEFT JOIN build AS b ON b.id = j.build_id
     WHERE NOT EXISTS (
               SELECT 1 FROM journal_change AS c WHERE c.entry_id = j.id
                  AND (c.tab IN ('entry', 'snag_try') OR c.tab = 'snag' AND (c.before = '' OR c.after = '')))
"""
STREAM = f"""
    SELECT at, kind, build, what, about FROM ({HAPPENED})
     WHERE :build = 0 OR build_id = :build
     ORDER BY at DESC, kind, id DESC LIMIT :most
"""


def stream(reads: sqlite3.Connection, most: int, build: int = 0) -> list[LogRow]:
    """The last `most` notes, snags, tries and actions (-1 for all), newest first; of one build when it is given."""
    return [LogRow._make(row) for row in reads.execute(STREAM, {"most": most, "build": build})]


COUNT = f"SELECT count(*) FROM ({HAPPENED}) WHERE :build = 0 OR build_id = :build"


def count(reads: sqlite3.Connection, build: int = 0) -> int:
    """How many notes, snags, tries and actions there are."""
    return int(reads.execute(COUNT, {"build": build}).fetchone()[0])


def first_note(reads: sqlite3.Connection) -> str:
    """The oldest entry of the log; empty when there is none."""
    found = reads.execute("SELECT text FROM entry ORDER BY id LIMIT 1").fetchone()
    return str(found[0]) if found else ""


class EpisodeRow(NamedTuple):
    """A stage of a build; `closed_at` is empty while it is open."""

    id: int
    build_id: int
    build: str
    number: int
    title: str
    opened_at: str
    closed_at: str
    recap: str


EPISODES = """
    SELECT e.id, e.build_id, b.code, e.number, e.title, e.opened_at, e.closed_at, e.recap
      FROM episode AS e JOIN build AS b ON b.id = e.build_id
     ORDER BY e.opened_at, e.id
"""


def episodes(reads: sqlite3.Connection) -> list[EpisodeRow]:
    """Every episode, the oldest first."""
    return [EpisodeRow._make(row) for row in reads.execute(EPISODES)]


# What was done in the drawers belongs to no build, and is told in the episode in which it happened.
IN_EPISODE = f"""
    SELECT at, kind, build, what, about FROM ({HAPPENED})
     WHERE episode_id = :id
        OR episode_id IS NULL AND (build_id IS NULL OR build_id = :build)
           AND at >= :opened AND (:closed = '' OR at <= :closed)
     ORDER BY at, kind, id
"""


def in_episode(reads: sqlite3.Connection, episode: EpisodeRow) -> list[LogRow]:
    """What was written down and done in an episode, the oldest first."""
    values = {
        "id": episode.id,
        "build": episode.build_id,
        "opened": episode.opened_at,
        "closed": episode.closed_at,
    }
    return [LogRow._make(row) for row in reads.execute(IN_EPISODE, values)]
