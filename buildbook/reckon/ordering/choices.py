"""The ways in which each part could be ordered that are worth looking at.

For every part and offer: the need rounded up to what can be ordered, and each price break above it that makes the line
cheaper. Where a supplier's terms change with the worth of the order, also a few extra packs of his cheapest lines, as
many as reaching the change can be worth. A part is split over several offers only where the stock seen of no single
one covers it: then all but one are emptied.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

from buildbook.reckon.ordering.asked import (
    WHOLE_BP,
    Asked,
    Goal,
    Offered,
    Terms,
    Wanted,
    as_offer,
    order_step,
)
from buildbook.reckon.ordering.bill import Stretch, most_gained, stretches
from buildbook.reckon.purchase import orderable, price_at
from buildbook.trade.money import line_micros

# Spare packs are tried one by one up to twice so many, then in strides that grow.
STRIDE = 10
# Of how many lines a supplier is asked for spare packs, and over how many offers a part is split at most.
LINES_WITH_SPARES = 8
MOST_SPLIT = 4
MOST_SPLITS_KEPT = 60


class Take(NamedTuple):
    """So much on one offer."""

    offered: Offered
    qty: int
    price_micros: int
    amount_micros: int


class Choice(NamedTuple):
    """One way to cover a part: usually one take. `mask` has a bit for each supplier's place among the suppliers."""

    takes: tuple[Take, ...]
    amounts: tuple[tuple[int, int], ...]
    mask: int
    amount_micros: int
    taxed: int
    lead_days: int
    dislike: int
    qty: int


@dataclass(frozen=True, slots=True)
class Choices:
    """All ways of all parts that can be covered, the suppliers by their place, and why other parts cannot be.

    `of[i]` are those of `wanted[i]`, the cheapest first. `stocks` limits the offers that several parts draw on.
    """

    wanted: tuple[Wanted, ...]
    of: tuple[tuple[Choice, ...], ...]
    terms: tuple[Terms, ...]
    stretches: tuple[tuple[Stretch, ...], ...]
    stocks: dict[int, int]
    uncovered: dict[int, str]


def choices(asked: Asked, *, by_days: int | None = None, without: dict[int, int] | None = None) -> Choices:
    """List the ways worth looking at, of those here within `by_days`; `without` forbids a supplier for a part."""
    limits = [days for days in (by_days, asked.wish.by_days) if days is not None]
    found = _Finding(asked, min(limits, default=None), without or {})
    covered, of, uncovered = [], [], {}
    for want in asked.wanted:
        ways = found.ways(want)
        if ways:
            covered.append(want)
            of.append(ways)
        else:
            uncovered[want.part] = found.reason(want)
    found.add_spares(of)
    kept = [tuple(sorted(found.pruned(ways), key=_first)) for ways in of]
    parts = tuple(tuple(stretches(terms)) for terms in found.terms)
    return Choices(tuple(covered), tuple(kept), tuple(found.terms), parts, found.stocks, uncovered)


def _first(way: Choice) -> tuple[int, int, int, int]:
    return way.taxed, way.dislike, way.qty, way.takes[0].offered.offer


