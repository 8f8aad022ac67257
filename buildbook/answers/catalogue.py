"""What the workshop knows when a foreign list comes in: its parts by all their names, and headings read before."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from buildbook.answers.offers import offers_for
from buildbook.answers.stores import VALUE_KINDS
from buildbook.reckon.difference import ListLine
from buildbook.reckon.match import Catalogue, Known
from buildbook.store.read import boards as read_boards
from buildbook.store.read import buying as read_buying
from buildbook.store.read import catalogue as read
from buildbook.trade.refdes import read_refs
from buildbook.trade.values import Value
from buildbook.trade.values import read as read_value

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


def known_parts(shop: Workshop) -> list[read.KnownRow]:
    """Every part of the workshop."""
    return read.known_parts(shop.reads)


def catalogue(shop: Workshop, parts: Iterable[read.KnownRow], seller: str = "") -> Catalogue:
    """The parts, ready to be matched against; with a `seller`, only its own order codes count."""
    names: dict[int, list[str]] = {}
    for part, alias in read.aliases(shop.reads):
        names.setdefault(part, []).append(alias)
    codes: dict[int, list[str]] = {}
    for part, code in codes_of(shop, seller) if seller else read.order_codes(shop.reads):
        codes.setdefault(part, []).append(code)
    return Catalogue(
        Known(
            part=row.id,
            key=row.key,
            kind=row.kind,
            name=row.name,
            value=value_of(row.value, row.kind),
            package=row.package,
            maker_number=row.maker_number,
            order_codes=tuple(codes.get(row.id, ())),
            aliases=tuple(names.get(row.id, ())),
        )
        for row in parts
    )


def codes_of(shop: Workshop, seller: str) -> Iterator[tuple[int, str]]:
    """The order codes of one supplier: what another sells under the same code is another thing."""
    numbers = {row.id for row in read_buying.suppliers(shop.reads).values() if row.code == seller.strip().upper()}
    for part, offers in offers_for(shop).items():
        yield from ((part, one.order_code) for one in offers if one.supplier in numbers and one.order_code)


def lying(shop: Workshop) -> list[tuple[str, str, int]]:
    """What is thought to lie where: key of the part, name of the bin, quantity in base units."""
    keys = {row.id: row.key for row in known_parts(shop)}
    places = read_boards.bins(shop.reads, keys)
    return [(keys[part], name, qty) for part, there in places.items() for name, qty in there]


def value_of(text: str, kind: str) -> Value | None:
    """The value of a part of that kind, when its text is one."""
    found = read_value(text, VALUE_KINDS[kind]) if text and kind in VALUE_KINDS else None
    return found if isinstance(found, Value) else None


def remembered_mapping(shop: Workshop, purpose: str, headings: str) -> str:
    """What a person has once said of such a set of headings; empty when nobody has."""
    return read.mappings(shop.reads, purpose).get(headings, "")


def remembered_headings(shop: Workshop, purpose: str) -> set[str]:
    """Every heading that a person has named for such lists."""
    return {
        heading for mapping in read.mappings(shop.reads, purpose).values() for heading in json.loads(mapping).values()
    }


def options(shop: Workshop, project: str) -> dict[str, int]:
    """The candidate answers of a project, by QUESTION:ANSWER."""
    return read.options(shop.reads, project)


def present_lines(shop: Workshop, assembly: int) -> list[ListLine]:
    """The parts list of an assembly as it stands, for comparing with a new one."""
    numbers = read_boards.option_numbers(shop.reads, assembly)
    return [
        ListLine(
            line=row.id,
            part=row.part,
            qty=row.qty,
            refs=read_refs(row.refs) if row.refs else (),
            fitted=bool(row.fitted),
            note=row.note,
            loss_bp=row.loss_bp,
            option=numbers.get(row.id),
        )
        for row in read_boards.parts_list(shop.reads, assembly)
    ]
