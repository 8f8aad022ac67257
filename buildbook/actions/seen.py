"""What a person saw before changing it is compared with what stands there now, since two programs may be at work."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from buildbook.errors import Stale
from buildbook.store.tables import Row
from buildbook.trade.figures import show_decimal
from buildbook.trade.plain import quote
from buildbook.trade.units import Unit, show_quantity

# What a field is called where its own name would not do.
WORDS = {
    "units": "number of units",
    "qty": "quantity",
    "refs": "designators",
    "fitted": "mark of what is fitted",
    "loss_bp": "allowance for loss",
    "consumables_bp": "allowance for consumables",
    "maker_number": "maker's number",
    "low_min": "least time",
    "likely_min": "likely time",
    "high_min": "most time",
    "wait_low_min": "least wait",
    "wait_high_min": "most wait",
    "one_way": "mark of no way back",
    "target_on": "target day",
    "placed_on": "day of the order",
    "due_on": "day it is due",
    "price_micros": "price",
    "per_qty": "quantity to a price",
    "pack_qty": "quantity in a pack",
    "min_qty": "least quantity",
    "lead_days": "days to wait",
    "breaks": "list of prices",
}
YES_OR_NO = ("fitted", "one_way", "hold_point")
LONGEST = 60


def refuse_stale(what: str, now: Row | Mapping[str, Any], expected: Mapping[str, Any] | None, unit: str = "pc") -> None:
    """Raise Stale, telling both values, when something is not as the person saw it; nothing expected is never stale.

    `now` is the row, or what stands there by the names used in `expected`, which are those of the action's arguments.
    Quantities are told in `unit`.
    """
    differs = []
    for name, seen in (expected or {}).items():
        is_now = now[name] if isinstance(now, Mapping) else getattr(now, name)
        if is_now != seen:
            word = WORDS.get(name, name.replace("_", " "))
            differs.append(f"the {word} is {_told(name, is_now, unit)} now, you saw {_told(name, seen, unit)}")
    if differs:
        why = "; ".join(differs)
        raise Stale(f"{what} was not changed.", f"{why[0].upper()}{why[1:]}.", "Look again.")


def _told(name: str, value: Any, unit: str) -> str:
    """A value as it is told to a person; prices without their currency."""
    if value is None or value in ("", ()):
        return "nothing"
    if name in YES_OR_NO:
        return "yes" if value else "no"
    if name == "qty":
        return show_quantity(value, Unit(unit))
    if name == "breaks":
        return " and ".join(f"{show_decimal(price, 6, least=2)} from {qty}" for qty, price in value)
    if name.endswith("_micros"):
        return show_decimal(value, 6, least=2)
    if name.endswith("_bp"):
        return f"{show_decimal(value, 2)} %"
    if name.endswith("_min"):
        return f"{value} min"
    return quote(value, limit=LONGEST) if isinstance(value, str) else str(value)
