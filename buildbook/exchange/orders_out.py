"""Orders out, per supplier: as CSV or XLSX, or as text to paste into a form; with the columns that are wanted."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import NamedTuple

from buildbook.answers.order_out import OrderOut, OutRow
from buildbook.errors import BadInput
from buildbook.exchange.cells import disarm
from buildbook.exchange.out import Cell, amount, money
from buildbook.exchange.writing import put_bytes, write_csv, write_xlsx
from buildbook.trade.money import minor_decimals
from buildbook.trade.order_columns import COLUMNS, TO_PASTE, USUAL
from buildbook.trade.plain import clean

FORMS = ("csv", "xlsx", "text", "tabs")
TEXTS = ("text", "tabs")
_NOT_IN_NAMES = re.compile(r"[^\w.-]+")


class Written(NamedTuple):
    """One list to write: orders with the columns that they are written with."""

    name: str
    columns: tuple[str, ...]
    orders: tuple[OrderOut, ...]


def cells_of(row: OutRow, columns: Sequence[str]) -> tuple[Cell, ...]:
    """The cells of one row in the columns wanted; a sum has the decimals of its currency (ISO 4217)."""
    price = None if row.price_micros is None else money_in(row.price_micros, row.currency)
    whole = None if row.amount_micros is None else money_in(row.amount_micros, row.currency)
    every: dict[str, Cell] = {
        "supplier": row.supplier,
        "order_code": row.order_code,
        "part": row.key,
        "maker_number": row.maker_number,
        "value": row.value,
        "package": row.package,
        "name": row.name,
        "qty": amount(row.qty, row.unit),
        "price": price,
        "price_per": amount(row.per_qty, row.unit),
        "line_price": whole,
        "currency": row.currency,
        "needed": None if row.needed is None else amount(row.needed, row.unit),
        "refs": row.refs,
        "note": row.note,
    }
    return tuple(every[column] for column in columns)


def money_in(micros: int, currency: str) -> Decimal:
    """An exact amount with the decimals of the minor unit of its currency, or as many as it needs.

    >>> money_in(1_500_000, "KWD"), money_in(12_000_000, "JPY"), money_in(4_200, "EUR")
    (Decimal('1.500'), Decimal('12'), Decimal('0.0042'))
    """
    exact = Decimal(micros).scaleb(-6)
    short = exact.quantize(Decimal(1).scaleb(-minor_decimals(currency)))
    return short if short == exact else money(micros)


def as_text(written: Written, *, tabs: bool = False) -> str:
    """The rows as text without headings: parted by tabs, or aligned with figures to the right; never a formula."""
    rows = [cells_of(row, written.columns) for order in written.orders for row in order.rows]
    said = [[_said(cell) for cell in row] for row in rows]
    if tabs:
        return "".join("\t".join(row) + "\n" for row in said)
    figures = [any(isinstance(row[at], int | Decimal) for row in rows) for at in range(len(written.columns))]
    widths = [max(len(row[at]) for row in said) for at in range(len(written.columns))]
    lines = (
        "  ".join(
            cell.rjust(width) if right else cell.ljust(width)
            for cell, width, right in zip(row, widths, figures, strict=True)
        )
        for row in said
    )
    return "".join(f"{line.rstrip()}\n" for line in lines)


def _said(cell: Cell) -> str:
    if cell is None:
        return ""
    return disarm(clean(cell)) if isinstance(cell, str) else f"{cell:f}" if isinstance(cell, Decimal) else str(cell)


def write_out(lists: Sequence[Written], target: Path, form: str = "") -> list[Path]:
    """Write all to one file, or each to a file of its own in a folder; return the files.

    The form is as said, else as the ending of the file says; in a folder both CSV and XLSX. Raises BadInput for another
    form. Suppliers who want different columns get the usual ones where they share a file.
    """
    if form not in ("", *FORMS):
        raise BadInput(
            f"An order is not written as {form[:40]!r}.", f"There are {', '.join(FORMS)}.", "Say one of them."
        )
    if not target.is_dir():
        kind = form or target.suffix.casefold().lstrip(".").replace("txt", "text")
        if kind not in FORMS:
            raise BadInput(
                f"{target.name} was not written.", "An order is written as .csv, .xlsx or .txt.", "Name it so."
            )
        alike = len({one.columns for one in lists}) == 1
        usual = lists[0].columns if alike else TO_PASTE if kind in TEXTS else USUAL
        _write(Written(target.stem, usual, tuple(o for one in lists for o in one.orders)), target, kind)
        return [target]
    written = []
    for one in lists:
        for kind in [form] if form else ["csv", "xlsx"]:
            ending = "txt" if kind in TEXTS else kind
            path = target / f"order-{_NOT_IN_NAMES.sub('-', one.name)}.{ending}"
            _write(one, path, kind)
            written.append(path)
    return written


def _write(one: Written, path: Path, kind: str) -> None:
    if kind in TEXTS:
        put_bytes(path, as_text(one, tabs=kind == "tabs").encode())
        return
    headings = [COLUMNS[column] for column in one.columns]
    rows: Iterable[tuple[Cell, ...]] = (cells_of(row, one.columns) for order in one.orders for row in order.rows)
    if kind == "csv":
        write_csv(path, headings, rows)
    else:
        write_xlsx(path, one.name[:31], headings, rows)
