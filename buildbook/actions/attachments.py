"""Photos and files: attached to what they show, described, taken off again; and the folder that holds them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from buildbook.actions.reading import read_text
from buildbook.actions.rows import Kept, put, remove
from buildbook.errors import BadInput, StoreFault
from buildbook.store import files
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting
from buildbook.store.read.log import episodes
from buildbook.store.read.measuring import find_snag
from buildbook.store.read.naming import find_assembly, find_build, find_part, find_step
from buildbook.store.tables import Attachment, Entry, Reading
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, quote

LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class Of:
    """What a file is about: one of these, in a build where it is given; the build alone when it is all.

    `episode` is the number of one of the build's, `reading` and `note` are numbers of rows.
    """

    build: str | None = None
    assembly: str | None = None
    step: str | int | None = None
    part: str | None = None
    episode: int | None = None
    snag: str | None = None
    reading: int | None = None
    note: int | None = None

    @property
    def things(self) -> int:
        """How many things are named beside the build."""
        named = (self.assembly, self.step, self.part, self.episode, self.snag, self.reading, self.note)
        return sum(one is not None for one in named)


def attach(shop: Workshop, source: Path, of: Of, *, caption: str = "") -> int:
    """Copy a file into the workshop's folder, attach it to what it is about, and return its number.

    Raises BadInput when it is not said what it is about, or that is not there, or for what is no plain file of
    `files.LARGEST` bytes at most; StoreFault when the folder cannot be written.
    """
    row = _about(shop, of)
    row.name, row.caption = name_of(source), read_text(caption, "caption")
    kept = files.take_in(shop.path, source)
    row.sha256, row.size, row.media = kept
    with action(shop, f"Attach {row.name}", build_id=row.build_id) as work:
        _look_again(work, row)
        # Nobody tidies the folder while this action has the workshop, so what is there now stays.
        if wrong := files.amiss(shop.path, kept.sha256, kept.size):
            raise StoreFault(f"{row.name} was not attached.", f"It {wrong} in the folder.", "Attach it again.")
        row.at = work.at
        return put(work, row)


def _about(shop: Workshop, of: Of) -> Attachment:
    """A row that names what the file is about, and nothing else yet."""
    if of.things > 1 or not (of.things or of.build):
        why = "It is about several things." if of.things else "It is not said what it is about."
        raise BadInput("Nothing was attached.", why, "Name one: a build, an assembly, a step, a part, a snag, ...")
    row = Attachment(at="", sha256="", name="")
    home = find_build(shop, of.build) if of.build else None
    tree = kitting.inside(shop.reads, home.assembly_id) if home else set()
    row.build_id = home.id if home else None
    row.assembly_id = find_assembly(shop, of.assembly, among=tree).id if of.assembly is not None else None
    row.step_id = find_step(shop, of.step, among=tree).id if of.step is not None else None
    row.part_id = find_part(shop, of.part).id if of.part is not None else None
    if of.snag is not None:
        snag = find_snag(shop, of.snag, build=of.build)
        row.snag_id, row.build_id = snag.id, snag.build_id
    if of.episode is not None:
        row.episode_id, row.build_id = _episode(shop, of.episode, row.build_id)
    row.reading_id, row.entry_id = of.reading, of.note
    return row


def _episode(shop: Workshop, number: int, build_id: int | None) -> tuple[int, int]:
    found = [one for one in episodes(shop.reads) if one.number == number and build_id in (None, one.build_id)]
    if len(found) == 1:
        return found[0].id, found[0].build_id
    if found:
        why = f"{' and '.join(one.build for one in found)} have one each."
        raise BadInput(f"Episode {number} is not clear.", why, "Name the build with --build.")
    raise BadInput(f"There is no episode {number}.", "", "See `buildbook log show`.")


def _look_again(work: Work, row: Attachment) -> None:
    """A reading or a note brings its build along. Raises BadInput when there is none of that number."""
    read = None if row.reading_id is None else _there(work.get(Reading, row.reading_id), "reading", row.reading_id)
    wrote = None if row.entry_id is None else _there(work.get(Entry, row.entry_id), "note", row.entry_id)
    if read or wrote:
        row.build_id = read.build_id if read else wrote.build_id if wrote else None


def _there(found: Kept | None, what: str, number: int) -> Kept:
    if found is None:
        raise BadInput("Nothing was attached.", f"There is no {what} {number}.", "See `buildbook log`.")
    return found


def name_of(source: Path) -> str:
    r"""The name under which a file is known: its own, made plain, of 120 characters at most.

    >>> name_of(Path("/photos/earth\x1b[31m  stud\u202e.svg")), name_of(Path("..\\..\\stud.svg")), name_of(Path("/..."))
    ('earth stud.svg', 'stud.svg', 'file')
    """
    plain = clean(source.name.replace("\\", "/").rpartition("/")[2], limit=100_000)
    plain = "".join("_" if sign in '<>:"|?*' else sign for sign in plain).lstrip(". ")
    stem, dot, end = plain.rpartition(".")
    if len(plain) > LONGEST_NAME:
        short = dot + end if dot and len(end) < 10 else ""
        plain = (stem if short else plain)[: LONGEST_NAME - len(short)] + short
    return plain or "file"


def caption(shop: Workshop, number: int, text: str) -> int:
    """Put another caption to an attachment, or none, and return its number."""
    said = read_text(text, "caption")
    with action(shop, f"Caption: {quote(said, limit=60)[1:-1] or 'none'}") as work:
        _row(work, number).caption = said
    return number


def detach(shop: Workshop, number: int) -> str:
    """Take an attachment off what it was about and return its name. The file stays in the folder until `tidy`."""
    with action(shop, f"Detach attachment {number}") as work:
        row = _row(work, number)
        name = row.name
        remove(work, row)
    return name


def _row(work: Work, number: int) -> Attachment:
    row = work.get(Attachment, number)
    if row is None:
        raise BadInput(f"There is no attachment {number}.", "", "See `buildbook log attached`.")
    return row


def tidy(shop: Workshop) -> tuple[int, int]:
    """Remove the files to which nothing is attached; return how many they were and their bytes.

    An undo of what detached them cannot bring them back.
    """
    with action(shop, "Tidy the folder of files") as work:
        known = {row[0] for row in work.run("SELECT DISTINCT sha256 FROM attachment")}
        return files.tidy(shop.path, known.__contains__)


def bring_along(source: Path, target: Path) -> None:
    """Have the files of one workshop lie beside another, too: of one made under a passing name, say."""
    files.bring_along(source, target)


def drop_all(workshop: Path) -> None:
    """Remove all files of a workshop that is thrown away."""
    files.drop_all(workshop)
