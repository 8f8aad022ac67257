"""What the headings of a list mean: the common English names of the trade, and mappings that a person has given once.

Headings are compared without case, blanks and punctuation. A mapping is remembered by the set of headings, so the next
list of the same program is understood without being told again.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from buildbook.errors import BadInput
from buildbook.trade.plain import clean

# Per kind of list: our word for a column, and the headings under which it is met. Where a heading is in two rows of a
# list, the earlier row has it.
_PARTS = {
    "part": "part, part key, key, our part, house code, house number, our code, internal part number, stock key",
    "number": "part number, part no, partno, pn, p/n, part code, article, article number, item number",
    "maker": "maker, manufacturer, mfr, mfg, make, brand, manufacturer name",
    "maker number": "maker number, maker no, mpn, manufacturer part, manufacturer part number, manufacturer part no, "
    "mfr part, mfr part number, mfr pn, mfr part no, mfg part number, makers number, makers part no, type number",
    "supplier": "supplier, vendor, distributor, supplier name",
    "order code": "order code, order no, order number, supplier part, supplier part number, supplier part no, "
    "supplier number, supplier code, stock code, stock no, stock number, sku, catalogue number, cat no, "
    "vendor part number, distributor part number",
    "value": "value, val, part value, component value, rating, ratings, value rating",
    "package": "package, footprint, case, case style, size, pattern, land pattern, pkg, outline, mounting",
    "kind": "kind, part kind, part type, component type, category, class, family",
    "name": "name, description, desc, part name, component, item, item description, part description, details, text, "
    "designation, title, type",
    "unit": "unit, uom, unit of measure, units, measure",
    "note": "note, notes, remark, remarks, comment, comments",
}
PURPOSES: dict[str, dict[str, str]] = {
    "parts list": {
        "ref": "ref, refs, reference, references, ref des, refdes, designator, designators, reference designator, "
        "reference designators, part reference, component reference, circuit reference, circuit ref, position, "
        "positions, location, locations, symbol",
        "qty": "qty, quantity, quantities, count, number off, no off, off, pcs, pieces, number, amount, each, "
        "qty per board, qty per unit, quantity per board, total qty, how many",
        "fitted": "fitted, fit, populate, populated, mounted, mount, placed, assemble, assembled, place",
        "not fitted": "not fitted, do not fit, dnf, dnp, do not populate, do not place, no fit, nofit, omit, "
        "unpopulated, not populated, not placed, exclude",
        "option": "option, choice, question, option code",
        "loss": "loss, loss %, allowance, allowance %, waste, waste %, spare %, scrap %",
        **_PARTS,
    },
    "stock list": {
        "bin": "bin, drawer, place, location, box, shelf, where, storage, store, position, reel",
        "qty": "qty, quantity, count, counted, on hand, in stock, stock, pcs, pieces, amount, number, how many",
        "price": "price, unit price, cost, unit cost, price each, price paid, unit price paid, each, paid",
        "price per": "price per, per, price unit, price for",
        **_PARTS,
    },
    "price list": {
        "pack": "pack, pack size, pack of, pack qty, packaging, pack quantity, packed in, multiple, multiples, "
        "order multiple, sold in",
        "minimum": "minimum, min, min qty, moq, minimum order, least, minimum quantity, least quantity, min order, "
        "minimum order quantity, min order qty",
        "from": "from, from qty, break, break qty, price break, quantity break, qty break, from quantity, at",
        "price": "price, unit price, price each, each, cost, net, net price",
        "price per": "price per, per, price unit, price for, priced per",
        "lead days": "lead, lead time, lead days, lead time days, delivery days, days, delivery",
        "valid until": "valid until, valid to, valid, expires, until",
        "currency": "currency, cur",
        **_PARTS,
    },
    "order list": {
        "qty": "qty, quantity, order qty, order quantity, count, pcs, pieces, number",
        "price": "price, unit price, price each, cost, unit cost",
        "price per": "price per, per, price unit, price for",
        **_PARTS,
    },
}

# "1+", "10 +", "from 100", "price 25", "price @ 25", "25 off", "qty 100": a price from that quantity on.
_BREAK = re.compile(
    r"(?:price|from|at|@|qty|unit price|each)?\s*(?:@|from|at)?\s*([0-9][0-9 .,']*?)\s*(?:\+|off|up|pcs|pc)?"
)
_PUNCTUATION = re.compile(r"[^\w%]+", re.UNICODE)


def fold(heading: str) -> str:
    """A heading as it is compared.

    >>> fold(" Ref. Des "), fold("P/N"), fold("Loss %")
    ('ref des', 'p n', 'loss %')
    """
    return _PUNCTUATION.sub(" ", heading.casefold().replace("_", " ")).strip()


_KNOWN = {
    purpose: {fold(name): column for column in reversed(columns) for name in columns[column].split(", ")}
    for purpose, columns in PURPOSES.items()
}


def break_of(heading: str) -> int | None:
    """The quantity from which a price heading counts, or None when it is none.

    >>> break_of("1+"), break_of("Price @ 100"), break_of("1,000 +"), break_of("Price"), break_of("2027")
    (1, 100, 1000, None, None)
    """
    plain = heading.strip().casefold()
    found = _BREAK.fullmatch(plain)
    if not found or plain.isdigit():
        return None
    return int(re.sub(r"[^0-9]", "", found[1]))


def knows(purpose: str, columns: Mapping[str, str] | None = None) -> Knows:
    """A test for headings of that kind of list, with those that a person has named."""
    return Knows(purpose, frozenset(fold(heading) for heading in (columns or {}).values()))


@dataclass(frozen=True, slots=True)
class Knows:
    """Whether a cell is a heading that we know."""

    purpose: str
    named: frozenset[str]

    def __call__(self, heading: str) -> bool:
        folded = fold(heading)
        known = folded in _KNOWN[self.purpose] or folded in self.named
        return known or (self.purpose == "price list" and break_of(heading) is not None)


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column (from 0) holds what: our word to place. `breaks` are price columns, by quantity."""

    places: Mapping[str, int]
    breaks: Mapping[int, int]
    unknown: tuple[str, ...]

    def cell(self, cells: Sequence[str], column: str) -> str:
        """The cell of a row under one of our words; empty when the list has no such column."""
        place = self.places.get(column)
        return cells[place] if place is not None else ""


