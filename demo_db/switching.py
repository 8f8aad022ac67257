"""The demo's contacts: its switches with their poles and throws, and the functions that ride on them."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

from buildbook.actions import contacts

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent


def define(shop: Workshop) -> None:
    """The switches first, then what rides on them."""
    for row in rows_of("contacts.csv"):
        new = contacts.NewContacts(
            row["contacts"],
            row["ways"],
            row["kind"],
            row["what"],
            amps=row["amps"],
            volts=row["volts"],
            option=row["option"],
            note=row["note"],
        )
        contacts.add_contacts(shop, row["project"], new)
    for row in rows_of("functions.csv"):
        use = contacts.NewUse(
            row["what"],
            row["ways"],
            pole=row["pole"],
            amps=row["amps"],
            volts=row["volts"],
            assembly=home_of(row),
            option=row["option"],
            note=row["note"],
        )
        contacts.add_use(shop, f"{row['project']}/{row['contacts']}", use)


def home_of(row: dict[str, str]) -> str:
    """The full name of the assembly; a unit is named by its project alone."""
    project, home = row["project"], row["assembly"]
    return project if home == project else f"{project}/{home}"


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of one of the lists."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
