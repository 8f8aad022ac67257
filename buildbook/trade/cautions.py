"""What a signature at a hold point confirms, where the step does not say it itself: the usual checks; common practice.

A signature says what was checked, by whom and when; it never says that something is safe. Local codes decide.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_OFF = "Isolated: unplugged, and the plug in sight or locked off."
_EMPTY = "Discharged, and measured below 60 V at each reservoir."
_EARTH = "Protective-earth continuity measured to every panel."
_FUSE = "Fuse of the written rating and type fitted."
_INSULATION = "Insulation measured, line and neutral joined to earth."
_LIMITER = "First power through a current limiter."
_ALONE = "Nobody alone in the house; one hand while it is live."

_CONFIRMS = {
    "safety checks": (_OFF, _EMPTY, _EARTH, _INSULATION, _FUSE),
    "first power": (_LIMITER, _FUSE, _ALONE, "Afterwards: " + _OFF[0].lower() + _OFF[1:], _EMPTY),
    "adjust": (_ALONE, "Afterwards: " + _OFF[0].lower() + _OFF[1:], _EMPTY),
    "fit boards": (_OFF, _EMPTY),
    "wire": ("Every crimp pulled, every joint looked at.",),
    "mask": ("The patch is covered to its edge: paint there breaks the protective earth.",),
}
CONFIRMS: Mapping[str, tuple[str, ...]] = MappingProxyType(_CONFIRMS)
"""What a signature confirms by kind of work; kinds for which nothing is usual are not there. Common practice."""


# Safety checks of one thing confirm that and no more: the words of their names, and what is confirmed.
_BY_NAME = (
    ("safety check", _CONFIRMS["safety checks"]),
    ("protective earth", (_OFF, _EARTH)),
    ("insulation", (_OFF, _INSULATION, "What the tester charged is discharged again.")),
    ("ring out", (_OFF, "Every wire measured from end to end, and against its neighbours.")),
    ("inspect", (_OFF, "Looked at in good light against the drawing: joints, polarity, distances.")),
)


def confirmed(checks: str, work: str, name: str = "") -> tuple[str, ...]:
    """What a signature confirms: the step's own checks, one a line, else what is usual for its kind of work.

    Of safety checks the name of the step tells which are meant: none is confirmed that was not its work.

    >>> confirmed("Earth read\\nLid on", "safety checks"), confirmed("", "wire")
    (('Earth read', 'Lid on'), ('Every crimp pulled, every joint looked at.',))
    """
    own = tuple(line.strip() for line in checks.splitlines() if line.strip())
    if own:
        return own
    kind, said = work.casefold(), name.casefold()
    if kind == "safety checks":
        return next((lines for words, lines in _BY_NAME if words in said), ())
    return CONFIRMS.get(kind, ())


def in_one_line(confirms: tuple[str, ...]) -> str:
    """What was checked, as it is kept beside a signature that confirms it all.

    >>> in_one_line(("Earth read.", "Lid on"))
    'Earth read; Lid on'
    """
    return "; ".join(one.rstrip(".") for one in confirms)
