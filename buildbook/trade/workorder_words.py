"""What the plain words of a step tell: its kind of work, the pieces of metal it names, and the usual caution."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

# Kind of work | how its steps begin | what else must be said. The first row that fits tells; common practice.
_TELLS = r"""
wire | (cut|strip|crimp|twist|tin|solder|make up|mark|sleeve)\b | (wires?|leads?|heater pairs?|cables?)
wire | (lace|run|route|connect|dress|make up)\b | (wires?|leads?|harness|loom|cables?)
wire | wire\b |
mark out | (mark out|scribe|centre[- ]punch|lay out the holes) |
cut and drill | (cut|drill|punch|saw|ream|tap|file|nibble|mill|countersink)\b |
deburr | (deburr|take off the burrs) |
trial fit | (trial[- ]fit|offer up|dry fit) |
fix what will show | (fill|sand|polish|rub down|touch up|fix)\b | (scratch(es)?|dents?|what will show)
mask | mask\b |
degrease | (degrease|wipe down|clean with (solvent|alcohol)) |
clear-coat | (clear[- ]coat|(spray|apply) (the )?clear[- ]coat) |
prime | (prime|(spray|apply) (the )?primer)\b |
paint | (paint|lacquer|(spray|apply) .*(lacquer|paint|enamel|colour coat)) |
cure | let .*\b(cure|harden)\b |
letter | (letter|(apply|lay|rub down) .*\b(lettering|letters|legends?|decals?)\b) |
populate | (populate|stuff)\b |
safety checks | (read|do|sign|read and sign) .*safety checks? |
safety checks | (protective earth|insulation|earth bond|ring out)\b |
safety checks | inspect\b | boards?
first power | (first power|power up for the first time|first switch-on) |
adjust | (align|adjust|calibrate|soak test|bench[- ]test)\b |
adjust | set\b .*\bto\b .*\d |
fit boards | (fit|mount|install|plug in)\b | boards?
fit hardware | bolt\b |
fit hardware | (fit|mount)\b | (stud|inlet|feet|handles?|grommets?|vent mesh|posts|hinges?|stand-?offs?|pillars)
fit hardware | (fit|mount)\b | (knobs?|jacks?|controls|panel|drive|gang|screen|heat sinks?|fuse ?holder)
button up | (button up|close (up )?the (case|lid|box)|(put|screw) the lid on) |
"""


def _tells() -> tuple[tuple[str, re.Pattern[str], re.Pattern[str] | None], ...]:
    rows = []
    for row in _TELLS.strip().splitlines():
        # A bar inside brackets belongs to the pattern; only one with a space on both sides, or at the end, parts cells.
        work, begins, says = re.split(r" \|(?: |$)", row, maxsplit=2)
        rows.append((work, re.compile(begins), re.compile(rf"\b(?:{says.strip()})\b") if says.strip() else None))
    return tuple(rows)


_KNOWN = _tells()


def work_guessed(name: str) -> str:
    """The kind of work that the name of a step tells, one of `workorder.WORKS`, or nothing where it is not plain.

    >>> work_guessed("Prime inside and out"), work_guessed("Cut and mark the mains wires"), work_guessed("Fit the lot")
    ('prime', 'wire', '')
    """
    said = " ".join(name.casefold().split())
    for work, begins, says in _KNOWN:
        if begins.match(said) and (says is None or says.search(said)):
            return work
    return ""


class Named(NamedTuple):
    """The pieces of metal that a step names, and the openings in them, if it names any."""

    pieces: frozenset[str] = frozenset()
    openings: frozenset[str] = frozenset()


NOTHING_NAMED = Named()

_PIECE = re.compile(
    r"\b(?:(?P<which>front|rear|back|side|top|bottom|base|left|right|inner|outer|sub|dial|screen)[- ]?)?"
    r"(?P<what>chassis|panel|wrap|lid|plate|cover|bracket|shroud|bezel|tray|base|bulkhead)s?\b"
)
_OPENING = re.compile(r"\b(?:the |an? )?(?P<which>[\w-]+) (?P<what>opening|window|cut-out|cutout|slot)s?\b")
_SAME = {"cutout": "cut-out", "back panel": "rear panel", "base plate": "bottom plate"}
_NO_NAMES = frozenset({"the", "a", "an", "this", "that", "every", "all", "each"})


def named(name: str) -> Named:
    """The pieces of metal, and the openings, that the name of a step names.

    >>> sorted(named("Drill the wrap and the bottom plate").pieces), sorted(named("Cut the meter opening").openings)
    (['bottom plate', 'wrap'], ['meter opening'])
    """
    said = name.casefold()
    pieces = (_called(found) for found in _PIECE.finditer(said))
    openings = (_called(found) for found in _OPENING.finditer(said) if found["which"] not in _NO_NAMES)
    return Named(frozenset(pieces), frozenset(openings))


def _called(found: re.Match[str]) -> str:
    words = " ".join(word for word in (found["which"], _SAME.get(found["what"], found["what"])) if word)
    return _SAME.get(words, words)


def apart(before: Named, after: Named) -> bool:
    """Whether two steps name different things, so that a rule by piece does not order them.

    What was marked out or done for one opening is nothing to the rest of the piece it lies in.

    >>> apart(named("Mark out the chassis"), named("Drill the wrap")), apart(named("Mark out"), named("Drill the wrap"))
    (True, False)
    """
    if before.pieces and after.pieces:
        return before.pieces.isdisjoint(after.pieces)
    if before.openings and not before.pieces:
        return bool(after.pieces or after.openings) and before.openings.isdisjoint(after.openings)
    return False


SOLVENT = "Solvent vapour: open air or a mask made for it, no flame, gloves. The tin's own label governs."
SHEET_METAL = "Eye protection; clamp sheet metal, it grabs and spins."
DUST = "Dust mask; wet is better."
LEAD = "Lead solder: wash hands afterwards, and no food at the bench. Keep out of the fumes."
MAINS = "Work on mains can kill: unplug before a hand goes in; local codes decide."
HIGH_VOLTAGE = (
    "High voltage can kill: switch off, unplug, wait for the bleeder, and measure below 60 V before a hand goes in; "
    "local codes decide."
)

_CAUTIONS = {
    "cut and drill": SHEET_METAL,
    "deburr": "Burrs cut fingers and insulation.",
    "fix what will show": DUST,
    "mask": "Paint under the earth stud breaks the protective earth; local codes decide.",
    **dict.fromkeys(("degrease", "prime", "paint", "clear-coat"), SOLVENT),
    "cure": "Handle by the edges until then; solvent vapour goes on leaving the coat.",
    **dict.fromkeys(("populate", "wire"), LEAD),
    "safety checks": f"{MAINS} A signature says what was checked, no more.",
    "first power": f"{MAINS} One hand, and nobody alone in the house.",
    "button up": f"Repeat the earth reading with the last screw in. {MAINS}",
}
CAUTIONS: Mapping[str, str] = MappingProxyType(_CAUTIONS)
"""The caution usual for each kind of work; kinds that need none are not there. Common practice."""


def usual_caution(work: str, *, mains: bool = False, high_voltage: bool = False) -> str:
    """The caution usual for a kind of work, and for mains or high voltage where the unit has them; may be nothing.

    >>> usual_caution("populate"), usual_caution("adjust", mains=True) == MAINS
    ('Lead solder: wash hands afterwards, and no food at the bench. Keep out of the fumes.', True)
    """
    words = [CAUTIONS.get(work, "")]
    words += [MAINS] if mains and MAINS not in words[0] else []
    words += [HIGH_VOLTAGE] if high_voltage else []
    return " ".join(word for word in words if word)
