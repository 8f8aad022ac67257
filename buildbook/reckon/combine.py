"""What one, two or three parts from the drawers come to together, and which of them come nearest to a wanted value."""

from __future__ import annotations

from bisect import insort
from collections import Counter
from collections.abc import Iterable, Sequence
from enum import StrEnum
from math import hypot, inf
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

# Errors are weighed in steps of this share, a millionth: far below any tolerance, far above rounding.
SAME = 1e-6
MOST_PARTS = 3


class How(StrEnum):
    """How the parts are wired."""

    ONE = "one"
    SERIES = "series"
    PARALLEL = "parallel"
    PAIR_THEN_ONE = "pair in parallel, one in series"
    PAIR_BESIDE_ONE = "pair in series, one in parallel"


class Lot(NamedTuple):
    """What lies of one size (ohm, farad or henry, above zero): pieces nobody needs, and pieces spoken for."""

    size: float
    free: int
    spoken_for: int = 0


class Made(NamedTuple):
    """One way to come near: wiring, sizes (of a pair and one, the one last), what they come to, by how much it is off.

    `error` is a share of what is wanted, above or below zero; `taken` counts the pieces that others have spoken for.
    """

    how: How
    sizes: tuple[float, ...]
    size: float
    error: float
    taken: int


def together(how: How, sizes: Sequence[float], kind: str = "R") -> float:
    """Give what the parts come to; `kind` is R, C or L, sizes are above zero, in one unit.

    Resistors and coils that do not couple add in series, capacitors in parallel (Kirchhoff's laws).

    >>> together(How.PARALLEL, [10e3, 10e3]), together(How.SERIES, [100e-9, 100e-9], "C")
    (5000.0, 5e-08)
    >>> together(How.PAIR_THEN_ONE, [300, 600, 100])
    300.0
    """
    if kind == "C":
        return 1 / together(how, [1 / size for size in sizes])
    if how in (How.ONE, How.SERIES):
        return float(sum(sizes))
    if how is How.PARALLEL:
        return 1 / sum(1 / size for size in sizes)
    first, second, one = sizes
    if how is How.PAIR_THEN_ONE:
        return first * second / (first + second) + one
    return 1 / (1 / (first + second) + 1 / one)


def weights(how: How, sizes: Sequence[float], kind: str = "R") -> tuple[float, ...]:
    """Give how much of a change of each part passes to the whole, as shares that come to 1.

    In resistors it is the share of the power that each turns to heat as well, in capacitors and coils of the energy
    that each holds: the slope of the whole against a part goes with the square of the part's current (Tellegen's
    theorem).

    >>> weights(How.SERIES, [3000, 1000]), weights(How.PARALLEL, [3000, 1000])
    ((0.75, 0.25), (0.25, 0.75))
    """
    if kind == "C":
        return weights(how, [1 / size for size in sizes])
    whole = together(how, sizes)
    if how in (How.ONE, How.SERIES):
        return tuple(size / whole for size in sizes)
    if how is How.PARALLEL:
        return tuple(whole / size for size in sizes)
    *pair, one = sizes
    inner, outer = (How.PARALLEL, How.SERIES) if how is How.PAIR_THEN_ONE else (How.SERIES, How.PARALLEL)
    of_pair, of_one = weights(outer, [together(inner, pair), one])
    return (*(of_pair * share for share in weights(inner, pair)), of_one)


def voltages(how: How, sizes: Sequence[float], kind: str = "R") -> tuple[float, ...]:
    """Give the share of the voltage across the whole that each part bears, 0 to 1.

    For capacitors it is that of an alternating voltage: a steady one is shared by their leakage.

    >>> voltages(How.SERIES, [3000, 1000]), voltages(How.SERIES, [100e-9, 300e-9], "C")
    ((0.75, 0.25), (0.75, 0.25))
    """
    if kind == "C":
        return voltages(how, [1 / size for size in sizes])
    if how is How.PARALLEL:
        return (1.0,) * len(sizes)
    if how in (How.ONE, How.SERIES):
        return weights(how, sizes)
    *pair, one = sizes
    if how is How.PAIR_BESIDE_ONE:
        return (*weights(How.SERIES, pair), 1.0)
    of_pair, of_one = weights(How.SERIES, [together(How.PARALLEL, pair), one])
    return of_pair, of_pair, of_one


