"""What is printed besides the answers themselves: the day that they are of, and what lies in each bin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from buildbook.store.read import lying as read
from buildbook.store.read.naming import find_bin
from buildbook.store.read.workshop import last_action

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class LyingPart:
    """A part that lies in a bin."""

    key: str
    kind: str
    name: str
    value: str


@dataclass(frozen=True, slots=True)
class BinContents:
    """A bin with what lies in it, by kind and value."""

    name: str
    note: str
    parts: tuple[LyingPart, ...]


def last_day(shop: Workshop) -> str:
    """The day (UTC, ISO 8601) of the last change of the workshop; empty when nothing was ever done.

    What is printed bears this day and not today's, so that it is the same while nothing has changed.
    """
    return last_action(shop.reads)[0][:10]


def bins(shop: Workshop, names: Sequence[str] = ()) -> tuple[BinContents, ...]:
    """The bins named, in that order, or all by name. Raises BadInput for an unknown bin, naming the nearest."""
    known = {row.id: row for row in read.bins(shop.reads)}
    lying = read.lying(shop.reads)
    wanted = dict.fromkeys(find_bin(shop, name).id for name in names) if names else known
    return tuple(
        BinContents(
            known[number].name,
            known[number].note,
            tuple(LyingPart(row.key, row.kind, row.name, row.value) for row in lying.get(number, ())),
        )
        for number in wanted
    )
