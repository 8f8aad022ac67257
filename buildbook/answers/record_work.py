"""The record of a build, its story: the run of work, the snags, the episodes, the photos."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.answers.bench import bench
from buildbook.answers.log import episode
from buildbook.answers.plan import what_is_left
from buildbook.answers.record_rows import Done, Worked
from buildbook.answers.record_story import Attached, Happened, Snagged, Told, Tried
from buildbook.answers.snags import snags
from buildbook.store.read import as_built as read
from buildbook.store.read import log as logged
from buildbook.trade.moments import moment_of

if TYPE_CHECKING:
    from buildbook.answers.snags import SnagRow
    from buildbook.store.read.standing import BuildRow
    from buildbook.store.workshop import Workshop


def work_of(shop: Workshop, build: BuildRow) -> tuple[Worked, ...]:
    """Every step, in the order of the tree and of each checklist."""
    return tuple(
        Worked(
            *(row.assembly, row.place, row.name, row.work, row.state, row.likely_min, row.minutes),
            *(row.wait_low_min, row.wait_high_min, row.tools, row.one_way, row.hold_point, row.caution),
            *(row.started_at, row.finished_at, row.signed_at, row.signed_by, row.signed, row.early),
        )
        for row in bench(shop, build.code).rows
    )


def done_of(shop: Workshop, build: BuildRow) -> tuple[Done, ...]:
    """What was done when, in minutes as thought: what the plot of progress draws."""
    return tuple(Done(moment_of(at), minutes) for at, minutes in what_is_left(shop, (build,)).done if minutes)


def snags_of(shop: Workshop, build: BuildRow) -> tuple[Snagged, ...]:
    """The snags by number, with their tries and causes."""
    rows = sorted(snags(shop, build.code).rows, key=lambda row: row.number)
    return tuple(_snag(row) for row in rows)


def _snag(row: SnagRow) -> Snagged:
    tries = tuple(Tried(one.at, one.tried, one.showed, one.minutes, one.joints) for one in row.tries)
    parts = tuple(f"{one.assembly} {one.refs} {one.key}{f': {one.note}' if one.note else ''}" for one in row.parts)
    return Snagged(
        *(row.number, row.title, row.state, row.opened_at, row.closed_at, row.about, row.reading, row.cause),
        *(row.minutes, row.joints),
        tries,
        parts,
    )


def episodes_of(shop: Workshop, build: BuildRow) -> tuple[Told, ...]:
    """The episodes by number."""
    own = [one for one in logged.episodes(shop.reads) if one.build_id == build.id]
    words = read.words_of(shop.reads, build.id)
    found = []
    for one in sorted(own, key=lambda row: row.number):
        told = episode(shop, one.number, build.code)
        # What was written down; that something was done, the run of work tells better.
        rows = tuple(Happened(row.at, row.kind, row.what, row.about) for row in told.rows if row.kind != "action")
        span = (one.opened_at, one.closed_at, one.recap, words.get(one.number, ""))
        found.append(Told(one.number, one.title, *span, rows))
    return tuple(found)


def attached_of(shop: Workshop, build: BuildRow) -> tuple[Attached, ...]:
    """Photos and files."""
    return tuple(Attached(*row) for row in read.attached(shop.reads, build.id, build.project_id))
