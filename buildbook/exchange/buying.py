"""Price lists in, and orders in: what suppliers offer for how much, and what has been ordered from them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.answers.form import count_of
from buildbook.answers.offered import OfferOf, all_offers
from buildbook.answers.suppliers import suppliers
from buildbook.errors import BadInput
from buildbook.exchange.described import Described
from buildbook.exchange.gathering import Asked, Gathering, Plan, keeping_all, refuse_unsettled, skipped
from buildbook.exchange.headings import Columns
from buildbook.exchange.offer_terms import Money, one_currency, read_currency, read_seen, read_standing
from buildbook.exchange.prices import is_money, read_basis, read_price
from buildbook.trade.money import show_price
from buildbook.trade.plain import fold, quote
from buildbook.trade.units import LARGEST_QTY, Unit, read_minutes

if TYPE_CHECKING:
    from buildbook.actions.buying import OrderLine
    from buildbook.actions.incoming import Remembered
    from buildbook.actions.offers import OfferRow
    from buildbook.actions.workshop import Workshop

OFFERS, ORDER = "price list", "order list"
# Fields of an offer that stay as they are when the list has no such column.
SAID = {"standing": ("standing",), "multiple": ("multiple_qty",), "seen": ("seen_qty", "seen_on")}
MOST_LEAD_DAYS = 1000
MINUTES_OF_DAY = 24 * 60
_LATEST = re.compile(r"^.*[0-9]\s*[-–]\s*(?=[0-9])")
_DAY = re.compile(r"(?P<year>[0-9]{4})-(?P<month>[0-9]{2})-(?P<day>[0-9]{2})(?:[T ][0-9:.]+)?")
_DAY_DOTTED = re.compile(r"(?P<day>[0-9]{1,2})\.\s?(?P<month>[0-9]{1,2})\.\s?(?P<year>[0-9]{4})")


@dataclass(frozen=True, slots=True)
class PreparedOffers:
    """A plan together with what applying it needs: offers that the list lacks, and fields that it does not speak of."""

    path: Path
    plan: Plan
    offers: tuple[OfferRow, ...]
    remembered: Remembered
    gone: tuple[OfferOf, ...] = ()
    silent: tuple[str, ...] = ()


@keeping_all()
def prepare_offers(
    shop: Workshop,
    path: Path,
    supplier: str = "",
    asked: Asked = Asked(),  # noqa: B008 (frozen)
    *,
    whole: bool = False,
) -> PreparedOffers:
    """Understand a price list and work out what taking it in would do; all of `supplier`, unless a column names others.

    Prices stand in one column each (`1+`, `10+`, `100+`), or in rows of the same order code with the quantity from
    which they count. A `whole` list is all that its suppliers offer: what it lacks is offered no more. Raises BadInput
    when the file is no list.
    """
    gathering = Gathering.begin(shop, path, OFFERS, asked, supplier)
    one_currency(gathering)
    money = Money(gathering.currency, {fold(row.code): row.currency for row in suppliers(shop).rows})
    found: dict[tuple[str, str, str], OfferRow] = {}
    for row, cells in gathering.listed.rows:
        offer = read_offer(gathering, row, cells, supplier, money)
        if offer is None:
            continue
        key = (offer.supplier.casefold(), offer.order_code, offer.part)
        had = found.get(key)
        if had is None:
            found[key] = offer
        elif (once := had._replace(breaks=offer.breaks, note=offer.note)) != offer:
            gathering.fault(row, "order code", f"{called(offer)} has another pack, minimum or date in an earlier row.")
        elif {qty for qty, _ in had.breaks} & {qty for qty, _ in once.breaks}:
            gathering.fault(row, "order code", f"{called(offer)} has a price for that quantity in an earlier row.")
        else:
            found[key] = had._replace(breaks=tuple(sorted(had.breaks + offer.breaks)))
    today = shop.now()[:10]
    offers = tuple(offer if offer.seen_qty is None else offer._replace(seen_on=today) for offer in found.values())
    gone = missing(shop, offers, supplier) if whole else ()
    changes = [f"{called(offer)}, {offer.part}: {change_said(offer, money)}" for offer in offers]
    changes += [f"{offer.supplier} {offer.order_code}".strip() + f", {offer.key}: not in the list" for offer in gone]
    plan = gathering.plan("the offers", count_of(len(offers), "offer"), changes)
    silent = tuple(
        name for word, names in SAID.items() if word not in gathering.listed.columns.places for name in names
    )
    return PreparedOffers(path, plan, offers, gathering.remembered(), gone, silent)


def called(offer: OfferRow) -> str:
    """How an offer is named to people."""
    return f"{offer.supplier} {offer.order_code}".strip()


def missing(shop: Workshop, offers: Sequence[OfferRow], supplier: str) -> tuple[OfferOf, ...]:
    """The offers of the suppliers of a whole list, or of the one it is from, that are not in it."""
    sellers = {fold(offer.supplier) for offer in offers} | ({fold(supplier)} if supplier else set())
    there = {(fold(offer.supplier), offer.order_code, fold(offer.part)) for offer in offers}
    return tuple(
        offer
        for offer in all_offers(shop)
        if fold(offer.supplier) in sellers and (fold(offer.supplier), offer.order_code, fold(offer.key)) not in there
    )


def gets_dearer(offer: OfferRow) -> bool:
    """Whether a price does not fall as more is ordered."""
    return any(later >= former for (_, former), (_, later) in pairwise(offer.breaks))


def change_said(offer: OfferRow, money: Money) -> str:
    """What an offer asks, in which currency where that is not the workshop's, and whether it gets no cheaper."""
    currency = offer.currency or money.of(offer.supplier)
    said = prices_of(offer, currency) + (f" {currency}" if currency != money.own else "")
    return said + ("; the price does not fall for more" if gets_dearer(offer) else "")


