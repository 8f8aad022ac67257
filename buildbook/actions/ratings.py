"""The ratings written down: what each part of a line bears in its place, and what a part is made for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from buildbook.actions.reading import read_text
from buildbook.actions.rows import put, remove, seek
from buildbook.errors import BadInput
from buildbook.store.journal import Work, action
from buildbook.store.read.naming import LineNamed, find_line, find_part
from buildbook.store.read.ratings import kind_of_line, kind_of_part, part_ratings, stresses
from buildbook.store.tables import PartRating, Stress
from buildbook.store.workshop import Workshop
from buildbook.trade.bearing import BORNE, Bearing, read_bearing, read_what, show_bearing
from buildbook.trade.plain import quote


def state_bears(shop: Workshop, line: str | int, bears: Sequence[str], *, note: str = "", only: bool = False) -> str:
    """Say what each part of a line bears in its place ("300V", "0.2A", "0.3W"), and return a sentence that says so.

    What was said before of the same sort (DC volts, AC volts, reverse volts, amps, watts) is replaced; the rest stays,
    unless this is to be the `only` thing that is said. Of a diode, volts are reverse volts. Raises BadInput for what is
    none of these, and for two of one sort.
    """
    known = find_line(shop, line)
    kind, _ = kind_of_line(shop.reads, known.id)
    found = _read(bears, kind)
    remark = read_text(note, "note")
    name = _name(shop, known)
    said = _listed(found)
    with action(shop, f"{name} bears {said}") as work:
        for one in found:
            row = seek(work, Stress, line_id=known.id, what=one.what)
            _write(work, row, Stress(line_id=known.id, what=one.what, micro=one.micro, note=remark))
        for gone in BORNE.keys() - {one.what for one in found} if only else ():
            _drop(work, seek(work, Stress, line_id=known.id, what=gone))
    return f"{name} bears {said}."


def clear_bears(shop: Workshop, line: str | int, what: str = "") -> str:
    """Take back what the parts of a line bear: of one sort ("dc volts"), or all of it; return the line's name.

    Raises BadInput when nothing of the kind was said.
    """
    known = find_line(shop, line)
    name = _name(shop, known)
    there = [one.what for one in stresses(shop.reads).get(known.id, ())]
    sorts = _meant(there, what, f"what {name} bears")
    with action(shop, f"Take back what {name} bears") as work:
        for sort in sorts:
            _drop(work, seek(work, Stress, line_id=known.id, what=sort))
    return name


def state_rated(shop: Workshop, part: str, ratings: Sequence[str], *, note: str = "") -> str:
    """Say what a part is made for by its data sheet ("1000V", "1A"), and return a sentence that says so.

    It goes before what the value of the part says of the same sort. Raises BadInput for nought, and as `state_bears`.
    """
    known = find_part(shop, part)
    found = _read(ratings, kind_of_part(shop.reads, known.id))
    if any(not one.micro for one in found):
        raise BadInput("The rating was not taken.", "It is zero.", "Give what the part is made for.")
    remark = read_text(note, "note")
    said = _listed(found)
    with action(shop, f"{known.key} is made for {said}") as work:
        for one in found:
            row = seek(work, PartRating, part_id=known.id, what=one.what)
            _write(work, row, PartRating(part_id=known.id, what=one.what, micro=one.micro, note=remark))
    return f"{known.key} is made for {said}."


def clear_rated(shop: Workshop, part: str, what: str = "") -> str:
    """Take back what a part is made for, of one sort or all; what its value says counts again. Return its key."""
    known = find_part(shop, part)
    there = [one.what for one in part_ratings(shop.reads).get(known.id, ())]
    sorts = _meant(there, what, f"what {known.key} is made for")
    with action(shop, f"Take back what {known.key} is made for") as work:
        for sort in sorts:
            _drop(work, seek(work, PartRating, part_id=known.id, what=sort))
    return known.key


def _read(texts: Sequence[str], kind: str) -> list[Bearing]:
    found = [read_bearing(text, kind) for text in texts if text.strip()]
    if not found:
        raise BadInput("Nothing was written down.", "No amount was given.", "Give it, such as 300V, 0.2A or 0.3W.")
    if len({one.what for one in found}) < len(found):
        raise BadInput("Nothing was written down.", "It says the same sort twice.", "Give the larger one.")
    return found


def _name(shop: Workshop, line: LineNamed) -> str:
    _, refs = kind_of_line(shop.reads, line.id)
    return f"{line.path}/{refs or line.part}"


def _listed(found: Iterable[Bearing]) -> str:
    return " and ".join(show_bearing(one.what, one.micro) for one in found)


def _meant(there: list[str], what: str, of: str) -> list[str]:
    wanted = [read_what(what)] if what.strip() else there
    found = [sort for sort in there if sort in wanted]
    if not found:
        said = f"Of {quote(what)}, nothing" if what.strip() else "Nothing"
        raise BadInput("Nothing was taken back.", f"{said} was said of {of}.", "See `buildbook checks ratings --all`.")
    return found


def _write(work: Work, row: Stress | PartRating | None, new: Stress | PartRating) -> None:
    """Put a row in, or its figures into the one that is there; a note stays where no other is given."""
    if row is None:
        put(work, new)
    else:
        row.micro = new.micro
        row.note = new.note or row.note


def _drop(work: Work, row: Stress | PartRating | None) -> None:
    if row is not None:
        remove(work, row)
