"""Poles and throws of a switch or relay, as the trade writes them: SPST, DPDT, 4P3T, 4 poles 3 throws."""

from __future__ import annotations

import re
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

MOST = 99
_WORDS = {"S": 1, "D": 2}
_SHORT = re.compile(r"([SD]|[0-9]{1,3}) ?P ?([SD]|[0-9]{1,3}) ?T")
_LONG = re.compile(r"([0-9]{1,3}) ?POLES?[ ,X/]*([0-9]{1,3}) ?(?:THROWS?|WAYS?)")


class Ways(NamedTuple):
    """So many poles, each with so many throws."""

    poles: int
    throws: int


def read_ways(text: str) -> Ways:
    """Read poles and throws, 1 to 99 of each; S is one, D is two. Raises BadInput for anything else.

    >>> read_ways("4P3T"), read_ways("dpdt"), read_ways("3 poles 4 throws")
    (Ways(poles=4, throws=3), Ways(poles=2, throws=2), Ways(poles=3, throws=4))
    """
    plain = clean(text).upper()
    found = _SHORT.fullmatch(plain) or _LONG.fullmatch(plain)
    poles, throws = (_WORDS.get(one) or int(one) for one in found.groups()) if found else (0, 0)
    if not (1 <= poles <= MOST and 1 <= throws <= MOST):
        raise BadInput(
            f"{quote(text)} was not understood as poles and throws.",
            f"There are 1 to {MOST} of each, written 4P3T, DPDT, SPST or 4 poles 3 throws.",
            "Write them so.",
        )
    return Ways(poles, throws)


def show_ways(poles: int, throws: int) -> str:
    """Poles and throws in short; `read_ways` reads them back.

    >>> show_ways(4, 3), show_ways(2, 2), show_ways(1, 3)
    ('4P3T', 'DPDT', 'SP3T')
    """
    letters = {1: "S", 2: "D"}
    return f"{letters.get(poles, poles)}P{letters.get(throws, throws)}T"
