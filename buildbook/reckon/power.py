"""First power: no step of it before the safety checks that stand before it are signed; local codes decide the rest.

It looks through the whole order of work, so that a check that was left out, or passed early, still holds the power.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from buildbook.reckon.network import Link
from buildbook.reckon.readiness import NO_CHECK, UNSIGNED, Reason

POWER, CHECKS = "first power", "safety checks"


class Worked(NamedTuple):
    """A step by its kind of work; whether it is a hold point, and done and signed in the build that is meant."""

    id: int
    work: str
    hold_point: bool = False
    signed: bool = False


def power_holds(steps: Sequence[Worked], links: Iterable[Link]) -> dict[int, list[Reason]]:
    """What holds each step of first power: the safety hold points before it that are not signed.

    One before which no safety hold point stands at all is held for that.

    >>> power_holds([Worked(1, "safety checks", True), Worked(2, "first power")], [Link(1, 2)])
    {2: [Reason(kind='unsigned', number=1, until=None)]}
    """
    if not any(step.work == POWER for step in steps):
        return {}
    links = list(links)
    found = {}
    for step in steps:
        if step.work == POWER:
            before = checks_before(step.id, steps, links)
            unsigned = [Reason(UNSIGNED, one.id) for one in before if not one.signed]
            found[step.id] = unsigned if before else [Reason(NO_CHECK, step.id)]
    return {step: reasons for step, reasons in found.items() if reasons}


def checks_before(step: int, steps: Sequence[Worked], links: Iterable[Link]) -> list[Worked]:
    """The safety hold points that come before a step, by however many others, in the order of the steps given."""
    before: dict[int, list[int]] = {}
    for link in links:
        before.setdefault(link.after, []).append(link.before)
    seen = {step}
    for number in (todo := [step]):
        new = [one for one in before.get(number, ()) if one not in seen]
        seen.update(new)
        todo += dict.fromkeys(new)
    return [one for one in steps if one.id in seen and one.id != step and one.hold_point and one.work == CHECKS]
