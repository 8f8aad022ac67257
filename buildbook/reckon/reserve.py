"""What one build may take from the drawers without taking what is spoken for by the others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from buildbook.reckon.cover import Share


class Reserve(NamedTuple):
    """What a build may take from the drawers, and who has spoken for the rest.

    `most` gives for (part wanted, part taken) how many base units, more than 0; `others` the codes of the other builds
    that have spoken for a part, the first in priority first.
    """

    most: Mapping[tuple[int, int], int]
    others: Mapping[int, Sequence[str]]


def reserve(shares: Iterable[tuple[str, Share]], build: str) -> Reserve:
    """Sum up what all lines of a build are given together, so that any of its sections may be kitted first.

    `shares` are those of all builds, each with the code of its build, in the order of priority.

    >>> first = Share(1, 40, 3, 3, (), (), 0)
    >>> second = Share(2, 40, 5, 2, (), (), 3)
    >>> reserve([("CURLEW", first), ("WREN", second)], "WREN")
    Reserve(most={(40, 40): 2}, others={40: ['CURLEW']})
    """
    most: dict[tuple[int, int], int] = {}
    others: dict[int, list[str]] = {}
    own = build.upper()
    for code, share in shares:
        taken = [(share.part, share.own), *((other.part, other.qty) for other in share.stood_in)]
        for part, qty in taken:
            if not qty:
                continue
            if code == own:
                most[share.part, part] = most.get((share.part, part), 0) + qty
            elif code not in others.setdefault(part, []):
                others[part].append(code)
    return Reserve(most, others)