class Spread(NamedTuple):
    """How far the whole may be off its own size, as shares of it: lowest, highest, and root of the sum of squares."""

    low: float
    high: float
    rss: float


def spread(how: How, sizes: Sequence[float], tolerances: Sequence[tuple[float, float]], kind: str = "R") -> Spread:
    """Give the spread of the whole, from the `(minus, plus)` of each part as shares of it, both positive, minus < 1.

    The worst case is exact: the whole grows with each part. RSS takes the wider side of each part.

    >>> [round(figure, 6) for figure in spread(How.SERIES, [1000, 1000], [(0.01, 0.01), (0.01, 0.01)])]
    [-0.01, 0.01, 0.007071]
    """
    whole = together(how, sizes, kind)
    low = together(how, [size * (1 - minus) for size, (minus, _) in zip(sizes, tolerances, strict=True)], kind)
    high = together(how, [size * (1 + plus) for size, (_, plus) in zip(sizes, tolerances, strict=True)], kind)
    shares = weights(how, sizes, kind)
    rss = hypot(*(share * max(sides) for share, sides in zip(shares, tolerances, strict=True)))
    return Spread(low / whole - 1, high / whole - 1, rss)


def combine(
    wanted: float, lots: Iterable[Lot], *, kind: str = "R", most: int = MOST_PARTS, keep: int = 3
) -> list[Made]:
    """Give the `keep` ways of one part that come nearest to `wanted`, then of two, then of three, as far as `most`.

    Among as many parts the smaller error is first, in steps of a millionth, then the way that takes fewer pieces from
    others. Lots of the same size count as one. No way takes more pieces than lie there. The search is exact: it leaves
    out only what cannot be better.

    >>> lots = [Lot(10e3, 5), Lot(4700, 1), Lot(22e3, 2)]
    >>> [(made.how.value, made.sizes, round(made.size)) for made in combine(5000, lots, most=2, keep=1)]
    [('one', (4700,), 4700), ('parallel', (10000.0, 10000.0), 5000)]
    """
    stock: dict[float, Lot] = {}
    for lot in lots:
        before = stock.get(lot.size, Lot(lot.size, 0))
        if lot.size > 0 and lot.free + lot.spoken_for > 0:
            stock[lot.size] = Lot(lot.size, before.free + lot.free, before.spoken_for + lot.spoken_for)
    if not stock:
        return []
    found = [_Best(wanted, stock, kind, keep) for _ in range(most)]
    for size in stock:
        found[0].offer(How.ONE, (size,))
    for best in found[1:2]:
        for side in _sides(best):
            side.pairs()
    for best in found[2:3]:
        for side in _sides(best):
            side.mixed()
        for side in _sides(best):
            side.threes()
    return [made for best in found for _, made in best.ranked]


class _Best:
    """The best ways of as many parts, so far."""

    def __init__(self, wanted: float, stock: dict[float, Lot], kind: str, keep: int) -> None:
        self.wanted, self.stock, self.kind, self.keep = wanted, stock, kind, keep
        self.ranked: list[tuple[tuple[Any, ...], Made]] = []
        self.seen: set[tuple[How, tuple[float, ...]]] = set()

    @property
    def bound(self) -> float:
        """The error above which nothing is taken any more; below zero when nothing can be better."""
        if len(self.ranked) < self.keep:
            return inf
        steps, taken = self.ranked[-1][0][:2]
        # As near counts only where fewer pieces are taken from others.
        return float((steps + 0.5 if taken else steps - 0.5) * SAME)

    def offer(self, how: How, sizes: tuple[float, ...]) -> None:
        """Take it if it is among the best, and as many pieces lie there."""
        fixed = 2 if how in (How.PAIR_THEN_ONE, How.PAIR_BESIDE_ONE) else len(sizes)
        sizes = (*sorted(sizes[:fixed]), *sizes[fixed:])
        if (how, sizes) in self.seen:
            return
        self.seen.add((how, sizes))
        taken = 0
        for size, count in Counter(sizes).items():
            lot = self.stock[size]
            if count > lot.free + lot.spoken_for:
                return
            taken += max(0, count - lot.free)
        size = together(how, sizes, self.kind)
        made = Made(how, sizes, size, size / self.wanted - 1, taken)
        insort(self.ranked, ((round(abs(made.error) / SAME), taken, how, sizes), made))
        del self.ranked[self.keep :]


