"""The book of a build: its whole record as one document, from which a stranger could build or mend it again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, TypeAlias

from buildbook.publish.book_checks import budget, sheets, weighings
from buildbook.publish.book_parts import bought, differences, section_parts
from buildbook.publish.book_pictures import photos
from buildbook.publish.book_said import day_said, steps_said
from buildbook.publish.book_story import choices, costs, episodes, snags, time_spent
from buildbook.publish.document import Block, Document, Facts, Heading, Items, PageBreak, Table, Text
from buildbook.trade.units import show_minutes

if TYPE_CHECKING:
    from buildbook.answers.record import Record
    from buildbook.answers.record_rows import Section, Worked
    from buildbook.publish.document import Paper

Photo: TypeAlias = Callable[[str], bytes | None]
MINDED = (
    "Work on mains and high voltage can kill; solvents, paint and lead harm. Local codes and licensed practice decide. "
    "This book says what was checked, by whom and when; it never says that a thing is safe."
)
HOW_TO_READ = (
    "Each section stands with its parts list and the run of its work, in the order in which it was to be done. A "
    "reference designator names a part on the drawing and in the set; the part's key names it in the parts lists, "
    "among what was fitted and among what was bought. Where the set differs from its design, Differences says how: "
    "read it before a part is replaced. Readings stand beside the limits that they were held against. Times are UTC."
)


def no_photo(_sha256: str) -> bytes | None:
    """Where no photo is at hand."""
    return None


def book(record: Record, *, paper: Paper = "a4", photo: Photo = no_photo) -> Document:
    """The book of a build; `photo` gives the content of an attachment by its hash, None where it is missing.

    The same record gives the same document: its day is that of the record, never that of today.
    """
    blocks: list[Block] = [*opening(record, photo)]
    for title, part in chapters(record, photo):
        blocks += [PageBreak(), Heading(title, anchor=title.casefold().replace(" ", "-")), *part]
    many = f", {record.units} units" if record.units > 1 else ""
    subtitle = f"The book of build {record.build}{many}"
    return Document(record.name or record.build, subtitle, record.day, tuple(blocks), paper, contents=True)


def chapters(record: Record, photo: Photo) -> Iterator[tuple[str, Iterable[Block]]]:
    """The chapters after the first page, with their titles."""
    yield "Safety notes", safety(record)
    yield "Sections", sections(record, photo)
    yield "Differences", differences(record)
    yield "Choices and reasons", choices(record)
    yield "Supply budget", budget(record)
    yield "Ratings and contacts", weighings(record)
    yield "Test sheets", sheets(record)
    yield "Snags and cures", snags(record, photo)
    yield "What was bought", bought(record)
    yield "Cost", costs(record)
    yield "Time", time_spent(record)
    yield "Episodes", episodes(record, photo)


def opening(record: Record, photo: Photo) -> Iterator[Block]:
    """What it is, in facts, and how to read the book."""
    yield Heading("What it is", anchor="what-it-is")
    if record.project_note:
        yield Text(record.project_note)
    finished = day_said(record.frozen_at) or "not yet; this is how it stood on the day of this book"
    facts = [
        ("build", f"{record.build}, of project {record.project}"),
        ("units", f"{record.units}"),
        ("finished", finished),
        ("to be ready on", day_said(record.target_on) or "no day was set"),
        ("sections", f"{len(record.sections)}"),
        ("lines of parts", f"{len(record.lines)}"),
        ("steps", steps_said(record.work)),
    ]
    yield Facts(tuple(facts))
    if record.note:
        yield Text(record.note)
    yield from photos(record.attached, "build", "", photo)
    yield Heading("How to read this book", 2)
    yield Text(HOW_TO_READ)


def safety(record: Record) -> Iterator[Block]:
    """The usual caution, what was checked and signed, every caution of the steps and the points."""
    yield Text(MINDED, "warning")
    yield Text(record.safety_said)
    signed = [row for row in record.work if row.hold_point]
    if signed:
        yield Heading("Hold points", 2)
        yield Items(
            tuple(
                f"{row.section}, {row.name}: {_signature(row.signed_at, row.signed_by, row.signed)}" for row in signed
            )
        )
    if record.cautions:
        yield Heading("Before power", 2)
        yield Items(record.cautions)
    minded: dict[str, list[str]] = {}
    for caution, where in (
        *((row.caution, f"{row.section}, {row.name}") for row in record.work),
        *((row.caution, f"{row.section}, point {row.code}") for row in record.points),
    ):
        if caution and where not in minded.setdefault(caution, []):
            minded[caution].append(where)
    minded.pop("", None)
    if minded:
        yield Heading("To be minded", 2)
        rows = tuple((caution, "\n".join(where)) for caution, where in minded.items())
        yield Table(("mind", "at"), rows, shares=(52, 48))


def _signature(at: str, by: str, what: str) -> str:
    if not at:
        return "not signed"
    return f"signed on {day_said(at)}{f' by {by}' if by else ''}{f': {what}' if what else ''}"


def sections(record: Record, photo: Photo) -> Iterator[Block]:
    """The tree, then each section with its photos, its parts and the run of its work."""
    if not record.sections:
        yield Text("The build has no sections.", "quiet")
        return
    yield Text("The tree: what stands further in is built into what stands above it.", "quiet")
    tree = tuple(f"{'– ' * row.depth}{_named(row)}" for row in record.sections)
    yield Text("\n".join(tree))
    seen: set[str] = set()
    for row in record.sections:
        if row.code not in seen:
            seen.add(row.code)
            yield from section(record, row, photo)


def _named(row: Section) -> str:
    many = f", {row.count} of it" if row.count > 1 else ""
    return f"{row.name or row.code} ({row.kind} {row.code}{many}): {row.state}"


def section(record: Record, row: Section, photo: Photo) -> Iterator[Block]:
    """One section."""
    yield Heading(row.name or row.code, 2, anchor=f"section-{row.code}")
    yield from photos(record.attached, "section", row.code, photo)
    yield from section_parts(record, row.code)
    work = [one for one in record.work if one.section == row.code]
    if work:
        yield Heading("Run of work", 3)
        yield Items(tuple(_step(one) for one in work), numbered=True)


def _step(row: Worked) -> str:
    said = [row.state if row.state != "done" else f"done {day_said(row.finished_at)}".strip()]
    said += [f"about {show_minutes(row.likely_min)}"] if row.likely_min else []
    said += [f"took {show_minutes(row.minutes)}"] if row.minutes is not None else []
    waits = dict.fromkeys(show_minutes(one) for one in (row.wait_low_min, row.wait_high_min) if one)
    said += [f"then a wait of {' to '.join(waits)}"] if waits else []
    said += [f"tools: {row.tools}"] if row.tools else []
    said += ["cannot be undone"] if row.one_way else []
    said += [_signature(row.signed_at, row.signed_by, row.signed)] if row.hold_point else []
    said += [f"begun early: {row.early}"] if row.early else []
    mind = f"\nMind: {row.caution}" if row.caution else ""
    return f"{row.name}\n{'; '.join(said)}{mind}"
