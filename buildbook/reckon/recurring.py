"""Which faults have come more than once: found at the same point, at the same part of a board, or of one cause.

The rule is simple on purpose, and stated wherever its result is shown: it draws attention, it proves nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import NamedTuple

SAME_POINT = "same point"
SAME_PART = "same part of the same board"
SAME_CAUSE = "same words in the cause"
# Two causes are alike when they share so many telling words, and at least half of those of the shorter one.
LEAST_WORDS = 2
RULE = (
    "Snags count as the same habit when the same test point showed them, when the same part of the same board was "
    "touched, or when their causes share at least two telling words and half of those of the shorter."
)
_WORD = re.compile(r"[^\W\d_]{4,}")
_EMPTY = frozenset(
    """
    about after again against also away because been before being both cause caused could does down each even from
    good have here into itself just like made make more most much must near next none once only other over really
    same seems should some still such than that their them then there these they this those through under until
    upon very wants were what when where which while will with would wrong
    """.split()  # noqa: SIM905 (read as a text)
)


class Fault(NamedTuple):
    """A snag as it is compared: the point that showed it (0 for none), parts touched as (board, part), its cause."""

    id: int
    point: int = 0
    parts: frozenset[tuple[int, int]] = frozenset()
    cause: str = ""


class Habit(NamedTuple):
    """Faults that are alike, in the order given, and in what they are."""

    how: tuple[str, ...]
    faults: tuple[int, ...]


def telling_words(text: str) -> frozenset[str]:
    """The words of four letters or more that say something.

    >>> sorted(telling_words("The decoupling was too far away from the pin of U1."))
    ['decoupling']
    """
    return frozenset(_WORD.findall(text.casefold())) - _EMPTY


def alike(one: Fault, other: Fault) -> tuple[str, ...]:
    """In what two faults are alike; nothing when they are not.

    >>> alike(Fault(1, point=7), Fault(2, point=7)), alike(Fault(1, cause="Dry joint"), Fault(2, cause="dry joint: R6"))
    (('same point',), ())
    >>> alike(Fault(1, cause="A cold joint"), Fault(2, cause="Another joint, cold too"))
    ('same words in the cause',)
    """
    found = [SAME_POINT] if one.point and one.point == other.point else []
    found += [SAME_PART] if one.parts & other.parts else []
    mine, theirs = telling_words(one.cause), telling_words(other.cause)
    shared = len(mine & theirs)
    if shared >= LEAST_WORDS and 2 * shared >= min(len(mine), len(theirs)):
        found.append(SAME_CAUSE)
    return tuple(found)


def pairs_alike(faults: Sequence[Fault]) -> list[tuple[int, int, tuple[str, ...]]]:
    """Every two that are alike, by their ids, and in what. Only those are compared that have something in common."""
    sharing: dict[object, list[int]] = {}
    for at, fault in enumerate(faults):
        keys: list[object] = [("point", fault.point)] if fault.point else []
        for key in (*keys, *fault.parts, *telling_words(fault.cause)):
            sharing.setdefault(key, []).append(at)
    met = {pair for group in sharing.values() for pair in combinations(group, 2)}
    found = ((faults[one], faults[other]) for one, other in sorted(met))
    return [(one.id, other.id, how) for one, other in found if (how := alike(one, other))]


def habits(faults: Iterable[Fault]) -> list[Habit]:
    """The groups of faults that are alike in the same way, the largest first; one in two groups stands in both.

    Within a group each is like at least one of the others. Groups of the same faults are told as one.

    >>> habits([Fault(1, point=7), Fault(2, point=7), Fault(3)])
    [Habit(how=('same point',), faults=(1, 2))]
    """
    known = list(faults)
    place = {fault.id: at for at, fault in enumerate(known)}
    pairs = pairs_alike(known)
    groups: dict[tuple[int, ...], list[str]] = {}
    for how in (SAME_POINT, SAME_PART, SAME_CAUSE):
        for group in _joined([(one, other) for one, other, hows in pairs if how in hows]):
            groups.setdefault(tuple(sorted(group, key=place.__getitem__)), []).append(how)
    found = [Habit(tuple(how), group) for group, how in groups.items()]
    return sorted(found, key=lambda habit: (-len(habit.faults), place[habit.faults[0]]))


def _joined(pairs: Iterable[tuple[int, int]]) -> list[set[int]]:
    """What hangs together by pairs."""
    groups: list[set[int]] = []
    for pair in pairs:
        mine = set(pair)
        apart = []
        for group in groups:
            if group & mine:
                mine |= group
            else:
                apart.append(group)
        groups = [*apart, mine]
    return groups
