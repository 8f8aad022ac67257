"""A good basket at once: the two naive ways, the best of each small set of suppliers, and one change after the other.

The changes: move one line to another supplier or quantity; give up a supplier and spread his lines over the others.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import combinations

from buildbook.reckon.ordering.asked import Goal, Wish
from buildbook.reckon.ordering.basket import Basket
from buildbook.reckon.ordering.choices import Choice, Choices

# Every set of suppliers is tried up to so many suppliers; of more only the sets of one and two.
ALL_SETS_UP_TO = 6
STARTS_IMPROVED = 2
MOST_PASSES = 8
Stop = Callable[[], bool]


def line_by_line(choices: Choices, wish: Wish) -> Basket:
    """The first naive way: every part where it is cheapest, whatever the parcels cost."""
    return _filled(choices, wish, -1)


def from_one_place(choices: Choices, wish: Wish) -> Basket:
    """The second naive way: all from the supplier where that costs least.

    Where nobody has everything, as much as possible from one, then of the rest as much as possible from the next.
    """
    singles = [_filled(choices, wish, 1 << place) for place in range(len(choices.terms))]
    whole = [basket for basket in singles if not basket.score().missing]
    if whole:
        return min(whole, key=Basket.score)
    best, mask = Basket(choices, wish), 0
    while best.score().missing:
        more = [_filled(choices, wish, mask | 1 << place) for place in range(len(choices.terms))]
        best = min(more, key=lambda basket: (basket.score().missing, basket.total_micros))
        if best.mask | mask == mask:
            return line_by_line(choices, wish)
        mask |= best.mask
    return best


def quick(choices: Choices, wish: Wish, *, stop: Stop | None = None) -> Basket:
    """The best of several starts, improved by single changes until none helps."""
    starts = sorted(_starts(choices, wish), key=Basket.score)
    best = starts[0]
    for start in _apart(starts)[:STARTS_IMPROVED]:
        if stop and stop():
            break
        best = min(best, improved(start, stop=stop), key=Basket.score)
    return _placeable(best)


def improved(start: Basket, *, stop: Stop | None = None) -> Basket:
    """Change one thing after the other for as long as that makes the basket better."""
    best = start.copy()
    for _ in range(MOST_PASSES):
        before = best.score()
        _move_lines(best)
        best = _give_up_suppliers(best)
        if best.score() == before or (stop and stop()):
            break
    return best


def _starts(choices: Choices, wish: Wish) -> Iterable[Basket]:
    yield line_by_line(choices, wish)
    yield from_one_place(choices, wish)
    places = range(len(choices.terms))
    sizes = range(1, len(places) + 1 if len(places) <= ALL_SETS_UP_TO else 3)
    for size in sizes:
        for group in combinations(places, size):
            basket = _filled(choices, wish, sum(1 << place for place in group))
            if not basket.score().missing:
                yield basket


def _apart(baskets: Iterable[Basket]) -> list[Basket]:
    """One basket of each set of suppliers."""
    return list({basket.mask: basket for basket in reversed(list(baskets))}.values())[::-1]


def _filled(choices: Choices, wish: Wish, mask: int) -> Basket:
    """Each part in the cheapest way that only these suppliers are needed for; left out where there is none."""
    if not choices.stocks:
        return Basket(choices, wish, [next((way for way in ways if not way.mask & ~mask), None) for ways in choices.of])
    basket = Basket(choices, wish)
    for want, ways in enumerate(choices.of):
        basket.put(want, _cheapest(basket, want, ways, mask))
    return basket


def _cheapest(basket: Basket, want: int, ways: Iterable[Choice], mask: int) -> Choice | None:
    return next((way for way in ways if not way.mask & ~mask and basket.fits(want, way)), None)


def _move_lines(basket: Basket) -> None:
    score = basket.score()
    # Where the sum is all that counts, a dearer way need not be tried.
    by_sum = basket.wish.goal in (Goal.CHEAPEST, Goal.SOONEST) and not score.short_micros and not score.missing
    for want, ways in enumerate(basket.choices.of):
        for way in ways:
            old = basket.chosen[want]
            if way is old or not basket.fits(want, way) or (by_sum and basket.dearer_by(want, way) > 0):
                continue
            basket.put(want, way)
            now = basket.score()
            if now < score:
                score = now
            else:
                basket.put(want, old)


def _give_up_suppliers(basket: Basket) -> Basket:
    best = basket
    for place in range(len(basket.choices.terms)):
        bit = 1 << place
        if not best.mask & bit:
            continue
        twin = best.copy()
        for want, way in enumerate(best.chosen):
            if way and way.mask & bit:
                other = _cheapest(twin, want, basket.choices.of[want], best.mask & ~bit)
                twin.put(want, other or _cheapest(twin, want, basket.choices.of[want], ~bit))
        if twin.score() < best.score():
            best = twin
    return best


def _placeable(basket: Basket) -> Basket:
    """Leave out what could only be ordered below a supplier's least order."""
    while basket.score().short_micros:
        short = {b.supplier for b in basket.bills() if b.short_micros}
        place = next(at for at, terms in enumerate(basket.choices.terms) if terms.supplier in short)
        for want, way in enumerate(basket.chosen):
            if way and way.mask >> place & 1:
                basket.put(want, None)
    return basket
