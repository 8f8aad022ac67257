"""How much of its rating a part is given to bear: common practice, which a workshop may set otherwise."""

from __future__ import annotations

from typing import NamedTuple


class Derating(NamedTuple):
    """The share of the rating that is used at most (0 to 1), and what is measured: "V", "W" or "A"."""

    share: float
    unit: str


# Common practice for equipment that is to last; a maker's data sheet goes before it.
USUAL: dict[str, Derating] = {
    "capacitor": Derating(0.8, "V"),
    "resistor": Derating(0.5, "W"),
    "diode": Derating(0.75, "A"),
    "switch": Derating(0.75, "A"),
}
