"""The test points of the demo whose limits follow from parts and supplies."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions import measuring, supply

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent


def define(shop: Workshop) -> None:
    """Points that have typed limits get a formula in their place; the others are written down."""
    supply.change_supply(shop, "CURLEW/HT", tolerance="5%")
    with (HERE / "formulas.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        if row["unit"]:
            told = {name: row[name] for name in ("unit", "condition", "caution", "formula", "spread")}
            measuring.add_point(shop, row["assembly"], measuring.NewPoint(row["code"], row["measured"], "", **told))
        else:
            point = f"{row['assembly']}/{row['code']}"
            measuring.change_point(shop, point, formula=row["formula"], spread=row["spread"])
