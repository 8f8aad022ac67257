"""Formulas of test points: read before they are written down, and put in the place of limits."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from buildbook.actions.reading import read_one_of
from buildbook.actions.rows import the
from buildbook.errors import BadInput
from buildbook.store.read.formulas import sizes_at
from buildbook.store.tables import Assembly
from buildbook.trade.plain import clean

if TYPE_CHECKING:
    from buildbook.actions.measuring import NewPoint
    from buildbook.store.journal import Work
    from buildbook.store.tables import TestPoint
    from buildbook.store.workshop import Workshop

SPREADS = ("worst", "rss")
# Class letters and a number: a part that may be written down later.
_REF = re.compile(r"[A-Z]{1,6}[0-9]{1,9}[A-Z]{0,2}")


def read_point_formula(shop: Workshop, assembly: int, project: int, point: NewPoint) -> tuple[str, str]:
    """The formula and the spread of a new point, as they are kept; both empty where it has limits, or nothing.

    Raises BadInput for both a formula and limits.
    """
    if not clean(point.formula, limit=1000):
        if clean(point.spread):
            raise BadInput("The spread was not taken.", "It belongs to a formula.", "Give the formula too.")
        return "", ""
    if clean(point.limits):
        raise BadInput("The point was not written down.", "It has limits and a formula.", "Give one of them.")
    return read_formula_of(shop, assembly, project, point.formula), read_spread(point.spread)


def read_spread(text: str) -> str:
    """By which spread a formula gives limits: worst, if nothing is said."""
    return read_one_of(text, SPREADS, "spread") if clean(text) else SPREADS[0]


def read_formula_of(shop: Workshop, assembly: int, project: int, text: str) -> str:
    """A formula as it is kept, after making sure that it can be understood.

    Parts that are not on the list yet may be named. Raises BadInput, with the place, for what is no formula, and for
    a name that is no designator, no supply of the project and given by nothing.
    """
    from buildbook.reckon.formula import read_formula, refused
    from buildbook.trade.strays import split_givens

    plain = clean(text, limit=1000, what="formula")
    bare, givens = split_givens(plain)
    formula = read_formula(bare)
    parts, supplies = sizes_at(shop.reads, assembly, project)
    for name in formula.names:
        if not (name in givens or name in parts or name in supplies or _REF.fullmatch(name)):
            raise refused(f"{name} is no designator, no supply of the project, and given by nothing.")
    return plain


def change_formula(work: Work, shop: Workshop, row: TestPoint, formula: str | None, spread: str | None) -> None:
    """Put a formula in the place of the limits of a point, change its spread, or take it away (an empty one)."""
    if formula is not None:
        project = the(work, Assembly, row.assembly_id).project_id
        plain = clean(formula, limit=1000, what="formula")
        row.formula = read_formula_of(shop, row.assembly_id, project, plain) if plain else ""
        row.spread = (row.spread or SPREADS[0]) if plain else ""
        row.nominal = row.low = row.high = None
    if spread is not None:
        if not row.formula:
            raise BadInput("The spread was not taken.", "It belongs to a formula.", "Give the formula too.")
        row.spread = read_spread(spread)