def prices_of(offer: OfferRow, currency: str) -> str:
    """The prices of an offer in short: "0.05 from 1, 0.04 from 10"."""
    return ", ".join(f"{show_price(price, currency)} from {qty}" for qty, price in offer.breaks)


def read_offer(gathering: Gathering, row: int, cells: Sequence[str], supplier: str, money: Money) -> OfferRow | None:
    """One row of a price list; None when it has no price or is skipped, or (with faults) cannot be read."""
    from buildbook.actions.offers import OfferRow

    columns = gathering.listed.columns
    before = len(gathering.faults)
    said = gathering.described(row, cells)
    note = gathering.note(row, cells)
    if said is None:
        return None
    seller = columns.cell(cells, "supplier") or supplier
    if not any(is_price(cells[place]) for place in price_places(columns)):
        gathering.left_out(row, seller, said.asked, "no price, left out")
        return None
    if not seller:
        gathering.fault(row, "supplier", "It names no supplier (--supplier names one for the whole list).")
    currency = read_currency(gathering, row, cells, seller, money)
    part = gathering.part(row, said, seller, said.order_code)
    if part is None:
        return None
    pack = count(gathering, row, cells, "pack", part)
    least = count(gathering, row, cells, "minimum", part)
    multiple = count(gathering, row, cells, "multiple", part)
    breaks, per_qty = read_breaks(gathering, row, cells, part, pack, currency)
    standing = read_standing(gathering, row, columns.cell(cells, "standing"))
    seen = read_seen(gathering, row, columns.cell(cells, "seen"), part)
    lead = read_lead(gathering, row, columns.cell(cells, "lead days"))
    until = read_until(gathering, row, columns.cell(cells, "valid until"))
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
        note=note,
        currency="" if currency == money.of(seller) else currency,
        standing=standing,
        multiple_qty=multiple,
        seen_qty=seen,
    )


def count(gathering: Gathering, row: int, cells: Sequence[str], word: str, part: int) -> int | None:
    """A quantity of one or more under one of our words; None when there is none, or (with a fault) when it is wrong."""
    text = gathering.listed.columns.cell(cells, word)
    qty = gathering.quantity(row, word, text, part) if text else None
    if qty == 0:
        gathering.fault(row, word, "It must be one or more.")
        return None
    return qty


def price_places(columns: Columns) -> list[int]:
    """The columns in which prices stand."""
    return [*columns.breaks.values(), *(columns.places[word] for word in ("price",) if word in columns.places)]


def is_price(text: str) -> bool:
    """Whether a cell is meant to hold a price, not "on request" or a dash."""
    return any(letter.isdigit() for letter in text)


def read_breaks(
    gathering: Gathering, row: int, cells: Sequence[str], part: int, pack: int | None, currency: str
) -> tuple[tuple[tuple[int, int], ...], int]:
    """The prices of a row by the quantity from which they count, and the quantity that they are for."""
    columns, unit = gathering.listed.columns, gathering.unit(part)
    texts = {qty: cells[place] for qty, place in columns.breaks.items() if is_price(cells[place])}
    start, text = columns.cell(cells, "from").rstrip("+ "), columns.cell(cells, "price")
    if is_price(text):
        first = gathering.quantity(row, "from", start, part) if start else 1
        texts.setdefault(first or 1, text)
    basis = columns.cell(cells, "price per")
    prices = {}
    for qty, text in texts.items():
        price = read_price(gathering, row, "price", text, currency)
        if price is not None:
            prices[qty] = price[0]
            basis = price[1] or basis
    per_qty = (read_basis(gathering, row, basis, unit, pack) if prices else None) or 1
    # At a price a metre, 10+ means 10 m and more; 1+ means any length.
    bare = unit is not Unit.PC and not start.rstrip("0123456789")
    breaks = {qty * per_qty if bare and qty > 1 else qty: price for qty, price in prices.items()}
    if any(qty > LARGEST_QTY for qty in breaks):
        gathering.fault(row, "from", "No such quantity can be ordered.")
    return tuple(sorted(breaks.items())), per_qty


