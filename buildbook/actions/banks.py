"""Banks of capacitors written down: which keep their charge, to what voltage, and what bleeds them."""

from __future__ import annotations

from dataclasses import dataclass

from buildbook.actions.reading import read_code, read_text
from buildbook.actions.rows import change, put, remove, seek, taken, the
from buildbook.errors import BadInput
from buildbook.store.journal import action
from buildbook.store.read.banks import find_bank
from buildbook.store.read.naming import find_assembly
from buildbook.store.tables import Bank
from buildbook.store.workshop import Workshop
from buildbook.trade.amounts import quantity
from buildbook.trade.discharge import SAFE_V
from buildbook.trade.plain import clean, quote
from buildbook.trade.refdes import join_refs, read_refs

MICRO = 1_000_000
MOST_VOLTS = 1_000_000


@dataclass(frozen=True, slots=True)
class NewBank:
    """A bank to be written down; `volts` and `safe` as the trade writes them ("350 V"), refs as on a parts list.

    The capacitors are in parallel, the resistors of the bleeder in series; without a bleeder, say none.
    """

    code: str
    volts: str
    capacitors: str
    bleeder: str = ""
    name: str = ""
    safe: str = ""
    note: str = ""


def add_bank(shop: Workshop, assembly: str, new: NewBank) -> str:
    """Write a bank of an assembly down and return its full name.

    Raises BadInput for what is no voltage above zero, no designator, and for a bank without capacitors.
    """
    home = find_assembly(shop, assembly)
    code = read_code(new.code, "bank")
    row = Bank(
        assembly_id=home.id,
        code=code,
        name=clean(new.name),
        volts_uv=_microvolts(new.volts),
        capacitors=_capacitors(new.capacitors),
        bleeder=_bleeder(new.bleeder),
        safe_uv=_microvolts(new.safe) if clean(new.safe) else int(SAFE_V * MICRO),
        note=read_text(new.note, "note"),
    )
    with action(shop, f"Bank {home.path}/{code}") as work:
        if seek(work, Bank, assembly_id=home.id, code=code):
            raise taken("bank", f"{home.path}/{code}")
        put(work, row)
    return f"{home.path}/{code}"


def change_bank(
    shop: Workshop,
    bank: str,
    *,
    name: str | None = None,
    volts: str | None = None,
    capacitors: str | None = None,
    bleeder: str | None = None,
    safe: str | None = None,
    note: str | None = None,
) -> str:
    """Change what is given of a bank and return its full name; the bleeder "-" means that there is none."""
    known = find_bank(shop, bank)
    with action(shop, f"Change bank {known.path}") as work:
        change(
            the(work, Bank, known.id),
            name=None if name is None else clean(name),
            volts_uv=None if volts is None else _microvolts(volts),
            capacitors=None if capacitors is None else _capacitors(capacitors),
            bleeder=None if bleeder is None else _bleeder(bleeder),
            safe_uv=None if safe is None else _microvolts(safe),
            note=None if note is None else read_text(note, "note"),
        )
    return known.path


def drop_bank(shop: Workshop, bank: str) -> None:
    """Take a bank away; its parts stay on their list."""
    known = find_bank(shop, bank)
    with action(shop, f"Take bank {known.path} away") as work:
        remove(work, the(work, Bank, known.id))


def _capacitors(text: str) -> str:
    refs = read_refs(text)
    if not refs:
        raise BadInput("The bank was not written down.", "It has no capacitors.", "Name them: C1 C2.")
    return join_refs(refs)


def _bleeder(text: str) -> str:
    return "" if clean(text) in ("", "-") else join_refs(read_refs(text))


def _microvolts(text: str) -> int:
    found = quantity(text, "V")
    if not 0 < found <= MOST_VOLTS:
        raise BadInput(f"{quote(text)} was not taken.", "It is not above zero, or too large.", "Give a voltage.")
    micro = found * MICRO
    if micro != micro.to_integral_value():
        raise BadInput(f"{quote(text)} was not taken.", "It is finer than a millionth.", "Round it up.")
    return int(micro)
