"""Who sells, and on what terms; what foreign currencies are worth here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.offers import currency_of
from buildbook.store.read import order_plan as read
from buildbook.trade.money import show_money
from buildbook.trade.terms import Shipping, show_discount, show_shipping

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class SupplierLine:
    """A supplier's terms, in words and in figures; money in millionths of `currency`."""

    code: str
    name: str
    currency: str
    standing: str
    least_micros: int
    least: str
    shipping: str
    discount: str
    tax_bp: int
    tax_on_shipping: bool
    said: str
    lead_days: int | None = None


@dataclass(frozen=True, slots=True)
class Suppliers(Answer):
    """Every supplier by code, and the rate of each foreign currency."""

    SCHEMA: ClassVar[str] = "buildbook.suppliers/1"
    rows: tuple[SupplierLine, ...]
    rates: dict[str, str]


def suppliers(shop: Workshop) -> Suppliers:
    """Every supplier with its terms."""
    own, rates = currency_of(shop), read.rates(shop.reads)
    steps = read.steps(shop.reads)
    rows = tuple(_line(row, steps, row.currency or own) for row in read.suppliers(shop.reads).values())
    without = sorted({row.currency for row in rows if row.currency not in (own, *rates)})
    said = count_of(len(rows), "supplier") if rows else "No supplier is known yet"
    if without:
        said += f"; {join_words(without)} {'has' if len(without) == 1 else 'have'} no rate, so nothing is bought in it"
    return Suppliers(f"{said}.", rows, rates)


def _line(row: read.SupplierRow, steps: list[read.StepRow], currency: str) -> SupplierLine:
    own = {
        kind: tuple((one.from_micros, one.amount) for one in steps if (one.supplier, one.kind) == (row.id, kind))
        for kind in ("shipping", "discount")
    }
    shipping = show_shipping(Shipping(row.shipping_micros, own["shipping"], row.free_from_micros), currency)
    discount = show_discount(own["discount"], currency)
    least = show_money(row.least_micros, currency) if row.least_micros else ""
    told = [f"parcel {shipping}"] + ([f"least order {least}"] if least else [])
    told += [f"discount {discount}"] if discount else []
    told += [f"tax {row.tax_bp / 100:g} %{' also on shipping' if row.tax_on_shipping else ''}"] if row.tax_bp else []
    told += [count_of(row.lead_days, "day")] if row.lead_days is not None else []
    told += [row.standing] if row.standing else []
    return SupplierLine(
        code=row.code,
        name=row.name,
        currency=currency,
        standing=row.standing,
        least_micros=row.least_micros,
        least=least,
        shipping=shipping,
        discount=discount,
        tax_bp=row.tax_bp,
        tax_on_shipping=bool(row.tax_on_shipping),
        said=f"{', '.join(told)}; in {currency}",
        lead_days=row.lead_days,
    )
