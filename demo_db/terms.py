"""On what terms the suppliers of the demo sell, and what is always to be there."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions.terms import keep_at_least, set_terms

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent


def define(shop: Workshop) -> None:
    """The terms of each supplier; twenty general rectifiers are always to be there."""
    with (HERE / "terms.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            set_terms(
                shop,
                row["supplier"],
                currency=row["currency"],
                shipping=row["shipping"],
                least=row["least"],
                discount=row["discount"],
                tax=row["tax"],
                lead_days=row["days"],
            )
    keep_at_least(shop, "D-1N4007", 20)
