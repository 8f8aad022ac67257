"""Orders as they are written out: each row with all that a supplier may ask for, and the columns remembered for him."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.offers import currency_of
from buildbook.answers.order_sum import order_sum
from buildbook.answers.ordering import ToOrder, what_for
from buildbook.answers.standing import builds_that_count, stand
from buildbook.errors import BadInput
from buildbook.store.read.buying import orders as read_rows
from buildbook.store.read.column_sets import ColumnSetRow, column_sets
from buildbook.store.read.naming import find_order
from buildbook.store.read.order_heads import heads
from buildbook.store.read.stores import parts_by_number
from buildbook.trade.money import line_micros
from buildbook.trade.order_columns import COLUMNS, TO_PASTE, USUAL
from buildbook.trade.plain import fold, quote
from buildbook.trade.rates import stated

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


__all__ = ["ColumnSetRow", "ColumnSets", "OrderOut", "OutRow", "columns_of", "known_sets", "order_out", "plan_out"]


class OutRow(NamedTuple):
    """One row of an order to be written out; money is in `currency`, None where no price is known."""

    supplier: str
    order_code: str
    key: str
    maker_number: str
    value: str
    package: str
    name: str
    unit: str
    qty: int
    price_micros: int | None
    per_qty: int
    amount_micros: int | None
    currency: str
    needed: int | None
    refs: str
    note: str


class OrderOut(NamedTuple):
    """One order to be written out: its name for a file, its supplier, its rows."""

    name: str
    supplier: str
    rows: tuple[OutRow, ...]


@dataclass(frozen=True, slots=True)
class ColumnSets(Answer):
    """The sets of columns by name, and every column there is."""

    SCHEMA: ClassVar[str] = "buildbook.column-sets/1"
    rows: tuple[ColumnSetRow, ...]
    known: tuple[str, ...]


def known_sets(shop: Workshop) -> ColumnSets:
    """The sets of columns that are remembered."""
    rows = tuple(column_sets(shop.reads))
    said = f"{count_of(len(rows), 'set')} of columns" if rows else "No columns are remembered"
    return ColumnSets(f"{said[:1].upper()}{said[1:]}; there are {', '.join(COLUMNS)}.", rows, tuple(COLUMNS))


def columns_of(shop: Workshop, supplier: str, name: str = "", *, to_paste: bool = False) -> tuple[str, ...]:
    """The columns of an order: those of that name, else those remembered for the supplier, else the usual ones.

    Raises BadInput for a name that is not known.
    """
    known = column_sets(shop.reads)
    if name:
        found = next((row for row in known if fold(row.name) == fold(name)), None)
        if found is None:
            names = ", ".join(row.name for row in known) or "none yet"
            raise BadInput(f"There are no columns {quote(name)}.", f"There are {names}.", "Name one of them.")
        return tuple(found.columns.split(","))
    own = next((row for row in known if row.supplier == supplier), None)
    if own:
        return tuple(own.columns.split(","))
    return TO_PASTE if to_paste else USUAL


def plan_out(plan: ToOrder) -> tuple[OrderOut, ...]:
    """What is to be ordered, one order with each supplier, in the workshop's currency."""
    found: dict[str, list[OutRow]] = {}
    for row in plan.rows:
        found.setdefault(row.supplier, []).append(
            OutRow(
                row.supplier,
                row.order_code,
                row.key,
                row.maker_number,
                row.value,
                row.package,
                row.name,
                row.unit,
                row.qty,
                row.price_micros,
                row.per_qty,
                row.amount_micros,
                plan.currency,
                row.short,
                row.refs,
                "",
            )
        )
    return tuple(OrderOut(supplier, supplier, tuple(rows)) for supplier, rows in sorted(found.items()))


def order_out(shop: Workshop, ref: str) -> OrderOut:
    """An order that is there, drafted or placed; with a foreign supplier in his own currency, at the order's rate."""
    named = find_order(shop, ref).code
    whole = order_sum(shop, named)
    note = next(head.note for head in heads(shop.reads) if head.ref == named)
    rows = [row for row in read_rows(shop.reads) if row.ref == named]
    parts = parts_by_number(shop.reads, {row.part for row in rows})
    builds = {build.id for build in builds_that_count(shop)}
    standing = stand(shop, closely=builds, parts=set(parts))
    by_build = standing.lines_by_build()
    uses = what_for(shop, [pair for build in builds for pair in by_build.get(build, ())])
    found = []
    for row in rows:
        part, price = parts[row.part], row.price_micros
        if price is not None and whole.rate:
            price = stated(price, whole.rate, whole.foreign_currency)
        found.append(
            OutRow(
                row.supplier,
                row.order_code,
                part.key,
                part.maker_number,
                part.value,
                part.package,
                part.name,
                part.unit,
                row.qty,
                price,
                row.per_qty,
                None if price is None else line_micros(row.qty, price, row.per_qty),
                whole.foreign_currency if whole.rate else currency_of(shop),
                None,
                uses.get(row.part, ""),
                note,
            )
        )
    return OrderOut(named, whole.supplier, tuple(found))
