"""What is said about a build: entries, and the episodes that gather them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.reading import read_text
from buildbook.actions.rows import put, remove, seek
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting
from buildbook.store.read.naming import find_assembly, find_build, find_part, find_step
from buildbook.store.tables import Entry, Episode
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, quote


def note(
    shop: Workshop,
    text: str,
    *,
    build: str | None = None,
    assembly: str | None = None,
    step: str | int | None = None,
    part: str | None = None,
) -> int:
    """Write something down, about any of these; in the open episode of the build, if any. Returns its number."""
    said = read_entry(text)
    about = find_build(shop, build) if build else None
    tree = kitting.inside(shop.reads, about.assembly_id) if about else set()
    entry = Entry(at="", text=said)
    entry.build_id = about.id if about else None
    entry.assembly_id = find_assembly(shop, assembly, among=tree).id if assembly else None
    entry.step_id = find_step(shop, step, among=tree).id if step is not None else None
    entry.part_id = find_part(shop, part).id if part else None
    with action(shop, f"Note: {_shortly(said)}", build_id=entry.build_id) as work:
        entry.at = work.at
        opened = _open_episode(work, about.id) if about else None
        entry.episode_id = opened.id if opened else None
        return put(work, entry)


def read_entry(text: str) -> str:
    """What is written down: something, and not too much."""
    said = read_text(text, "entry")
    if not said:
        raise BadInput("Nothing was written down.", "The entry is empty.", "Say something.")
    return said


def _shortly(text: str) -> str:
    return quote(text, limit=60)[1:-1]


def change_note(shop: Workshop, number: int, text: str, *, expected: Mapping[str, Any] | None = None) -> int:
    """Put something else in the place of a note, and return its number; when and about what it was stays."""
    said = read_entry(text)
    with action(shop, f"Note changed: {_shortly(said)}") as work:
        row = _entry(work, number)
        refuse_stale(f"Note {number}", row, expected)
        row.text = said
    return number


def drop_note(shop: Workshop, number: int) -> None:
    """Take away something that was written down."""
    with action(shop, f"Take note {number} away") as work:
        remove(work, _entry(work, number))


def _entry(work: Work, number: int) -> Entry:
    row = work.get(Entry, number)
    if row is None:
        raise BadInput(f"There is no note {number}.", "", "See `buildbook log`.")
    return row


def open_episode(shop: Workshop, build: str, title: str) -> int:
    """Open the next episode of a build and return its number there (1, 2, ...). One is open at a time."""
    about = find_build(shop, build)
    called = clean(title)
    if not called:
        raise BadInput("The episode has no title.", "", "Say what this stage is about.")
    with action(shop, f"Open episode: {called}", build_id=about.id) as work:
        opened = _open_episode(work, about.id)
        if opened:
            raise Forbidden(
                "The episode was not opened.",
                f"Episode {opened.number} of {about.code}, {opened.title}, is still open.",
                "Close it first.",
            )
        last = work.exec(select(func.max(Episode.number)).where(col(Episode.build_id) == about.id)).one() or 0
        put(work, Episode(build_id=about.id, number=last + 1, title=called, opened_at=work.at))
    return last + 1


def close_episode(shop: Workshop, build: str, recap: str = "") -> int:
    """Close the open episode of a build, with a recap if there is one, and return its number."""
    about = find_build(shop, build)
    with action(shop, f"Close episode of {about.code}", build_id=about.id) as work:
        opened = _open_episode(work, about.id)
        if opened is None:
            raise Forbidden("No episode was closed.", f"{about.code} has none open.", "Open one first.")
        opened.closed_at = work.at
        opened.recap = read_text(recap, "recap")
        return opened.number


def _open_episode(work: Work, build: int) -> Episode | None:
    return seek(work, Episode, build_id=build, closed_at="")
