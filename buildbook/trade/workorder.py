"""The natural order of work: what is done before what at the bench, and what it costs to forget it. Common practice.

The rules are one small table. They order the steps of one assembly; what has to wait for a step of another assembly,
only the builder knows. Where rules and drawings, tins or local codes differ, those govern.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

WORKS = (
    "mark out",
    "cut and drill",
    "deburr",
    "trial fit",
    "fix what will show",
    "mask",
    "degrease",
    "prime",
    "paint",
    "cure",
    "letter",
    "clear-coat",
    "populate",
    "fit hardware",
    "fit boards",
    "wire",
    "safety checks",
    "first power",
    "adjust",
    "button up",
)
"""The kinds of work that the rules know, in their natural order."""

DANGEROUS = "dangerous"
NO_WAY_BACK = "cannot be undone"
TWICE = "work done twice"
SERIOUSNESS = (DANGEROUS, NO_WAY_BACK, TWICE)
"""What comes of forgetting, the most serious first."""

WRONG, AGAIN, MEANT, ENOUGH = "wrong", "again", "meant", "enough"
"""How strictly a rule is read: see `Rule`."""


class Rule(NamedTuple):
    """Work of one kind comes before work of another, for a reason said in one sentence.

    `serious` is one of SERIOUSNESS. `strict` says what to think of a project that orders two steps the other way: it is
    WRONG; or the work is done AGAIN for something later, which is fine where the later kind has had such work already;
    or it is MEANT, and the step belongs to a later stage. With ENOUGH, one step of such work before the later one is
    enough, and no other has to be. `alike` are the kinds of work that count as such. A rule `by_piece` does not order
    two steps that name different pieces of metal.
    """

    before: str
    after: str
    serious: str
    strict: str
    by_piece: bool
    alike: tuple[str, ...]
    reason: str


# Kinds before (and others that serve as well) > kinds after | what comes of it | how strictly | by piece; the reason.
# Common practice.
_TABLE = """
mark out > cut and drill | cannot be undone | meant | piece
    A hole that was not marked out lands in the wrong place.
cut and drill > deburr | work done twice | again | piece
    A hole that is made after the deburring keeps its burr.
cut and drill > mask, degrease | work done twice | meant | piece
    Swarf and cutting oil spoil clean metal and tape.
deburr > mask, degrease | work done twice | meant | piece
    Deburring leaves dust and finger marks on clean metal.
cut and drill > fix what will show | work done twice | meant | piece
    A drill that slips leaves one more scratch to fill.
deburr > fix what will show | work done twice | meant | piece
    A deburring tool that slips leaves one more scratch to fill.
cut and drill > prime, paint, letter, clear-coat | cannot be undone | wrong | piece
    A drill chips the finish.
deburr > prime, paint, letter, clear-coat | cannot be undone | wrong | piece
    Finish does not hold on a burr, and chips off with it.
cut and drill > fit boards, wire | dangerous | wrong
    Swarf among boards and wires makes short circuits.
cut and drill > fit hardware | work done twice | meant | piece
    What is fitted comes out again before a drill goes in.
cut and drill, deburr > first power | dangerous | wrong
    Swarf in a unit under power makes short circuits.
deburr > fit hardware, fit boards | work done twice | meant | piece
    What is fitted comes out again to reach the burrs.
deburr > wire | dangerous | wrong
    A burr cuts the insulation of a wire.
trial fit > fix what will show, mask, degrease | work done twice | meant | piece
    Parts tried in place scratch and soil the metal.
trial fit > prime, paint, letter, clear-coat | cannot be undone | meant | piece
    What does not fit is filed through the finish.
trial fit > fit hardware | work done twice | meant | piece
    What does not fit has to come out again.
fix what will show > mask, degrease | work done twice | again | piece
    Filling and sanding leave dust on clean metal.
fix what will show > prime, paint, letter, clear-coat | cannot be undone | again | piece
    A scratch shows through every coat that lies over it.
mask > prime, paint, clear-coat | dangerous | again | piece
    Paint under the stud breaks the protective earth.
degrease > prime, paint, letter | cannot be undone | again | piece
    A coat does not hold on grease.
prime > paint, letter, clear-coat | cannot be undone | again | piece
    Primer that comes later covers the finish.
paint > letter, clear-coat | cannot be undone | again | piece
    Paint that comes later covers the letters and the clear-coat.
letter > clear-coat | cannot be undone | again | piece
    Letters on top of the clear-coat rub off.
prime, paint > cure | work done twice | again | piece
    A coat that comes after the cure has to cure as well.
clear-coat (prime, paint) > cure | work done twice | enough | piece
    A coat that comes after the cure has to cure as well.
prime, paint, clear-coat > fit hardware | cannot be undone | meant | piece
    What is fitted already is painted over with the rest.
letter > fit hardware | work done twice | meant | piece
    Letters are laid on a bare surface.
cure > fit hardware, fit boards | work done twice | meant | piece
    Nuts and washers sink into a soft coat and tear it.
prime, paint, clear-coat > fit boards, wire | cannot be undone | wrong | piece
    Spray gets into sockets, switches and contacts.
fit hardware > fit boards | work done twice | meant
    A board that is in already is in the way, and may be hurt.
fit hardware, fit boards > wire | work done twice | meant
    Wires to what is not yet in place are cut to a guess.
populate > fit boards, adjust | work done twice | meant
    A board that is not complete has to come out again.
populate > safety checks | dangerous | meant
    A part that is put in after the checks has not been checked.
fit hardware, fit boards, wire > safety checks | dangerous | meant
    What is fitted after the checks has not been checked.
populate, fit hardware, fit boards, wire > first power | dangerous | meant
    Nobody works inside a unit that has been under power as if it were dead.
safety checks > first power | dangerous | again
    Earth and insulation are measured before the mains can reach a hand; local codes decide.
safety checks > adjust | dangerous | meant
    Who adjusts under power relies on the checks; local codes decide.
first power > adjust | dangerous | meant
    The first power shows faults before hands and tools go near.
populate, fit hardware, fit boards, wire > button up | work done twice | meant
    The lid comes off again.
safety checks > button up | dangerous | again
    What is shut in cannot be inspected any more.
first power, adjust > button up | work done twice | again
    The lid comes off again.
"""


def _rules() -> tuple[Rule, ...]:
    found = []
    for row in _TABLE.strip().replace("\n    ", "|").splitlines():
        kinds, serious, strict, *by_piece, reason = (cell.strip() for cell in row.split("|"))
        early, late = kinds.split(">")
        named, _, others = early.strip().removesuffix(")").partition("(")
        befores = _listed(named)
        alike = (*befores, *_listed(others))
        for before in befores:
            found += [Rule(before, after, serious, strict, bool(by_piece), alike, reason) for after in _listed(late)]
    return tuple(found)


def _listed(kinds: str) -> tuple[str, ...]:
    return tuple(kind.strip() for kind in kinds.split(",") if kind.strip())


RULES = _rules()
"""Every rule, one for each pair of kinds of work."""

RULE_OF: Mapping[tuple[str, str], Rule] = {(rule.before, rule.after): rule for rule in RULES}
"""The rule of a pair of kinds of work: (before, after)."""
