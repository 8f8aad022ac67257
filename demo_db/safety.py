"""What the demo says of safety: banks of capacitors with their bleeders."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions import banks

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of one of our own lists."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def define(shop: Workshop) -> None:
    """The banks of capacitors."""
    for row in rows_of("banks.csv"):
        new = banks.NewBank(
            row["bank"], row["volts"], row["capacitors"], row["bleeder"], row["what"], row["down to"], row["note"]
        )
        banks.add_bank(shop, row["assembly"], new)
