"""The parts that a snag had to do with: written down by reference designator, and taken off again."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from buildbook.actions.reading import read_text
from buildbook.actions.rows import put, remove, seek, the
from buildbook.errors import BadInput
from buildbook.store.journal import action
from buildbook.store.read import kitting
from buildbook.store.read import snags as read
from buildbook.store.read.measuring import SnagNamed, find_snag
from buildbook.store.read.naming import find_assembly, find_build, stands_at, unclear
from buildbook.store.read.snags import PlaceRow
from buildbook.store.tables import SnagPart
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, quote
from buildbook.trade.refdes import join_refs, read_refs


def touch_parts(shop: Workshop, snag: str, refs: str, *, note: str = "", build: str | None = None) -> str:
    """Write down which parts a snag had to do with, by designator ("R6, C2", "AUDIO/R6"); return the snag's name.

    A bare designator is looked for on the board that the snag is about, then on all boards of its build. Raises
    BadInput where there is none, or more than one.
    """
    known = find_snag(shop, snag, build=build)
    said = read_text(note, "note")
    meant = parts_meant(shop, known, refs)
    with action(shop, f"Snag {known.number} of {known.build}: {clean(refs)}", build_id=known.build_id) as work:
        for place, names in meant:
            row = seek(work, SnagPart, snag_id=known.id, line_id=place.line)
            if row is None:
                put(work, SnagPart(snag_id=known.id, line_id=place.line, refs=join_refs(names), note=said))
                continue
            row.refs = join_refs([*dict.fromkeys([*read_refs(row.refs), *names])])
            row.note = said or row.note
    return f"{known.build}/{known.number}"


def leave_parts(shop: Workshop, snag: str, refs: str, *, build: str | None = None) -> str:
    """Take parts off a snag that had nothing to do with it; return the snag's name. BadInput where none is there."""
    known = find_snag(shop, snag, build=build)
    meant = parts_meant(shop, known, refs)
    with action(shop, f"Snag {known.number} of {known.build}: not {clean(refs)}", build_id=known.build_id) as work:
        for place, names in meant:
            row = seek(work, SnagPart, snag_id=known.id, line_id=place.line)
            before = read_refs(row.refs) if row else ()
            absent = [ref for ref in names if ref not in before]
            if row is None or absent:
                raise BadInput(
                    "Nothing was taken off.",
                    f"Snag {known.build}/{known.number} has no {join_refs(absent)} of {place.assembly}.",
                    "See `buildbook log snags`.",
                )
            row.refs = join_refs([ref for ref in before if ref not in names])
            if not row.refs:
                remove(work, the(work, SnagPart, row.id or 0))
    return f"{known.build}/{known.number}"


def parts_meant(shop: Workshop, snag: SnagNamed, text: str) -> list[tuple[PlaceRow, list[str]]]:
    """The lines that are meant, each with the designators named of it; BadInput where that is none, or not clear."""
    pieces = [piece for piece in re.split(r"[,;\s]+", clean(text)) if piece]
    if not pieces:
        raise BadInput("No part was written down.", "None is named.", "Name some by designator, such as R6, C2.")
    tree = kitting.inside(shop.reads, find_build(shop, snag.build).assembly_id)
    everywhere = read.places(shop.reads, tree)
    about = read.assembly_of(shop.reads, snag.id)
    found: dict[int, tuple[PlaceRow, list[str]]] = {}
    for piece in pieces:
        home, _, names = piece.rpartition("/")
        board = find_assembly(shop, home, among=tree).id if home else 0
        for ref in read_refs(names):
            place = _place_of(ref, board or about, everywhere, only=bool(home))
            found.setdefault(place.line, (place, []))[1].append(ref)
    return list(found.values())


def _place_of(ref: str, board: int, everywhere: Sequence[PlaceRow], *, only: bool) -> PlaceRow:
    """The line at which a designator stands: on the board if it is there, else, unless `only` that, anywhere."""
    standing = [place for place in everywhere if stands_at(place.refs, ref)]
    found = [place for place in standing if place.assembly_id == board] or ([] if only else standing)
    if not found:
        near = _boards(standing)
        why = f"It stands on {near}." if near else "It stands in no parts list of the build."
        raise BadInput(f"There is no {quote(ref)[1:-1]} there.", why, "Name it such as AUDIO/R6.")
    if len(found) > 1:
        raise unclear("part", ref, [f"{place.assembly}/{ref}" for place in found])
    return found[0]


def _boards(places: Iterable[PlaceRow]) -> str:
    return ", ".join(dict.fromkeys(place.assembly for place in places))
