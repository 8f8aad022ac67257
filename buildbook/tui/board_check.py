"""What is typed about a section, checked while it is typed; what is wrong stands beside the field."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.tui.words import amount

if TYPE_CHECKING:
    from buildbook.tui.asking import Check

LOSS_AT_MOST = 100


def quantity_check(unit: str) -> Check:
    """Checks a quantity, and says how it is understood where that is not plain."""

    def check(text: str) -> str | None:
        from buildbook.trade.units import Unit, read_quantity

        qty = read_quantity(text, Unit(unit))
        if qty < 1:
            raise BadInput("It must be 1 or more.")
        return None if unit == "pc" else f"that is {amount(qty, unit)}"

    return check


def refs_check(text: str) -> str | None:
    """Checks designators, and says how many places they are.

    >>> refs_check("R1-R3, R7")
    '4 places'
    """
    from buildbook.answers.form import count_of
    from buildbook.trade.refdes import read_refs

    return count_of(len(read_refs(text)), "place")


def minutes_check(text: str) -> str | None:
    """Checks a time, and says how it is understood.

    >>> minutes_check("1h30")
    '1 h 30 min'
    """
    from buildbook.trade.units import read_minutes, show_minutes

    return show_minutes(read_minutes(text))


def loss_bp_of(text: str) -> int:
    """An allowance for loss in per cent ("2.5", "10 %") as 1/100 %.

    >>> loss_bp_of("2.5 %")
    250
    """
    try:
        percent = Decimal(text.strip().removesuffix("%").strip().replace(",", "."))
    except InvalidOperation:
        raise BadInput("A number of per cent is meant, such as 5.") from None
    if not (percent.is_finite() and 0 <= percent <= LOSS_AT_MOST and percent * 100 == int(percent * 100)):
        raise BadInput(f"It must lie between 0 and {LOSS_AT_MOST} %, with two decimals at most.")
    return int(percent * 100)


def loss_check(text: str) -> str | None:
    """Checks an allowance for loss."""
    loss_bp_of(text)
    return None


def place_check(most: int) -> Check:
    """Checks a place in a list of so many."""

    def check(text: str) -> str | None:
        if not (text.strip().isascii() and text.strip().isdigit() and 1 <= int(text.strip()[:9]) <= most):
            raise BadInput(f"A place from 1 to {most} is meant.")
        return None

    return check


def code_check(what: str, taken: Collection[str] = ()) -> Check:
    """Checks a code that is to be new; `taken` are those that are there already, in capital letters."""

    def check(text: str) -> str | None:
        from buildbook.actions.reading import read_code

        code = read_code(text, what)
        if code in taken:
            raise BadInput(f"There is a {what} {code} already.")
        return None

    return check
