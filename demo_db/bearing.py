"""The demo's ratings: what some parts are made for beyond what their values say, and what they bear in their places."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions import ratings

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent


def define(shop: Workshop) -> None:
    """Data sheets first, then the places."""
    with (HERE / "ratings.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            ratings.state_rated(shop, row["part"], row["made for"].split(";"), note=row["note"])
    with (HERE / "stresses.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            ratings.state_bears(shop, row["line"], row["bears"].split(";"), note=row["note"])
