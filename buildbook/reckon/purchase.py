"""What a quantity really costs from an offer: whole packs, a least quantity, and price breaks.

Quantities are base units of the part (pc, mm, mg, ul), money is in millionths of the workshop's currency. A break is an
all-units break: the whole of an order costs the price of the break it reaches (Hadley and Whitin 1963). So it can
be cheaper to order more than is needed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.money import line_micros


class Break(NamedTuple):
    """From an ordered quantity of `from_qty` on, `per_qty` base units of the offer cost `price_micros`."""

    from_qty: int
    price_micros: int


@dataclass(frozen=True, slots=True)
class Offer:
    """A part as a supplier sells it; `breaks` rise in quantity, and less than the first one is not sold."""

    offer: int
    supplier: int
    part: int
    per_qty: int
    pack_qty: int
    min_qty: int
    breaks: tuple[Break, ...]
    order_code: str = ""


class Buy(NamedTuple):
    """What to order for a need: `qty` base units at `price_micros` for `per_qty` of them, `amount_micros` in all."""

    offer: int
    supplier: int
    part: int
    need: int
    qty: int
    price_micros: int
    per_qty: int
    amount_micros: int


def check_offer(offer: Offer) -> None:
    """Refuse an offer that nobody could order from.

    Raises BadInput for a pack, a least quantity or a price basis below 1, and for breaks that are missing, do not
    rise in quantity, start below 1 or have a negative price.

    >>> check_offer(Offer(1, 1, 1, per_qty=1, pack_qty=0, min_qty=1, breaks=(Break(1, 90_000),)))
    Traceback (most recent call last):
    ...
    buildbook.errors.BadInput: The offer cannot be used. The pack holds 0. Give 1 or more.
    """
    for what, qty in (
        ("The price is for", offer.per_qty),
        ("The pack holds", offer.pack_qty),
        ("The least quantity is", offer.min_qty),
    ):
        if qty < 1:
            raise _refused(f"{what} {qty}.", "Give 1 or more.")
    if not offer.breaks:
        raise _refused("It has no price.", "Give a price from a quantity of 1 on.")
    above = 0
    for from_qty, price_micros in offer.breaks:
        if from_qty < 1:
            raise _refused(f"It has a price from {from_qty} on.", "Give prices from a quantity of 1 on.")
        if from_qty <= above:
            raise _refused(
                f"The price from {from_qty} on follows the price from {above} on.",
                "Give the prices by rising quantity, each quantity once.",
            )
        if price_micros < 0:
            raise _refused(f"The price from {from_qty} on is below zero.", "Give a price of zero or more.")
        above = from_qty


def _refused(why: str, mend: str) -> BadInput:
    return BadInput("The offer cannot be used.", why, mend)


def orderable(offer: Offer, need: int) -> int:
    """The least quantity that covers `need` and that the supplier sells: whole packs, not below the minimum.

    Nothing needed is nothing ordered.

    >>> orderable(Offer(1, 1, 1, per_qty=1, pack_qty=10, min_qty=25, breaks=(Break(1, 90_000),)), 12)
    30
    """
    if need <= 0:
        return 0
    least = max(need, offer.min_qty, offer.breaks[0].from_qty)
    return -(-least // offer.pack_qty) * offer.pack_qty


def price_at(offer: Offer, qty: int) -> int:
    """The price for `per_qty` base units when `qty` are ordered, in millionths.

    Raises BadInput when the supplier does not sell so few.

    >>> price_at(Offer(1, 1, 1, 1, 1, 1, (Break(1, 90_000), Break(100, 60_000))), 250)
    60000
    """
    for from_qty, price_micros in reversed(offer.breaks):
        if qty >= from_qty:
            return price_micros
    raise BadInput(
        "There is no price.",
        f"{qty} are fewer than the supplier sells.",
        f"Order {offer.breaks[0].from_qty} or more.",
    )


def best_buy(offer: Offer, need: int) -> Buy:
    """The cheapest order on this offer that covers `need`; of equally cheap ones the smallest.

    Between two breaks more is never cheaper, so only the need itself and each break above it, rounded up to what can
    be ordered, have to be looked at.

    >>> offer = Offer(1, 1, 1, per_qty=1, pack_qty=1, min_qty=1, breaks=(Break(1, 100_000), Break(10, 60_000)))
    >>> best_buy(offer, 8).qty
    10
    """
    least, per_qty, pack_qty = orderable(offer, need), offer.per_qty, offer.pack_qty
    if not least:
        return Buy(offer.offer, offer.supplier, offer.part, need, 0, offer.breaks[0].price_micros, per_qty, 0)
    plans: list[tuple[int, int, int]] = []
    next_qty: int | None = None
    for from_qty, price_micros in reversed(offer.breaks):
        qty = least if from_qty <= least else -(-from_qty // pack_qty) * pack_qty
        # A pack that reaches the next break as well has been looked at there, at its price.
        if next_qty is None or qty < next_qty:
            plans.append((line_micros(qty, price_micros, per_qty), qty, price_micros))
        if from_qty <= least:
            break
        next_qty = from_qty
    amount_micros, qty, price_micros = min(plans)
    return Buy(offer.offer, offer.supplier, offer.part, need, qty, price_micros, per_qty, amount_micros)


def cheapest(offers: Iterable[Offer], need: int) -> Buy | None:
    """The cheapest order for `need` among several offers of one part; None when there is no offer.

    Of equally cheap ones the smaller quantity, then the lower supplier and offer number.

    >>> single = Offer(1, 1, 7, per_qty=1, pack_qty=1, min_qty=1, breaks=(Break(1, 120_000),))
    >>> bag = Offer(2, 2, 7, per_qty=100, pack_qty=100, min_qty=100, breaks=(Break(1, 900_000),))
    >>> cheapest([single, bag], 5).offer, cheapest([single, bag], 8).offer
    (1, 2)
    """
    buys = [best_buy(offer, need) for offer in offers]
    return min(buys, key=lambda buy: (buy.amount_micros, buy.qty, buy.supplier, buy.offer), default=None)
