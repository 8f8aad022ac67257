"""Stock lists in: what lies in which bin, counted, with the price paid where it is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.answers import catalogue as known
from buildbook.answers.form import count_of
from buildbook.errors import BadInput
from buildbook.exchange.gathering import STOCK as PURPOSE
from buildbook.exchange.gathering import Asked, Gathering, Plan, keeping_all, refuse_unsettled, skipped
from buildbook.exchange.prices import read_basis, read_price
from buildbook.trade.plain import clean, fold
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.actions.incoming import Remembered
    from buildbook.actions.stores import StockRow
    from buildbook.actions.workshop import Workshop

LONGEST_BIN = 80


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan together with what applying it needs."""

    path: Path
    plan: Plan
    stock: tuple[StockRow, ...]
    remembered: Remembered


@keeping_all()
def prepare(shop: Workshop, path: Path, asked: Asked = Asked()) -> Prepared:  # noqa: B008 (frozen)
    """Understand a stock list and work out what taking it in would do.

    A row without a bin or without a count only makes its part known. Raises BadInput when the file is no list.
    """
    gathering = Gathering.begin(shop, path, PURPOSE, asked)
    stock = []
    units: dict[str, Unit] = {}
    for row, cells in gathering.listed.rows:
        counted = read_row(gathering, row, cells, units)
        if counted is not None:
            stock.append(counted)
    changes, bins = compare(shop, stock, units)
    did = f"{count_of(len(stock), 'count')} in {count_of(bins, 'bin')}, {len(changes)} not as thought"
    return Prepared(path, gathering.plan("the stores", did, changes), tuple(stock), gathering.remembered())


def compare(shop: Workshop, stock: Sequence[StockRow], units: Mapping[str, Unit]) -> tuple[list[str], int]:
    """What is counted otherwise than was thought, in words, and the number of bins; rows of one place are added up."""
    counted: dict[tuple[str, str], int] = {}
    names: dict[tuple[str, str], tuple[str, str]] = {}
    for row in stock:
        place = (fold(row.part), fold(row.bin))
        names.setdefault(place, (row.part, row.bin))
        counted[place] = counted.get(place, 0) + row.qty
    thought = {(fold(part), fold(name)): qty for part, name, qty in known.lying(shop)}
    said = []
    for place, (part, name) in names.items():
        have, had = counted[place], thought.get(place, 0)
        if have != had:
            said.append(f"{part} in {name}: {show_quantity(have, units[part])}, was {show_quantity(had, units[part])}")
    return said, len({name for _, name in names})


def read_row(gathering: Gathering, row: int, cells: Sequence[str], units: dict[str, Unit]) -> StockRow | None:
    """One count; None when the row counts nothing, or (with a fault) cannot be read. Notes the unit of its part."""
    from buildbook.actions.stores import StockRow

    columns = gathering.listed.columns
    said = gathering.described(row, cells)
    note = gathering.note(row, cells)
    place, qty_text = read_bin(gathering, row, cells), columns.cell(cells, "qty")
    if said is None or place is None:
        return None
    more = "" if place and qty_text else ", not counted"
    part = gathering.part(row, said, place, qty_text, more, note)
    if part is None:
        return None
    qty = gathering.quantity(row, "qty", qty_text, part) if qty_text else None
    if qty is None or not place:
        if qty:
            gathering.fault(row, "bin", f"{qty_text} were counted, but no bin is named.")
        return None
    key, unit = gathering.matching.key_of(part), gathering.unit(part)
    units[key] = unit
    price_text = columns.cell(cells, "price")
    if not price_text:
        return StockRow(key, place, qty)
    price = read_price(gathering, row, "price", price_text)
    if price is None:
        return None
    per_qty = read_basis(gathering, row, price[1] or columns.cell(cells, "price per"), unit)
    return None if per_qty is None else StockRow(key, place, qty, price[0], per_qty)


def read_bin(gathering: Gathering, row: int, cells: Sequence[str]) -> str | None:
    """The name of the bin, or nothing; None, and a fault, when it cannot be one."""
    try:
        return clean(gathering.listed.columns.cell(cells, "bin"), limit=LONGEST_BIN, what="name of a bin")
    except BadInput as error:
        gathering.fault(row, "bin", error.why)
        return None


def apply(shop: Workshop, prepared: Prepared) -> str:
    """Take the stock list in as a count, as one action; return what was done in a sentence.

    Raises BadInput while a row is at fault or a question is open.
    """
    from buildbook.actions.stores import stock_in

    refuse_unsettled(prepared.path, prepared.plan)
    done = stock_in(
        shop,
        prepared.stock,
        new_parts=prepared.plan.new_parts,
        title=f"Take in the stock list {prepared.path.name}",
        remembered=prepared.remembered,
    )
    return (
        f"Took in {prepared.path.name}: {count_of(done.rows, 'count')}, {done.changed} of them not as was thought; "
        f"{count_of(done.parts, 'new part')}, {count_of(done.bins, 'new bin')}{skipped(prepared.plan)}."
    )
