"""Heaters that a supply is likely to feed and that nobody has written down yet, from the parts lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buildbook.errors import BadInput
from buildbook.store.read.supply import LinePart, LoadRow, SupplyRow
from buildbook.trade import heaters
from buildbook.trade.amounts import show_amount
from buildbook.trade.plain import fold

MICRO = 1_000_000


@dataclass(frozen=True, slots=True)
class Offered:
    """A load ready to be written down: its name, and what it draws as it is typed ("2 x heater ECC83")."""

    name: str
    draws: str
    assembly: str
    option: str
    current_ua: int
    said: str


def offers(supply: SupplyRow, lines: Iterable[LinePart], written: Sequence[LoadRow]) -> tuple[Offered, ...]:
    """The valves of the project whose heaters go with the voltage of the supply; none that a load tells of already.

    `written` are the loads of all supplies of the project. A load tells of a valve when its name has the type in it and
    it stands on the same board, or on none. Heaters are offered in parallel, else all those of one line in series.
    """
    if supply.kind not in ("winding", "rail") or supply.volts_uv <= 0:
        return ()
    found = []
    for line in lines:
        kind = heater_type(line)
        if line.project_id != supply.project_id or not kind or _told(kind, line, written):
            continue
        for many, types in ((line.qty, kind), (1, "+".join([kind] * line.qty))):
            current = _current(types, supply.volts_uv)
            if current is not None:
                found.append(_offer(line, kind, types, many, current))
                break
    return tuple(found)


def heater_type(line: LinePart) -> str:
    """The type in the table of heaters that a part is of; nothing where it has none."""
    words = {word.upper() for text in (line.maker_number, line.key, line.name) for word in text.split()}
    return next((kind for kind in heaters.HEATERS if kind in words), "")


def _told(kind: str, line: LinePart, written: Iterable[LoadRow]) -> bool:
    return any(fold(kind) in fold(load.name) and load.assembly in ("", line.assembly) for load in written)


def _current(types: str, volts_uv: int) -> int | None:
    try:
        return heaters.draws(types, volts_uv)
    except BadInput:
        return None  # it goes with another supply


def _offer(line: LinePart, kind: str, types: str, many: int, current_ua: int) -> Offered:
    draws = f"{many} x heater {types}" if many > 1 else f"heater {types}"
    each = show_amount(current_ua / MICRO, "A")
    where = f"{line.refs} of {line.assembly}" if line.refs else line.assembly
    series = ", in series" if "+" in types else ""
    said = f"{kind} heater, {where}: {f'{many} x ' if many > 1 else ''}{each}{series}, by the table of heaters"
    return Offered(f"{kind} heater", draws, line.assembly, line.option, current_ua, said)
