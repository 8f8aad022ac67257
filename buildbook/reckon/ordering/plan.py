"""What to order from whom: lines, bills, parcels, days and the sum, with proof or with what might still be saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from buildbook.reckon.ordering.asked import WHOLE_BP, Asked, Goal
from buildbook.reckon.ordering.basket import Basket
from buildbook.reckon.ordering.choices import Choices, choices
from buildbook.reckon.ordering.quick import from_one_place, line_by_line, quick
from buildbook.reckon.ordering.search import Found, Stop, search
from buildbook.reckon.ordering.told import OrderPlan, tell, tell_way

OnBetter = Callable[[OrderPlan], None]


def plan_orders(
    asked: Asked,
    *,
    time_limit_s: float = 10,
    solvers: int = 2,
    stop: Stop | None = None,
    on_better: OnBetter | None = None,
) -> OrderPlan:
    """Plan the orders as well as can be done within the time limit; none of it gives the quick answer.

    `on_better` is called with the quick answer at once, then with each better one, from another thread; `stop` is asked
    many times a second. The cheapest plan is never dearer than either naive way. Two parts that draw on one offer (as
    stand-ins may) share its stock, and are priced as two lines.

    >>> from buildbook.reckon.ordering.asked import Offered, Terms, Wanted
    >>> from buildbook.reckon.purchase import Break
    >>> offers = (Offered(1, 1, 7, (Break(1, 200_000),)), Offered(2, 2, 7, (Break(1, 100_000),)))
    >>> plan = plan_orders(Asked((Wanted(7, 10),), offers, (Terms(2, shipping_micros=4_000_000),)))
    >>> plan.lines[0].supplier, plan.total_micros, plan.proven
    (1, 2000000, True)
    """
    return Planner(asked, time_limit_s, solvers, stop, on_better).plan()


class Planner:
    """One planning: the question, the naive ways, and until when to search."""

    def __init__(
        self,
        asked: Asked,
        time_limit_s: float,
        solvers: int,
        stop: Stop | None,
        on_better: OnBetter | None,
    ) -> None:
        self._asked, self._wish, self._solvers, self._stop = asked, asked.wish, solvers, stop
        self._on_better, self._left_s = on_better, time_limit_s
        self._all = choices(asked)
        self._naive = tell_way(line_by_line(self._all, self._wish)), tell_way(from_one_place(self._all, self._wish))

    def plan(self) -> OrderPlan:
        """The best plan found."""
        first = quick(self._all, self._wish, stop=self._stop)
        if self._wish.goal is Goal.SOONEST:
            return self._tell(self._soonest(first))
        self._better(first)
        return self._tell(self.best(first))

    def _tell(self, found: Found) -> OrderPlan:
        return tell(self._asked, found, *self._naive)

    def _better(self, basket: Basket) -> None:
        if self._on_better:
            least = 0 if basket.score().missing else least_micros(basket.choices)
            self._on_better(self._tell(Found(basket, least, proven=False)))

    def best(self, start: Basket) -> Found:
        """The best from here on. What is over the wished sum is first made as cheap as can be."""
        score, wish = start.score(), start.wish
        if score.over_micros and wish.goal in (Goal.FEWEST, Goal.WEIGHTED):
            cheap = self.best(start.copy(replace(wish, goal=Goal.CHEAPEST)))
            if cheap.basket.score().over_micros:
                return cheap
            start = cheap.basket.copy(wish)
        least = 0 if score.missing else least_micros(start.choices)
        if not start.choices.of or self._left_s <= 0 or (self._stop and self._stop()):
            return Found(start, least, proven=not start.choices.of)
        found = search(
            start,
            time_limit_s=self._left_s,
            solvers=self._solvers,
            stop=self._stop,
            on_better=self._better,
        )
        self._left_s -= found.spent_s
        return found._replace(bound_micros=max(least, found.bound_micros))

    def _soonest(self, first: Basket) -> Found:
        """Ask for all within so many days, ever later, until as much can be had as without haste."""
        if first.score().missing or first.score().over_micros:
            first = self.best(first).basket
        enough = first.score()[:3]
        leads = {way.lead_days for ways in self._all.of for way in ways}
        soonest = max((min(way.lead_days for way in ways) for ways in self._all.of), default=0)
        sure = True
        for days in sorted(lead for lead in leads if lead >= soonest):
            inside = choices(self._asked, by_days=days)
            start = quick(inside, self._wish, stop=self._stop)
            if start.score()[:3] <= enough:
                self._better(start)
            found = self.best(start)
            if found.basket.score()[:3] <= enough:
                return found._replace(proven=sure and found.proven)
            sure = sure and found.proven
        return Found(first, 0, proven=not self._all.of)


def least_micros(choices: Choices) -> int:
    """What no basket that covers all can cost less than: each part at its cheapest with the best discount, no shipping.

    >>> least_micros(Choices((), (), (), (), {}, {}))
    0
    """
    factors = [
        (WHOLE_BP - max(part.discount_bp for part in parts)) * (WHOLE_BP + terms.goods_tax_bp)
        for parts, terms in zip(choices.stretches, choices.terms, strict=True)
    ]
    least = sum(
        min(sum(amount * factors[place] for place, amount in way.amounts) for way in ways) for ways in choices.of
    )
    return least // (WHOLE_BP * WHOLE_BP)
