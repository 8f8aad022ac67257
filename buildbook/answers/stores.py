"""Stores: what have I got, where is it, what is it spoken for?"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from sys import intern
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.standing import Standing, left_free, stand
from buildbook.store.read import boards as read_boards
from buildbook.store.read import stores as read
from buildbook.store.read.naming import find_part
from buildbook.store.read.order_plan import least_stock
from buildbook.store.read.standing import coming as coming_rows
from buildbook.store.read.stores import MovementRow, PartRow
from buildbook.trade.money import show_money
from buildbook.trade.units import Unit, show_quantity
from buildbook.trade.values import Ambiguous, Value
from buildbook.trade.values import read as read_value

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# How near two values must be to count as the same when searching: far below any tolerance, far above rounding.
SAME_VALUE = 1e-6


@dataclass(frozen=True, slots=True)
class StockRow:
    """A part with what lies of it: on hand = spoken for + free. `worth_micros` is at the moving average.

    `keep_qty` is always to lie there, whatever is built.
    """

    key: str
    kind: str
    name: str
    value: str
    package: str
    maker_number: str
    unit: str
    on_hand: int
    spoken_for: int
    free: int
    coming: int
    worth_micros: int
    unpriced_qty: int
    bins: tuple[tuple[str, int], ...]
    keep_qty: int = 0


@dataclass(frozen=True, slots=True)
class Stores(Answer):
    """The parts asked for, by kind and value."""

    SCHEMA: ClassVar[str] = "buildbook.stores/1"
    currency: str
    worth_micros: int
    rows: tuple[StockRow, ...]


def stores(shop: Workshop, text: str = "", *, only_on_hand: bool = False) -> Stores:
    """All parts, or those that a text finds: in key, name, value in any form, kind, package, maker's number or bin."""
    rows = read.parts(shop.reads)
    lying = read_boards.bins(shop.reads, [row.id for row in rows]) if text else {}
    if text.strip():
        rows = [row for row in rows if matches(text, row, [name for name, _ in lying.get(row.id, ())])]
    if only_on_hand:
        rows = [row for row in rows if row.on_hand]
    numbers = {row.id for row in rows}
    lying = read_boards.bins(shop.reads, numbers)
    free = stand(shop, parts=numbers).free if text else left_free(shop)
    coming, keep = coming_by_part(shop), least_stock(shop.reads)
    # Of a few kinds, packages, units and bins there need not be as many texts as parts.
    found = tuple(
        StockRow(
            key=row.key,
            kind=intern(row.kind),
            name=row.name,
            value=row.value,
            package=intern(row.package),
            maker_number=row.maker_number,
            unit=intern(row.unit),
            on_hand=row.on_hand,
            spoken_for=row.on_hand - free.get(row.id, row.on_hand),
            free=free.get(row.id, row.on_hand),
            coming=coming.get(row.id, 0),
            worth_micros=row.value_micros,
            unpriced_qty=row.unpriced_qty,
            bins=tuple(lying.get(row.id, ())),
            keep_qty=keep.get(row.id, 0),
        )
        for row in rows
    )
    currency = currency_of(shop)
    worth = sum(row.worth_micros for row in found)
    return Stores(stores_sentence(text, found, worth, currency), currency, worth, found)


def coming_by_part(shop: Workshop) -> dict[int, int]:
    """What is on order, per part."""
    found: dict[int, int] = {}
    for row in coming_rows(shop.reads):
        found[row.part] = found.get(row.part, 0) + row.qty
    return found


def matches(text: str, row: PartRow, bins: Collection[str]) -> bool:
    """Every word of the text is found in the part, or the whole text is its value in some form."""
    if row.value_si is not None and any(
        abs(value.si - row.value_si) <= SAME_VALUE * abs(row.value_si) for value in values_of(text, row.kind)
    ):
        return True
    hay = " ".join((row.key, row.kind, row.name, row.value, row.package, row.maker, row.maker_number, *bins)).casefold()
    return all(word in hay for word in text.casefold().split())


VALUE_KINDS = {"resistor": "R", "potentiometer": "R", "capacitor": "C", "inductor": "L"}


def values_of(text: str, kind: str) -> Iterable[Value]:
    """What the text can mean as a value of a part of that kind; every reading where it is not clear."""
    if kind not in VALUE_KINDS:
        return ()
    found = read_value(text, VALUE_KINDS[kind])
    if isinstance(found, Value):
        return (found,)
    return found.readings if isinstance(found, Ambiguous) else ()


def stores_sentence(text: str, rows: tuple[StockRow, ...], worth: int, currency: str) -> str:
    """ "184 parts, 121 of them on hand, worth 1,204.50 EUR (9 without a price)."""
    if not rows:
        return f"Nothing in the stores is called {text}." if text else "The stores are empty."
    lying = sum(1 for row in rows if row.on_hand)
    said = f"{count_of(len(rows), 'part')}, {lying or 'none'} on hand, worth {show_money(worth, currency)} {currency}"
    unpriced = sum(1 for row in rows if row.unpriced_qty)
    return said + (f" ({unpriced} of them without a price)." if unpriced else ".")


def part_named(shop: Workshop, name: str) -> PartRow:
    """The part of that key, other name, maker's number or order code; raises BadInput for none, or several."""
    number = find_part(shop, name).id
    return read.parts_by_number(shop.reads, [number])[number]


