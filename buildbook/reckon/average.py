"""What the stock of a part is worth, at the moving average of what was paid for it.

A pile is all that lies in the bins of one part. Some of its pieces came in with a price, the others without one;
the two are kept apart, so that an unknown price is never taken as nothing. Moving average: common practice.
"""

from __future__ import annotations

from typing import NamedTuple

from buildbook.errors import BadInput, Forbidden


class Pile(NamedTuple):
    """All that lies of a part: base units, how many of them have no price, the value of the others (millionths)."""

    qty: int = 0
    unpriced_qty: int = 0
    value_micros: int = 0


class Change(NamedTuple):
    """What a movement adds to a pile, or takes from it when negative, in the same three figures."""

    qty: int
    unpriced_qty: int
    value_micros: int


def receive(pile: Pile, qty: int, value_micros: int | None) -> tuple[Pile, Change]:
    """Put `qty` base units on the pile, worth `value_micros` together (None: nobody knows).

    Pieces without a price come in at the present average if the pile has one; otherwise they stay unpriced.
    Raises BadInput for a negative quantity or value, and for a value without a quantity.

    >>> pile, change = receive(Pile(), 10, 3_000_000)
    >>> receive(pile, 5, None)
    (Pile(qty=15, unpriced_qty=0, value_micros=4500000), Change(qty=5, unpriced_qty=0, value_micros=1500000))
    """
    if qty < 0 or (value_micros is not None and (value_micros < 0 or (value_micros > 0 and qty == 0))):
        raise BadInput(
            "The receipt was not booked.",
            f"A quantity of {qty} worth {value_micros} millionths is not possible.",
            "Give a quantity, and a price that is zero or more.",
        )
    if value_micros is not None:
        return _changed(pile, Change(qty, 0, value_micros))
    priced = pile.qty - pile.unpriced_qty
    if priced == 0:
        return _changed(pile, Change(qty, qty, 0))
    return _changed(pile, Change(qty, 0, pile.value_micros * qty // priced))


def issue(pile: Pile, qty: int) -> tuple[Pile, Change]:
    """Take `qty` base units off the pile, those with a price first, at the average value.

    The value is rounded down to whole millionths; the last priced piece takes all that is left.
    Raises BadInput for a negative quantity and Forbidden when the pile holds less.

    >>> issue(Pile(3, 0, 1_000_000), 1)
    (Pile(qty=2, unpriced_qty=0, value_micros=666667), Change(qty=-1, unpriced_qty=0, value_micros=-333333))
    """
    if qty < 0:
        raise BadInput("Nothing was taken.", f"{qty} is less than nothing.", "Give a quantity of zero or more.")
    if qty > pile.qty:
        raise Forbidden(
            "Nothing was taken.",
            f"{qty} are wanted and {pile.qty} lie there.",
            "Take fewer, or count the bin.",
        )
    priced = pile.qty - pile.unpriced_qty
    taken = min(qty, priced)
    value = pile.value_micros * taken // priced if taken else 0
    return _changed(pile, Change(-qty, taken - qty, -value))


def _changed(pile: Pile, change: Change) -> tuple[Pile, Change]:
    after = Pile(
        pile.qty + change.qty,
        pile.unpriced_qty + change.unpriced_qty,
        pile.value_micros + change.value_micros,
    )
    return after, change
