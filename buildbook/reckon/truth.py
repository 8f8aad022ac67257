"""Why something cost other than planned: more pieces, pieces lost, postage, another price.

All money is in millionths; the causes of a line sum to its difference exactly. Price and quantity variance as in
standard costing: common practice. What is rounded goes to the price.
"""

from __future__ import annotations

from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.figures import half_even


class Line(NamedTuple):
    """A part of a section: what was planned of it, what it takes (so many lost on the way) and what that costs.

    `qty` is what is held and still to come, without what was lost. `spent_micros` left the drawers, `carried_micros` of
    that is postage, tax and discount that its orders carried into stock; `to_come_micros` is still to be taken or paid.
    """

    planned_qty: int
    planned_micros: int
    qty: int
    lost: int
    spent_micros: int
    carried_micros: int
    to_come_micros: int

    @property
    def now_micros(self) -> int:
        """What it costs by now, with what is still to come."""
        return self.spent_micros + self.to_come_micros


class Causes(NamedTuple):
    """How much of a difference is due to what, in millionths; below nought where it is cheaper than planned."""

    price: int = 0
    quantity: int = 0
    lost: int = 0
    postage: int = 0


def causes(line: Line, held: int) -> Causes:
    """Why a line costs what it does; `held` of it have left the drawers beside what was lost.

    What was lost counts at what it cost, more or fewer pieces at the planned price. What was not planned at all is all
    quantity. Raises BadInput for a quantity below nought.

    >>> causes(Line(10, 1_000_000, 10, 1, 1_320_000, 0, 0), held=10)
    Causes(price=200000, quantity=0, lost=120000, postage=0)
    """
    if min(line.planned_qty, line.qty, line.lost, held) < 0:
        raise BadInput("The cost was not compared.", "A quantity is below nought.", "Look at the stores ledger.")
    away = held + line.lost
    carried = line.carried_micros
    lost = half_even((line.spent_micros - carried) * line.lost, away) if away else 0
    left = line.now_micros - line.planned_micros - lost - carried
    if not line.planned_qty:
        return Causes(0, left, lost, carried)
    quantity = half_even((line.qty - line.planned_qty) * line.planned_micros, line.planned_qty)
    return Causes(left - quantity, quantity, lost, carried)
