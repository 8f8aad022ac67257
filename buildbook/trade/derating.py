"""How much of its rating a part is given to bear: common practice, which a workshop may set otherwise.

Its settings are known wherever a workshop is opened, so what reads figures is imported only where one is read.
"""

from __future__ import annotations

from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

SETTING = "derating_"
MOST_PERCENT = 100


class Derating(NamedTuple):
    """The share of a rating (above 0, at most 1) that is used at most on the bench, what of, and of which parts."""

    share: float
    unit: str
    meaning: str


# Capacitors: a reliability centre's derating table, benign surroundings. The rest is common practice for equipment that
# is to last. A maker's data sheet goes before all of them.
USUAL: dict[str, Derating] = {
    "electrolytic": Derating(0.8, "V", "volts of aluminium electrolytic capacitors; 70 % where it is hot or severe"),
    "capacitor": Derating(0.7, "V", "volts of film, ceramic, mica and other capacitors; 60 % where it is severe"),
    "mains_capacitor": Derating(1.0, "V", "AC volts of X and Y capacitors, which are made for the mains by class"),
    "resistor": Derating(0.5, "W", "watts of resistors; their volts are used in full"),
    "diode": Derating(0.75, "A", "amps of diodes"),
    "reverse": Derating(1 / 1.5, "V", "reverse volts of diodes: they are made for 1.5 x as much"),
    "switch": Derating(0.75, "A", "amps and volts of switches and relays"),
    "other": Derating(1.0, "", "what other parts bear, for which no practice is kept here"),
}
# The same table in severe surroundings.
SEVERE = {"electrolytic": 0.7, "capacitor": 0.6}
SETTINGS = {f"{SETTING}{name}": f"used at most, {usual.meaning}" for name, usual in USUAL.items()}


def group_of(kind: str, *, electrolytic: bool, for_mains: bool) -> str:
    """The name in USUAL by which a kind of part is derated; reverse volts have a share of their own.

    >>> group_of("capacitor", electrolytic=True, for_mains=False)
    'electrolytic'
    """
    if kind == "capacitor":
        return "mains_capacitor" if for_mains else "electrolytic" if electrolytic else "capacitor"
    return {"relay": "switch"}.get(kind, kind if kind in USUAL else "other")


def read_share(text: str) -> str:
    """A share as a setting keeps it, in percent. Raises BadInput unless it is above 0 and at most 100 %.

    >>> read_share("70"), read_share(" 66,67% ")
    ('70 %', '66.67 %')
    """
    from buildbook.trade.amounts import quantity
    from buildbook.trade.marking import plain_digits

    percent = quantity(clean(text), "%")
    if not 0 < percent <= MOST_PERCENT:
        raise BadInput(f"{quote(text)} was not taken.", "A share is above 0 and at most 100 %.", "Give another.")
    return f"{plain_digits(percent)} %"


def show_share(share: float) -> str:
    """A share in percent, rounded down to a hundredth: never more than it is.

    >>> show_share(0.8), show_share(1 / 1.5)
    ('80 %', '66.66 %')
    """
    from decimal import Decimal

    from buildbook.trade.marking import plain_digits

    return f"{plain_digits(Decimal(int(round(share * 1e6) // 100)) / 100)} %"


def shares(kept: dict[str, str]) -> dict[str, float]:
    """The share of each group: as the workshop's settings have it, or else the usual one.

    >>> shares({"derating_resistor": "60 %"})["resistor"], shares({})["capacitor"]
    (0.6, 0.7)
    """
    from buildbook.trade.amounts import quantity

    found = {name: usual.share for name, usual in USUAL.items()}
    for name in found:
        if text := kept.get(f"{SETTING}{name}"):
            found[name] = float(quantity(text, "%") / 100)
    return found


def hot_share(celsius: float, *, full_to: float = 70.0, none_from: float = 155.0) -> float:
    """The share of its watts that a film resistor keeps in air so hot, in degrees Celsius: all of it up to `full_to`.

    From there it falls in a straight line to nothing at `none_from` (70 and 155 degrees are typical of metal film; the
    data sheet decides). Raises BadInput where the two are the wrong way round.

    >>> [round(hot_share(hot), 3) for hot in (25, 70, 100, 110, 125, 155, 200)]
    [1.0, 1.0, 0.647, 0.529, 0.353, 0.0, 0.0]
    """
    if not full_to < none_from:
        raise BadInput(
            "The share was not reckoned.", "It has to fall to nothing above where it is whole.", "Swap them."
        )
    return min(1.0, max(0.0, (none_from - celsius) / (none_from - full_to)))
