"""A supplier of the demo who is paid in pounds; one of his offers has expired, and a valve of his got dearer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions.buying import new_supplier
from buildbook.actions.offers import set_offer
from buildbook.actions.terms import set_rate, set_terms
from buildbook.exchange.buying import apply_offers, prepare_offers

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

LIST = Path(__file__).resolve().parent / "offers" / "cairn_valves.csv"
SUPPLIER, ROSE = "CAIRN", "2026-11-09"


def define(shop: Workshop) -> None:
    """Cairn Valves, with terms, rate and price list."""
    new_supplier(shop, SUPPLIER, "Cairn Valves", "valves, tested in pairs; paid in pounds; postage 9.50")
    set_terms(shop, SUPPLIER, currency="GBP", shipping="9.50, free from 120", lead_days="9")
    set_rate(shop, "GBP", "1.16")
    apply_offers(shop, prepare_offers(shop, LIST, SUPPLIER))


def get_dearer(shop: Workshop) -> None:
    """The triode-heptode costs more from now on; what it cost is kept."""
    set_offer(shop, SUPPLIER, "V-ECH81", "CV-81", breaks=((1, 6_900_000),))
