"""The columns that an order written out may have: our words for them, and their headings."""

from __future__ import annotations

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

COLUMNS = {
    "supplier": "Supplier",
    "order_code": "Order code",
    "part": "Part",
    "maker_number": "Maker number",
    "value": "Value",
    "package": "Package",
    "name": "Name",
    "qty": "Qty",
    "price": "Price",
    "price_per": "Price per",
    "line_price": "Line price",
    "currency": "Currency",
    "needed": "Needed",
    "refs": "For",
    "note": "Note",
}
USUAL = tuple(column for column in COLUMNS if column != "note")
# What a supplier's form for pasting an order asks for: common practice.
TO_PASTE = ("order_code", "qty")


def read_columns(text: str) -> tuple[str, ...]:
    """The columns named, parted by commas. Raises BadInput for one that is not known, is named twice, or for none.

    >>> read_columns("Order_code, qty,refs")
    ('order_code', 'qty', 'refs')
    """
    names = tuple(clean(name).lower().replace(" ", "_") for name in text.split(",") if clean(name))
    for name in names:
        if name not in COLUMNS:
            raise BadInput(
                f"There is no column {quote(name)}.", f"There are {', '.join(COLUMNS)}.", "Name some of them."
            )
    if len(set(names)) < len(names):
        raise BadInput("The columns were not taken.", "One is named twice.", "Name each once.")
    if not names:
        raise BadInput("The columns were not taken.", "None is named.", f"Name some of {', '.join(COLUMNS)}.")
    return names
