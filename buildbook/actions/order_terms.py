"""What an order costs beside its goods: by the supplier's terms of today, or as said by hand."""

from __future__ import annotations

from collections.abc import Iterable

from sqlmodel import col, select

from buildbook.reckon.ordering.bill import bill
from buildbook.reckon.ordering.dealing import billed_so, terms_here
from buildbook.store.journal import Work
from buildbook.store.read import buying, order_plan
from buildbook.store.tables import Purchase, PurchaseLine
from buildbook.trade.money import DEFAULT_CURRENCY, line_micros
from buildbook.trade.rates import Rates


def goods_of(rows: Iterable[PurchaseLine]) -> int | None:
    """What the rows of an order cost; None where a price is not known."""
    total = 0
    for row in rows:
        if row.price_micros is None:
            return None
        total += line_micros(row.qty, row.price_micros, row.per_qty)
    return total


def record_terms(
    work: Work,
    order: Purchase,
    *,
    discount_micros: int | None = None,
    shipping_micros: int | None = None,
    tax_micros: int | None = None,
) -> None:
    """Write the currency and its rate of today, discount, shipping and tax down with an order.

    What is not given is as the supplier's terms have it. Without the price of every row, or without a rate, the terms
    say nothing: then only what is given is written down.
    """
    dealing = order_plan.suppliers(work.shop.reads)[order.supplier_id]
    own = buying.setting(work.shop.reads, "currency", DEFAULT_CURRENCY)
    rates = Rates(own, order_plan.rates(work.shop.reads))
    order.currency = "" if rates.is_own(dealing.currency) else dealing.currency
    order.rate = rates.worth.get(order.currency, "") if order.currency else ""
    rows = select(PurchaseLine).where(col(PurchaseLine.purchase_id) == order.id)
    goods = goods_of(work.exec(rows)) if rates.known(dealing.currency) else None
    if goods is not None:
        steps = (step[1:] for step in order_plan.steps(work.shop.reads) if step.supplier == order.supplier_id)
        terms = terms_here(dealing, steps, rates)
        usual = bill(terms, goods)
        discount_micros = usual.discount_micros if discount_micros is None else discount_micros
        shipping_micros = usual.shipping_micros if shipping_micros is None else shipping_micros
        tax_micros = billed_so(terms, goods, discount_micros, shipping_micros, tax_micros).tax_micros
    order.discount_micros = discount_micros or 0
    order.shipping_micros, order.tax_micros = shipping_micros, tax_micros
