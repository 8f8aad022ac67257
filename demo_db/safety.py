"""What the demo says of safety: banks with their bleeders, standards of test points, what signatures confirm."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions import banks, checklists, measuring

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of one of our own lists."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def define(shop: Workshop) -> None:
    """The banks of capacitors, the standards of points, the checks of hold points."""
    for row in rows_of("banks.csv"):
        new = banks.NewBank(
            row["bank"], row["volts"], row["capacitors"], row["bleeder"], row["what"], row["down to"], row["note"]
        )
        banks.add_bank(shop, row["assembly"], new)
    for row in rows_of("standards.csv"):
        measuring.change_point(shop, row["point"], standard=row["standard"])
    confirms: dict[tuple[str, str], list[str]] = {}
    for row in rows_of("confirms.csv"):
        confirms.setdefault((row["assembly"], row["step"]), []).append(row["confirms"])
    for (assembly, name), lines in confirms.items():
        places = (HERE / "steps" / f"{assembly.replace('/', '-')}.txt").read_text(encoding="utf-8").splitlines()
        steps = [line.partition("|")[0].strip() for line in places if line.strip() and not line.startswith("#")]
        checklists.change_step(shop, f"{assembly}/{steps.index(name) + 1}", checks="\n".join(lines))
