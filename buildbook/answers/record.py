"""The whole record of a build as it was built, from which it could be built again: frozen when it is finished."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers import record_checks, record_parts, record_work
from buildbook.answers.form import Answer, count_of
from buildbook.answers.printed import last_day
from buildbook.answers.record_json import read_as, written
from buildbook.answers.record_rows import (
    Bought,
    Chosen,
    Cost,
    Done,
    Held,
    PartLine,
    Point,
    Section,
    Supplied,
    Weighed,
    Worked,
)
from buildbook.answers.record_story import Attached, Snagged, Told
from buildbook.answers.safety import safety
from buildbook.answers.standing import COUNTING, find_build
from buildbook.errors import BadInput, StoreFault
from buildbook.store.read import as_built as read
from buildbook.store.read.standing import BuildRow, builds

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

DROPPED = " The record kept when it was finished is dropped; finishing it again keeps a new one."


@dataclass(frozen=True, slots=True)
class Record(Answer):
    """All that is known of a build on `day` (UTC, ISO 8601); `frozen_at` is empty while it is not finished."""

    SCHEMA: ClassVar[str] = "buildbook.record/1"
    build: str
    project: str
    name: str
    units: int
    target_on: str
    day: str
    frozen_at: str
    note: str
    project_note: str
    sections: tuple[Section, ...]
    lines: tuple[PartLine, ...]
    held: tuple[Held, ...]
    bought: tuple[Bought, ...]
    work: tuple[Worked, ...]
    done: tuple[Done, ...]
    choices: tuple[Chosen, ...]
    supplies: tuple[Supplied, ...]
    weighed: tuple[Weighed, ...]
    points: tuple[Point, ...]
    snags: tuple[Snagged, ...]
    cost: Cost
    safety_said: str
    cautions: tuple[str, ...]
    episodes: tuple[Told, ...]
    attached: tuple[Attached, ...]


def record(shop: Workshop, build: str | None = None) -> Record:
    """The record of a build: as it was frozen when it is finished, else as it stands.

    Without a build, the only one that is planned or under way. Raises BadInput for an unknown build, or when it is not
    clear which is meant, or for a finished one of which nothing was frozen.
    """
    row = _meant(shop, build)
    kept = read.frozen(shop.reads, row.id)
    if kept is not None:
        if sha256(kept.record.encode()).hexdigest() != kept.sha256:
            what = f"The book of {row.code} was not written."
            raise StoreFault(what, "The record kept of it has been damaged.", "Restore a backup.")
        return read_as(Record, kept.record)
    if row.state not in COUNTING:
        what = f"There is no record of build {row.code}."
        raise BadInput(what, f"It is {row.state}, and nothing was kept of it.", "Set it to active to look at it.")
    return record_now(shop, row.code)


def record_now(shop: Workshop, code: str, *, frozen_at: str = "") -> Record:
    """The record of a build planned or under way, as it stands. Raises BadInput for an unknown build."""
    row = _meant(shop, code)
    sections = record_parts.sections_of(shop, row)
    lists = record_parts.lists_of(shop, row, sections)
    lines = record_parts.lines_of(lists)
    held = record_parts.held_of(shop, row, lists)
    answer = record_checks.checks_of(shop, row)
    checked = safety(shop, row.code)
    work = record_work.work_of(shop, row)
    count = f"{count_of(len(sections), 'section')}, {count_of(len(lines), 'line')}, {count_of(len(work), 'step')}"
    return Record(
        f"{row.code}, {row.name or row.project}: {count}.",
        build=row.code,
        project=row.project,
        name=row.name,
        units=row.units,
        target_on=row.target_on,
        day=frozen_at[:10] or last_day(shop),
        frozen_at=frozen_at,
        note=read.noted(shop.reads, row.id),
        project_note=read.project_note(shop.reads, row.project_id),
        sections=sections,
        lines=lines,
        held=held,
        bought=record_parts.bought_of(shop, lines, held),
        work=work,
        done=record_work.done_of(shop, row),
        choices=record_checks.choices_of(answer),
        supplies=record_checks.supplies_of(answer),
        weighed=record_checks.weighed_of(answer),
        points=record_checks.points_of(shop, row, answer),
        snags=record_work.snags_of(shop, row),
        cost=record_checks.cost_of(shop, row),
        safety_said=checked.sentence,
        cautions=checked.cautions,
        episodes=record_work.episodes_of(shop, row),
        attached=record_work.attached_of(shop, row),
    )


def freeze(shop: Workshop, code: str, at: str) -> tuple[str, str]:
    """The record of a build as it is kept when it is finished, as JSON, with the hash of that."""
    text = written(record_now(shop, code, frozen_at=at))
    return text, sha256(text.encode()).hexdigest()


def is_kept(shop: Workshop, code: str) -> bool:
    """Whether there is a record of the build as it was finished. Raises BadInput for an unknown build."""
    return read.frozen(shop.reads, _meant(shop, code).id) is not None


def _meant(shop: Workshop, code: str | None) -> BuildRow:
    every = builds(shop.reads)
    under_way = [row for row in every if row.state in COUNTING]
    found = find_build(every if code else under_way, code)
    if found is None:
        said = f"There are {', '.join(row.code for row in under_way)}." if under_way else "None is under way."
        raise BadInput("It is not clear which build is meant.", said, "Name one with --build.")
    return found
