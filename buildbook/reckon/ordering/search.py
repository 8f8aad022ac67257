"""The best basket there is, with proof or with how far off it can be: a way for each part, a stretch for each bill.

Each part takes exactly one of its ways; each supplier is in exactly one stretch of his terms or unused; the goods of a
bill lie in its stretch. Solved with CP-SAT, starting from the quick answer, which it never makes worse.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from math import gcd
from typing import TYPE_CHECKING, NamedTuple

from buildbook.reckon.ordering.asked import WHOLE_BP, Goal
from buildbook.reckon.ordering.basket import Basket
from buildbook.reckon.ordering.choices import Choice, Choices
from buildbook.reckon.planning import halted_when

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar, LinearExprT

    from buildbook.reckon.ordering.bill import Stretch

# A discount and a tax in basis points make a hundred-millionth of a millionth.
UNIT = WHOLE_BP * WHOLE_BP
# A sum of the solver's has to stay well inside 64 bits.
_MOST_SUM = 2**60
# A bill is rounded when its discount is taken and when its tax is put on: by less than so much in all.
ROUNDING_MICROS = 2
OnBetter = Callable[[Basket], None]
Stop = Callable[[], bool]


class Found(NamedTuple):
    """The best basket found, what its worth (see `worth_micros`) cannot go below, and how long the solver took."""

    basket: Basket
    bound_micros: int
    proven: bool
    spent_s: float = 0


def worth_micros(basket: Basket) -> int:
    """What is made least of in the end: the total, and in the weighted goal what parcels and days count for."""
    return basket.score().goal if basket.wish.goal is Goal.WEIGHTED else basket.total_micros


def search(
    start: Basket, *, time_limit_s: float, solvers: int, stop: Stop | None = None, on_better: OnBetter | None = None
) -> Found:
    """Search from a basket that can be ordered for the best by its wish: all covered, then the goal, then the price."""
    seeking = _Search(Model(start.choices, start), time_limit_s, solvers, stop, on_better)
    sure = True
    if start.score().missing:
        sure = seeking.fewest(seeking.model.skips, lambda basket: basket.score().missing)
    if start.wish.goal is Goal.FEWEST:
        sure = seeking.fewest(seeking.model.used, lambda basket: basket.parcels) and sure
    bound, worth = seeking.cheapest(), worth_micros(seeking.best)
    proven = sure and worth - bound <= ROUNDING_MICROS * max(1, seeking.best.parcels)
    return Found(seeking.best, min(bound, worth), proven, time_limit_s - seeking.left_s)


class _Search:
    """The searches one after the other: each keeps to what the one before has found."""

    def __init__(
        self, model: Model, time_limit_s: float, solvers: int, stop: Stop | None, on_better: OnBetter | None
    ) -> None:
        self.model, self.best = model, model.start
        self.left_s, self._solvers, self._stop, self._on_better = time_limit_s, solvers, stop, on_better

    def fewest(self, counted: Sequence[IntVar], count: Callable[[Basket], int]) -> bool:
        """Make as few of these true as can be, and keep to that; whether fewer are impossible."""
        self.model.cp.minimize(sum(counted))
        # Half of the time is left for the price.
        bound = self._solve(self.left_s / 2)
        self.model.cp.add(sum(counted) <= count(self.best))
        return bound >= count(self.best)

    def cheapest(self) -> int:
        """Make the worth as small as can be; what it cannot go below, in millionths."""
        self.model.cp.minimize(self.model.worth)
        bound = self._solve(self.left_s)
        # What lies between two millionths cannot be paid.
        return max(0, -(-round(bound) * self.model.grain // UNIT))

    def _solve(self, time_limit_s: float) -> float:
        from ortools.sat.python import cp_model

        seeking = self

        class Seen(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                seeking._keep([[bool(self.value(var)) for var in ways] for ways in seeking.model.ways])

        self.model.hint(self.best)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(0.01, time_limit_s)
        solver.parameters.num_workers = self._solvers
        solver.parameters.random_seed = 1
        # Preparing such models took longer than solving them, and now and then made one impossible that was not.
        solver.parameters.cp_model_presolve = False
        with halted_when(self._stop, solver.stop_search):
            status = solver.solve(self.model.cp, Seen())
        self.left_s -= solver.wall_time
        return solver.best_objective_bound if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else 0

    def _keep(self, ways: list[list[bool]]) -> None:
        choices = self.best.choices
        chosen = [of[taken.index(True)] if any(taken) else None for of, taken in zip(choices.of, ways, strict=True)]
        basket = Basket(choices, self.best.wish, chosen)
        if basket.score() < self.best.score():
            self.best = basket
            if self._on_better:
                self._on_better(basket)


class Model:
    """All of it as the solver sees it. `worth` times `grain` is in hundred-millionths of a millionth."""

    def __init__(self, choices: Choices, start: Basket) -> None:
        from ortools.sat.python import cp_model

        self.cp: CpModel = cp_model.CpModel()
        self.start, self._choices, self._sum = start, choices, cp_model.LinearExpr.weighted_sum
        self.used = [self.cp.new_bool_var("") for _ in choices.terms]
        self.skips: list[IntVar] = []
        self.ways = [self._one_of(ways, may_skip=start.score().missing > 0) for ways in choices.of]
        self._zones: list[tuple[int, Stretch, IntVar, IntVar | None]] = []
        # What each variable costs, and the most it can be.
        self._costs: list[tuple[IntVar, int, int]] = []
        goods: dict[int, list[tuple[IntVar, int]]] = defaultdict(list)
        for way, var in self._each():
            for place, amount in way.amounts:
                goods[place].append((var, amount))
        for place in range(len(choices.terms)):
            self._add_bill(place, goods[place])
        self._add_stocks()
        self._days: IntVar | None = None
        self._add_wish()

    def _each(self) -> Iterator[tuple[Choice, IntVar]]:
        for ways, chosen in zip(self._choices.of, self.ways, strict=True):
            yield from zip(ways, chosen, strict=True)

    def _one_of(self, ways: Sequence[Choice], *, may_skip: bool) -> list[IntVar]:
        chosen = [self.cp.new_bool_var("") for _ in ways]
        for way, var in zip(ways, chosen, strict=True):
            for place, _ in way.amounts:
                self.cp.add_implication(var, self.used[place])
        if may_skip:
            self.skips.append(self.cp.new_bool_var(""))
        self.cp.add_exactly_one([*chosen, *self.skips[-1:]] if may_skip else chosen)
        return chosen

    def _add_bill(self, place: int, goods: list[tuple[IntVar, int]]) -> None:
        terms, parts = self._choices.terms[place], self._choices.stretches[place]
        zones = [self.used[place]]
        if len(parts) > 1:
            zones = [self.cp.new_bool_var("") for _ in parts]
            self.cp.add(sum(zones) == self.used[place])
        most = sum(amount for _, amount in goods)
        total = self._sum([var for var, _ in goods], [amount for _, amount in goods])
        varied = len({part.discount_bp for part in parts}) > 1
        worths: list[IntVar | None] = [None] * len(parts)
        if varied:
            worths = [self.cp.new_int_var(0, most, "") for _ in parts]
            self.cp.add(total == sum(worth for worth in worths if worth is not None))
        elif len(parts) > 1 or parts[0].low_micros:
            self.cp.add(total >= self._sum(zones, [part.low_micros for part in parts]))
            self.cp.add(total <= self._sum(zones, [min(part.high_micros, most) for part in parts]))
        with_tax = WHOLE_BP + terms.goods_tax_bp
        for part, zone, worth in zip(parts, zones, worths, strict=True):
            self._zones.append((place, part, zone, worth))
            self._costs.append((zone, part.shipping_micros * (WHOLE_BP + terms.shipping_tax_bp) * WHOLE_BP, 1))
            if worth is not None:
                self.cp.add(worth >= part.low_micros * zone)
                self.cp.add(worth <= min(part.high_micros, most) * zone)
                self._costs.append((worth, (WHOLE_BP - part.discount_bp) * with_tax, most))
        if not varied:
            factor = (WHOLE_BP - parts[0].discount_bp) * with_tax
            self._costs += [(var, amount * factor, 1) for var, amount in goods]

    def _add_stocks(self) -> None:
        drawn: dict[int, list[tuple[IntVar, int]]] = defaultdict(list)
        for way, var in self._each() if self._choices.stocks else ():
            for take in way.takes:
                drawn[take.offered.offer].append((var, take.qty))
        for offer, stock in self._choices.stocks.items():
            if taken := drawn.get(offer):
                self.cp.add(self._sum([var for var, _ in taken], [qty for _, qty in taken]) <= stock)

    def _add_wish(self) -> None:
        wish, money = self.start.wish, list(self._costs)
        if wish.goal is Goal.WEIGHTED:
            money += [(used, wish.parcel_worth_micros * UNIT, 1) for used in self.used]
            if wish.day_worth_micros:
                latest = max((way.lead_days for way, _ in self._each()), default=0)
                self._days = self.cp.new_int_var(0, latest, "")
                for way, var in self._each():
                    self.cp.add(self._days >= way.lead_days * var)
                money.append((self._days, wish.day_worth_micros * UNIT, latest))
        self.grain, self.worth = self._grained(money)
        limit = wish.not_over_micros
        if limit is not None and wish.goal is not Goal.CHEAPEST and not self.start.score().over_micros:
            grain, price = self._grained(self._costs)
            self.cp.add(price <= limit * UNIT // grain)

    def _grained(self, costs: list[tuple[IntVar, int, int]]) -> tuple[int, LinearExprT]:
        """The sum in the coarsest grain that loses nothing; rounded down where it were too large for the solver."""
        grain = gcd(*(cost for _, cost, _ in costs)) or 1
        most = sum(cost * times for _, cost, times in costs)
        grain = max(grain, -(-most // _MOST_SUM))
        return grain, self._sum([var for var, _, _ in costs], [cost // grain for _, cost, _ in costs])

    def hint(self, basket: Basket) -> None:
        """Tell the solver of a basket to begin with."""
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
        goods = {bill.supplier: bill.goods_micros for bill in basket.bills()}
        for want, (ways, chosen) in enumerate(zip(self._choices.of, self.ways, strict=True)):
            for way, var in zip(ways, chosen, strict=True):
                self.cp.add_hint(var, way is basket.chosen[want])
            if self.skips:
                self.cp.add_hint(self.skips[want], basket.chosen[want] is None)
        for place, part, zone, worth in self._zones:
            now = goods.get(self._choices.terms[place].supplier)
            inside = now is not None and part.low_micros <= now <= part.high_micros
            if zone is not self.used[place]:
                self.cp.add_hint(zone, inside)
            if worth is not None:
                self.cp.add_hint(worth, now if inside and now is not None else 0)
        for place, used in enumerate(self.used):
            self.cp.add_hint(used, bool(basket.mask >> place & 1))
        if self._days is not None:
            self.cp.add_hint(self._days, basket.days)
