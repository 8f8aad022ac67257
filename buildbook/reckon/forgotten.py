"""The order that nobody wrote down: pairs of steps that the natural order of work orders and the project does not.

What a project orders is told by all its links, those through other assemblies as well; reachability is kept as one
whole number for each step, a bit for every other. Only pairs that follow from no others are named: the transitive
reduction of what is missing (Aho, Garey, Ullman, "The transitive reduction of a directed graph", 1972).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from buildbook.reckon.network import Link, in_order
from buildbook.trade.workorder import AGAIN, ENOUGH, MEANT, NO_WAY_BACK, RULES, SERIOUSNESS, TWICE, Rule
from buildbook.trade.workorder_words import NOTHING_NAMED, Named, apart

Pair: TypeAlias = tuple[int, int]
How: TypeAlias = Literal["missing", "reversed"]
_NO_PAIRS: frozenset[Pair] = frozenset()


class Worked(NamedTuple):
    """A step as the rules see it: its assembly, its kind of work, and the pieces it names (`workorder_words.named`)."""

    id: int
    assembly: int
    work: str
    one_way: bool = False
    named: Named = NOTHING_NAMED


class Forgotten(NamedTuple):
    """A step that a rule puts before another of its assembly, where the project says nothing or the other way round."""

    before: int
    after: int
    rule: Rule
    how: How = "missing"


def forgotten(
    steps: Sequence[Worked],
    links: Iterable[Link],
    dismissed: Collection[Pair] = _NO_PAIRS,
    rules: Iterable[Rule] = RULES,
) -> tuple[Forgotten, ...]:
    """The pairs (before, after) that the rules order and the project does not, without those that follow from others.

    Pairs in `dismissed` are never named. With every missing pair linked, none is missing any more; where the project
    runs against the rules, some of these links may close a loop, and those are the ones to think about. Raises BadInput
    for links that make a loop by themselves.

    >>> [(one.before, one.after) for one in forgotten([Worked(1, 7, "prime"), Worked(2, 7, "mask")], [])]
    [(2, 1)]
    """
    project = _Project(steps, links, rules)
    pairs = [_pairs_of(project, step, dismissed) for step in steps]
    missing = {step.id: lacking for step, (lacking, _) in zip(steps, pairs, strict=True) if lacking}
    named = _reduced(project, missing)
    found = []
    for step, (_, turned) in zip(steps, pairs, strict=True):
        found += [Forgotten(step.id, after, project.rule(step, after)) for after in project.told(named.get(step.id, 0))]
        found += [Forgotten(step.id, after, project.rule(step, after), "reversed") for after in project.told(turned)]
    return tuple(sorted(found, key=lambda one: SERIOUSNESS.index(one.rule.serious)))


class Closed(NamedTuple):
    """A step that a one-way step would close off: why it ought to come before it, and how serious that is.

    `why` is "needed" (the project says so), "needed by those" (of a step that is needed) or "forgotten" (only the rules
    say so). `rule` is there where a rule orders the two.
    """

    step: int
    why: Literal["needed", "needed by those", "forgotten"]
    serious: str
    rule: Rule | None = None


def closes_off(
    step: int,
    steps: Sequence[Worked],
    links: Sequence[Link],
    behind: Collection[int],
    *,
    begun: Collection[int] = (),
    dismissed: Collection[Pair] = _NO_PAIRS,
    rules: Iterable[Rule] = RULES,
) -> tuple[Closed, ...]:
    """What ought to be done before a step and is not `behind` (done or dropped), the most serious first.

    A step that only has to be begun is left out once it is `begun`. Steps that neither the project nor the rules put
    before this one are not there, nor are those that the project puts after it.

    >>> steps = [Worked(1, 7, "mask"), Worked(2, 7, "degrease"), Worked(3, 7, "prime", one_way=True)]
    >>> [(one.step, one.why, one.serious) for one in closes_off(3, steps, [Link(2, 3)], behind=())]
    [(1, 'forgotten', 'dangerous'), (2, 'needed', 'cannot be undone')]
    """
    project = _Project(steps, links, rules)
    about = next(one for one in steps if one.id == step)
    needed = _needed(step, links, frozenset(behind), frozenset(begun))
    found = []
    for number, direct in needed.items():
        rule = project.rules.get((project.steps[number].work, about.work)) if number in project.steps else None
        if rule and project.steps[number].assembly != about.assembly:
            rule = None
        serious = rule.serious if rule else NO_WAY_BACK if about.one_way else TWICE
        found.append(Closed(number, "needed" if direct else "needed by those", serious, rule))
    bit = project.bit[step]
    for one in steps:
        if one.assembly == about.assembly and one.id not in behind and one.id not in needed:
            missing, _ = _pairs_of(project, one, dismissed)
            if missing & bit:
                rule = project.rule(one, step)
                found.append(Closed(one.id, "forgotten", rule.serious, rule))
    return tuple(sorted(found, key=lambda one: SERIOUSNESS.index(one.serious)))


def _needed(step: int, links: Iterable[Link], behind: frozenset[int], begun: frozenset[int]) -> dict[int, bool]:
    """The steps that must come before a step and have not, the nearest first; whether it needs them itself."""
    before: dict[int, list[Link]] = {}
    for link in links:
        before.setdefault(link.after, []).append(link)
    seen, found = {step}, dict[int, bool]()
    for number in (todo := [step]):
        for link in before.get(number, ()):
            if link.before not in seen:
                seen.add(link.before)
                todo.append(link.before)
                if link.before not in behind and not (link.kind == "SS" and link.before in begun):
                    found[link.before] = number == step
    return found


class _Project:
    """What a project orders: for every step, a bit of its own, and the bits of all before and all after it."""

    def __init__(self, steps: Sequence[Worked], links: Iterable[Link], rules: Iterable[Rule]) -> None:
        links = list(links)
        self.steps = {step.id: step for step in steps}
        self.order = in_order(self.steps, links)
        self.bit = {number: 1 << place for place, number in enumerate(self.order)}
        self.next: dict[int, list[int]] = {}
        for link in links:
            self.next.setdefault(link.before, []).append(link.after)
        self.below = _below(self.order, self.next, self.bit)
        self.above = self._above()
        self.rules = {(rule.before, rule.after): rule for rule in rules}
        self.rules_from: dict[str, list[Rule]] = {}
        for rule in self.rules.values():
            self.rules_from.setdefault(rule.before, []).append(rule)
        self.of_kind: dict[tuple[int, str], int] = {}  # the steps of an assembly that are one kind of work
        self.after_kind: dict[tuple[int, str], int] = {}  # all that comes after one of them
        for step in steps:
            kind = step.assembly, step.work
            self.of_kind[kind] = self.of_kind.get(kind, 0) | self.bit[step.id]
            self.after_kind[kind] = self.after_kind.get(kind, 0) | self.below[step.id]

    def rule(self, before: Worked, after: int) -> Rule:
        return self.rules[before.work, self.steps[after].work]

    def told(self, bits: int) -> Iterator[int]:
        """The steps whose bits are set."""
        while bits:
            last = bits & -bits
            yield self.order[last.bit_length() - 1]
            bits ^= last

    def _above(self) -> dict[int, int]:
        above = dict.fromkeys(self.order, 0)
        for number in self.order:
            upward = above[number] | self.bit[number]
            for later in self.next.get(number, ()):
                above[later] |= upward
        return above


def _below(order: Sequence[int], later: Mapping[int, Iterable[int]], bit: Mapping[int, int]) -> dict[int, int]:
    below = dict.fromkeys(order, 0)
    for number in reversed(order):
        for one in later.get(number, ()):
            below[number] |= bit[one] | below[one]
    return below


def _pairs_of(project: _Project, step: Worked, dismissed: Collection[Pair]) -> tuple[int, int]:
    """The steps that ought to come after one and are not ordered with it, and those that come before it instead."""
    missing = turned = 0
    own, below, above = project.bit[step.id], project.below[step.id], project.above[step.id]
    for rule in project.rules_from.get(step.work, ()):
        bits = project.of_kind.get((step.assembly, rule.after), 0) & ~below
        if not bits or (rule.strict == MEANT and project.after_kind[step.assembly, rule.after] & own):
            # A step that comes after one such on purpose belongs to a later stage, and is ordered with none of them.
            continue
        if rule.by_piece and step.named != NOTHING_NAMED:
            bits &= ~_others(project, step, bits)
        had = 0  # those that have had such work before them already
        if rule.strict in (AGAIN, ENOUGH):
            for kind in rule.alike:
                had |= project.after_kind.get((step.assembly, kind), 0)
        missing |= bits & ~above & ~(had if rule.strict == ENOUGH else 0)
        turned |= bits & above & ~had
    if dismissed and (missing or turned):
        gone = sum(project.bit[after] for after in project.told(missing | turned) if (step.id, after) in dismissed)
        missing, turned = missing & ~gone, turned & ~gone
    return missing, turned


def _others(project: _Project, step: Worked, bits: int) -> int:
    """Those of the steps that name other pieces of metal."""
    return sum(project.bit[one] for one in project.told(bits) if apart(step.named, project.steps[one].named))


def _reduced(project: _Project, missing: Mapping[int, int]) -> dict[int, int]:
    """The missing pairs that do not follow from the links and the other missing pairs."""
    pairs = _nearest(project, missing)
    # Where the project runs against the rules, pairs and links make loops, in which each follows from all: those stay.
    in_loops = sum(project.bit[number] for number in _in_loops(_joined(project, pairs)))
    stay = {number: bits & in_loops for number, bits in pairs.items() if project.bit[number] & in_loops}
    others = {number: bits & ~stay.get(number, 0) for number, bits in pairs.items()}
    later = _joined(project, others)
    ordered = in_order(later, (Link(number, one) for number, ones in later.items() for one in ones))
    below = _below(ordered, later, project.bit)
    for number, bits in others.items():
        for one in later[number]:
            bits &= ~below[one]
        pairs[number] = bits | stay.get(number, 0)
    return pairs


def _joined(project: _Project, pairs: Mapping[int, int]) -> dict[int, list[int]]:
    """What comes right after each step, by the links and the pairs."""
    return {number: [*project.next.get(number, ()), *project.told(pairs.get(number, 0))] for number in project.order}


def _in_loops(later: Mapping[int, Sequence[int]]) -> set[int]:
    """The steps in loops, and those on a way from one loop to another."""
    left = _left_over(later)
    back: dict[int, list[int]] = {number: [] for number in left}
    for number in left:
        for one in later[number]:
            back[one].append(number)
    return _left_over(back)


def _left_over(later: Mapping[int, Sequence[int]]) -> set[int]:
    """The steps that can be put in no order: in a loop, or after one."""
    ahead = dict.fromkeys(later, 0)
    for ones in later.values():
        for one in ones:
            ahead[one] += 1
    for number in (placed := [number for number in later if not ahead[number]]):
        for one in later[number]:
            ahead[one] -= 1
            if not ahead[one]:
                placed.append(one)
    return set(later) - set(placed)


def _nearest(project: _Project, missing: Mapping[int, int]) -> dict[int, int]:
    """The missing pairs that do not follow from one other and the links: cheap, and it leaves few to look at."""
    pairs: dict[int, int] = {}
    lower = dict.fromkeys(project.order, 0)
    for number in reversed(project.order):
        for one in project.next.get(number, ()):
            lower[number] |= lower[one] | missing.get(one, 0)
        bits = missing.get(number, 0) & ~lower[number]
        while bits:
            first = bits & -bits
            pairs[number] = pairs.get(number, 0) | first
            bits &= ~(first | project.below[project.order[first.bit_length() - 1]])
    return pairs
