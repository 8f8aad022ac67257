"""What suppliers offer: a whole price list at once, or one offer by itself."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, Literal, NamedTuple

from sqlmodel import select

from buildbook.actions.incoming import NOTHING, NewPart, Remembered, make_parts, named_parts, remember
from buildbook.actions.reading import read_count, read_day, read_one_of, read_text
from buildbook.actions.rows import put, remove, seek
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput
from buildbook.store.journal import Work, action, table_of
from buildbook.store.read.naming import find_part, find_supplier
from buildbook.store.tables import Offer, OfferBreak, PricePast
from buildbook.store.workshop import Workshop
from buildbook.trade.money import minor_decimals
from buildbook.trade.plain import clean, fold, quote

MOST = 10**12
STANDINGS = ("", "preferred", "banned")
# Index: the unique one of offer_break (offer first).
BREAKS = "SELECT id, offer_id, from_qty FROM offer_break WHERE offer_id IN (SELECT value FROM json_each(?))"

_Key = tuple[int, str, int]


class OfferRow(NamedTuple):
    """One row of a price list.

    `breaks` are pairs of an ordered quantity and the price, from there on for all of it, of `per_qty` base units in
    millionths. Packs hold `pack_qty` base units, no fewer than `min_qty` are sold, and only multiples of
    `multiple_qty`. Without a `currency`, that of the supplier is meant; `standing` is "", "preferred" or "banned".
    """

    supplier: str
    part: str
    order_code: str
    breaks: tuple[tuple[int, int], ...]
    per_qty: int = 1
    pack_qty: int = 1
    min_qty: int = 1
    lead_days: int | None = None
    valid_until: str = ""
    note: str = ""
    currency: str = ""
    standing: str = ""
    multiple_qty: int | None = None
    seen_qty: int | None = None
    seen_on: str = ""


class Offered(NamedTuple):
    """What a price list did: parts made, offers that are new, changed and the same as before."""

    parts: int
    new: int
    changed: int
    same: int


def set_offers(
    shop: Workshop,
    rows: Sequence[OfferRow],
    *,
    new_parts: Sequence[NewPart] = (),
    title: str = "",
    remembered: Remembered = NOTHING,
    keep: Collection[str] = (),
    gone: Sequence[tuple[str, str, str]] = (),
) -> Offered:
    """Take in a price list: an offer of the same supplier, order code and part is replaced, others are added.

    The fields named in `keep` stay as they are in an offer that is known. The offers in `gone`, by supplier, part and
    order code, are taken away; their prices are kept as prices that were.
    Raises BadInput for an unknown supplier or part, and for a row without a price.
    """
    suppliers = {fold(row.supplier): find_supplier(shop, row.supplier).id for row in _one_each(rows)}
    with action(shop, clean(title) or f"Take in a price list of {len(rows)} rows") as work:
        made = make_parts(work, new_parts)
        remember(work, remembered)
        parts = named_parts(shop, (row.part for row in rows), new_parts, made, remembered)
        wanted: dict[_Key, tuple[dict[str, Any], dict[int, int]]] = {}
        for row in rows:
            fields = _fields(row, suppliers[fold(row.supplier)], parts[fold(row.part)].id)
            wanted[fields["supplier_id"], fields["order_code"], fields["part_id"]] = fields, _breaks(row)
        known = _known(work, set(suppliers.values()))
        for key in wanted.keys() & known.keys():
            wanted[key][0].update({name: known[key][1][name] for name in keep})
        changed = {known[key][0]: one for key, one in wanted.items() if key in known and known[key][1:] != one}
        _keep_old(work, (known[key][1:] for key in wanted if key in known and known[key][0] in changed), changed)
        _replace(work, changed)
        new = [one for key, one in wanted.items() if key not in known]
        numbers = work.insert_many(Offer, [fields for fields, _ in new])
        _insert_breaks(work, zip(numbers, (prices for _, prices in new), strict=True))
        _take_away(shop, work, gone)
    return Offered(len(made), len(new), len(changed), len(wanted) - len(new) - len(changed))


def set_offer(
    shop: Workshop,
    supplier: str,
    part: str,
    order_code: str = "",
    *,
    breaks: Sequence[tuple[int, int]] | None = None,
    per_qty: int | None = None,
    pack_qty: int | None = None,
    min_qty: int | None = None,
    lead_days: int | Literal[""] | None = None,
    valid_until: str | None = None,
    note: str | None = None,
    currency: str | None = None,
    standing: str | None = None,
    multiple_qty: int | None = None,
    seen_qty: int | None = None,
    expected: Mapping[str, Any] | None = None,
) -> int:
    """Change what is given of one offer, or write down a new one, and return its number.

    The fields are those of OfferRow; `lead_days` of "" says that they are not known. Raises BadInput for a new offer
    without a price, and Stale when it is not as `expected` (nothing expected of an offer that is new).
    """
    seller, known = find_supplier(shop, supplier), find_part(shop, part)
    code = clean(order_code)
    called = f"the offer of {known.key} by {seller.code}"
    given: dict[str, Any] = {
        "per_qty": per_qty,
        "pack_qty": pack_qty,
        "min_qty": min_qty,
        "valid_until": valid_until,
        "note": note,
        "currency": currency,
        "standing": standing,
        "multiple_qty": multiple_qty,
        "seen_qty": seen_qty,
    }
    with action(shop, f"Set {called}") as work:
        row = seek(work, Offer, supplier_id=seller.id, order_code=code, part_id=known.id)
        before = _row_of(work, row, seller.code, known.key) if row else OfferRow(seller.code, known.key, code, ())
        refuse_stale(f"T{called[1:]}", before._asdict(), expected)
        after = before._replace(**{name: value for name, value in given.items() if value is not None})
        if lead_days is not None:
            after = after._replace(lead_days=None if lead_days == "" else lead_days)
        if seen_qty is not None:
            after = after._replace(seen_on=work.at[:10])
        if breaks is not None:
            after = after._replace(breaks=tuple(breaks))
        fields, prices = _fields(after, seller.id, known.id), _breaks(after)
        number = row.id if row and row.id else put(work, Offer(**fields))
        if row:
            old = _fields(before, seller.id, known.id), dict(before.breaks)
            _keep_old(work, [old], {number: (fields, prices)})
        _replace(work, {number: (fields, prices)})
    return number


def _take_away(shop: Workshop, work: Work, gone: Sequence[tuple[str, str, str]]) -> None:
    """Take offers away, by supplier, part and order code; what they asked is kept."""
    for supplier, part, code in gone:
        seller, known = find_supplier(shop, supplier), find_part(shop, part)
        row = seek(work, Offer, supplier_id=seller.id, order_code=code, part_id=known.id)
        if row:
            before = _row_of(work, row, seller.code, known.key)
            _keep_old(work, [(_fields(before, seller.id, known.id), dict(before.breaks))], {})
            remove_offer(work, row)


def _keep_old(
    work: Work,
    before: Iterable[tuple[Mapping[str, Any], Mapping[int, int]]],
    after: Mapping[int, tuple[Mapping[str, Any], Mapping[int, int]]],
) -> None:
    """Keep the prices of offers, fields and breaks, that are not what they were any more from today on."""
    now = {_priced(*one) for one in after.values()}
    rows = [
        {
            **{name: fields[name] for name in ("part_id", "supplier_id", "order_code", "currency", "per_qty")},
            "until": work.at[:10],
            "from_qty": from_qty,
            "price_micros": price,
        }
        for fields, prices in before
        if _priced(fields, prices) not in now
        for from_qty, price in prices.items()
    ]
    work.insert_many(PricePast, rows)


def _priced(fields: Mapping[str, Any], prices: Mapping[int, int]) -> tuple[Any, ...]:
    """Whose offer it is, and what it asks."""
    kept = (fields[name] for name in ("supplier_id", "part_id", "order_code", "currency", "per_qty"))
    return *kept, *sorted(prices.items())


def _row_of(work: Work, row: Offer, supplier: str, part: str) -> OfferRow:
    """An offer as it stands, its prices by quantity."""
    statement = "SELECT from_qty, price_micros FROM offer_break WHERE offer_id = ? ORDER BY from_qty"
    breaks = tuple((one[0], one[1]) for one in work.run(statement, (row.id,)))
    fields = row.model_dump(include=set(OfferRow._fields))
    return OfferRow(supplier, part, breaks=breaks, **fields)


def drop_offer(shop: Workshop, supplier: str, part: str, order_code: str = "") -> None:
    """Take an offer away, with its prices."""
    seller, known = find_supplier(shop, supplier), find_part(shop, part)
    with action(shop, f"Take the offer of {known.key} by {seller.code} away") as work:
        row = seek(work, Offer, supplier_id=seller.id, order_code=clean(order_code), part_id=known.id)
        if row is None:
            code = f" under {quote(order_code)}" if order_code else ""
            raise BadInput(f"{seller.code} offers no {known.key}{code}.", "", "See `buildbook buying offers`.")
        remove_offer(work, row)


def remove_offer(work: Work, offer: Offer) -> None:
    """Take an offer away, with its prices."""
    prices = [row[0] for row in work.run("SELECT id FROM offer_break WHERE offer_id = ?", (offer.id,))]
    work.change_many(OfferBreak, dict.fromkeys(prices))
    remove(work, offer)


def _one_each(rows: Sequence[OfferRow]) -> list[OfferRow]:
    """One row of each supplier."""
    return list({fold(row.supplier): row for row in rows}.values())


def _fields(row: OfferRow, supplier: int, part: int) -> dict[str, Any]:
    return {
        "supplier_id": supplier,
        "part_id": part,
        "order_code": clean(row.order_code),
        "per_qty": read_count(row.per_qty, "to a price", most=MOST),
        "pack_qty": read_count(row.pack_qty, "in a pack", most=MOST),
        "min_qty": read_count(row.min_qty, "at least", most=MOST),
        "lead_days": None if row.lead_days is None else read_count(row.lead_days, "days", least=0, most=3660),
        "valid_until": read_day(row.valid_until),
        "note": read_text(row.note, "note"),
        "currency": read_foreign(row.currency),
        "standing": read_one_of(row.standing, STANDINGS, "standing"),
        "multiple_qty": None if row.multiple_qty is None else read_count(row.multiple_qty, "at a time", most=MOST),
        "seen_qty": None if row.seen_qty is None else read_count(row.seen_qty, "in stock", least=0, most=MOST),
        "seen_on": read_day(row.seen_on),
    }


def read_foreign(text: str) -> str:
    """A code of ISO 4217, or nothing."""
    code = clean(text).upper()
    if code:
        minor_decimals(code)
    return code


def _breaks(row: OfferRow) -> dict[int, int]:
    breaks = dict(row.breaks)
    if not breaks or len(breaks) < len(row.breaks) or min(breaks) < 1 or min(breaks.values()) < 0:
        raise BadInput(
            f"The offer {clean(row.order_code) or clean(row.part)} was not taken.",
            "It has no price, one below nothing, or two for one quantity.",
            "Give one price for each quantity, from 1 up.",
        )
    return breaks


def _known(work: Work, suppliers: set[int]) -> dict[_Key, tuple[int, dict[str, Any], dict[int, int]]]:
    """The offers of these suppliers: number, fields and prices."""
    offers, prices = table_of(Offer), table_of(OfferBreak)
    found: dict[int, tuple[int, dict[str, Any], dict[int, int]]] = {}
    for row in work.execute(offers.select().where(offers.c.supplier_id.in_(suppliers))).mappings():
        fields = {name: row[name] for name in ("supplier_id", "part_id", *OfferRow._fields) if name in row}
        found[row["id"]] = row["id"], fields, {}
    both = select(prices.c.offer_id, prices.c.from_qty, prices.c.price_micros).join(offers)
    for offer, from_qty, price in work.execute(both.where(offers.c.supplier_id.in_(suppliers))):
        found[offer][2][from_qty] = price
    return {(one[1]["supplier_id"], one[1]["order_code"], one[1]["part_id"]): one for one in found.values()}


def _replace(work: Work, changed: dict[int, tuple[dict[str, Any], dict[int, int]]]) -> None:
    """Bring offers, by number, to what their rows say, and their prices with them."""
    work.change_many(Offer, {number: fields for number, (fields, _) in changed.items()})
    left = {number: dict(breaks) for number, (_, breaks) in changed.items()}
    new: dict[int, dict[str, int] | None] = {}
    for number, offer, from_qty in work.run(BREAKS, (json.dumps(list(changed)),)):
        micros = left[offer].pop(from_qty, None)
        new[number] = None if micros is None else {"price_micros": micros}
    work.change_many(OfferBreak, new)
    _insert_breaks(work, left.items())


def _insert_breaks(work: Work, breaks: Iterable[tuple[int, Mapping[int, int]]]) -> None:
    rows = [
        {"offer_id": number, "from_qty": from_qty, "price_micros": price}
        for number, prices in breaks
        for from_qty, price in prices.items()
    ]
    work.insert_many(OfferBreak, rows)