def read_mapping(text: str, purpose: str) -> dict[str, str]:
    """A mapping as typed, `part=Bezeichnung,qty=Menge`: our word to the heading in the file.

    Raises BadInput for one of our words that does not exist, naming those that do.
    """
    found: dict[str, str] = {}
    for pair in filter(None, (piece.strip() for piece in text.split(","))):
        ours, sign, theirs = (piece.strip() for piece in pair.partition("="))
        word = ours.replace("_", " ").casefold()
        if not sign or not theirs or word not in PURPOSES[purpose]:
            words = ", ".join(PURPOSES[purpose])
            raise BadInput(
                f"The columns were not understood at {clean(pair)[:60]!r}.",
                f"Write it as our word = heading; our words for a {purpose} are {words}.",
                'For example --columns "value=Bezeichnung,qty=Menge".',
            )
        found[word] = theirs
    return found


def key_of(headings: Iterable[str]) -> str:
    """The set of headings, as it is remembered."""
    return "|".join(sorted(filter(None, map(fold, headings))))


def resolve(headings: Sequence[str], purpose: str, mapping: Mapping[str, str], where: str) -> Columns:
    """Find out which column holds what; what a person has said goes before what we know.

    Raises BadInput when two headings mean the same, or when a heading that was named is not there.
    """
    folded = [fold(heading) for heading in headings]
    places: dict[str, int] = {}
    for word, heading in mapping.items():
        if fold(heading) not in folded:
            there = ", ".join(filter(None, headings))
            raise BadInput(
                f"{where} was not read.", f"It has no heading {heading!r}; it has {there}.", "Name one of them."
            )
        places[word] = folded.index(fold(heading))
    spoken_for = set(places.values())
    breaks: dict[int, int] = {}
    unknown = []
    for place, heading in enumerate(headings):
        if place in spoken_for or not folded[place]:
            continue
        found = _KNOWN[purpose].get(folded[place])
        step = break_of(heading) if purpose == "price list" else None
        if found is None and step is None:
            unknown.append(heading)
        elif step is not None and found is None:
            breaks[step] = place
        elif found is not None and found in mapping:
            unknown.append(heading)
        elif found is not None and found in places:
            raise BadInput(
                f"{where} was not read.",
                f"The headings {headings[places[found]]!r} and {heading!r} both mean {found}.",
                f'Say which it is with --columns "{found}={heading}".',
            )
        elif found is not None:
            places[found] = place
    return Columns(places, breaks, tuple(unknown))


def as_text(mapping: Mapping[str, str]) -> str:
    """A mapping as it is remembered."""
    return json.dumps(mapping, ensure_ascii=False, sort_keys=True)


def from_text(text: str) -> dict[str, str]:
    """A mapping as it was remembered."""
    return {str(word): str(heading) for word, heading in json.loads(text).items()} if text else {}
