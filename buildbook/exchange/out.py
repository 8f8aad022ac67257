"""Lists out, as CSV or XLSX by the name of the file: parts lists, stock, what to order. Each can be taken in again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.answers.board import Board, LineRow
from buildbook.answers.ordering import OrderLine, ToOrder
from buildbook.errors import BadInput
from buildbook.exchange.writing import write_csv, write_xlsx
from buildbook.trade.refdes import read_refs
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.answers.stores import Stores

Cell = str | int | Decimal | None

LIST_HEADINGS = (
    *("Ref", "Qty", "Part", "Value", "Package", "Maker number", "Kind", "Name"),
    *("Fitted", "Option", "Loss %", "Note"),
)
ORDER_HEADINGS = (
    *("Supplier", "Order code", "Part", "Maker number", "Value", "Package", "Name"),
    *("Qty", "Price", "Price per", "Line price", "Currency", "Needed", "For"),
)
STOCK_HEADINGS = ("Part", "Kind", "Value", "Name", "Package", "Maker number", "Unit", "Bin", "Qty")


def write_list(path: Path, sheet: str, headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> None:
    """Write a list as its file name says: `.csv` or `.xlsx`. Raises BadInput for another ending."""
    ending = path.suffix.casefold()
    if ending == ".csv":
        write_csv(path, headings, rows)
    elif ending == ".xlsx":
        write_xlsx(path, sheet, headings, rows)
    else:
        raise BadInput(f"{path.name} was not written.", "A list is written as .csv or .xlsx.", "Name it so.")


def amount(qty: int, unit: str) -> Cell:
    """Pieces as a number, all else with its unit."""
    return qty if unit == Unit.PC else show_quantity(qty, Unit(unit))


def money(micros: int) -> Decimal:
    """An exact amount, with two decimals or as many as it needs."""
    exact = Decimal(micros).scaleb(-6)
    short = exact.quantize(Decimal("0.01"))
    return short if short == exact else exact.normalize()


def list_rows(board: Board, *, single: bool = False) -> list[tuple[Cell, ...]]:
    """A parts list, a row a line; with `single` a row a designator, where the pieces of a line are as many."""
    return [row for line in board.lines for row in rows_of_line(line, single=single)]


def rows_of_line(line: LineRow, *, single: bool) -> Iterable[tuple[Cell, ...]]:
    """One line as one row or as one row a designator."""
    refs = read_refs(line.refs) if line.refs else ()
    apart = single and line.unit == Unit.PC and len(refs) == line.qty
    for ref, qty in [(ref, 1) for ref in refs] if apart else [(line.refs, line.qty)]:
        yield (
            ref,
            amount(qty, line.unit),
            line.key,
            line.value,
            line.package,
            line.maker_number,
            line.kind,
            line.name,
            "no" if line.state == "not fitted" else "yes",
            line.option,
            money(line.loss_bp * 10_000) if line.loss_bp else "",
            line.note,
        )


def order_rows(order: ToOrder, supplier: str = "") -> list[tuple[Cell, ...]]:
    """What to order, of all suppliers or of one."""
    chosen = [row for row in order.rows if not supplier or row.supplier == supplier]
    return [order_row(row, order.currency) for row in chosen]


def order_row(row: OrderLine, currency: str) -> tuple[Cell, ...]:
    """One row to order."""
    return (
        row.supplier,
        row.order_code,
        row.key,
        row.maker_number,
        row.value,
        row.package,
        row.name,
        amount(row.qty, row.unit),
        money(row.price_micros),
        amount(row.per_qty, row.unit),
        money(row.amount_micros),
        currency,
        amount(row.short, row.unit),
        row.refs,
    )


def stock_rows(stores: Stores) -> list[tuple[Cell, ...]]:
    """What lies where: a row a part and bin, and a row without a bin for a part that lies nowhere."""
    rows: list[tuple[Cell, ...]] = []
    for row in stores.rows:
        said = (row.key, row.kind, row.value, row.name, row.package, row.maker_number, row.unit)
        rows.extend((*said, name, amount(qty, row.unit)) for name, qty in row.bins)
        if not row.bins:
            rows.append((*said, "", 0))
    return rows


def write_orders(order: ToOrder, target: Path) -> list[Path]:
    """Write what to order: to one file, or, when `target` is a folder, one CSV and one XLSX file a supplier."""
    if not target.is_dir():
        write_list(target, "To order", ORDER_HEADINGS, order_rows(order))
        return [target]
    written = []
    for supplier in sorted({row.supplier for row in order.rows}):
        for ending in ("csv", "xlsx"):
            path = target / f"order-{supplier}.{ending}"
            write_list(path, supplier[:31], ORDER_HEADINGS, order_rows(order, supplier))
            written.append(path)
    return written
