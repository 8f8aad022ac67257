"""The same ways and terms as a mixed-integer program for HiGHS: a second opinion on what the best plan costs."""

from __future__ import annotations

import highspy
import numpy as np

from buildbook.reckon.ordering.asked import WHOLE_BP
from buildbook.reckon.ordering.choices import Choices

CURRENCY = 1e6
INF = highspy.kHighsInf


class Program:
    """Columns and rows as they are gathered; money in units of currency, for the solver works with floats."""

    def __init__(self) -> None:
        self.costs: list[float] = []
        self.uppers: list[float] = []
        self.whole: list[bool] = []
        self.lows: list[float] = []
        self.highs: list[float] = []
        self.starts, self.columns, self.values = [0], list[int](), list[float]()

    def column(self, cost: float, upper: float = 1, *, whole: bool = True) -> int:
        """Add a variable from 0 to `upper`."""
        self.costs.append(cost)
        self.uppers.append(upper)
        self.whole.append(whole)
        return len(self.costs) - 1

    def row(self, low: float, high: float, terms: list[tuple[int, float]]) -> None:
        """Add a sum that lies between two values."""
        self.lows.append(low)
        self.highs.append(high)
        self.columns += [column for column, _ in terms]
        self.values += [value for _, value in terms]
        self.starts.append(len(self.columns))

    def least(self, time_limit_s: float = 60) -> float | None:
        """Solve it to proof; the least cost, or None where nothing fits or the time was too short."""
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.costs), len(self.lows)
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = self.costs, np.zeros(len(self.costs)), self.uppers
        lp.row_lower_, lp.row_upper_ = self.lows, self.highs
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[one] for one in self.whole]
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = self.starts, self.columns, self.values
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 1e-6)
        solver.setOptionValue("mip_feasibility_tolerance", 1e-9)
        solver.setOptionValue("primal_feasibility_tolerance", 1e-9)
        solver.setOptionValue("time_limit", time_limit_s)
        solver.passModel(lp)
        solver.run()
        best = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return float(solver.getInfo().objective_function_value) if best else None


def program(choices: Choices, *, most_parcels: int | None = None) -> Program:
    """Write the program for the cheapest way to cover all."""
    made = Program()
    used = [made.column(0) for _ in choices.terms]
    goods: list[list[tuple[int, float]]] = [[] for _ in choices.terms]
    drawn: dict[int, list[tuple[int, float]]] = {offer: [] for offer in choices.stocks}
    for ways in choices.of:
        columns = []
        for way in ways:
            columns.append(made.column(0))
            for place, amount in way.amounts:
                goods[place].append((columns[-1], amount / CURRENCY))
                made.row(-INF, 0, [(columns[-1], 1), (used[place], -1)])
            for take in way.takes:
                if take.offered.offer in drawn:
                    drawn[take.offered.offer].append((columns[-1], take.qty))
        made.row(1, 1, [(column, 1) for column in columns])
    for offer, stock in choices.stocks.items():
        made.row(-INF, stock, drawn[offer])
    for place in range(len(choices.terms)):
        _add_bill(made, choices, place, used[place], goods[place])
    if most_parcels is not None:
        made.row(-INF, most_parcels, [(column, 1) for column in used])
    return made


def _add_bill(made: Program, choices: Choices, place: int, used: int, goods: list[tuple[int, float]]) -> None:
    terms, most = choices.terms[place], sum(amount for _, amount in goods)
    goods_tax, shipping_tax = 1 + terms.goods_tax_bp / WHOLE_BP, 1 + terms.shipping_tax_bp / WHOLE_BP
    zones, worths = [], []
    for part in choices.stretches[place]:
        low, high = part.low_micros / CURRENCY, min(part.high_micros / CURRENCY, most)
        zones.append(made.column(part.shipping_micros / CURRENCY * shipping_tax))
        worths.append(made.column((1 - part.discount_bp / WHOLE_BP) * goods_tax, most, whole=False))
        made.row(0, INF, [(worths[-1], 1), (zones[-1], -low)])
        made.row(-INF, 0, [(worths[-1], 1), (zones[-1], -high)])
    made.row(0, 0, [*((zone, 1.0) for zone in zones), (used, -1)])
    made.row(0, 0, [*goods, *((worth, -1.0) for worth in worths)])
