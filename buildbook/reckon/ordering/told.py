"""A plan of orders as it is told: lines, bills, parts left out, days, the sum, and the naive ways beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from buildbook.reckon.ordering.asked import Asked
from buildbook.reckon.ordering.basket import Basket
from buildbook.reckon.ordering.bill import Bill
from buildbook.reckon.ordering.choices import Choice, Take
from buildbook.reckon.ordering.search import Found, worth_micros


class OrderLine(NamedTuple):
    """So much of one offer for a part wanted: `spare` is more than is needed; `bought` differs for a stand-in.

    `why` is one of "only way", "cheapest", "saves a parcel", "reaches better terms", "serves the goal", "split".
    """

    part: int
    bought: int
    offer: int
    supplier: int
    packs: int
    qty: int
    spare: int
    price_micros: int
    amount_micros: int
    why: str


class Uncovered(NamedTuple):
    """A part that is not ordered at all, and why."""

    part: int
    qty: int
    why: str


class Way(NamedTuple):
    """A naive way for comparison: its sum, parcels, parts left out, and whether every supplier would take the order."""

    total_micros: int
    parcels: int
    missing: int
    placeable: bool


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """A plan of orders.

    `bound_micros` is what no plan of the same goal can cost less than (with parcels and days as weighed); it is
    `proven` when that is reached but for the rounding of the bills. `over_micros` is what it lies over the wished sum.
    """

    lines: tuple[OrderLine, ...]
    bills: tuple[Bill, ...]
    uncovered: tuple[Uncovered, ...]
    complete_days: int
    leads_known: bool
    total_micros: int
    worth_micros: int
    bound_micros: int
    proven: bool
    over_micros: int
    line_by_line: Way
    from_one_place: Way

    @property
    def parcels(self) -> int:
        """One parcel from each supplier."""
        return len(self.bills)

    @property
    def gap(self) -> float:
        """The part of the worth that might still be saved at most: 0.01 is 1 %."""
        return 0.0 if self.proven else (self.worth_micros - self.bound_micros) / max(1, self.worth_micros)

    @property
    def overbought(self) -> tuple[OrderLine, ...]:
        """The lines that leave something over."""
        return tuple(line for line in self.lines if line.spare)

    def saving_micros(self, way: Way) -> int | None:
        """What the plan saves against a naive way; None where that leaves out other parts or cannot be placed."""
        if not way.placeable or way.missing != len(self.uncovered):
            return None
        return way.total_micros - self.total_micros


def tell_way(basket: Basket) -> Way:
    """Tell of a naive way."""
    score = basket.score()
    missing = len(basket.choices.uncovered) + score.missing
    return Way(basket.total_micros, basket.parcels, missing, placeable=not score.short_micros)


def tell(asked: Asked, found: Found, line_by_line: Way, from_one_place: Way) -> OrderPlan:
    """Tell of the best basket found. The lines stand in the order of the parts wanted."""
    basket, score = found.basket, found.basket.score()
    uncovered = dict(basket.choices.uncovered)
    lines: list[OrderLine] = []
    for want, way in enumerate(basket.chosen):
        if way is None:
            uncovered[basket.choices.wanted[want].part] = "only below a supplier's least order, or its stock is taken"
        else:
            lines += _lines(basket, want, way)
    return OrderPlan(
        tuple(lines),
        tuple(basket.bills()),
        tuple(Uncovered(want.part, want.qty, uncovered[want.part]) for want in asked.wanted if want.part in uncovered),
        basket.days,
        all(take.offered.lead_days is not None for way in basket.chosen if way for take in way.takes),
        basket.total_micros,
        worth_micros(basket),
        found.bound_micros,
        found.proven,
        score.over_micros,
        line_by_line,
        from_one_place,
    )


def _lines(basket: Basket, want: int, way: Choice) -> list[OrderLine]:
    wanted, why = basket.choices.wanted[want], _why(basket, want, way)
    # What is over is written to the last line of a split.
    rest, lines = wanted.qty, []
    for take in way.takes:
        rest -= take.qty
        lines.append(_line(wanted.part, take, max(0, -rest), why))
    return lines


def _line(part: int, take: Take, spare: int, why: str) -> OrderLine:
    offered = take.offered
    packs = take.qty // offered.pack_qty
    return OrderLine(
        part,
        offered.part,
        offered.offer,
        offered.supplier,
        packs,
        take.qty,
        spare,
        take.price_micros,
        take.amount_micros,
        why,
    )


def _why(basket: Basket, want: int, way: Choice) -> str:
    ways = basket.choices.of[want]
    if len(way.takes) > 1:
        return "split"
    if all(other.mask == way.mask for other in ways) and way is ways[0]:
        return "only way"
    if way.taxed == ways[0].taxed:
        return "cheapest"
    if ways[0].mask & ~basket.mask:
        return "saves a parcel"
    here = basket.total_micros
    basket.put(want, ways[0])
    dearer = basket.total_micros > here or basket.score().short_micros > 0
    basket.put(want, way)
    return "reaches better terms" if dearer else "serves the goal"
