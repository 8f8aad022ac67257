"""How a supplier deals, as it is written down in his currency, made into terms in the workshop's."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from buildbook.reckon.ordering.asked import WHOLE_BP, Step, Terms
from buildbook.reckon.ordering.bill import Bill
from buildbook.trade.figures import half_even
from buildbook.trade.rates import Rates

PREFERRED = "preferred"


class Dealing(Protocol):
    """What is written down of a supplier; money is in millionths of `currency`, "" for the workshop's."""

    @property
    def id(self) -> int:
        """His number."""

    @property
    def currency(self) -> str:
        """In which he is paid."""

    @property
    def standing(self) -> str:
        """Nothing, "preferred" or "banned"."""

    @property
    def least_micros(self) -> int:
        """The least order he takes."""

    @property
    def shipping_micros(self) -> int:
        """What a parcel costs below its first step."""

    @property
    def tax_bp(self) -> int:
        """Tax on the goods in 1/100 %."""

    @property
    def tax_on_shipping(self) -> int:
        """1 where shipping is taxed likewise."""

    @property
    def free_from_micros(self) -> int | None:
        """Goods of this worth are shipped for nothing."""


def terms_here(dealing: Dealing, steps: Iterable[tuple[str, int, int]], rates: Rates) -> Terms:
    """Terms in the workshop's currency; each step is its kind, from what worth, and its amount, by rising worth.

    Raises KeyError for a currency without a rate: ask `rates.known` before.

    >>> from types import SimpleNamespace
    >>> tern = SimpleNamespace(id=3, currency="GBP", standing="", least_micros=0, shipping_micros=8_000_000,
    ...     tax_bp=2000, tax_on_shipping=1, free_from_micros=None)
    >>> terms_here(tern, [("discount", 50_000_000, 300)], Rates("EUR", {"GBP": "1.16"})).discounts
    (Step(from_micros=58000000, amount=300),)
    """
    money, kinds = dealing.currency, dict[str, list[Step]](shipping=[], discount=[])
    for kind, from_micros, amount in steps:
        worth = rates.here(amount, money) if kind == "shipping" else amount
        kinds[kind].append(Step(rates.here(from_micros, money), worth))
    free = dealing.free_from_micros
    return Terms(
        dealing.id,
        rates.here(dealing.least_micros, money),
        rates.here(dealing.shipping_micros, money),
        tuple(kinds["shipping"]),
        None if free is None else rates.here(free, money),
        dealing.tax_bp,
        dealing.tax_bp if dealing.tax_on_shipping else 0,
        tuple(kinds["discount"]),
        preferred=dealing.standing == PREFERRED,
    )


def billed_so(
    terms: Terms, goods_micros: int, discount_micros: int, shipping_micros: int, tax_micros: int | None = None
) -> Bill:
    """The bill where discount and shipping are as said; the tax on them by the terms, unless that is said as well.

    >>> billed_so(Terms(1, goods_tax_bp=2000), 10_000_000, 1_000_000, 5_000_000).total_micros
    15800000
    """
    net = goods_micros - discount_micros
    if tax_micros is None:
        tax_micros = half_even(net * terms.goods_tax_bp + shipping_micros * terms.shipping_tax_bp, WHOLE_BP)
    total = net + shipping_micros + tax_micros
    return Bill(terms.supplier, goods_micros, discount_micros, shipping_micros, tax_micros, total)
