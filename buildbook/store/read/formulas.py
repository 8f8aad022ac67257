"""What the formulas of test points come to, from the parts lists and supplies as they stand at this moment."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.reckon.formula import Formula
    from buildbook.trade.strays import Sized

# Worked-out limits are given with so many figures, about what a meter shows.
FIGURES = 4
NO_STRAY = "Nothing in it strays, so that it gives no limits."


class Term(NamedTuple):
    """One thing that goes into a formula: its name, its size and how far that strays, in SI units, and its source."""

    name: str
    nominal: float
    low: float
    high: float
    source: str


class Worked(NamedTuple):
    """A formula worked out: what went in, the nominal, and how far it strays; `fault` says why it was not."""

    formula: str
    spread: str
    terms: tuple[Term, ...] = ()
    nominal: float | None = None
    worst_low: float | None = None
    worst_high: float | None = None
    rss_low: float | None = None
    rss_high: float | None = None
    remark: str = ""
    fault: str = ""

    @property
    def limits(self) -> tuple[float | None, float | None, float | None]:
        """Nominal, lower and upper limit by the spread that was asked for; nothing where there is a fault."""
        if self.worst_low == self.worst_high:
            return self.nominal, None, None
        match self.spread:
            case "worst":
                return self.nominal, self.worst_low, self.worst_high
            case "rss":
                return self.nominal, self.rss_low, self.rss_high
        return self.nominal, None, None


class _Asked(NamedTuple):
    """A point with a formula."""

    id: int
    assembly: int
    project: int
    formula: str
    spread: str


# Index: none; test points are few, and most have no formula.
ASKED = """
    SELECT t.id, t.assembly_id, a.project_id, t.formula, t.spread
      FROM test_point AS t JOIN assembly AS a ON a.id = t.assembly_id WHERE t.formula <> ''
"""


def worked_out(reads: sqlite3.Connection) -> dict[int, Worked]:
    """Every point that has a formula, with what that comes to now."""
    asked = [_Asked._make(row) for row in reads.execute(ASKED)]
    if not asked:
        return {}
    parts, supplies = _parts(reads, {one.assembly for one in asked}), _supplies(reads)
    return {
        one.id: work(one.formula, one.spread, parts.get(one.assembly, {}), supplies.get(one.project, {}))
        for one in asked
    }


Sizes: TypeAlias = "Mapping[str, Sized | str]"


def sizes_at(reads: sqlite3.Connection, assembly: int, project: int) -> tuple[Sizes, Sizes]:
    """The sizes that a formula on an assembly may name: of its parts, and of the supplies of its project."""
    return _parts(reads, {assembly}).get(assembly, {}), _supplies(reads).get(project, {})


def work(text: str, spread: str, parts: Sizes, supplies: Sizes) -> Worked:
    """Work one formula out; a given size comes before a part, a part before a supply."""
    from buildbook.reckon.formula import read_formula
    from buildbook.reckon.tolerance import Band, work_out
    from buildbook.trade.strays import split_givens

    try:
        bare, givens = split_givens(text)
        formula = read_formula(bare)
        found = _terms(formula, givens, parts, supplies)
        if isinstance(found, str):
            return Worked(text, spread, fault=found)
        out = work_out(formula, {one.name: Band(one.nominal, one.low, one.high) for one in found})
    except BadInput as error:
        return Worked(text, spread, fault=error.why or error.what)
    return Worked(
        formula=text,
        spread=spread,
        terms=found,
        nominal=_rounded(out.nominal),
        worst_low=_rounded(out.worst.low),
        worst_high=_rounded(out.worst.high),
        rss_low=_rounded(out.rss.low),
        rss_high=_rounded(out.rss.high),
        remark=out.remark if any(one.low < one.high for one in found) else NO_STRAY,
    )


def _rounded(size: float) -> float:
    return float(f"{size:.{FIGURES}g}")


def _terms(formula: Formula, givens: Sizes, parts: Sizes, supplies: Sizes) -> tuple[Term, ...] | str:
    terms, lacking = [], []
    for name in formula.names:
        size = next((sizes[name] for sizes in (givens, parts, supplies) if name in sizes), "neither part nor supply")
        if isinstance(size, str):
            lacking.append(f"{name} ({size})")
        else:
            terms.append(Term(name, *size))
    return f"Not known yet: {', '.join(lacking)}." if lacking else tuple(terms)


# Index: line_of_assembly. Lines that count come first, so that they are kept.
LINES = """
    SELECT l.assembly_id, l.refs, p.kind, p.value_text, p.name, l.fitted AND coalesce(o.chosen, 1)
      FROM json_each(?) AS a JOIN line AS l ON l.assembly_id = a.value JOIN part AS p ON p.id = l.part_id
      LEFT JOIN choice_option AS o ON o.id = l.option_id
     WHERE l.refs <> '' ORDER BY 6 DESC, l.id
"""


def _parts(reads: sqlite3.Connection, assemblies: set[int]) -> dict[int, dict[str, Sized | str]]:
    from buildbook.trade.refdes import read_refs
    from buildbook.trade.strays import part_size

    found: dict[int, dict[str, Sized | str]] = {}
    for assembly, refs, kind, value, name, counts in reads.execute(LINES, (json.dumps(sorted(assemblies)),)):
        size = part_size(kind, value, name) if counts else "left out, or its question is open"
        home = found.setdefault(assembly, {})
        for ref in read_refs(refs):
            home.setdefault(ref.upper(), size)
    return found


# Index: the unique one of supply; supplies are few.
SUPPLIES = "SELECT project_id, code, volts_uv, tolerance_bp FROM supply"


def _supplies(reads: sqlite3.Connection) -> dict[int, dict[str, Sized | str]]:
    from buildbook.trade.strays import supply_size

    found: dict[int, dict[str, Sized | str]] = {}
    for project, code, volts, tolerance in reads.execute(SUPPLIES):
        found.setdefault(project, {})[code.upper()] = supply_size(volts, tolerance)
    return found