# --- one part --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SpokenFor:
    """What a build takes of a part: need = fitted + kitted + spoken_for + stood_in + coming + short.

    `stood_in` is what other parts give in its place. A build that takes the part only in the place of another needs
    none of it. (Where a build holds more than it needs, fitted and kitted count only as far as they are needed.)
    """

    build: str
    need: int
    fitted: int
    kitted: int
    spoken_for: int
    stood_in: int
    coming: int
    short: int


@dataclass(frozen=True, slots=True)
class Use:
    """A place in a parts list that names the part; `option` is the answer it belongs to, if any."""

    assembly: str
    refs: str
    qty: int
    fitted: int
    option: str
    chosen: int


@dataclass(frozen=True, slots=True)
class Approval:
    """A stand-in: `key` may be used in place of the part (or the part in place of `key`, when `serves` says so)."""

    key: str
    serves: bool
    reason: str
    on_hand: int
    free: int


@dataclass(frozen=True, slots=True)
class Where(Answer):
    """One part: where it lies, what it is spoken for, where it is used, what may stand in, what happened to it."""

    SCHEMA: ClassVar[str] = "buildbook.where/1"
    key: str
    name: str
    value: str
    unit: str
    on_hand: int
    free: int
    currency: str
    worth_micros: int
    unpriced_qty: int
    bins: tuple[tuple[str, int], ...]
    builds: tuple[SpokenFor, ...]
    uses: tuple[Use, ...]
    stand_ins: tuple[Approval, ...]
    coming: tuple[str, ...]
    movements: tuple[MovementRow, ...]


def where(shop: Workshop, name: str, *, limit: int = 20) -> Where:
    """Everything about one part. Raises BadInput for an unknown name."""
    part = part_named(shop, name)
    standing = stand(shop, parts={part.id})
    unit = Unit(part.unit)
    assemblies = read_boards.assemblies(shop.reads)
    bins = tuple(read_boards.bins(shop.reads, [part.id]).get(part.id, ()))
    free = standing.free.get(part.id, 0)
    uses = tuple(
        Use(assemblies[use.assembly].path, use.refs, use.qty, use.fitted, use.option, use.chosen)
        for use in read.used_in(shop.reads, part.id)
    )
    coming = tuple(
        f"{show_quantity(row.qty, unit)} by order {row.ref} from {row.supplier}, {expected(row.when)}"
        for row in standing.coming.values()
        if row.part == part.id
    )
    return Where(
        sentence=where_sentence(part, bins, free, unit),
        key=part.key,
        name=part.name,
        value=part.value,
        unit=part.unit,
        on_hand=part.on_hand,
        free=free,
        currency=currency_of(shop),
        worth_micros=part.value_micros,
        unpriced_qty=part.unpriced_qty,
        bins=bins,
        builds=tuple(spoken_for(part, standing)),
        uses=uses,
        stand_ins=tuple(approvals(shop, part, standing)),
        coming=coming,
        movements=tuple(read.movements(shop.reads, part.id, limit)),
    )


def expected(day: str) -> str:
    """When something that is coming should arrive."""
    return f"due {day}" if day else "no day known"


def where_sentence(part: PartRow, bins: Collection[tuple[str, int]], free: int, unit: Unit) -> str:
    """ "C-100N-630V: 14 on hand (9 in B3, 5 in D1), 10 spoken for, 4 free."""
    lying = ", ".join(f"{show_quantity(qty, unit)} in {name}" for name, qty in bins)
    on_hand = show_quantity(part.on_hand, unit)
    where_it_lies = f" ({lying})" if lying else ""
    taken = show_quantity(part.on_hand - free, unit)
    return f"{part.key}: {on_hand} on hand{where_it_lies}, {taken} spoken for, {show_quantity(free, unit)} free."


def spoken_for(part: PartRow, standing: Standing) -> Iterable[SpokenFor]:
    """What each build takes of the part, in the order of priority."""
    codes = {build.id: build.code for build in standing.builds}
    for need, share in zip(standing.needs, standing.shares, strict=True):
        lent = sum(other.qty for other in share.stood_in if other.part == part.id)
        if need.part == part.id:
            fitted = min(need.fitted, need.need)
            stood_in = sum(other.qty for other in share.stood_in)
            coming = sum(due.qty for due in share.coming)
            yield SpokenFor(
                build=codes[need.build],
                need=need.need,
                fitted=fitted,
                kitted=need.need - fitted - need.want,
                spoken_for=share.own,
                stood_in=stood_in,
                coming=coming,
                short=share.short,
            )
        elif lent:
            yield SpokenFor(codes[need.build], 0, 0, 0, lent, 0, 0, 0)


def approvals(shop: Workshop, part: PartRow, standing: Standing) -> Iterable[Approval]:
    """Its stand-ins, and the parts that it may stand in for."""
    rows = read.approvals(shop.reads, part.id)
    others = read.parts_by_number(shop.reads, {number for row in rows for number in (row.part, row.alt)})
    for row in rows:
        serves = row.alt == part.id
        other = others[row.part if serves else row.alt]
        yield Approval(other.key, serves, row.reason, other.on_hand, standing.free.get(other.id, other.on_hand))