def read_lead(gathering: Gathering, row: int, text: str) -> int | None:
    """Days from order to delivery: `14`, `14 days`, `2 weeks`; of a range such as `3-5 days` the longest."""
    if not text:
        return None
    plain = _LATEST.sub("", text)
    try:
        days = int(plain[:6]) if plain.isdecimal() else read_minutes(plain) // MINUTES_OF_DAY
    except BadInput:
        days = -1
    if not 0 <= days <= MOST_LEAD_DAYS:
        gathering.fault(row, "lead days", f"{quote(text)} is no number of days.")
        return None
    return days


def read_until(gathering: Gathering, row: int, text: str) -> str:
    """The last day of an offer, as an ISO 8601 date; 30.6.2027 is understood as well."""
    if not text:
        return ""
    found = _DAY.fullmatch(text) or _DAY_DOTTED.fullmatch(text)
    with suppress(ValueError):  # the 31st of June
        if found:
            return date(int(found["year"]), int(found["month"]), int(found["day"])).isoformat()
    gathering.fault(row, "valid until", f"{quote(text)} is no day such as 2027-03-14.")
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
        keep=prepared.silent,
        gone=[(one.supplier, one.key, one.order_code) for one in prepared.gone],
    )
    dearer = sum(map(gets_dearer, prepared.offers))
    more = f", {count_of(len(prepared.gone), 'offer')} taken away" if prepared.gone else ""
    more += f"; the price of {count_of(dearer, 'offer')} does not fall for more" if dearer else ""
    return (
        f"Took in {prepared.path.name}: {count_of(done.new, 'new offer')}, {done.changed} changed, "
        f"{done.same} the same, {count_of(done.parts, 'new part')}{skipped(prepared.plan)}{more}."
    )


# --- orders ----------------------------------------------------------------------------------------------------------


def read_order(shop: Workshop, path: Path, supplier: str, asked: Asked = Asked()) -> tuple[OrderLine, ...]:  # noqa: B008
    """The rows of an order list for one supplier, such as `buying export` writes; rows of other suppliers are left out.

    Raises BadInput for the first row at fault or not understood, and when nothing is left.
    """
    from buildbook.actions.buying import OrderLine

    gathering = Gathering.begin(shop, path, ORDER, asked, supplier)
    columns = gathering.listed.columns
    lines = []
    for row, cells in gathering.listed.rows:
        seller = columns.cell(cells, "supplier")
        if seller and seller.casefold() != supplier.casefold():
            continue
        said = gathering.described(row, cells)
        part = gathering.part(row, said, supplier, columns.cell(cells, "qty")) if said else None
        if said is None or part is None:
            continue
        priced = read_ordered(gathering, row, cells, said, part)
        if priced is not None:
            lines.append(OrderLine(gathering.matching.key_of(part), *priced, order_code=said.order_code))
    plan = gathering.plan("an order")
    if plan.settled and not lines:
        raise BadInput(
            f"{quote(path.name, limit=80)} orders nothing from {quote(supplier)}.",
            "",
            "Check the name of the supplier.",
        )
    refuse_unsettled(path, plan)
    return tuple(lines)


def read_ordered(
    gathering: Gathering, row: int, cells: Sequence[str], said: Described, part: int
) -> tuple[int, int | None, int] | None:
    """Quantity, price and what the price is for; None, and a fault, when they cannot be read."""
    columns = gathering.listed.columns
    qty = count(gathering, row, cells, "qty", part)
    if qty is None:
        if not columns.cell(cells, "qty"):
            gathering.fault(row, "qty", f"{quote(said.asked)} has no quantity.")
        return None
    text, stated = columns.cell(cells, "price"), columns.cell(cells, "currency")
    if not text:
        return qty, None, 1
    if stated and not is_money(f"1 {stated}", gathering.currency):
        gathering.fault(
            row, "currency", f"The price is in {quote(stated)}, the workshop counts in {gathering.currency}."
        )
        return None
    price = read_price(gathering, row, "price", text)
    unit = gathering.unit(part)
    per_qty = read_basis(gathering, row, price[1] or columns.cell(cells, "price per"), unit) if price else None
    return None if price is None or per_qty is None else (qty, price[0], per_qty)
