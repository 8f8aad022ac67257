"""What to order from whom so that all of it together costs least, parcels, discounts and price breaks reckoned in.

The quick answer is there at once; searching on proves it, makes it better, or says how much might still be saved. It is
laid beside the naive ways: every part where it is cheapest, and all from one place.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.order_wishes import GOALS, NO_WISHES, Asking, InDraft, LeftOut, Wishes, asking
from buildbook.answers.ordering import OrderLine, ToOrder
from buildbook.reckon.ordering.asked import Goal
from buildbook.reckon.ordering.plan import plan_orders
from buildbook.reckon.ordering.told import OrderLine as Bought
from buildbook.reckon.ordering.told import OrderPlan, Way
from buildbook.trade.money import show_money
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# How long the command line searches unless it is told otherwise.
SECONDS = 10.0


class Use(NamedTuple):
    """A parts list on which a part stands, and how many of it."""

    assembly: str
    qty: int


@dataclass(frozen=True, slots=True)
class PlanRow(OrderLine):
    """What to order of one offer; money is in the workshop's currency, before discount and tax.

    `wanted` is the part that is short, another than `key` where a stand-in is bought. `spare` is more than is needed,
    `uses` the parts lists that part stands on. `why` is "only way", "cheapest", "saves a parcel", "reaches better
    terms", "serves the goal" or "split". `lead_days` is None where nobody knows.
    """

    wanted: str
    packs: int
    spare: int
    uses: tuple[Use, ...]
    why: str
    lead_days: int | None
    kept: int


class BillRow(NamedTuple):
    """What one supplier will charge: the goods, less the discount they reach, with shipping and tax."""

    supplier: str
    supplier_name: str
    parts: int
    goods_micros: int
    discount_micros: int
    shipping_micros: int
    tax_micros: int
    total_micros: int


class NobodyRow(NamedTuple):
    """A part that is not ordered, and why."""

    key: str
    name: str
    value: str
    unit: str
    short: int
    why: str


class NaiveRow(NamedTuple):
    """A naive way beside the plan. `saved_micros` is None where it leaves out other parts or nobody would take it."""

    way: str
    total_micros: int
    parcels: int
    left_out: int
    placeable: bool
    saved_micros: int | None


class StoodInRow(NamedTuple):
    """So much of a shortage is not ordered, as parts approved in its place are on order."""

    key: str
    qty: int


@dataclass(frozen=True, slots=True)
class OrderPlanned(Answer):
    """A plan of orders: the sum of `bills` is `total_micros`; no plan of its goal has a worth below `bound_micros`.

    `complete_on` is empty where not all lead times are known. `gap_micros` is what might still be saved at most, 0 when
    `proven`. `over_micros` is what the sum lies over the wished one.
    """

    SCHEMA: ClassVar[str] = "buildbook.order-plan/1"
    builds: str
    goal: str
    currency: str
    total_micros: int
    parcels: int
    complete_days: int
    complete_on: str
    proven: bool
    bound_micros: int
    gap_micros: int
    over_micros: int
    rows: tuple[PlanRow, ...]
    bills: tuple[BillRow, ...]
    naive: tuple[NaiveRow, ...]
    nobody: tuple[NobodyRow, ...]
    left_out: tuple[LeftOut, ...]
    stood_in: tuple[StoodInRow, ...]
    in_drafts: tuple[InDraft, ...]


def order_plan(shop: Workshop, wishes: Wishes = NO_WISHES, *, seconds: float = 0) -> OrderPlanned:
    """Plan the orders; no seconds at all give the quick answer. Raises BadInput as `asking` does."""
    asked = asking(shop, wishes)
    return told(asked, searched(asked, seconds=seconds))


def searched(
    asked: Asking,
    *,
    seconds: float,
    stop: Callable[[], bool] | None = None,
    on_better: Callable[[OrderPlan], None] | None = None,
) -> OrderPlan:
    """Search for so long; `on_better` hears of each better plan, from another thread, and `stop` ends the search."""
    return plan_orders(asked.asked, time_limit_s=seconds, stop=stop, on_better=on_better)


def told(asked: Asking, plan: OrderPlan) -> OrderPlanned:
    """A plan in words."""
    rows = sorted(
        (_row(asked, line) for line in plan.lines), key=lambda row: (row.supplier, row.order_code, row.key, row.wanted)
    )
    bills = tuple(
        BillRow(
            asked.suppliers[bill.supplier].code,
            asked.suppliers[bill.supplier].name,
            sum(line.supplier == bill.supplier for line in plan.lines),
            *bill[1:6],
        )
        for bill in plan.bills
    )
    # The quick answer of the cheapest plan may reach what nothing can cost less than.
    proven = plan.proven or (asked.asked.wish.goal is Goal.CHEAPEST and plan.worth_micros <= plan.bound_micros)
    on = date.fromisoformat(asked.today) + timedelta(days=plan.complete_days)
    planned = OrderPlanned(
        sentence="",
        builds=asked.builds,
        goal=asked.wishes.goal,
        currency=asked.currency,
        total_micros=plan.total_micros,
        parcels=plan.parcels,
        complete_days=plan.complete_days,
        complete_on=on.isoformat() if plan.leads_known and rows else "",
        proven=proven,
        bound_micros=plan.bound_micros,
        gap_micros=0 if proven else plan.worth_micros - plan.bound_micros,
        over_micros=plan.over_micros,
        rows=tuple(rows),
        bills=tuple(sorted(bills)),
        naive=tuple(
            _naive(name, way, plan)
            for name, way in (("line by line", plan.line_by_line), ("from one place", plan.from_one_place))
            if rows
        ),
        nobody=tuple(_nobody(asked, one.part, one.qty, one.why) for one in plan.uncovered),
        left_out=asked.left_out,
        stood_in=tuple(StoodInRow(asked.parts[part].key, qty) for part, qty in asked.stood_in.items()),
        in_drafts=asked.in_drafts,
    )
    return replace(planned, sentence=sentence(planned))


def _row(asked: Asking, line: Bought) -> PlanRow:
    part, seller = asked.parts[line.bought], asked.suppliers[line.supplier]
    return PlanRow(
        supplier=seller.code,
        supplier_name=seller.name,
        order_code=asked.codes[line.offer],
        key=part.key,
        name=part.name,
        value=part.value,
        package=part.package,
        maker_number=part.maker_number,
        unit=part.unit,
        short=line.qty - line.spare,
        qty=line.qty,
        price_micros=line.price_micros,
        per_qty=asked.per_qty[line.offer],
        amount_micros=line.amount_micros,
        refs=asked.refs.get(line.part, ""),
        wanted=asked.parts[line.part].key,
        packs=line.packs,
        spare=line.spare,
        uses=tuple(Use(*use) for use in asked.uses.get(line.bought, ())) if line.spare else (),
        why=line.why,
        lead_days=asked.leads[line.offer],
        kept=asked.kept.get(line.part, 0),
    )


def _nobody(asked: Asking, number: int, qty: int, why: str) -> NobodyRow:
    part = asked.parts[number]
    return NobodyRow(part.key, part.name, part.value, part.unit, qty, why)


def _naive(name: str, way: Way, plan: OrderPlan) -> NaiveRow:
    return NaiveRow(name, way.total_micros, way.parcels, way.missing, way.placeable, plan.saving_micros(way))


def to_order_of(plan: OrderPlanned) -> ToOrder:
    """The plan as a list of what to order, for all who place orders or write them out."""
    return ToOrder(plan.sentence, plan.currency, sum(row.amount_micros for row in plan.rows), plan.rows, ())


def sentence(plan: OrderPlanned) -> str:
    """ "37 parts from 3 suppliers for 412.60 EUR; no plan costs less; 2 parts that nobody offers: X and Y." """
    nobody = [row.key for row in plan.nobody]
    offered = any(row.why != "nobody offers it" for row in plan.nobody)
    cannot = f"{count_of(len(nobody), 'part')} that {'cannot be ordered' if offered else 'nobody offers'}: "
    cannot += join_words(nobody[:5])
    cannot += f" and {len(nobody) - 5} more" if len(nobody) > 5 else ""
    waiting = len({one.key for one in plan.in_drafts})
    in_drafts = f"; {count_of(waiting, 'part')} in drafts" if waiting else ""
    if not plan.rows:
        return f"Nothing can be ordered: {cannot}{in_drafts}." if nobody else f"There is nothing to order{in_drafts}."
    parts = len({row.wanted for row in plan.rows})
    said = f"{count_of(parts, 'part')} from {count_of(plan.parcels, 'supplier')} for {money(plan, plan.total_micros)}"
    said += f", all here by {plan.complete_on}" if plan.complete_on else ""
    said += f"; {proof_said(plan)}"
    if plan.over_micros:
        said += f"; {money(plan, plan.over_micros)} over the sum wished"
    return f"{said}; {cannot}{in_drafts}." if nobody else f"{said}{in_drafts}."


def proof_said(plan: OrderPlanned) -> str:
    """ "no plan costs less", or how much might still be saved."""
    if plan.proven:
        return {
            Goal.CHEAPEST: "no plan costs less",
            Goal.FEWEST: "no plan of so few parcels costs less",
            Goal.SOONEST: "no plan is here sooner, and none of those costs less",
            Goal.WEIGHTED: "no plan weighs less",
        }[goal_of(plan)]
    if not plan.bound_micros:
        return "it is not known how much could still be saved"
    return f"at most {money(plan, plan.gap_micros)} could still be saved"


def goal_of(plan: OrderPlanned) -> Goal:
    """The goal of a plan."""
    return GOALS[plan.goal]


def money(plan: OrderPlanned, micros: int) -> str:
    """A sum with its currency."""
    return f"{show_money(micros, plan.currency)} {plan.currency}"


def saving_said(plan: OrderPlanned, row: NaiveRow) -> str:
    """What a naive way costs, in a sentence: "Line by line: 44.10 EUR in 4 parcels; the plan saves 2.10 EUR."""
    said = f"{row.way[:1].upper()}{row.way[1:]}: {money(plan, row.total_micros)} in {count_of(row.parcels, 'parcel')}"
    if not row.placeable:
        return f"{said}, below somebody's least order."
    if row.saved_micros is None:
        return f"{said}, with {count_of(row.left_out, 'part')} left out."
    if row.saved_micros < 0:
        return f"{said}; the plan costs {money(plan, -row.saved_micros)} more, for its goal."
    return f"{said}; the plan saves {money(plan, row.saved_micros)}." if row.saved_micros else f"{said}, as the plan."


def draft_said(row: InDraft) -> str:
    """Why a part is not ordered: "R-4K7: 20 in draft QUAYSIDE-1, so not ordered again."."""
    other = f" of {row.drafted}" if row.drafted != row.key else ""
    many, refs = show_quantity(row.qty, Unit(row.unit)), join_words(list(row.refs))
    return f"{row.key}: {many}{other} in draft {refs}, so not ordered again."


def spare_said(row: PlanRow) -> str:
    """What is over of a row, and what that is good for: "W-RG174: 3.5 m to spare, good for WREN/PROBE (900 mm)."""
    unit = Unit(row.unit)
    uses = [f"{use.assembly} ({show_quantity(use.qty, unit)})" for use in row.uses]
    good = f"good for {join_words(uses)}" if uses else "on no parts list"
    return f"{row.key}: {show_quantity(row.spare, unit)} to spare, {good}."
