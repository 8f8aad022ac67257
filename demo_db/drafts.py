"""Two orders of the demo that are more than placed or received: one confirmed, one still a draft."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.actions.buying import OrderLine
from buildbook.actions.drafts import confirm_order, draft_order

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

CONFIRMED = "2026-11-18"
DRAFTED = "2026-11-23"
# Nobody is short of these: they fill the drawers up once something else is ordered there.
LINES = (
    OrderLine("R-100R-0.6W", 50, 45_000, order_code="Q2021"),
    OrderLine("R-1K-0.6W", 50, 45_000, order_code="Q2056"),
)


def confirm(shop: Workshop) -> None:
    """The transformers and the choke are promised for the day asked for."""
    confirm_order(shop, "TW-2611", on=CONFIRMED)


def draft(shop: Workshop) -> None:
    """Common resistors, to go along with the next parcel."""
    draft_order(shop, "QS-1204", "QUAYSIDE", LINES, note="to go along with the next parcel")
