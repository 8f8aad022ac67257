"""Why this supplier? What the orders would come to if a part were bought from anybody else."""

from __future__ import annotations

from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.ordering.asked import Asked, Goal
from buildbook.reckon.ordering.basket import Basket
from buildbook.reckon.ordering.choices import Choice, Choices, choices
from buildbook.reckon.ordering.plan import Planner
from buildbook.reckon.ordering.quick import quick
from buildbook.reckon.ordering.told import OrderPlan

# With more parts than this, all the other lines stay as they are.
EXACT_UP_TO = 60


class NextBest(NamedTuple):
    """The best without this supplier for this part: what its line costs then, and what all orders come to.

    `dearer_micros` is the difference in all; below zero where the plan was not proven, or made for another goal than
    the price, or where as many parts as `left_out` could not be ordered at all any more (below a least order). `exact`
    says that everything else was planned anew, to proof; else it was left as it is.
    """

    part: int
    supplier: int
    offer: int
    amount_micros: int
    total_micros: int
    dearer_micros: int
    parcels: int
    complete_days: int
    left_out: int
    exact: bool


def next_best(
    asked: Asked, plan: OrderPlan, part: int, *, exact_up_to: int = EXACT_UP_TO, time_limit_s: float = 3
) -> NextBest | None:
    """Find the next best supplier for a part of the plan; None where nobody else covers it alone as he does.

    Up to so many parts all is planned anew without the supplier of this line (of a split: of its largest part), by the
    price where the goal is to have all soonest: within the same days if anybody can. Raises BadInput for a part that
    is not in the plan.

    >>> from buildbook.reckon.ordering.asked import Offered, Wanted
    >>> from buildbook.reckon.ordering.plan import plan_orders
    >>> from buildbook.reckon.purchase import Break
    >>> offers = (Offered(1, 1, 7, (Break(1, 200_000),)), Offered(2, 2, 7, (Break(1, 150_000),)))
    >>> asked = Asked((Wanted(7, 10),), offers)
    >>> other = next_best(asked, plan_orders(asked), 7)
    >>> other.supplier, other.dearer_micros, other.exact
    (1, 500000, True)
    """
    lines = [line for line in plan.lines if line.part == part]
    if not lines:
        raise BadInput("There is nothing to compare.", f"Part {part} is not in the plan.", "Name a part that is.")
    without = {part: max(lines, key=lambda line: line.amount_micros).supplier}
    soonest = asked.wish.goal is Goal.SOONEST
    others = choices(asked, by_days=plan.complete_days if soonest else None, without=without)
    if part in others.uncovered and soonest:
        others = choices(asked, without=without)
    if part in others.uncovered:
        return None
    start = _as_planned(asked, plan, others, part)
    if start is None or len(asked.wanted) <= exact_up_to:
        planner = Planner(asked, time_limit_s, solvers=2, stop=None, on_better=None)
        fresh = quick(others, asked.wish)
        found = planner.best(min(start, fresh, key=Basket.score) if start else fresh)
        return _told(found.basket, plan, part, exact=found.proven)
    return _told(start, plan, part, exact=False)


def _as_planned(asked: Asked, plan: OrderPlan, others: Choices, part: int) -> Basket | None:
    """All as it is planned but for one part, put where the sum stays least; None where it cannot be put alone."""
    taken: dict[int, list[tuple[int, int]]] = {}
    for line in plan.lines:
        taken.setdefault(line.part, []).append((line.offer, line.qty))
    at = next(at for at, want in enumerate(others.wanted) if want.part == part)
    chosen = [
        _same(ways, taken.get(want.part, [])) if want.part != part else None
        for want, ways in zip(others.wanted, others.of, strict=True)
    ]
    basket = Basket(others, asked.wish, chosen)
    missing, best = basket.score().missing, None
    for way in others.of[at]:
        if basket.fits(at, way):
            basket.put(at, way)
            if best is None or basket.score() < best[0]:
                best = basket.score(), way
    if best is None or missing != 1 + len(plan.uncovered) - len(others.uncovered) or best[0].short_micros:
        return None
    basket.put(at, best[1])
    return basket


def _same(ways: tuple[Choice, ...], taken: list[tuple[int, int]]) -> Choice | None:
    return next((way for way in ways if [(take.offered.offer, take.qty) for take in way.takes] == taken), None)


def _told(basket: Basket, plan: OrderPlan, part: int, *, exact: bool) -> NextBest | None:
    want = next(at for at, wanted in enumerate(basket.choices.wanted) if wanted.part == part)
    way = basket.chosen[want]
    if way is None:
        return None
    main = max(way.takes, key=lambda take: take.amount_micros).offered
    total = basket.total_micros
    return NextBest(
        part,
        main.supplier,
        main.offer,
        way.amount_micros,
        total,
        total - plan.total_micros,
        basket.parcels,
        basket.days,
        basket.score().missing + len(basket.choices.uncovered) - len(plan.uncovered),
        exact,
    )