class _Side:
    """The search where sizes add up as they are, or, turned over, where their reciprocals do."""

    def __init__(self, best: _Best, *, turned: bool) -> None:
        import numpy as np

        self.np, self.best, self.turned = np, best, turned
        self.sizes = sorted(best.stock, reverse=turned)
        self.all: ndarray[Any, Any] = np.array([1 / size if turned else size for size in self.sizes], dtype=float)
        series = turned == (best.kind == "C")
        self.add = How.SERIES if series else How.PARALLEL
        self.mix = How.PAIR_THEN_ONE if series else How.PAIR_BESIDE_ONE
        self.goal = 1 / best.wanted if turned else best.wanted

    def span(self) -> tuple[float, float]:
        """Between which sums all lies that can still be among the best."""
        bound = self.best.bound
        low, high = max(0.0, 1 - bound), 1 + bound
        if self.turned:
            return self.goal / high, self.goal / low if low else inf
        return self.goal * low, self.goal * high

    def pairs(self) -> None:
        """Two that add up."""
        self._partners(self.all, self.goal - self.all, self.add, ())

    def threes(self) -> None:
        """Three that add up, the largest picked first: it is a third of the sum or more."""
        for at, largest in enumerate(self.all):
            low, high = self.span()
            if low > high or largest > high:
                return
            if 3 * largest < low * (1 - SAME):
                continue
            # The smallest is half of what is left, or less.
            smallest = self.all[: self._place((high - largest) / 2 * (1 + SAME))]
            self._partners(smallest, self.goal - largest - smallest, self.add, (self.sizes[at],))

    def mixed(self) -> None:
        """A pair whose reciprocals add up, and one that adds to it."""
        for at, one in enumerate(self.all):
            low, high = self.span()
            if low > high or one > high:
                return
            # The smaller of such a pair lies between what they come to and twice that.
            begin = self._place(max(0.0, low - one) * (1 - SAME))
            smaller = self.all[begin : self._place(2 * (high - one) * (1 + SAME))]
            rest = self.goal - one
            if rest <= 0:
                needed = self.np.zeros_like(smaller)
            else:
                left = 1 / rest - 1 / smaller
                needed = self.np.where(left > 0, 1 / self.np.where(left > 0, left, 1), inf)
            self._partners(smaller, needed, self.mix, (self.sizes[at],), begin)

    def _place(self, size: float) -> int:
        return int(self.np.searchsorted(self.all, size, side="right"))

    def _partners(
        self, firsts: ndarray[Any, Any], needed: ndarray[Any, Any], how: How, rest: tuple[float, ...], begin: int = 0
    ) -> None:
        """Offer each of the firsts with the partners nearest to the size needed, going away from it on both sides."""
        above = self.np.searchsorted(self.all, needed)
        for side, step in ((above - 1, -1), (above, 1)):
            there = (side >= 0) & (side < len(self.all))
            total = self._total(firsts, self.all[self.np.clip(side, 0, len(self.all) - 1)], how, rest)
            for at in self.np.flatnonzero(there & (self._off(total) <= self.best.bound)):
                self._walk(begin + int(at), int(side[at]), step, how, rest)

    def _total(self, first: Any, second: Any, how: How, rest: tuple[float, ...]) -> Any:
        others = sum(1 / size if self.turned else size for size in rest)
        return (first + second if how is self.add else first * second / (first + second)) + others

    def _off(self, total: Any) -> Any:
        """By what share of it the sum misses what is wanted."""
        made = 1 / total if self.turned else total
        return abs(made / self.best.wanted - 1)

    def _walk(self, first: int, second: int, step: int, how: How, rest: tuple[float, ...]) -> None:
        while 0 <= second < len(self.sizes):
            total = self._total(self.all[first], self.all[second], how, rest)
            if self._off(total) > self.best.bound:
                return
            self.best.offer(how, (self.sizes[first], self.sizes[second], *rest))
            second += step


def _sides(best: _Best) -> tuple[_Side, _Side]:
    return _Side(best, turned=False), _Side(best, turned=True)
