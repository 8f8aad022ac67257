"""What lies in the drawers: parts, bins, counts, receipts, moves, and what may stand in for what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.incoming import NOTHING, UNITS, NewPart, Remembered, make_parts, named_parts, read_key, remember
from buildbook.actions.reading import need_reason, read_kind, read_one_of, read_qty, read_text, read_value
from buildbook.actions.rows import change, put, remove, the
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput, Forbidden
from buildbook.store import ledger
from buildbook.store.journal import Work, action
from buildbook.store.ledger import Move
from buildbook.store.read import kitting
from buildbook.store.read.naming import PartNamed, find_bin, find_part
from buildbook.store.tables import Balance, Bin, Movement, Part, PartAlias, StandIn
from buildbook.store.workshop import Workshop
from buildbook.trade.area import read_area
from buildbook.trade.money import line_micros
from buildbook.trade.plain import clean, fold
from buildbook.trade.units import Unit, show_quantity


def new_part(
    shop: Workshop,
    key: str,
    *,
    kind: str = "other",
    name: str = "",
    value: str = "",
    package: str = "",
    maker: str = "",
    maker_number: str = "",
    unit: str = "pc",
    note: str = "",
    area: str = "",
) -> str:
    """Make a part and return its key. `unit` is what it is counted in: pc, mm, mg or ul.

    `area` is the room that it takes on a board: 7 x 5 mm, 35 mm2; empty where it is not known.
    """
    part = NewPart(key, kind, name, value, package, maker, maker_number, unit, note)
    named = read_key(key)
    with action(shop, f"New part {named}") as work:
        (made,) = make_parts(work, [part])
        if clean(area):
            the(work, Part, made).area_um2 = read_area(area)
    return named


def change_part(
    shop: Workshop,
    part: str,
    *,
    key: str | None = None,
    kind: str | None = None,
    name: str | None = None,
    value: str | None = None,
    package: str | None = None,
    maker: str | None = None,
    maker_number: str | None = None,
    unit: str | None = None,
    note: str | None = None,
    area: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> str:
    """Change what is given of a part; return its key. A former key stays as another name of it.

    Raises Forbidden when its unit would change although it has been counted or used.
    """
    known = find_part(shop, part)
    with action(shop, f"Change part {known.key}") as work:
        row = the(work, Part, known.id)
        refuse_stale(f"Part {known.key}", {**row.model_dump(), "value": row.value_text}, expected)
        if key is not None and read_key(key) != row.key:
            _rename(work, row, read_key(key))
        if unit is not None and read_one_of(unit, UNITS, "unit") != row.unit:
            _refuse_moved(work, row)
            row.unit = read_one_of(unit, UNITS, "unit")
        kept = row.kind if kind is None else read_kind(kind)
        if value is not None:
            row.value_text, row.value_si = read_value(value, kept)
        if area is not None:
            row.area_um2 = read_area(area) if clean(area) else None
        change(
            row,
            kind=kept,
            name=None if name is None else clean(name),
            package=None if package is None else clean(package),
            maker=None if maker is None else clean(maker),
            maker_number=None if maker_number is None else clean(maker_number),
            note=None if note is None else read_text(note, "note"),
        )
        return row.key


def _rename(work: Work, part: Part, key: str) -> None:
    former = part.key
    if fold(former) != fold(key):
        other = work.exec(select(Part).where(func.lower(Part.key) == fold(key))).first()
        alias = work.exec(select(PartAlias).where(col(PartAlias.alias) == fold(key))).first()
        if other or (alias and alias.part_id != part.id):
            raise BadInput(f"{former} was not renamed.", f"There is a part {key} already.", "Merge the two instead.")
        if alias:
            remove(work, alias)
        part.key = key
        work.flush()
        remember(work, Remembered(aliases={former: key}))
    part.key = key


def _refuse_moved(work: Work, part: Part) -> None:
    if work.exec(select(Movement.id).where(col(Movement.part_id) == part.id).limit(1)).first():
        raise Forbidden(
            f"The unit of {part.key} was not changed.",
            f"It has been counted in {part.unit}.",
            "Make another part for the other unit.",
        )


def new_bin(shop: Workshop, name: str, note: str = "") -> str:
    """Make a bin and return its name."""
    named = read_bin(name)
    with action(shop, f"New bin {named}") as work:
        if work.exec(select(Bin.id).where(func.lower(Bin.name) == fold(named))).first():
            raise BadInput(f"The bin {named} was not made.", "There is one already.", "Choose another name.")
        put(work, Bin(name=named, note=read_text(note, "note")))
    return named


def read_bin(name: str) -> str:
    """The name of a bin, cleaned."""
    plain = clean(name, limit=80, what="name of the bin")
    if not plain:
        raise BadInput("The bin has no name.", "", "Name it as it is labelled, such as A1.")
    return plain


def make_bins(work: Work, names: Sequence[str]) -> dict[str, int]:
    """Write the bins that are not there yet and return the numbers of all, by folded name."""
    known = {fold(name): number or 0 for number, name in work.exec(select(Bin.id, Bin.name))}
    new = {fold(name): read_bin(name) for name in reversed(names) if fold(name) not in known}
    in_order = dict(reversed(new.items()))
    numbers = work.insert_many(Bin, [{"name": name} for name in in_order.values()])
    return {**known, **dict(zip(in_order, numbers, strict=True))}


# --- movements -------------------------------------------------------------------------------------------------------


class Taken(NamedTuple):
    """What lay in a bin before and what lies there now, in base units."""

    part: str
    bin: str
    before: int
    after: int


def count(shop: Workshop, part: str, bin: str, qty: int | str, *, expected: Mapping[str, Any] | None = None) -> Taken:
    """Say what lies in a bin; the difference to what was thought is booked.

    `expected` may tell the quantity (`qty`, in base units) that was thought to lie there.
    """
    known, place = find_part(shop, part), find_bin(shop, bin)
    after = read_qty(qty, known.unit, least=0)
    with action(shop, f"Count {known.key} in {place.code}: {shown(after, known)}") as work:
        before = kitting.lying(shop.reads, known.id, place.id)
        refuse_stale(f"The count of {known.key} in {place.code}", {"qty": before}, expected, known.unit)
        if after != before:
            ledger.post(work, [Move("counted", known.id, place.id, after - before)])
    return Taken(known.key, place.code, before, after)


def receive(
    shop: Workshop,
    part: str,
    bin: str,
    qty: int | str,
    *,
    price_micros: int | None = None,
    per_qty: int = 1,
) -> Taken:
    """Put parts into a bin; `price_micros` is what `per_qty` base units of it cost, if known."""
    known, place = find_part(shop, part), find_bin(shop, bin)
    more = read_qty(qty, known.unit)
    value = worth(more, price_micros, per_qty)
    with action(shop, f"Receive {shown(more, known)} of {known.key} into {place.code}") as work:
        before = kitting.lying(shop.reads, known.id, place.id)
        ledger.post(work, [Move("received", known.id, place.id, more, value_micros=value)])
    return Taken(known.key, place.code, before, before + more)


def move(shop: Workshop, part: str, source: str, target: str, qty: int | str | None = None) -> Taken:
    """Move parts from one bin to another: so many, or all that lie there. Returns what lies in the target."""
    known, here, there = find_part(shop, part), find_bin(shop, source), find_bin(shop, target)
    if here == there:
        raise BadInput("Nothing was moved.", f"Both bins are {here.code}.", "Name another bin.")
    asked = None if qty is None else read_qty(qty, known.unit)
    with action(shop, f"Move {known.key} from {here.code} to {there.code}") as work:
        many = kitting.lying(shop.reads, known.id, here.id) if asked is None else asked
        if not many:
            raise Forbidden("Nothing was moved.", f"{here.code} holds no {known.key}.", "Count the bin.")
        before = kitting.lying(shop.reads, known.id, there.id)
        ledger.post(work, [Move("moved", known.id, here.id, -many), Move("moved", known.id, there.id, many)])
    return Taken(known.key, there.code, before, before + many)


def scrap(shop: Workshop, part: str, bin: str, qty: int | str, *, note: str = "") -> Taken:
    """Throw parts of a bin away."""
    known, place = find_part(shop, part), find_bin(shop, bin)
    many = read_qty(qty, known.unit)
    with action(shop, f"Scrap {shown(many, known)} of {known.key} from {place.code}") as work:
        before = kitting.lying(shop.reads, known.id, place.id)
        ledger.post(work, [Move("scrapped", known.id, place.id, -many, note=clean(note))])
    return Taken(known.key, place.code, before, before - many)


def shown(qty: int, part: PartNamed) -> str:
    """A quantity with its unit for the title of an action; pieces without."""
    return str(qty) if part.unit == "pc" else show_quantity(qty, Unit(part.unit))


def worth(qty: int, price_micros: int | None, per_qty: int) -> int | None:
    """What so many base units cost at a price for `per_qty` of them, in millionths, rounded half to even."""
    if price_micros is None:
        return None
    if price_micros < 0:
        raise BadInput("The price was not taken.", "It is less than nothing.", "Give another price.")
    return line_micros(qty, price_micros, per_qty)


class StockRow(NamedTuple):
    """One row of a stock list: what lies of a part in a bin, in base units, and its price if known."""

    part: str
    bin: str
    qty: int
    price_micros: int | None = None
    per_qty: int = 1


class StockTaken(NamedTuple):
    """What a stock list did: rows read, parts and bins made, counts that differed from what was thought."""

    rows: int
    parts: int
    bins: int
    changed: int


def stock_in(
    shop: Workshop,
    rows: Sequence[StockRow],
    *,
    new_parts: Sequence[NewPart] = (),
    title: str = "",
    remembered: Remembered = NOTHING,
) -> StockTaken:
    """Take a stock list as a count of all bins it names: make the new parts and bins, book what differs.

    Rows of the same part and bin are added up. What is more than was thought comes in at the row's price.
    """
    with action(shop, clean(title) or f"Take in a stock list of {len(rows)} rows") as work:
        made = make_parts(work, new_parts)
        remember(work, remembered)
        parts = named_parts(shop, (row.part for row in rows), new_parts, made, remembered)
        before = work.exec(select(func.count()).select_from(Bin)).one()
        bins = make_bins(work, [row.bin for row in rows])
        counted: dict[tuple[int, int], list[StockRow]] = {}
        for row in rows:
            counted.setdefault((parts[fold(row.part)].id, bins[fold(row.bin)]), []).append(row)
        lie = work.exec(select(Balance.part_id, Balance.bin_id, Balance.qty))
        known = {(part, place): qty for part, place, qty in lie}
        moves = [_counted(place, listed, known.get(place, 0)) for place, listed in counted.items()]
        changed = [one for one in moves if one.bin_qty]
        if changed:
            ledger.post(work, changed)
    return StockTaken(len(rows), len(made), len(bins) - before, len(changed))


def _counted(place: tuple[int, int], rows: Sequence[StockRow], before: int) -> Move:
    """The movement that makes the bin hold what its rows say, at the price of the last of them that has one."""
    more = sum(read_qty(row.qty, "pc", least=0) for row in rows) - before
    priced = next((row for row in reversed(rows) if row.price_micros is not None), None)
    value = worth(more, priced.price_micros, priced.per_qty) if priced and more > 0 else None
    return Move("counted", *place, more, value_micros=value)


# --- stand-ins -------------------------------------------------------------------------------------------------------


def allow_stand_in(shop: Workshop, part: str, alt: str, reason: str, *, rank: int | None = None) -> None:
    """Approve a part in the place of another, in this direction only; `rank` 1 is preferred, last when not given."""
    wanted, other = find_part(shop, part), find_part(shop, alt)
    why = need_reason(reason, "A stand-in")
    if wanted.id == other.id:
        raise Forbidden(f"{other.key} cannot stand in for itself.", "", "Name another part.")
    if wanted.unit != other.unit:
        raise Forbidden(
            f"{other.key} cannot stand in for {wanted.key}.",
            f"One is counted in {other.unit}, the other in {wanted.unit}.",
            "Name a part counted alike.",
        )
    with action(shop, f"Allow {other.key} in the place of {wanted.key}") as work:
        present = work.exec(select(StandIn).where(col(StandIn.part_id) == wanted.id)).all()
        place = rank or 1 + max((row.rank for row in present if row.alt_id != other.id), default=0)
        same = next((row for row in present if row.alt_id == other.id), None)
        if same is None:
            put(work, StandIn(part_id=wanted.id, alt_id=other.id, rank=place, reason=why))
        else:
            same.reason, same.rank = why, place if rank else same.rank


def forbid_stand_in(shop: Workshop, part: str, alt: str) -> None:
    """Take back the approval of a stand-in."""
    wanted, other = find_part(shop, part), find_part(shop, alt)
    with action(shop, f"No longer allow {other.key} in the place of {wanted.key}") as work:
        both = select(StandIn).where(col(StandIn.part_id) == wanted.id, col(StandIn.alt_id) == other.id)
        row = work.exec(both).first()
        if row is None:
            raise BadInput(f"{other.key} is no stand-in for {wanted.key}.", "", "See `buildbook stores where`.")
        remove(work, row)
