"""Price lists in, and orders in: what suppliers offer for how much, and what has been ordered from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.answers.form import count_of
from buildbook.answers.offers import currency_of
from buildbook.errors import BadInput
from buildbook.exchange.described import Described
from buildbook.exchange.gathering import Asked, Gathering, Plan, refuse_unsettled
from buildbook.exchange.prices import read_basis, read_price
from buildbook.trade.plain import clean
from buildbook.trade.units import Unit

if TYPE_CHECKING:
    from buildbook.actions.buying import OrderLine
    from buildbook.actions.incoming import Remembered
    from buildbook.actions.offers import OfferRow
    from buildbook.actions.workshop import Workshop

OFFERS, ORDER = "price list", "order list"
MOST_LEAD_DAYS = 1000


@dataclass(frozen=True, slots=True)
class PreparedOffers:
    """A plan together with what applying it needs."""

    path: Path
    plan: Plan
    offers: tuple[OfferRow, ...]
    remembered: Remembered


def prepare_offers(
    shop: Workshop,
    path: Path,
    supplier: str = "",
    asked: Asked = Asked(),  # noqa: B008 (frozen)
) -> PreparedOffers:
    """Understand a price list and work out what taking it in would do; all of `supplier`, unless a column names others.

    Prices stand in one column each (`1+`, `10+`, `100+`), or in rows of the same order code with the quantity from
    which they count. Raises BadInput when the file is no list.
    """
    gathering = Gathering.begin(shop, path, OFFERS, asked)
    currency = currency_of(shop)
    found: dict[tuple[str, str, str], OfferRow] = {}
    for row, cells in gathering.listed.rows:
        offer = read_offer(gathering, row, cells, supplier, currency)
        if offer is None:
            continue
        key = (offer.supplier.casefold(), offer.order_code, offer.part)
        had = found.get(key)
        if had is None:
            found[key] = offer
        elif {qty for qty, _ in had.breaks} & {qty for qty, _ in offer.breaks}:
            gathering.fault(
                row, "order code", f"{offer.order_code or offer.part} has this price in an earlier row already."
            )
        else:
            found[key] = had._replace(breaks=tuple(sorted(had.breaks + offer.breaks)))
    offers = tuple(found.values())
    changes = [f"offer {offer.part} from {offer.supplier}, {offer.order_code or 'no code'}" for offer in offers]
    plan = gathering.plan("the offers", [count_of(len(offers), "offer")], changes)
    return PreparedOffers(path, plan, offers, gathering.remembered())


def read_offer(gathering: Gathering, row: int, cells: Sequence[str], supplier: str, currency: str) -> OfferRow | None:
    """One row of a price list; None, and faults, when it cannot be read, or when a person has said to skip it."""
    from buildbook.actions.offers import OfferRow

    columns = gathering.listed.columns
    before = len(gathering.faults)
    said = gathering.described(row, cells)
    seller = clean(columns.cell(cells, "supplier")) or supplier
    if said is None:
        return None
    if not seller:
        gathering.fault(row, "supplier", "It names no supplier (--supplier names one for the whole list).")
    stated = columns.cell(cells, "currency").strip().upper()
    if stated and stated != currency:
        gathering.fault(row, "currency", f"The price is in {stated[:10]}, and the workshop counts in {currency}.")
    part = gathering.part(row, said, seller, said.order_code)
    if part is None:
        return None
    unit = gathering.unit(part)
    pack = count(gathering, row, cells, "pack", unit)
    least = count(gathering, row, cells, "minimum", unit)
    breaks, per_qty = read_breaks(gathering, row, cells, unit, pack, currency)
    lead = read_lead(gathering, row, columns.cell(cells, "lead days").strip())
    until = read_until(gathering, row, columns.cell(cells, "valid until").strip())
    if not breaks and len(gathering.faults) == before:
        gathering.fault(row, "price", "It has no price.")
    if len(gathering.faults) > before:
        return None
    return OfferRow(
        supplier=seller,
        part=gathering.matching.key_of(part),
        order_code=said.order_code,
        breaks=breaks,
        per_qty=per_qty,
        pack_qty=pack or 1,
        min_qty=least or 1,
        lead_days=lead,
        valid_until=until,
        note=said.note,
    )


def count(gathering: Gathering, row: int, cells: Sequence[str], word: str, unit: Unit) -> int | None:
    """A quantity of one or more under one of our words; None when there is none, or (with a fault) when it is wrong."""
    text = gathering.listed.columns.cell(cells, word).strip()
    qty = gathering.quantity(row, word, text, unit) if text else None
    if qty == 0:
        gathering.fault(row, word, "It must be one or more.")
        return None
    return qty


def read_breaks(
    gathering: Gathering, row: int, cells: Sequence[str], unit: Unit, pack: int | None, currency: str
) -> tuple[tuple[tuple[int, int], ...], int]:
    """The prices of a row by the quantity from which they count, and the quantity that they are for."""
    columns = gathering.listed.columns
    start = count(gathering, row, cells, "from", unit)
    texts = {qty: columns_text for qty, place in columns.breaks.items() if (columns_text := cells[place].strip())}
    if text := columns.cell(cells, "price").strip():
        texts.setdefault(start or 1, text)
    basis = columns.cell(cells, "price per")
    breaks = []
    for qty, text in sorted(texts.items()):
        price = read_price(gathering, row, "price", text, currency)
        if price is not None:
            breaks.append((qty, price[0]))
            basis = price[1] or basis
    per_qty = read_basis(gathering, row, basis, unit, pack) if breaks else 1
    return tuple(breaks), per_qty or 1


def read_lead(gathering: Gathering, row: int, text: str) -> int | None:
    """Days from order to delivery."""
    plain = text.casefold().removesuffix("days").removesuffix("day").removesuffix("d").strip()
    if not plain:
        return None
    if not (plain.isascii() and plain.isdigit() and int(plain[:6]) <= MOST_LEAD_DAYS):
        gathering.fault(row, "lead days", f"{text[:40]!r} is no number of days.")
        return None
    return int(plain)


def read_until(gathering: Gathering, row: int, text: str) -> str:
    """The last day of an offer, as an ISO 8601 date."""
    if not text:
        return ""
    try:
        return date.fromisoformat(text[:10]).isoformat()
    except ValueError:
        gathering.fault(row, "valid until", f"{text[:40]!r} is no day such as 2027-03-14.")
        return ""


def apply_offers(shop: Workshop, prepared: PreparedOffers) -> str:
    """Take the price list in, as one action; return what was done in a sentence.

    Raises BadInput while a row is at fault or a question is open.
    """
    from buildbook.actions.offers import set_offers

    refuse_unsettled(prepared.path, prepared.plan)
    done = set_offers(
        shop,
        prepared.offers,
        new_parts=prepared.plan.new_parts,
        title=f"Take in the price list {prepared.path.name}",
        remembered=prepared.remembered,
    )
    return (
        f"Took in {prepared.path.name}: {count_of(done.new, 'new offer')}, {done.changed} changed, "
        f"{done.same} the same, {count_of(done.parts, 'new part')}."
    )


# --- orders ----------------------------------------------------------------------------------------------------------


def read_order(shop: Workshop, path: Path, supplier: str, asked: Asked = Asked()) -> tuple[OrderLine, ...]:  # noqa: B008
    """The rows of an order list for one supplier, such as `buying export` writes; rows of other suppliers are left out.

    Raises BadInput for the first row at fault or not understood, and when nothing is left.
    """
    from buildbook.actions.buying import OrderLine

    gathering = Gathering.begin(shop, path, ORDER, asked)
    currency = currency_of(shop)
    columns = gathering.listed.columns
    lines = []
    for row, cells in gathering.listed.rows:
        seller = columns.cell(cells, "supplier").strip()
        if seller and seller.casefold() != supplier.casefold():
            continue
        said = gathering.described(row, cells)
        part = gathering.part(row, said, supplier, columns.cell(cells, "qty")) if said else None
        if said is None or part is None:
            continue
        priced = read_ordered(gathering, row, cells, said, part, currency)
        if priced is not None:
            lines.append(OrderLine(gathering.matching.key_of(part), *priced, order_code=said.order_code))
    refuse_unsettled(path, gathering.plan("an order", [], []))
    if not lines:
        raise BadInput(f"{path.name} orders nothing from {supplier}.", "", "Check the name of the supplier.")
    return tuple(lines)


def read_ordered(
    gathering: Gathering, row: int, cells: Sequence[str], said: Described, part: int, currency: str
) -> tuple[int, int | None, int] | None:
    """Quantity, price and what the price is for; None, and a fault, when they cannot be read."""
    columns = gathering.listed.columns
    unit = gathering.unit(part)
    qty = count(gathering, row, cells, "qty", unit)
    if qty is None:
        if not columns.cell(cells, "qty").strip():
            gathering.fault(row, "qty", f"{said.asked[:40]} has no quantity.")
        return None
    text = columns.cell(cells, "price").strip()
    if not text:
        return qty, None, 1
    price = read_price(gathering, row, "price", text, currency)
    per_qty = read_basis(gathering, row, price[1] or columns.cell(cells, "price per"), unit) if price else None
    return None if price is None or per_qty is None else (qty, price[0], per_qty)
