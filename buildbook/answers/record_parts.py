"""The record of a build, its parts: the tree of its sections, every line, what was taken for it, what was bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.answers.board import board
from buildbook.answers.boards import boards
from buildbook.answers.orders import orders
from buildbook.answers.record_rows import Bought, Held, PartLine, Section
from buildbook.store.read import buying as read
from buildbook.store.read.stores import parts_by_number

if TYPE_CHECKING:
    from buildbook.answers.board import Board
    from buildbook.store.read.standing import BuildRow
    from buildbook.store.workshop import Workshop


def sections_of(shop: Workshop, build: BuildRow) -> tuple[Section, ...]:
    """The tree of the build."""
    rows = boards(shop, build.code).rows
    return tuple(Section(row.code, row.name, row.kind, row.depth, row.count, row.state) for row in rows)


def lists_of(shop: Workshop, build: BuildRow, sections: Sequence[Section]) -> list[Board]:
    """The board of every section, each but once, however often it stands in the tree."""
    codes = dict.fromkeys(row.code for row in sections)
    return [board(shop, code, build.code) for code in codes]


def lines_of(lists: Sequence[Board]) -> tuple[PartLine, ...]:
    """Every line of the build."""
    return tuple(
        PartLine(
            one.code,
            *(row.refs, row.key, row.kind, row.name, row.value, row.package, row.maker_number, row.unit),
            *(row.qty, row.need, row.fitted, row.state, row.option, row.note),
        )
        for one in lists
        for row in one.lines
    )


def held_of(shop: Workshop, build: BuildRow, lists: Sequence[Board]) -> tuple[Held, ...]:
    """What was taken from the bins for each line, with its worth."""
    lines = {row.line: (one.code, row) for one in lists for row in one.lines}
    taken = [row for row in read.used(shop.reads, build.id) if row.held and row.line in lines]
    parts = parts_by_number(shop.reads, {row.part for row in taken})
    found = []
    for row in taken:
        section, line = lines[row.line]
        part = parts[row.part]
        worth = (row.held, row.value_micros, row.unpriced_qty)
        found.append(Held(section, line.refs, line.key, part.key, part.value or part.name, part.unit, *worth))
    return tuple(sorted(found, key=lambda one: (one.section, one.refs, one.key)))


def bought_of(shop: Workshop, lines: Sequence[PartLine], held: Sequence[Held]) -> tuple[Bought, ...]:
    """The order rows of all parts of the build, whichever build they were ordered for, the oldest first."""
    keys = {row.key for row in lines} | {row.key for row in held}
    rows = [row for row in orders(shop).rows if row.key in keys]
    rows.sort(key=lambda row: (row.key, row.placed_on, row.ref, row.line))
    return tuple(
        Bought(
            *(row.key, row.supplier, row.order_code, row.ref, row.placed_on, row.unit),
            *(row.qty, row.received_qty, row.price_micros, row.per_qty),
        )
        for row in rows
    )
