"""How the sum of an order comes about: goods, discount, postage, tax; in the supplier's own currency as well."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer
from buildbook.answers.offers import currency_of
from buildbook.reckon.ordering.bill import Bill, bill
from buildbook.reckon.ordering.dealing import billed_so, terms_here
from buildbook.store.read import order_plan as read_terms
from buildbook.store.read.buying import OrderRow
from buildbook.store.read.buying import orders as read_rows
from buildbook.store.read.naming import find_order
from buildbook.store.read.order_heads import HeadRow, heads
from buildbook.trade.money import line_micros, show_money, show_price
from buildbook.trade.rates import Rates, stated
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

BY_TERMS, WRITTEN, GOODS_ONLY = "by the terms of today", "as written down", "goods only"


class OrderSum(NamedTuple):
    """An order as a whole. Money is in the workshop's currency; `currency` and `rate` tell of a foreign supplier's.

    The whole is goods less discount with shipping and tax, those None where nobody knows; `unpriced` rows have no
    price. `basis` says where the sums come from: "as written down", "by the terms of today" for a draft, "goods only".
    """

    ref: str
    supplier: str
    supplier_name: str
    state: str
    placed_on: str
    due_on: str
    confirmed_on: str
    note: str
    currency: str
    rate: str
    parts: int
    unpriced: int
    goods_micros: int
    discount_micros: int
    shipping_micros: int | None
    tax_micros: int | None
    total_micros: int
    basis: str


class SumRow(NamedTuple):
    """A term of the sum; `foreign_micros` is the same in the supplier's currency, None where that is the workshop's."""

    what: str
    said: str
    micros: int
    foreign_micros: int | None


@dataclass(frozen=True, slots=True)
class OrderSummed(Answer):
    """The sum of one order: `rows` add up to `total_micros`, and their foreign ones to `foreign_total_micros`."""

    SCHEMA: ClassVar[str] = "buildbook.order-sum/1"
    ref: str
    supplier: str
    state: str
    currency: str
    total_micros: int
    foreign_currency: str
    rate: str
    foreign_total_micros: int | None
    basis: str
    rows: tuple[SumRow, ...]


def sums_of(shop: Workshop, rows: Sequence[OrderRow]) -> tuple[OrderSum, ...]:
    """The sum of every order, the oldest first; `rows` are those of all orders."""
    by_ref: dict[str, list[OrderRow]] = {}
    for row in rows:
        by_ref.setdefault(row.ref, []).append(row)
    deals = _Deals(shop)
    return tuple(_sum(head, by_ref[head.ref], deals) for head in heads(shop.reads) if head.ref in by_ref)


class _Deals:
    """How the suppliers deal today, read once and only where it is wanted."""

    def __init__(self, shop: Workshop) -> None:
        self.rates = Rates(currency_of(shop), read_terms.rates(shop.reads))
        self._suppliers: Mapping[int, read_terms.SupplierRow] = {}
        self._shop = shop

    def bill(self, head: HeadRow, goods_micros: int) -> Bill | None:
        """The bill of a draft; None for a currency without a rate."""
        self._suppliers = self._suppliers or read_terms.suppliers(self._shop.reads)
        dealing = self._suppliers[head.supplier_id]
        if not self.rates.known(dealing.currency):
            return None
        steps = (step[1:] for step in read_terms.steps(self._shop.reads) if step.supplier == dealing.id)
        terms = terms_here(dealing, steps, self.rates)
        if head.shipping_micros is None:
            return bill(terms, goods_micros)
        return billed_so(terms, goods_micros, head.discount_micros, head.shipping_micros, head.tax_micros)

    def money(self, head: HeadRow) -> tuple[str, str]:
        """The foreign currency of an order and its rate: as placed, of a draft that of today."""
        if head.state != "drafted":
            return head.currency, head.rate
        self._suppliers = self._suppliers or read_terms.suppliers(self._shop.reads)
        code = self._suppliers[head.supplier_id].currency
        return ("", "") if self.rates.is_own(code) else (code, self.rates.worth.get(code, ""))


def _sum(head: HeadRow, rows: Sequence[OrderRow], deals: _Deals) -> OrderSum:
    unpriced = sum(row.price_micros is None for row in rows)
    goods = sum(line_micros(row.qty, row.price_micros, row.per_qty) for row in rows if row.price_micros is not None)
    discount, shipping, tax, basis = head.discount_micros, head.shipping_micros, head.tax_micros, WRITTEN
    by_terms = deals.bill(head, goods) if head.state == "drafted" and not unpriced else None
    if by_terms:
        discount, shipping, tax = by_terms.discount_micros, by_terms.shipping_micros, by_terms.tax_micros
        basis = BY_TERMS
    elif shipping is None and tax is None and not discount:
        basis = GOODS_ONLY
    return OrderSum(
        *head[1:2],
        *head[3:10],
        *deals.money(head),
        len(rows),
        unpriced,
        goods,
        discount,
        shipping,
        tax,
        goods - discount + (shipping or 0) + (tax or 0),
        basis,
    )


def order_sum(shop: Workshop, ref: str) -> OrderSummed:
    """How the sum of one order comes about, row by row. Raises BadInput for an order that is not known."""
    named = find_order(shop, ref).code
    rows = [row for row in read_rows(shop.reads) if row.ref == named]
    whole = sums_of(shop, rows)[0]
    own = currency_of(shop)
    terms = [_priced(row, whole, own) for row in rows]
    beside = (("discount", -whole.discount_micros), ("postage", whole.shipping_micros), ("tax", whole.tax_micros))
    for what, micros in beside:
        if micros:
            terms.append(SumRow(what, basis_said(whole), micros, foreign(micros, whole)))
    abroad = [term.foreign_micros for term in terms if term.foreign_micros is not None]
    total = sum(abroad) if whole.rate else None
    return OrderSummed(
        sum_said(whole, own, total),
        whole.ref,
        whole.supplier,
        whole.state,
        own,
        whole.total_micros,
        whole.currency,
        whole.rate,
        total,
        whole.basis,
        tuple(terms),
    )


def _priced(row: OrderRow, whole: OrderSum, own: str) -> SumRow:
    qty = show_quantity(row.qty, Unit(row.unit))
    if row.price_micros is None:
        return SumRow(row.key, f"{qty}, price not known", 0, 0 if whole.rate else None)
    micros = line_micros(row.qty, row.price_micros, row.per_qty)
    per = "" if row.per_qty == 1 else f" for {show_quantity(row.per_qty, Unit(row.unit))}"
    if not whole.rate:
        return SumRow(row.key, f"{qty} at {show_price(row.price_micros, own)} {own}{per}", micros, None)
    price = stated(row.price_micros, whole.rate, whole.currency)
    said = f"{qty} at {show_price(price, whole.currency)} {whole.currency}{per}"
    return SumRow(row.key, said, micros, line_micros(row.qty, price, row.per_qty))


def foreign(micros: int, whole: OrderSum) -> int | None:
    """Money of an order in the supplier's currency; None where that is the workshop's, or has no rate."""
    return stated(micros, whole.rate, whole.currency) if whole.rate else None


def basis_said(whole: OrderSum) -> str:
    """Where the terms of a sum come from."""
    if whole.basis == WRITTEN and whole.state != "drafted":
        return f"as written down{f' on {whole.placed_on}' if whole.placed_on else ''}"
    return whole.basis


def sum_said(whole: OrderSum, own: str, foreign_total: int | None = None) -> str:
    """ "Order QS-9, drafted: goods 12.00, discount -0.50, postage 4.90: 16.40 EUR by the terms of today."""
    said = [f"goods {show_money(whole.goods_micros, own)}"]
    for word, micros in (
        ("discount", -whole.discount_micros),
        ("postage", whole.shipping_micros),
        ("tax", whole.tax_micros),
    ):
        said += [f"{word} {show_money(micros, own)}"] if micros else []
    total = f"{show_money(whole.total_micros, own)} {own}"
    if foreign_total is not None:
        total += f", {show_money(foreign_total, whole.currency)} {whole.currency} at {whole.rate}"
    more = "; postage and tax not known" if whole.basis == GOODS_ONLY else ""
    if whole.unpriced:
        more += f"; {whole.unpriced} without a price"
    return f"Order {whole.ref}, {whole.state}: {', '.join(said)}: {total}{more}."
