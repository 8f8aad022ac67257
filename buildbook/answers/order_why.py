"""Why this supplier? The line of a part in the plan, and what all orders would come to with the next best supplier."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.order_plan import SECONDS, PlanRow, searched
from buildbook.answers.order_wishes import NO_WISHES, Asking, Wishes, asking
from buildbook.errors import BadInput
from buildbook.reckon.ordering.told import OrderPlan
from buildbook.reckon.ordering.why import NextBest, next_best
from buildbook.store.read.naming import find_part
from buildbook.trade.money import show_money

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

REASONS = {
    "only way": "nobody else sells it so",
    "cheapest": "its line costs least there",
    "saves a parcel": "the line is dearer there, but it saves a parcel",
    "reaches better terms": "the line is dearer there, but it reaches better terms for the whole order",
    "serves the goal": "it serves what counts first",
    "split": "nobody has enough of it alone",
}


@dataclass(frozen=True, slots=True)
class WhySupplier(Answer):
    """Why a part is ordered where it is, and the next best; that is empty where nobody else covers the part.

    `dearer_micros` is by how much all orders together would be dearer; below zero where the plan is not proven, has
    another goal than the price, or `left_out` parts could not be ordered any more. `exact` says that all else was
    planned anew.
    """

    SCHEMA: ClassVar[str] = "buildbook.why-supplier/1"
    key: str
    currency: str
    supplier: str
    order_code: str
    amount_micros: int
    total_micros: int
    why: str
    next_supplier: str
    next_order_code: str
    next_amount_micros: int | None
    next_total_micros: int | None
    dearer_micros: int | None
    parcels: int | None
    complete_days: int | None
    left_out: int
    exact: bool


def why_supplier(shop: Workshop, part: str, wishes: Wishes = NO_WISHES, *, seconds: float = SECONDS) -> WhySupplier:
    """Why the plan orders a part where it does. Raises BadInput for an unknown part, or one that is not ordered."""
    known = find_part(shop, part)
    asked = asking(shop, wishes)
    return why_in(asked, searched(asked, seconds=seconds), known.id, known.key)


def why_in(asked: Asking, plan: OrderPlan, part: int, key: str) -> WhySupplier:
    """The same in a plan that was made already; a part may be named by what is bought in its place."""
    lines = [line for line in plan.lines if part in (line.part, line.bought)]
    if not lines:
        raise BadInput(f"The plan does not order {key}.", "", "See `buildbook buying plan`.")
    line = max(lines, key=lambda one: one.amount_micros)
    other = next_best(asked.asked, plan, line.part)
    codes, sellers = asked.codes, asked.suppliers
    seller = sellers[line.supplier].code
    return WhySupplier(
        sentence=_sentence(asked, plan, line.part, seller, line.why, other),
        key=asked.parts[line.part].key,
        currency=asked.currency,
        supplier=seller,
        order_code=codes[line.offer],
        amount_micros=line.amount_micros,
        total_micros=plan.total_micros,
        why=line.why,
        next_supplier=sellers[other.supplier].code if other else "",
        next_order_code=codes[other.offer] if other else "",
        next_amount_micros=other.amount_micros if other else None,
        next_total_micros=other.total_micros if other else None,
        dearer_micros=other.dearer_micros if other else None,
        parcels=other.parcels if other else None,
        complete_days=other.complete_days if other else None,
        left_out=other.left_out if other else 0,
        exact=other.exact if other else True,
    )


def reason_said(row: PlanRow) -> str:
    """Why a row of a plan is ordered where it is: "KNOB-45 comes from MILLLANE: its line costs least there."""
    return f"{row.key} comes from {row.supplier}: {REASONS[row.why]}."


def _sentence(asked: Asking, plan: OrderPlan, part: int, seller: str, why: str, other: NextBest | None) -> str:
    key = asked.parts[part].key
    said = f"{key} comes from {seller}: {REASONS[why]}"
    if other is None:
        return f"{said}. Nobody else covers it." if why != "only way" else f"{said}."
    line, all_ = (
        f"{show_money(one, asked.currency)} {asked.currency}" for one in (other.amount_micros, other.total_micros)
    )
    change = other.dearer_micros
    more = f"{show_money(abs(change), asked.currency)} {asked.currency} {'more' if change >= 0 else 'less'}"
    said += f". Next best is {asked.suppliers[other.supplier].code} at {line} for the line"
    said += f": {all_} in all, {more}" if change else f": {all_} in all, the same"
    said += f", with {count_of(other.left_out, 'part')} left out" if other.left_out else ""
    return f"{said}, all else planned anew." if other.exact else f"{said}, all else left as it is."
