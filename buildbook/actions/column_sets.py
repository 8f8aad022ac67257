"""Which columns an order is written out with, remembered under a name and perhaps for a supplier."""

from __future__ import annotations

from sqlalchemy import func
from sqlmodel import select

from buildbook.actions.rows import put, remove
from buildbook.errors import BadInput
from buildbook.store.journal import Work, action
from buildbook.store.read.naming import find_supplier
from buildbook.store.tables import ColumnSet
from buildbook.store.workshop import Workshop
from buildbook.trade.order_columns import read_columns
from buildbook.trade.plain import clean, fold, quote


def keep_columns(shop: Workshop, name: str, columns: str, supplier: str = "") -> str:
    """Keep a set of columns under a name, in place of one of that name; return the name.

    With a supplier it is used for that one from now on, in place of what was used before. Raises BadInput for a column
    that is not known.
    """
    named = clean(name, limit=40, what="name")
    if not named:
        raise BadInput("The columns were not kept.", "They have no name.", "Give one.")
    wanted = ",".join(read_columns(columns))
    seller = find_supplier(shop, supplier).id if supplier else None
    with action(shop, f"Columns {named}") as work:
        for before in work.exec(select(ColumnSet).where(ColumnSet.supplier_id == seller)).all() if seller else ():
            before.supplier_id = None
        row = _named(work, named)
        if row is None:
            put(work, ColumnSet(name=named, supplier_id=seller, columns=wanted))
        else:
            row.supplier_id, row.columns = seller, wanted
    return named


def drop_columns(shop: Workshop, name: str) -> str:
    """Forget a set of columns; return its name."""
    with action(shop, f"Forget the columns {clean(name)}") as work:
        row = _named(work, name)
        if row is None:
            raise BadInput(f"There are no columns {quote(name)}.", "", "See `buildbook buying columns`.")
        named = row.name
        remove(work, row)
    return named


def _named(work: Work, name: str) -> ColumnSet | None:
    return work.exec(select(ColumnSet).where(func.lower(ColumnSet.name) == fold(name))).first()
