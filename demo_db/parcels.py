"""A parcel of the demo that came otherwise than ordered: damaged, wrong, and more than ordered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.actions.deliveries import Odd, receive_order
from buildbook.actions.matters import settle

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

REF = "QS-1187"
CAME = "2026-10-02"
CALLED = "2026-10-05"
ODD = (
    Odd("damaged", "R-4K7-0.6W", 2, note="leads torn off the tape"),
    Odd("wrong", "R-47R-0.6W", 10, "R-47K-0.6W", note="bag says 47R, bands say 47k"),
    Odd("over", "R-47K-0.6W", 10, note="ten more than ordered in the bag"),
)


def come(shop: Workshop) -> None:
    """What was in order goes into the drawers, the rest waits."""
    receive_order(shop, REF, odd=ODD, note="one padded bag")


def settle_two(shop: Workshop) -> None:
    """Two matters are credited; what to do with the surplus is open."""
    settle(shop, 1, "credit", reason="Credited by telephone.")
    settle(shop, 2, "credit", reason="Credited, the bag goes back; 47R is in the drawer.")
