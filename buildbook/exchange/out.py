"""Lists out, as CSV or XLSX by the name of the file: parts lists and stock. Each can be taken in again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.answers.board import Board, LineRow
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


def stock_rows(stores: Stores) -> list[tuple[Cell, ...]]:
    """What lies where: a row a part and bin, and a row without a bin for a part that lies nowhere."""
    rows: list[tuple[Cell, ...]] = []
    for row in stores.rows:
        said = (row.key, row.kind, row.value, row.name, row.package, row.maker_number, row.unit)
        rows.extend((*said, name, amount(qty, row.unit)) for name, qty in row.bins)
        if not row.bins:
            rows.append((*said, "", 0))
    return rows
