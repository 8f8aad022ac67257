"""What has changed when a parts list comes in again: which lines are new, gone, changed or the same.

A line is known again by what stands on the board: by its reference designators first, whatever has become of its part
and quantity; then, where they say nothing, by its part. So what was kitted and fitted for a line stays with it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from buildbook.trade.refdes import join_refs

# A valve and its socket may both be V1, and options bring more of the same; on many lines a designator tells nothing.
_TELLING = 20


@dataclass(frozen=True, slots=True)
class ListLine:
    """One row of a parts list; `line` is its number in the store, None when it is not there yet.

    `qty` is in base units, `loss_bp` the allowance for loss in 1/100 %, `option` the candidate answer it belongs to.
    The order of the designators means nothing.
    """

    line: int | None
    part: int
    qty: int
    refs: tuple[str, ...] = ()
    fitted: bool = True
    note: str = ""
    loss_bp: int = 0
    option: int | None = None


class Changed(NamedTuple):
    """A line that is there before and after (under the same number), and what is different, in words."""

    before: ListLine
    after: ListLine
    what: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """What a new list adds, leaves out, changes and keeps; the last three in the order of the present list."""

    added: tuple[ListLine, ...]
    gone: tuple[ListLine, ...]
    changed: tuple[Changed, ...]
    same: tuple[ListLine, ...]


def difference(present: Sequence[ListLine], new: Sequence[ListLine]) -> Difference:
    """Compare the list at hand with a new one; the numbers of the new lines play no part.

    Lines equal in everything are the same. Then two lines that share a designator are one, those of the same option
    before others, then those of the same part, then those that share most. Then come lines of the same part, those
    without designators first.

    >>> old = ListLine(31, part=4, qty=2, refs=("R1", "R2"))
    >>> answer = difference([old], [ListLine(None, part=4, qty=3, refs=("R1", "R2", "R9"))])
    >>> answer.changed[0].after.line, answer.changed[0].what
    (31, ('quantity 3, was 2', 'R9 added'))
    """
    known = _Recognition(present, new)
    known.by(_content)
    known.by_designators()
    known.by(lambda line: (line.part, line.option, not line.refs, line.qty))
    known.by(lambda line: (line.part, line.option, not line.refs))
    known.by(lambda line: (line.part, line.option))
    known.by(lambda line: line.part)
    changed, same = [], []
    for old_place, new_place in sorted(known.found.items()):
        before = present[old_place]
        after = replace(new[new_place], line=before.line)
        what = tuple(_in_words(before, after))
        if what:
            changed.append(Changed(before, after, what))
        else:
            same.append(before)
    return Difference(
        added=tuple(replace(new[place], line=None) for place in known.new_left),
        gone=tuple(present[place] for place in known.old_left),
        changed=tuple(changed),
        same=tuple(same),
    )


class _Recognition:
    """Where each line of the present list has been found in the new one, by places, and which places are left."""

    def __init__(self, present: Sequence[ListLine], new: Sequence[ListLine]) -> None:
        self.present, self.new = present, new
        self.found: dict[int, int] = {}
        self.old_left = dict.fromkeys(range(len(present)))
        self.new_left = dict.fromkeys(range(len(new)))

    def by(self, sign: Callable[[ListLine], Hashable]) -> None:
        """Pair the lines left that have the same sign, the first with the first."""
        if not self.old_left or not self.new_left:
            return
        waiting: defaultdict[Hashable, list[int]] = defaultdict(list)
        for place in reversed(self.new_left):
            waiting[sign(self.new[place])].append(place)
        for place in list(self.old_left):
            if alike := waiting.get(sign(self.present[place])):
                self._pair(place, alike.pop())

    def by_designators(self) -> None:
        """Pair the lines left that share designators, the best pair first."""
        if not self.old_left or not self.new_left:
            return
        shared: defaultdict[tuple[int, int], int] = defaultdict(int)
        holders = _holders(self.new, self.new_left)
        for ref, old_places in _holders(self.present, self.old_left).items():
            for old_place in old_places:
                for new_place in holders.get(ref, ()):
                    shared[old_place, new_place] += 1

        def rank(pair: tuple[int, int]) -> tuple[bool, bool, int, tuple[int, int]]:
            before, after = self.present[pair[0]], self.new[pair[1]]
            return before.option != after.option, before.part != after.part, -shared[pair], pair

        for old_place, new_place in sorted(shared, key=rank):
            if old_place in self.old_left and new_place in self.new_left:
                self._pair(old_place, new_place)

    def _pair(self, old_place: int, new_place: int) -> None:
        self.found[old_place] = new_place
        del self.old_left[old_place], self.new_left[new_place]


def _holders(lines: Sequence[ListLine], places: Iterable[int]) -> dict[str, list[int]]:
    """List the places that hold each designator, as far as it tells anything."""
    holders: defaultdict[str, list[int]] = defaultdict(list)
    for place in places:
        for ref in dict.fromkeys(lines[place].refs):
            if len(holders[ref]) < _TELLING:
                holders[ref].append(place)
    return holders


def _content(line: ListLine) -> Hashable:
    return line.part, line.qty, frozenset(line.refs), line.fitted, line.note, line.loss_bp, line.option


def _in_words(before: ListLine, after: ListLine) -> Iterable[str]:
    """Say what is different between two lines, the weightiest first."""
    if before.part != after.part:
        yield "another part"
    if before.qty != after.qty:
        yield f"quantity {after.qty}, was {before.qty}"
    for here, there, word in ((after, before, "added"), (before, after, "gone")):
        if refs := [ref for ref in here.refs if ref not in there.refs]:
            yield f"{join_refs(refs)} {word}"
    if before.fitted != after.fitted:
        yield "now fitted" if after.fitted else "now not fitted"
    if before.loss_bp != after.loss_bp:
        yield f"loss {after.loss_bp / 100:g} %, was {before.loss_bp / 100:g} %"
    if before.option != after.option:
        yield "another option"
    if before.note != after.note:
        yield "another note"
