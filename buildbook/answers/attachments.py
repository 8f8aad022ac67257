"""Photos and files of the log: what is attached to what, and the content of one."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.standing import find_build
from buildbook.errors import BadInput, StoreFault
from buildbook.store import files
from buildbook.store.read import attachments as read
from buildbook.store.read.naming import find_assembly, find_part
from buildbook.store.read.standing import builds
from buildbook.trade.media import PICTURES, WORDS, size_said

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class AttachedRow:
    """A photo or file; `kind` is what it is about, `about` the same in words, `fault` what is wrong with the file.

    `media` is its media type by its content, `size` is in bytes, `at` is when it was attached (UTC).
    """

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
    fault: str


@dataclass(frozen=True, slots=True)
class Attachments(Answer):
    """What is attached, the newest first."""

    SCHEMA: ClassVar[str] = "buildbook.attachments/1"
    rows: tuple[AttachedRow, ...]


def attachments(
    shop: Workshop, build: str | None = None, *, assembly: str | None = None, part: str | None = None
) -> Attachments:
    """What is attached to a build and all in it, to an assembly and its steps, or to a part; without these everything.

    A build and an assembly or a part: what is attached to that in this build, or in none. The folder is looked into for
    each: whether the file is there, with its size. `workshop check` reads them all.
    """
    own = find_build(builds(shop.reads), build) if build else None
    home = find_assembly(shop, assembly).id if assembly else 0
    thing = find_part(shop, part).id if part else 0
    meant = {own.id if own else 0, 0 if home or thing else -1}
    rows = tuple(
        _told(shop, row)
        for row in read.attachments(shop.reads)
        if (own is None or row.build_id in meant) and home in (0, row.assembly_id) and thing in (0, row.part_id)
    )
    return Attachments(_sentence(rows), rows)


def _told(shop: Workshop, row: read.AttachmentRow) -> AttachedRow:
    wrong = files.amiss(shop.path, row.sha256, row.size)
    return AttachedRow(*row[:10], fault=f"The file {wrong}." if wrong else "")


def _sentence(rows: tuple[AttachedRow, ...]) -> str:
    if not rows:
        return "Nothing is attached."
    pictures = sum(row.media in PICTURES for row in rows)
    said = [count_of(pictures, "picture")] if pictures else []
    said += [count_of(len(rows) - pictures, "other file" if pictures else "file")] if len(rows) > pictures else []
    wrong = sum(bool(row.fault) for row in rows)
    size = size_said(sum(row.size for row in rows))
    return f"{join_words(said)} attached, {size}{f'; {wrong} not as attached' if wrong else ''}."


def attached_at(shop: Workshop, moment: str) -> tuple[AttachedRow, ...]:
    """What was attached at the moment of an entry of the stream."""
    return tuple(_told(shop, row) for row in read.attached_at(shop.reads, moment))


def said_of(row: AttachedRow) -> str:
    """An attachment in one line: its name, caption, kind and size, and what is wrong with it.

    >>> said_of(AttachedRow(1, "", "stud.svg", "image/svg+xml", 900, "", "Earth stud", "", "build", "CURLEW", ""))
    'stud.svg: Earth stud (SVG, 900 bytes)'
    """
    caption = f": {' '.join(row.caption.split())}" if row.caption else ""
    return f"{row.name}{caption} ({WORDS.get(row.media, 'file')}, {size_said(row.size)}){row.fault and ' '}{row.fault}"


@dataclass(frozen=True, slots=True)
class Content:
    """The content of an attachment as it was attached; None when it is not there any more, as `fault` says."""

    row: AttachedRow
    content: bytes | None
    fault: str


def content_of(shop: Workshop, number: int) -> Content:
    """An attachment with its content, proved by its hash; a file that is missing or damaged is told in `fault`.

    Raises BadInput only when there is no attachment of that number.
    """
    row = one(shop, number)
    content = files.content_of(shop.path, row.sha256)
    if content is not None:
        return Content(row, content, "")
    wrong = files.amiss(shop.path, row.sha256, row.size, read=True) or "cannot be read"
    return Content(row, None, f"The file {row.name} {wrong}.")


def content_by_hash(shop: Workshop, sha256: str) -> bytes | None:
    """What was attached, proved by its hash; None where it is not there any more."""
    return files.content_of(shop.path, sha256)


def attachment(shop: Workshop, number: int) -> Attachments:
    """One attachment, as an answer."""
    row = one(shop, number)
    return Attachments(f"Attached to {row.about}: {said_of(row)}.", (row,))


def one(shop: Workshop, number: int) -> AttachedRow:
    """The attachment of that number. Raises BadInput when there is none."""
    found = read.attachment(shop.reads, number)
    if found is None:
        raise BadInput(f"There is no attachment {number}.", "", "See `buildbook log attached`.")
    return _told(shop, found)


def take_out(shop: Workshop, number: int, target: Path) -> Path:
    """Write a copy of an attachment to `target`, or into that folder under its name, and return where it is.

    A file that is there is never replaced. Raises StoreFault when the attached file is missing or damaged, or the place
    cannot be written.
    """
    row = one(shop, number)
    path = target / row.name if target.is_dir() else target
    what = f"{row.name} was not taken out."
    if os.path.lexists(path):
        raise BadInput(what, f"{path} exists.", "Choose another name.")
    if wrong := files.amiss(shop.path, row.sha256, row.size, read=True):
        raise StoreFault(what, f"The file {wrong}.", "Put the last backup back, or attach it again.")
    try:
        _copy(shop, row, path)
    except OSError as error:
        raise StoreFault(what, f"{path} cannot be written: {error.strerror}.", "Choose another place.") from error
    return path


def _copy(shop: Workshop, row: AttachedRow, path: Path) -> None:
    """Written under a passing name first, so that half a file never bears the name."""
    number, name = tempfile.mkstemp(prefix=".unfinished-", dir=path.parent)
    try:
        with os.fdopen(number, "wb") as file:
            file.writelines(files.pieces_of(files.place_of(shop.path, row.sha256)))
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(0o644)
        try:
            os.link(name, path)  # where something bears the name by now, this fails instead of replacing it
        except FileExistsError:
            raise
        except OSError:  # a card or a stick whose file system knows no second names
            os.replace(name, path)
    finally:
        Path(name).unlink(missing_ok=True)
