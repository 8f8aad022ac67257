"""What the headings of a list mean: the common English names of the trade, and mappings that a person has given once.

Headings are compared without case, blanks and punctuation. A mapping is remembered by the set of headings, so the next
list of the same program is understood without being told again.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.money import minor_decimals
from buildbook.trade.plain import clean, quote

# So much of the headings of a file is shown to somebody who has to choose among them.
ROOM = 300

# Per kind of list: our word for a column, and the headings under which it is met. Where a heading is in two rows of a
# list, the earlier row has it. One with a question mark gives way where a surer heading for the same column is there.
_PARTS = {
    "part": "part, part key, key, our part, house code, house number, our code, internal part number, stock key",
    "number": "part number, part no, partno, pn, p/n, part code, article, article number, article no, item number",
    "maker": "maker, manufacturer, mfr, mfg, make, brand, manufacturer name, maker name",
    "maker number": "maker number, maker no, mpn, manufacturer part, manufacturer part number, manufacturer part no, "
    "manufacturer number, mfr part, mfr part number, mfr pn, mfr part no, mfr no, mfg part number, mfg pn, "
    "makers number, makers part no, type number, type no",
    "supplier": "supplier, vendor, distributor, supplier name",
    "order code": "order code, order no, order number, supplier part, supplier part number, supplier part no, "
    "supplier number, supplier code, stock code, stock no, stock number, sku, catalogue number, catalogue no, cat no, "
    "vendor part number, vendor part no, distributor part number, distributor part no",
    "value": "value, val, part value, component value, value rating, rating?, ratings?",
    "package": "package, footprint, case, case style, land pattern, pkg, outline, size?, pattern?, mounting?",
    "kind": "kind, part kind, part type, component type, category?, class?, family?",
    "name": "name, description, desc, part name, component, item description, part description, designation, "
    "item?, device?, details?, text?, title?, type?",
    "unit": "unit, uom, unit of measure, units, measure",
    "note": "note, notes, remark, remarks, comment, comments",
}
PURPOSES: dict[str, dict[str, str]] = {
    "parts list": {
        "ref": "ref, refs, reference, references, ref des, refdes, designator, designators, reference designator, "
        "reference designators, part reference, part references, component reference, circuit reference, circuit ref, "
        "position?, positions?, location?, locations?, symbol?",
        "qty": "qty, quantity, quantities, q ty, count, number off, no off, off, pcs, pieces, qty per board, "
        "qty per unit, quantity per board, total qty, how many, number?, amount?, each?",
        "fitted": "fitted, fit, populate, populated, mounted, mount, placed, assemble, assembled, place",
        "not fitted": "not fitted, do not fit, dnf, dnp, do not populate, do not place, do not mount, no fit, nofit, "
        "omit, unpopulated, not populated, not placed, not mounted, exclude",
        "option": "option, choice, question, option code",
        "loss": "loss, loss %, allowance, allowance %, waste, waste %, spare %, scrap %",
        **_PARTS,
    },
    "stock list": {
        "bin": "bin, drawer, place, location, box, shelf, where, storage, store, position, reel",
        "qty": "qty, quantity, count, counted, on hand, in stock, stock, pcs, pieces, how many, number?, amount?",
        "price": "price, unit price, unit cost, price each, price paid, unit price paid, cost?, each?, paid?",
        "price per": "price per, per, price unit, price for",
        **_PARTS,
    },
    "price list": {
        "pack": "pack, pack size, pack of, pack qty, packaging, pack quantity, packed in, sold in",
        "multiple": "multiple, multiples, order multiple, multiple of, multiples of, order in multiples of",
        "seen": "seen, stock seen, stock, in stock, on stock, available, availability, stock qty, stock quantity, "
        "stock level, qty available, quantity available, free stock",
        "standing": "standing, preferred, preference, banned?",
        "minimum": "minimum, min, min qty, moq, minimum order, least, minimum quantity, least quantity, min order, "
        "minimum order quantity, min order qty",
        "from": "from, from qty, break, break qty, price break, quantity break, qty break, from quantity, at",
        "price": "price, unit price, price each, net price, each?, cost?, net?",
        "price per": "price per, per, price unit, price for, priced per",
        "lead days": "lead, lead time, lead days, lead time days, delivery days, days, delivery",
        "valid until": "valid until, valid to, valid, expires, until",
        "currency": "currency, cur",
        **_PARTS,
    },
    "order list": {
        "qty": "qty, quantity, order qty, order quantity, count, pcs, pieces, number?",
        "price": "price, unit price, price each, unit cost, cost?",
        "price per": "price per, per, price unit, price for",
        "currency": "currency, cur",
        **_PARTS,
    },
}

# "1+", "10 +", "10-99", "from 100", "price 25", "price @ 25", "25 off", "qty 100": a price from that quantity on.
_BREAK = re.compile(
    r"(?:price|from|at|@|qty|unit price|each)?\s*(?:@|from|at)?\s*([0-9]{1,3}(?:[ .,'][0-9]{3}){1,2}|[0-9]{1,9})"
    r"\s*(?:\+|off|up|and up|pcs|pc|[-–]\s*[0-9]+)?"
)
# "(s)" of "Designator(s)" says nothing, nor does punctuation; but a heading of prices may end with a currency.
_IDLE = re.compile(r"\(s\)|[^\w%€£$¥]+", re.UNICODE)
_CURRENCY = re.compile(r"(.+?)(?: in)?\s*([€£$¥]|\b[a-z]{3})")
_BASIS = re.compile(r"(.+?)\s*(?:/|\bper\b)\s*(\S.*)")


def fold(heading: str) -> str:
    """A heading as it is compared.

    >>> fold(" Ref. Des "), fold("P/N"), fold("Loss %"), fold("Designator(s)")
    ('ref des', 'p n', 'loss %', 'designator')
    """
    return _IDLE.sub(lambda idle: "" if idle[0] == "(s)" else " ", heading.casefold().replace("_", " ")).strip()


_KNOWN: dict[str, dict[str, str]] = {}
_WEAK: dict[str, set[str]] = {}
for _purpose, _columns in PURPOSES.items():
    _names = [(column, name) for column in reversed(_columns) for name in _columns[column].split(", ")]
    _KNOWN[_purpose] = {fold(name): column for column, name in _names}
    _WEAK[_purpose] = {fold(name) for _, name in _names if name.endswith("?")}


def is_currency(code: str) -> bool:
    """Whether these are the letters of a currency (ISO 4217)."""
    try:
        return minor_decimals(code.upper()) >= 0
    except BadInput:
        return False


class Priced(NamedTuple):
    """A heading of prices taken apart: the rest of it, the currency it names, and for how much the prices are."""

    name: str
    currency: str
    basis: str


def priced(heading: str) -> Priced:
    """Take the currency and the "per so much" off the end of a heading of prices.

    >>> priced("Unit price (EUR)"), priced("Price £ / 100")
    (Priced(name='unit price', currency='eur', basis=''), Priced(name='price', currency='£', basis='100'))
    """
    name = " ".join(heading.casefold().replace("(", " ").replace(")", " ").split())
    based = _BASIS.fullmatch(name)
    name, basis = based.groups() if based else (name, "")
    stated = _CURRENCY.fullmatch(name)
    if stated and (stated[2] in "€£$¥" or is_currency(stated[2])):
        return Priced(stated[1], stated[2], basis)
    return Priced(name, "", basis)


def break_of(heading: str) -> int | None:
    """The quantity from which a price heading counts, or None when it is none.

    >>> break_of("1+"), break_of("Price @ 100"), break_of("1,000 +"), break_of("10-99"), break_of("Price")
    (1, 100, 1000, 10, None)
    """
    plain = priced(heading).name
    found = _BREAK.fullmatch(plain)
    return int(re.sub(r"[^0-9]", "", found[1])) if found and not plain.isdigit() else None


def meaning(heading: str, purpose: str) -> str | None:
    """Our word for a heading, or None when it is not known."""
    known = _KNOWN[purpose]
    word = known.get(fold(heading))
    if word is None and known.get(fold(priced(heading).name)) == "price":
        return "price"
    return word


def knows(purpose: str, columns: Mapping[str, str] | None = None) -> Knows:
    """A test for headings of that kind of list, with those that a person has named."""
    return Knows(purpose, frozenset(filter(None, (fold(heading) for heading in (columns or {}).values()))))


@dataclass(frozen=True, slots=True)
class Knows:
    """Whether a cell is a heading that we know."""

    purpose: str
    named: frozenset[str]

    def __call__(self, heading: str) -> bool:
        if meaning(heading, self.purpose) or fold(heading) in self.named:
            return True
        return self.purpose == "price list" and break_of(heading) is not None


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column (from 0) holds what: our word to place. `breaks` are price columns, by quantity.

    `prices` are the headings of all columns with prices, taken apart; `unknown` the headings that nothing is read from.
    """

    places: Mapping[str, int]
    breaks: Mapping[int, int] = field(default_factory=dict)
    prices: tuple[Priced, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def basis(self) -> str:
        """For how much the prices are, where a heading says so."""
        return next((price.basis for price in self.prices if price.basis), "")

    def cell(self, cells: Sequence[str], column: str) -> str:
        """The cell of a row under one of our words; empty when the list has no such column."""
        place = self.places.get(column)
        return cells[place] if place is not None else ""


def read_mapping(text: str, purpose: str) -> dict[str, str]:
    """A mapping as typed, `part=Bezeichnung,qty=Menge`: our word to the heading in the file, or to "-" for none.

    Raises BadInput for one of our words that does not exist, naming those that do.
    """
    found: dict[str, str] = {}
    for pair in filter(None, (piece.strip() for piece in text.split(","))):
        ours, sign, theirs = (piece.strip() for piece in pair.partition("="))
        word = ours.replace("_", " ").casefold()
        if not sign or not theirs or word not in PURPOSES[purpose]:
            words = ", ".join(PURPOSES[purpose])
            raise BadInput(
                f"The columns were not understood at {quote(pair)}.",
                f"Write it as our word = heading; our words for a {purpose} are {words}.",
                'For example --columns "value=Bezeichnung,qty=Menge".',
            )
        found[word] = theirs
    return found


# Said in place of a heading: no column is to be read as this word.
NO_COLUMN = "-"


def key_of(headings: Iterable[str]) -> str:
    """The set of headings, as it is remembered."""
    return "|".join(sorted(filter(None, map(fold, headings))))


def resolve(headings: Sequence[str], purpose: str, mapping: Mapping[str, str], where: str) -> Columns:
    """Find out which column holds what; what a person has said goes before what we know.

    Raises BadInput when two headings mean the same, or when a heading that was named is not there.
    """
    places = said_places(headings, mapping, where)
    meant: dict[str | int, list[int]] = {}
    for place, heading in enumerate(headings):
        word = None if place in places.values() else meaning(heading, purpose) or step_of(heading, purpose)
        if word is not None and word not in mapping:
            meant.setdefault(word, []).append(place)
    if purpose == "price list" and not any(word == "price" or isinstance(word, int) for word in (*meant, *places)):
        # "Code, Text, 1, 10, 100": with no other price in sight, these are quantities.
        meant.update(
            (int(heading), [place]) for place, heading in enumerate(headings) if re.fullmatch("[0-9]{1,9}", heading)
        )
    breaks: dict[int, int] = {}
    for word, among in meant.items():
        sure = [place for place in among if fold(headings[place]) not in _WEAK[purpose]] or among
        if len(sure) > 1:
            raise both_mean(where, headings[sure[0]], headings[sure[1]], word)
        if isinstance(word, int):
            breaks[word] = sure[0]
        else:
            places[word] = sure[0]
    read = {*places.values(), *breaks.values()}
    prices = [*breaks.values(), *(places[word] for word in ("price",) if word in places)]
    return Columns(
        places,
        breaks,
        tuple(priced(headings[place]) for place in prices),
        tuple(heading for place, heading in enumerate(headings) if heading and place not in read),
    )


def said_places(headings: Sequence[str], mapping: Mapping[str, str], where: str) -> dict[str, int]:
    """Where the headings stand that a person has named, by our words."""
    folded = [fold(heading) for heading in headings]
    places: dict[str, int] = {}
    for word, heading in mapping.items():
        if heading == NO_COLUMN:
            continue
        if fold(heading) not in folded:
            there = ", ".join(filter(None, headings))
            why = f"It has no heading {quote(heading)}; it has {clean(there, limit=len(there))[:ROOM]}."
            raise BadInput(f"{quote(where, limit=80)} was not read in.", why, "Name one of them.")
        places[word] = folded.index(fold(heading))
    return places


def step_of(heading: str, purpose: str) -> int | None:
    """The quantity from which the prices under a heading of a price list count."""
    return break_of(heading) if purpose == "price list" else None


def both_mean(where: str, one: str, other: str, word: str | int) -> BadInput:
    """That two headings mean the same, and what to do."""
    if isinstance(word, int):
        mend = "Take one of the two away."
    else:
        mend = f'Say which it is with --columns "{word}={clean(one)}".'
    what = f"a price from {word} on" if isinstance(word, int) else word
    return BadInput(
        f"{quote(where, limit=80)} was not read in.",
        f"The headings {quote(one)} and {quote(other)} both mean {what}.",
        mend,
    )


def as_text(mapping: Mapping[str, str]) -> str:
    """A mapping as it is remembered."""
    return json.dumps(mapping, ensure_ascii=False, sort_keys=True)


def from_text(text: str) -> dict[str, str]:
    """A mapping as it was remembered."""
    return {str(word): str(heading) for word, heading in json.loads(text).items()} if text else {}
