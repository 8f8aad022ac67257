"""On what terms a supplier sells, what foreign currencies are worth, and how many of a part are always to be there."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.offers import STANDINGS, read_foreign
from buildbook.actions.reading import read_count, read_one_of, read_qty
from buildbook.actions.rows import change, put, remove, the
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import Work, action
from buildbook.store.read.naming import find_part, find_supplier
from buildbook.store.tables import CurrencyRate, Part, Supplier, SupplierStep
from buildbook.store.workshop import Workshop
from buildbook.trade.money import DEFAULT_CURRENCY, read_money
from buildbook.trade.plain import clean
from buildbook.trade.terms import Steps, read_discount, read_percent, read_rate, read_shipping
from buildbook.trade.units import Unit, read_quantity


def set_terms(
    shop: Workshop,
    supplier: str,
    *,
    currency: str | None = None,
    least: str | None = None,
    shipping: str | None = None,
    discount: str | None = None,
    tax: str | None = None,
    tax_on_shipping: bool | None = None,
    lead_days: int | str | None = None,
    standing: str | None = None,
) -> str:
    """Change what is given of a supplier's terms, as the trade writes them, and return the supplier's code.

    Money is read in the supplier's currency, new or kept: changing it alone is refused while there are amounts in the
    other. Nothing in `lead_days` says that they are not known. Raises BadInput for terms that are not understood.
    """
    known = find_supplier(shop, supplier)
    with action(shop, f"Terms of {known.code}") as work:
        row = the(work, Supplier, known.id)
        code = row.currency if currency is None else read_currency(shop, currency)
        if code != row.currency and _has_money(work, row):
            raise Forbidden(
                f"The currency of {known.code} was not changed.",
                "Amounts in the other are written down.",
                "Set least order and shipping to nothing first.",
            )
        row.currency = code
        spelled = code or workshop_currency(shop)
        change(
            row,
            least_micros=None if least is None else read_money(least or "0", spelled),
            tax_bp=None if tax is None else read_percent(tax or "0"),
            tax_on_shipping=None if tax_on_shipping is None else int(tax_on_shipping),
            standing=None if standing is None else read_one_of(standing, STANDINGS, "standing"),
        )
        if lead_days is not None:
            row.lead_days = None if lead_days == "" else read_count(int(lead_days), "days", least=0, most=3660)
        if shipping is not None:
            asked = read_shipping(shipping, spelled)
            row.shipping_micros, row.free_from_micros = asked.flat_micros, asked.free_from_micros
            _put_steps(work, known.id, "shipping", asked.steps)
        if discount is not None:
            _put_steps(work, known.id, "discount", read_discount(discount, spelled))
    return known.code


def _has_money(work: Work, row: Supplier) -> bool:
    steps = work.exec(select(func.count()).where(col(SupplierStep.supplier_id) == row.id)).one()
    return bool(row.least_micros or row.shipping_micros or row.free_from_micros or steps)


def _put_steps(work: Work, supplier: int, kind: str, steps: Steps) -> None:
    """Put the steps of a supplier's terms in the place of those before."""
    own = select(SupplierStep).where(col(SupplierStep.supplier_id) == supplier, col(SupplierStep.kind) == kind)
    for old in work.exec(own).all():
        remove(work, old)
    work.flush()
    rows = [{"supplier_id": supplier, "kind": kind, "from_micros": start, "amount": amount} for start, amount in steps]
    work.insert_many(SupplierStep, rows)


def workshop_currency(shop: Workshop) -> str:
    """The currency in which the workshop reckons."""
    row = shop.reads.execute("SELECT value FROM setting WHERE key = 'currency'").fetchone()
    return row[0] if row else DEFAULT_CURRENCY


def read_currency(shop: Workshop, text: str) -> str:
    """A code of ISO 4217; nothing for that of the workshop."""
    code = read_foreign(text)
    return "" if code == workshop_currency(shop) else code


def set_rate(shop: Workshop, currency: str, rate: str) -> str:
    """Write down what one unit of a foreign currency is worth in the workshop's, and return the rate as kept.

    Nothing given takes the rate away. Raises BadInput for the workshop's own currency, and a rate not above nought.
    """
    code = read_currency(shop, currency)
    if not code:
        raise BadInput("The rate was not set.", "That is the workshop's own currency.", "Name a foreign one.")
    kept = read_rate(rate) if clean(rate) else ""
    with action(shop, f"Rate of {code}: {kept or 'none'}") as work:
        row = work.exec(select(CurrencyRate).where(col(CurrencyRate.code) == code)).first()
        if not kept:
            if row is None:
                raise BadInput(f"{code} has no rate.", "", "There is nothing to take away.")
            remove(work, row)
        elif row is None:
            put(work, CurrencyRate(code=code, rate=kept, set_on=work.at[:10]))
        else:
            row.rate, row.set_on = kept, work.at[:10]
    return kept


def keep_at_least(shop: Workshop, part: str, qty: int | str) -> str:
    """Say how many of a part are always to lie in the drawers, nought for none, and return the part's key."""
    known = find_part(shop, part)
    least = read_qty(qty, known.unit, least=0)
    with action(shop, f"Keep at least {least} of {known.key}") as work:
        the(work, Part, known.id).keep_qty = least
    return known.key


def read_prices(
    shop: Workshop, supplier: str, currency: str | None, prices: Sequence[str]
) -> tuple[tuple[int, int], ...]:
    """Prices as the trade writes them ("0.12", "0.10 from 25"), as pairs of a quantity and millionths.

    They are in the currency named, else in the supplier's. Raises BadInput for what is no price, and for a quantity
    that is named twice.
    """
    known = find_supplier(shop, supplier)
    row = shop.reads.execute("SELECT currency FROM supplier WHERE id = ?", (known.id,)).fetchone()
    spelled = read_foreign(currency or "") or row[0] or workshop_currency(shop)
    found: dict[int, int] = {}
    for text in prices:
        amount, _, start = text.partition(" from ")
        from_qty = read_quantity(start, Unit.PC) if start.strip() else 1
        if from_qty in found:
            raise BadInput("The prices were not taken.", f"Two are given from {from_qty} on.", "Give one for each.")
        found[from_qty] = read_money(amount, spelled)
    return tuple(sorted(found.items()))
