"""The formula of a test point on the screen: what went in and what it comes to, asked for and explained."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.tui.rows import Line, heading, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.measuring import PointRow
    from buildbook.tui.asking import Check

SIGN = "="


def limits_shown(one: PointRow) -> str:
    """The limits of a point, or that its formula does not give them yet."""
    return "formula not worked out" if one.worked and one.worked.fault else one.limits


def formula_lines(one: PointRow) -> list[Line]:
    """The formula of a point in a line, and why it was not worked out, where it was not."""
    if one.worked is None:
        return []
    said = [Line(f"by formula ({one.worked.spread or 'nominal only'}): {one.worked.formula}")]
    return said + [Line(text, "warn") for text in (one.worked.fault, one.worked.remark) if text]


def formula_why(one: PointRow) -> list[Line]:
    """The arithmetic of a formula: every size that went in with how far it strays, nominal, worst case and RSS."""
    worked = one.worked
    if worked is None:
        return []
    lines = [heading("the limits, by formula"), Line(worked.formula)]
    rows = [(term.name, _size(term.nominal), _size(term.low), _size(term.high), term.source) for term in worked.terms]
    lines += table_lines(("goes in", "size", "from", "to", "by"), rows, right=(1, 2, 3))
    if worked.fault:
        return [*lines, Line(worked.fault, "warn")]
    ways = (("worst case", worked.worst_low, worked.worst_high), ("RSS", worked.rss_low, worked.rss_high))
    ends = [("nominal", _amount(worked.nominal, one.unit), "")]
    ends += [(name, _amount(low, one.unit), _amount(high, one.unit)) for name, low, high in ways]
    lines += table_lines(("comes to", "from", "to"), ends, right=(1, 2))
    return lines + ([Line(worked.remark, "warn")] if worked.remark else [])


def history_lines(shop: Workshop, one: PointRow) -> list[Line]:
    """The history of a point in a line, of two readings and more."""
    if one.times == 0:
        return []
    from buildbook.answers.point_history import history_said, point_history

    past = point_history(shop, one.point)
    return [Line(f"over all builds: {history_said(past)}", "quiet")] if past.readings > 1 else []


def formula_in(text: str) -> str | None:
    """The formula in an answer to the question for limits, which = begins; None where it gives limits."""
    plain = text.strip()
    return plain[len(SIGN) :].strip() if plain.startswith(SIGN) else None


def formula_check(text: str) -> str:
    """Says how a formula is understood while it is typed."""
    from buildbook.reckon.formula import read_formula
    from buildbook.trade.strays import split_givens

    bare, givens = split_givens(formula_in(text) or "")
    asked = [name for name in read_formula(bare).names if name not in givens]
    return f"a formula of {', '.join(asked)} of the parts list and the supplies" if asked else "a formula"


def or_formula(check: Check) -> Check:
    """A check of limits that takes a formula too."""
    return lambda text: check(text) if formula_in(text) is None else formula_check(text)


def _amount(value: float | None, unit: str) -> str:
    from buildbook.trade.amounts import show_amount

    return "" if value is None else show_amount(value, unit)


def _size(value: float) -> str:
    from buildbook.trade.amounts import show_amount

    # No unit is tracked: prefixes alone make it readable.
    number, _, prefix = show_amount(float(f"{value:.6g}"), "V").removesuffix("V").partition(" ")
    return f"{number}{prefix}"
