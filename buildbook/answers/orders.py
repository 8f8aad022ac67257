"""The orders: what is under way with whom, what has come."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.order_sum import OrderSum, sums_of
from buildbook.store.read.buying import OrderRow
from buildbook.store.read.buying import orders as read_orders

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

__all__ = ["OrderRow", "Orders", "orders"]


@dataclass(frozen=True, slots=True)
class Orders(Answer):
    """Every row of every order, those still under way first; and the sum of each order, the oldest first."""

    SCHEMA: ClassVar[str] = "buildbook.orders/1"
    rows: tuple[OrderRow, ...]
    sums: tuple[OrderSum, ...]
    currency: str


def orders(shop: Workshop) -> Orders:
    """What has been ordered, and what of it has come."""
    rows = tuple(read_orders(shop.reads))
    if not rows:
        return Orders("Nothing has been ordered yet.", rows, (), currency_of(shop))
    under_way = {row.ref for row in rows if row.state == "placed"}
    dues = [row.due_on for row in rows if row.state == "placed" and row.received_qty < row.qty and row.due_on]
    said = f"{count_of(len(under_way), 'order')} under way"
    if dues:
        said += f", {'the next ' if len(under_way) > 1 else ''}due {min(dues)}"
    drafts = {row.ref for row in rows if row.state == "drafted"}
    closed = len({row.ref for row in rows}) - len(under_way) - len(drafts)
    more = f"; {count_of(len(drafts), 'draft')}" if drafts else ""
    more += f"; {closed} closed" if closed else ""
    return Orders(f"{said[:1].upper()}{said[1:]}{more}.", rows, sums_of(shop, rows), currency_of(shop))
