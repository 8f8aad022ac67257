"""What a try at a fault cost, as it is written at the bench: "40 min", "1h10, 2 joints"."""

from __future__ import annotations

import re
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote
from buildbook.trade.units import read_minutes, show_minutes

MOST_JOINTS = 9999
_JOINTS = re.compile(r"(?<![\w.,-])([0-9]{1,9})\s*(?:solder(?:ed)?\s+)?joints?\b", re.IGNORECASE)


class Effort(NamedTuple):
    """Minutes lost, None where nobody wrote them down, and joints that were made anew."""

    minutes: int | None = None
    joints: int = 0


class Told(NamedTuple):
    """A try as one line tells it: what was tried, what it showed, and what it cost."""

    tried: str
    showed: str
    effort: Effort


def read_effort(text: str) -> Effort:
    """Read minutes, joints or both, in either order; a bare number is minutes, and nothing is nothing.

    Raises BadInput for anything else, for more than 9,999 joints and for joints given twice.

    >>> read_effort("40 min"), read_effort("2 joints"), read_effort("1h10, 2 joints")
    (Effort(minutes=40, joints=0), Effort(minutes=None, joints=2), Effort(minutes=70, joints=2))
    """
    plain = clean(text)
    found = _JOINTS.findall(plain)
    if len(found) > 1:
        raise _refused(f"{quote(text)} counts the joints twice.")
    rest = _JOINTS.sub(" ", plain).strip(" ,+")
    return Effort(read_minutes(rest) if rest else None, _joints(found[0]) if found else 0)


def read_joints(text: str) -> int:
    """Read a count of joints, with or without the word; nothing is none.

    >>> read_joints("2"), read_joints("1 joint"), read_joints("")
    (2, 1, 0)
    """
    plain = clean(text)
    if not plain:
        return 0
    bare = _JOINTS.fullmatch(plain)
    digits = bare[1] if bare else plain
    if not (digits.isascii() and digits.isdigit() and len(digits) < 10):
        raise _refused(f"{quote(text)} is no count of joints.")
    return _joints(digits)


def read_try(text: str) -> Told:
    """Read a try from one line: what was tried; what it showed; minutes; joints. All but the first may be left out.

    What stands last and is wholly an amount of time or joints, with its unit, is what it cost.

    >>> read_try("Resoldered R6; the same; 10 min; 2 joints")
    Told(tried='Resoldered R6', showed='the same', effort=Effort(minutes=10, joints=2))
    >>> read_try("Swapped the valve; 1h10").effort
    Effort(minutes=70, joints=0)
    """
    tried, *pieces = (piece.strip() for piece in text.split(";"))
    effort = Effort()
    while pieces and (cost := _cost(pieces[-1])):
        if (cost.minutes is not None and effort.minutes is not None) or (cost.joints and effort.joints):
            break
        effort = Effort(cost.minutes if effort.minutes is None else effort.minutes, cost.joints or effort.joints)
        pieces.pop()
    return Told(tried, "; ".join(filter(None, pieces)), effort)


def show_effort(effort: Effort) -> str:
    """Say what it cost; nothing where nothing was written down.

    >>> show_effort(Effort(70, 2)), show_effort(Effort(None, 1)), show_effort(Effort())
    ('1 h 10 min, 2 joints', '1 joint', '')
    """
    said = [] if effort.minutes is None else [show_minutes(effort.minutes)]
    if effort.joints:
        said.append("1 joint" if effort.joints == 1 else f"{effort.joints} joints")
    return ", ".join(said)


def _cost(piece: str) -> Effort | None:
    """What a piece of a line says of time and joints; None when it says something else, or a bare number."""
    if not piece or piece.isdigit():
        return None
    try:
        return read_effort(piece)
    except BadInput:
        return None


def _joints(digits: str) -> int:
    if int(digits) > MOST_JOINTS:
        raise _refused(f"There are {MOST_JOINTS:,} joints at most.")
    return int(digits)


def _refused(why: str) -> BadInput:
    return BadInput("The cost of the try was not understood.", why, "Write it like 40 min, 1h10 or 2 joints.")
