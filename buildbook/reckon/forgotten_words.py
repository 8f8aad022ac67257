"""What is forgotten, and what a one-way step would close off, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence

from buildbook.reckon.forgotten import Closed, How
from buildbook.trade.plain import quote
from buildbook.trade.workorder import Rule

# So many are read before something is begun that cannot be undone; more are only counted.
MOST_TOLD = 8
LONGEST_NAME = 90
_BEGINS = {
    "needed": "Not done yet, and to come before it",
    "needed by those": "Not done yet, and to come before those",
    "forgotten": "Nothing says it, but to come before it",
}


def nothing_says(before: str, after: str, rule: Rule, how: How = "missing") -> str:
    """That a step ought to come before another, and why, in one sentence; the steps are given by their names.

    >>> from buildbook.trade.workorder import RULE_OF
    >>> print(nothing_says("Mask the patch", "Prime", RULE_OF["mask", "prime"]))
    Nothing says that “Mask the patch” comes before “Prime”: paint under the stud breaks the protective earth.
    """
    first, then = quote(before, limit=LONGEST_NAME), quote(after, limit=LONGEST_NAME)
    if how == "reversed":
        return f"{then} is put before {first}, against the natural order of work: {_within(rule.reason)}"
    return f"Nothing says that {first} comes before {then}: {_within(rule.reason)}"


def closed_said(closed: Closed, name: str) -> str:
    """What a one-way step would close off, by its name, how serious that is and why.

    >>> from buildbook.trade.workorder import RULE_OF
    >>> closed_said(Closed(1, "needed", "cannot be undone", RULE_OF["degrease", "prime"]), "Degrease the case")
    'Not done yet, and to come before it: Degrease the case. Cannot be undone: a coat does not hold on grease.'
    """
    said = f"{_BEGINS[closed.why]}: {name}."
    if closed.rule is None:
        return said
    return f"{said} {closed.serious.capitalize()}: {_within(closed.rule.reason)}"


def first_told(said: Sequence[str]) -> list[str]:
    """The sentences of what would be closed off, as they come (the most serious first); beyond MOST_TOLD only counted.

    >>> first_told(["Not done yet, and to come before it: Mask."])
    ['Not done yet, and to come before it: Mask.']
    """
    more = len(said) - MOST_TOLD
    told = list(said[:MOST_TOLD])
    return [*told, f"And {more} more step{'' if more == 1 else 's'} before those."] if more > 0 else told


def _within(reason: str) -> str:
    """A sentence as it stands behind a colon."""
    return reason[:1].lower() + reason[1:]
