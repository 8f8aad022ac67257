"""Stock lists in: what lies in which bin, counted, with the price paid where it is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.answers.form import count_of
from buildbook.answers.offers import currency_of
from buildbook.exchange.gathering import Asked, Gathering, Plan, refuse_unsettled
from buildbook.exchange.prices import read_basis, read_price
from buildbook.trade.plain import clean

if TYPE_CHECKING:
    from buildbook.actions.incoming import Remembered
    from buildbook.actions.stores import StockRow
    from buildbook.actions.workshop import Workshop

PURPOSE = "stock list"


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan together with what applying it needs."""

    path: Path
    plan: Plan
    stock: tuple[StockRow, ...]
    remembered: Remembered


def prepare(shop: Workshop, path: Path, asked: Asked = Asked()) -> Prepared:  # noqa: B008 (frozen)
    """Understand a stock list and work out what taking it in would do.

    A row without a bin and with nothing counted only makes its part known. Raises BadInput when the file is no list.
    """
    gathering = Gathering.begin(shop, path, PURPOSE, asked)
    currency = currency_of(shop)
    stock = []
    for row, cells in gathering.listed.rows:
        counted = read_row(gathering, row, cells, currency)
        if counted is not None:
            stock.append(counted)
    bins = len({row.bin.casefold() for row in stock})
    did = [f"{count_of(len(stock), 'count')} in {count_of(bins, 'bin')}"]
    changes = [f"count {row.part} in {row.bin}: {row.qty}" for row in stock]
    return Prepared(path, gathering.plan("the stores", did, changes), tuple(stock), gathering.remembered())


def read_row(gathering: Gathering, row: int, cells: Sequence[str], currency: str) -> StockRow | None:
    """One count; None when the row counts nothing, or (with a fault) cannot be read."""
    from buildbook.actions.stores import StockRow

    columns = gathering.listed.columns
    said = gathering.described(row, cells)
    if said is None:
        return None
    place, qty_text = clean(columns.cell(cells, "bin")), columns.cell(cells, "qty").strip()
    part = gathering.part(row, said, place, qty_text)
    if part is None:
        return None
    unit = gathering.unit(part)
    qty = gathering.quantity(row, "qty", qty_text, unit) if qty_text else 0
    if qty is None:
        return None
    if not place:
        if qty:
            gathering.fault(row, "bin", f"{qty_text} were counted, but no bin is named.")
        return None
    price_text = columns.cell(cells, "price").strip()
    if not price_text:
        return StockRow(gathering.matching.key_of(part), place, qty)
    price = read_price(gathering, row, "price", price_text, currency)
    if price is None:
        return None
    per_qty = read_basis(gathering, row, price[1] or columns.cell(cells, "price per"), unit)
    return None if per_qty is None else StockRow(gathering.matching.key_of(part), place, qty, price[0], per_qty)


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
        f"{count_of(done.parts, 'new part')}, {count_of(done.bins, 'new bin')}."
    )