class _Finding:
    """The offers by part, those allowed, and the suppliers' places."""

    def __init__(self, asked: Asked, by_days: int | None, without: dict[int, int]) -> None:
        self._wish, self._by_days, self._without = asked.wish, by_days, without
        known = {terms.supplier: terms for terms in asked.terms}
        ids = sorted({offer.supplier for offer in asked.offers})
        self.terms = [known.get(one, Terms(one)) for one in ids]
        self._place = {one: place for place, one in enumerate(ids)}
        self._steps = [len(stretches(terms)) > 1 or terms.least_order_micros > 0 for terms in self.terms]
        self._offers: dict[int, list[Offered]] = defaultdict(list)
        for offer in asked.offers:
            self._offers[offer.part].append(offer)
        drawn = Counter(offer.offer for want in asked.wanted for offer in self._for(want))
        self.stocks = {o.offer: o.stock_seen for o in asked.offers if drawn[o.offer] > 1 and o.stock_seen is not None}

    def _for(self, want: Wanted) -> Iterator[Offered]:
        for part in dict.fromkeys((want.part, *want.stand_ins)):
            yield from self._offers.get(part, ())

    def _allowed(self, want: Wanted) -> list[Offered]:
        wish = self._wish
        return [
            offer
            for offer in self._for(want)
            if offer.supplier not in wish.without
            and (not wish.only or offer.supplier in wish.only)
            and not self.terms[self._place[offer.supplier]].banned
        ]

    def _in_time(self, offer: Offered) -> bool:
        return self._by_days is None or self._lead(offer) <= self._by_days

    def _lead(self, offer: Offered) -> int:
        return self._wish.unknown_lead_days if offer.lead_days is None else offer.lead_days

    def reason(self, want: Wanted) -> str:
        """Why a part has no way at all."""
        if not any(True for _ in self._for(want)):
            return "nobody offers it"
        allowed = self._allowed(want)
        if not allowed:
            return "its suppliers are ruled out"
        return "the stock seen is too small" if any(map(self._in_time, allowed)) else "no offer is here in time"

    def ways(self, want: Wanted) -> list[Choice]:
        """The ways of one part: on one offer, or split where no single offer has enough."""
        offers = [offer for offer in self._allowed(want) if self._in_time(offer)]
        never = self._without.get(want.part)
        others = [offer for offer in offers if offer.supplier != never]
        # Whoever is forbidden still counts here: a part that he covers alone is not split over the others.
        if any(takes(offer, want.qty) for offer in offers):
            return [self._way((take,)) for offer in others for take in takes(offer, want.qty)]
        return self._splits(others, want.qty)

    def _way(self, parts: tuple[Take, ...]) -> Choice:
        amounts: Counter[int] = Counter()
        taxed = dislike = 0
        for take in parts:
            place = self._place[take.offered.supplier]
            amounts[place] += take.amount_micros
            taxed += take.amount_micros * (WHOLE_BP + self.terms[place].goods_tax_bp)
            dislike += not (take.offered.preferred or self.terms[place].preferred)
        return Choice(
            parts,
            tuple(amounts.items()),
            sum(1 << place for place in amounts),
            sum(amounts.values()),
            taxed,
            max(self._lead(take.offered) for take in parts),
            dislike,
            sum(take.qty for take in parts),
        )

    def _splits(self, offers: Sequence[Offered], need: int) -> list[Choice]:
        emptied = [take for offer in offers if (take := emptying(offer))]
        for size in range(2, min(MOST_SPLIT, len(emptied)) + 1):
            found = []
            for group in combinations(emptied, size):
                for last in group:
                    others = tuple(take for take in group if take is not last)
                    rest = need - sum(take.qty for take in others)
                    found += [self._way((*others, take)) for take in takes(last.offered, rest)]
            if found:
                return sorted(found, key=_first)[:MOST_SPLITS_KEPT]
        return []

    def add_spares(self, of: list[list[Choice]]) -> None:
        """Add ways with extra packs for suppliers whose terms change with the worth of the order."""
        for place, terms in enumerate(self.terms):
            if not self._steps[place]:
                continue
            worth = most_gained(terms)
            lines = []
            for ways in of:
                own = [way.takes[0] for way in ways if way.mask == 1 << place and len(way.takes) == 1]
                if own:
                    cheapest = min(own, key=lambda take: (take.amount_micros, take.offered.offer))
                    lines.append((_pack_micros(cheapest), [t for t in own if t.offered is cheapest.offered], ways))
            lines.sort(key=lambda line: (line[0], line[1][0].offered.offer))
            for _, own, ways in [line for line in lines if 0 < line[0] <= worth][:LINES_WITH_SPARES]:
                more = {spare.qty: spare for take in own for spare in spares(take, worth)}
                ways += [self._way((more[qty],)) for qty in more.keys() - {take.qty for take in own}]

    def pruned(self, ways: Iterable[Choice]) -> list[Choice]:
        """Leave out what can never be better: a dearer way at the same supplier, where his terms never change."""
        by_lead = self._wish.goal is Goal.WEIGHTED
        kept: dict[object, Choice] = {}
        for way in ways:
            plain = not any(self._steps[place] for place, _ in way.amounts)
            shared = any(take.offered.offer in self.stocks for take in way.takes)
            own = way.takes if shared or not plain else None
            key = (way.mask, way.lead_days if by_lead else 0, own)
            if key not in kept or _first(way) < _first(kept[key]):
                kept[key] = way
        return list(kept.values())


def takes(offered: Offered, need: int) -> list[Take]:
    """The quantities of an offer worth ordering for a need, within its stock: the least, then each cheaper break.

    >>> from buildbook.reckon.purchase import Break
    >>> bags = Offered(1, 1, 7, (Break(1, 100_000), Break(10, 60_000), Break(50, 59_000)))
    >>> [take.qty for take in takes(bags, 8)]
    [8, 10]
    """
    offer, step = as_offer(offered), order_step(offered)
    least = orderable(offer, need)
    qtys = [least, *(-(-step_up.from_qty // step) * step for step_up in offered.breaks if step_up.from_qty > least)]
    found: list[Take] = []
    for qty in qtys:
        if offered.stock_seen is not None and qty > offered.stock_seen:
            break
        take = _take(offered, qty)
        if not found or take.amount_micros < found[-1].amount_micros:
            found.append(take)
    return found


def emptying(offered: Offered) -> Take | None:
    """The most that the stock seen of an offer allows; None where that is nothing or not known."""
    if offered.stock_seen is None:
        return None
    step = order_step(offered)
    qty = offered.stock_seen // step * step
    return _take(offered, qty) if qty and qty >= orderable(as_offer(offered), 1) else None


def spares(take: Take, worth_micros: int) -> list[Take]:
    """More of the same line: one more pack, two, then in growing strides, for up to this much more money."""
    step, stock = order_step(take.offered), take.offered.stock_seen
    found: list[Take] = []
    packs = 1
    while True:
        qty = take.qty + packs * step
        more = _take(take.offered, qty)
        if stock is not None and qty > stock:
            return found
        found.append(more)
        if more.amount_micros - take.amount_micros > worth_micros:
            return found
        packs += max(1, packs // STRIDE)


def _take(offered: Offered, qty: int) -> Take:
    price = price_at(as_offer(offered), qty)
    return Take(offered, qty, price, line_micros(qty, price, offered.per_qty))


def _pack_micros(take: Take) -> int:
    return line_micros(order_step(take.offered), take.price_micros, take.offered.per_qty)
