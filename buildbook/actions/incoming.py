"""What comes in with a list: parts not met before, and what to remember of how the list was read."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import text
from sqlmodel import col, select

from buildbook.actions.reading import read_kind, read_one_of, read_text, read_value
from buildbook.actions.rows import put
from buildbook.errors import BadInput
from buildbook.store.journal import Work
from buildbook.store.read.naming import PartNamed, find_parts
from buildbook.store.tables import ColumnMap, Part, PartAlias
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, fold, quote

UNITS = ("pc", "mm", "mg", "ul")
KEY_AT_MOST = 80


@dataclass(frozen=True, slots=True)
class NewPart:
    """A part to be made: its key, and what is known of it. `value` is as people write it, such as 4k7."""

    key: str
    kind: str = "other"
    name: str = ""
    value: str = ""
    package: str = ""
    maker: str = ""
    maker_number: str = ""
    unit: str = "pc"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Remembered:
    """What to know the next time: other names of parts (name to key), and how these headings are to be read.

    `purpose` says what kind of list it was; `headings` and `mapping` are kept as they are given.
    """

    aliases: Mapping[str, str] = field(default_factory=dict)
    purpose: str = ""
    headings: str = ""
    mapping: str = ""


NOTHING = Remembered()


def read_key(key: str) -> str:
    """The key of a part, cleaned."""
    plain = clean(key, limit=KEY_AT_MOST, what="key")
    if not plain:
        raise BadInput("The part was not made.", "It has no key.", "Give it a short name of its own.")
    return plain


def make_parts(work: Work, parts: Sequence[NewPart]) -> list[int]:
    """Write new parts at once and return their numbers. Raises BadInput for a key that is taken."""
    rows = [_part_row(part) for part in parts]
    keys = [fold(row["key"]) for row in rows]
    taken = {key for (key,) in work.execute(text(TAKEN), {"keys": json.dumps(keys)})}
    for key, row in zip(keys, rows, strict=True):
        if key in taken:
            raise BadInput(
                f"The part {row['key']} was not made.", "A part has that name already.", "Use it, or another key."
            )
        taken.add(key)
    return list(work.insert_many(Part, rows))


# Indexes: part_key_folded, the unique one of part_alias.
TAKEN = """
    SELECT j.value FROM json_each(:keys) AS j CROSS JOIN part AS p ON lower(p.key) = j.value
     UNION
    SELECT j.value FROM json_each(:keys) AS j CROSS JOIN part_alias AS a ON a.alias = j.value
"""


def _part_row(part: NewPart) -> dict[str, Any]:
    text_of_value, value_si = read_value(part.value, part.kind)
    return {
        "key": read_key(part.key),
        "kind": read_kind(part.kind),
        "name": clean(part.name),
        "value_text": text_of_value,
        "value_si": value_si,
        "package": clean(part.package),
        "maker": clean(part.maker),
        "maker_number": clean(part.maker_number),
        "unit": read_one_of(part.unit, UNITS, "unit"),
        "note": read_text(part.note, "note"),
    }


def remember(work: Work, what: Remembered) -> None:
    """Keep the other names of parts (a name met before now means the part given here) and the reading of headings."""
    names = {fold(alias): fold(key) for alias, key in what.aliases.items()}
    numbers = {row.key: row.id for row in work.execute(text(BY_KEYS), {"keys": json.dumps([*names.values()])})}
    known = {row.alias: row for row in work.exec(select(PartAlias).where(col(PartAlias.alias).in_(names)))}
    new = []
    for alias, key in names.items():
        if not alias or alias == key:
            continue
        if key not in numbers:
            raise BadInput(f"There is no part {quote(key)[1:-1]}.", "", "Make it first.")
        if alias in known:
            known[alias].part_id = numbers[key]
        else:
            new.append({"part_id": numbers[key], "alias": alias})
    work.insert_many(PartAlias, new)
    if what.headings:
        _remember_headings(work, what)


def named_parts(
    shop: Workshop, names: Iterable[str], parts: Sequence[NewPart], made: Sequence[int], what: Remembered
) -> dict[str, PartNamed]:
    """The parts of all these names, by folded name: those just made, those just named otherwise, and those known."""
    new = [PartNamed(number, read_key(part.key), part.unit) for part, number in zip(parts, made, strict=True)]
    called = {fold(alias): key for alias, key in what.aliases.items()}
    folded = {fold(name): name for name in names}
    found = find_parts(shop, (called.get(short, name) for short, name in folded.items()), new)
    return {short: found[fold(called.get(short, short))] for short in folded}


# Index: part_key_folded.
BY_KEYS = "SELECT j.value AS key, p.id FROM json_each(:keys) AS j CROSS JOIN part AS p ON lower(p.key) = j.value"


def _remember_headings(work: Work, what: Remembered) -> None:
    same = select(ColumnMap).where(col(ColumnMap.purpose) == what.purpose, col(ColumnMap.headings) == what.headings)
    row = work.exec(same).first()
    if row is None:
        put(work, ColumnMap(purpose=what.purpose, headings=what.headings, mapping=what.mapping))
    else:
        row.mapping = what.mapping
