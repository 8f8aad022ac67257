"""The rows behind what is kept for the camera: marks, shots, questions from the audience, and own words."""

from __future__ import annotations

import sqlite3
from typing import NamedTuple


class EpisodeNamed(NamedTuple):
    """An episode of a build, with the builder's own words for it."""

    id: int
    build_id: int
    number: int
    title: str
    opened_at: str
    closed_at: str
    recap: str
    words: str


# Index: the unique one of episode.
EPISODES = """
    SELECT id, build_id, number, title, opened_at, closed_at, recap, words FROM episode
     WHERE build_id = ? ORDER BY number
"""


def episodes_of(reads: sqlite3.Connection, build: int) -> list[EpisodeNamed]:
    """The episodes of a build, in the order of their numbers."""
    return [EpisodeNamed._make(row) for row in reads.execute(EPISODES, (build,))]


class MarkRow(NamedTuple):
    """A moment of an episode: so many seconds into a take, or only when it was."""

    id: int
    at: str
    take: str
    offset_s: int | None
    title: str


# Index: ix_mark_episode_id.
MARKS = """
    SELECT id, at, take, offset_s, title FROM mark
     WHERE episode_id = ? ORDER BY take, offset_s IS NULL, offset_s, id
"""


def marks(reads: sqlite3.Connection, episode: int) -> list[MarkRow]:
    """The marks of an episode, take by take, in the order of time."""
    return [MarkRow._make(row) for row in reads.execute(MARKS, (episode,))]


class ShotRow(NamedTuple):
    """Something to film for an episode; `done_at` is empty until it is."""

    id: int
    position: int
    text: str
    done_at: str


# Index: ix_shot_episode_id.
SHOTS = "SELECT id, position, text, done_at FROM shot WHERE episode_id = ? ORDER BY position, id"


def shots(reads: sqlite3.Connection, episode: int) -> list[ShotRow]:
    """The shots of an episode, in their order."""
    return [ShotRow._make(row) for row in reads.execute(SHOTS, (episode,))]


class AskedRow(NamedTuple):
    """What somebody in the audience asked; `answered_at` is empty while it is open, `episode` 0 for none."""

    id: int
    build: str
    episode: int
    at: str
    asked_by: str
    text: str
    answer: str
    answered_at: str


# Index: ix_audience_question_build_id where a build is named.
ASKED = """
    SELECT q.id, b.code, coalesce(e.number, 0), q.at, q.asked_by, q.text, q.answer, q.answered_at
      FROM audience_question AS q JOIN build AS b ON b.id = q.build_id LEFT JOIN episode AS e ON e.id = q.episode_id
     WHERE :build = 0 OR q.build_id = :build
     ORDER BY q.answered_at <> '', q.at, q.id
"""


def asked(reads: sqlite3.Connection, build: int = 0) -> list[AskedRow]:
    """The questions from the audience, the open ones first, the oldest first; of one build when it is given."""
    return [AskedRow._make(row) for row in reads.execute(ASKED, {"build": build})]


def open_questions(reads: sqlite3.Connection, build: int = 0) -> int:
    """How many questions from the audience are open."""
    found = reads.execute(
        "SELECT count(*) FROM audience_question WHERE answered_at = '' AND (:build = 0 OR build_id = :build)",
        {"build": build},
    )
    return int(found.fetchone()[0])
