"""Figures, moments and days as the rows of a place say them."""

from __future__ import annotations

from datetime import datetime

from buildbook.trade.moments import MONTHS


def amount(qty: int, unit: str) -> str:
    """A quantity of base units as the trade writes it.

    >>> amount(12, "pc"), amount(1500, "mm")
    ('12', '1.5 m')
    """
    from buildbook.trade.units import Unit, show_quantity

    return str(qty) if unit == "pc" else show_quantity(qty, Unit(unit))


def some(qty: int, unit: str) -> str:
    """A quantity, or nothing for nothing."""
    return amount(qty, unit) if qty else ""


def day(text: str) -> str:
    """A day of the store as people write it; nothing stays nothing.

    >>> day("2026-12-04")
    '4 Dec 2026'
    """
    if not text:
        return ""
    year, month, number = text.split("-")
    return f"{int(number)} {MONTHS[int(month) - 1]} {year}"


def short_day(text: str) -> str:
    """A day of the store without its year.

    >>> short_day("2026-12-04")
    '4 Dec'
    """
    return day(text).rpartition(" ")[0]


def moment(at: str) -> str:
    """A moment of the store (UTC, ISO 8601) as local day and time; nothing stays nothing."""
    if not at:
        return ""
    local = datetime.fromisoformat(at).astimezone()
    return f"{local.day:2} {MONTHS[local.month - 1]} {local.year} {local:%H:%M}"
