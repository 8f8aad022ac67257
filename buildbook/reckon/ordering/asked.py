"""What a plan of orders is made from: the parts wanted, the offers, the suppliers' terms, and what the builder wishes.

Quantities are base units of the part (pc, mm, mg, ul); money is in millionths of the workshop's currency, already
converted; rates are in basis points (100 are 1 %).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import lcm
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.purchase import Break, Offer, check_offer

WHOLE_BP = 10_000


class Wanted(NamedTuple):
    """So much of a part is short; any of its stand-ins may be bought in its place, one for one."""

    part: int
    qty: int
    stand_ins: tuple[int, ...] = ()


class Offered(NamedTuple):
    """A part as a supplier sells it now.

    Ordered in whole packs and in whole multiples, at least `min_qty`; a break is for all of the line. `stock_seen` is
    what the supplier has (None: enough). `preferred` decides between equally good ways only.
    """

    offer: int
    supplier: int
    part: int
    breaks: tuple[Break, ...]
    per_qty: int = 1
    pack_qty: int = 1
    min_qty: int = 1
    multiple: int = 1
    lead_days: int | None = None
    stock_seen: int | None = None
    preferred: bool = False


class Step(NamedTuple):
    """From goods worth `from_micros` on, a supplier's discount in basis points, or his shipping in millionths."""

    from_micros: int
    amount: int


class Terms(NamedTuple):
    """How a supplier deals; one parcel and one bill each.

    The least order, the steps and the free shipping all look at the goods before discount and tax. A discount step is
    for all goods of the order (total turnover). Shipping is `shipping_micros` below its first step. Tax is worked out
    once for the whole bill and rounded to a millionth, a half to the even one.
    """

    supplier: int
    least_order_micros: int = 0
    shipping_micros: int = 0
    shipping_steps: tuple[Step, ...] = ()
    free_shipping_from_micros: int | None = None
    goods_tax_bp: int = 0
    shipping_tax_bp: int = 0
    discounts: tuple[Step, ...] = ()
    banned: bool = False
    preferred: bool = False


class Goal(StrEnum):
    """What counts first; the price decides between plans that are equally good in it."""

    CHEAPEST = "cheapest"
    FEWEST = "fewest parcels"
    SOONEST = "soonest complete"
    WEIGHTED = "weighted"


@dataclass(frozen=True, slots=True)
class Wish:
    """What the builder wishes.

    `only` these suppliers (empty: all), none of `without`, none later than `by_days`, and `not_over_micros` in all.
    For the weighted goal each parcel and each day until all is here counts as so much money. An offer without a lead
    time is taken to need `unknown_lead_days`.
    """

    goal: Goal = Goal.CHEAPEST
    only: frozenset[int] = frozenset()
    without: frozenset[int] = frozenset()
    not_over_micros: int | None = None
    by_days: int | None = None
    parcel_worth_micros: int = 0
    day_worth_micros: int = 0
    unknown_lead_days: int = 30


@dataclass(frozen=True, slots=True)
class Asked:
    """All that a plan of orders is made from. A supplier without terms ships for nothing.

    Raises BadInput for what nobody could order from: see `check`.
    """

    wanted: tuple[Wanted, ...]
    offers: tuple[Offered, ...]
    terms: tuple[Terms, ...] = ()
    wish: Wish = Wish()

    def __post_init__(self) -> None:
        check(self)


def as_offer(offered: Offered) -> Offer:
    """The same for `reckon.purchase`, which knows of packs and breaks only: a multiple is a larger pack there."""
    return Offer(
        offered.offer,
        offered.supplier,
        offered.part,
        offered.per_qty,
        order_step(offered),
        offered.min_qty,
        offered.breaks,
    )


def order_step(offered: Offered) -> int:
    """The base units by which an order can rise: whole packs that are whole multiples too.

    >>> order_step(Offered(1, 1, 7, (Break(1, 90_000),), pack_qty=10, multiple=25))
    50
    """
    return lcm(offered.pack_qty, offered.multiple)


def check(asked: Asked) -> None:
    """Refuse what nobody could order from.

    Raises BadInput for a part wanted twice or not at all, an offer as `purchase.check_offer` refuses it, terms given
    twice, steps that do not rise, rates outside 0 to 100 % (tax: below 0), and money, stock or days below zero.
    """
    _once("part", (want.part for want in asked.wanted))
    _once("offer", (offer.offer for offer in asked.offers))
    _once("supplier's terms", (terms.supplier for terms in asked.terms))
    for want in asked.wanted:
        if want.qty < 1:
            raise _refused(f"Part {want.part} is wanted {want.qty} times.", "Ask for 1 or more.")
    for offer in asked.offers:
        if min(offer.pack_qty, offer.multiple) < 1:
            raise _refused(f"Offer {offer.offer} has a pack or a multiple below 1.", "Give 1 or more.")
        check_offer(as_offer(offer))
        _not_below_zero(f"Offer {offer.offer}", offer.lead_days, offer.stock_seen)
    for terms in asked.terms:
        _check_terms(terms)
    wish = asked.wish
    _not_below_zero(
        "The wish",
        wish.not_over_micros,
        wish.by_days,
        wish.parcel_worth_micros,
        wish.day_worth_micros,
        wish.unknown_lead_days,
    )


def _check_terms(terms: Terms) -> None:
    who = f"Supplier {terms.supplier}"
    _not_below_zero(
        who,
        terms.least_order_micros,
        terms.shipping_micros,
        terms.free_shipping_from_micros,
        terms.goods_tax_bp,
        terms.shipping_tax_bp,
    )
    for steps in (terms.discounts, terms.shipping_steps):
        _not_below_zero(who, *(value for step in steps for value in step))
        _rising(who, steps)
    if any(step.amount > WHOLE_BP for step in terms.discounts):
        raise _refused(f"{who} gives a discount above 100 %.", "Give 0 to 10000 basis points.")


def _rising(who: str, steps: Sequence[Step]) -> None:
    froms = [step.from_micros for step in steps]
    if froms != sorted(set(froms)):
        raise _refused(f"{who} has steps that do not rise.", "Give the steps by rising value, each value once.")


def _not_below_zero(who: str, *values: int | None) -> None:
    if any(value is not None and value < 0 for value in values):
        raise _refused(f"{who} has a figure below zero.", "Give zero or more.")


def _once(what: str, ids: Iterable[int]) -> None:
    seen: set[int] = set()
    for one in ids:
        if one in seen:
            raise _refused(f"The {what} {one} is given twice.", "Give it once.")
        seen.add(one)


def _refused(why: str, mend: str) -> BadInput:
    return BadInput("The orders cannot be planned.", why, mend)
