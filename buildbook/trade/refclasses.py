"""What the class letters of reference designators mean, by standard: a table of the trade."""

from __future__ import annotations

from typing import NamedTuple


class Meaning(NamedTuple):
    """What class letters stand for by one standard: the kind of part in the workshop, and the words for it."""

    standard: str
    kind: str
    words: str


# Class letters, kind, words. IEEE 315 with ASME Y14.44, confirmed for the common letters, the rarer ones from memory.
_IEEE = """
R resistor resistor; RT resistor thermistor; RV resistor varistor
C capacitor capacitor; L inductor inductor; FB inductor ferrite bead
D diode diode; CR diode diode; VR diode voltage-regulator diode; BR diode rectifier bridge
Q transistor transistor; V valve valve; U ic integrated circuit
T transformer transformer; F fuse fuse; CB switch circuit breaker
J connector fixed connector; P connector movable connector; TB connector terminal block
X socket socket; XV socket valve socket; XF socket fuse holder; XU socket socket of an integrated circuit
XQ socket transistor socket; XY socket crystal socket; XK socket relay socket; XDS socket lamp holder
S switch switch; K relay relay; DS lamp lamp, display or LED; M meter meter or motor
W wire wire or cable; H hardware fastener; MP metalwork mechanical part; TP hardware test point
Y crystal crystal; BT battery battery; A module separable assembly; PS module power supply
B other motor or fan; LS other loudspeaker; HT other headset; MK other microphone
E other miscellaneous electrical part; FL other filter; AT other attenuator; G other generator
"""
# What is met at the bench and on drawings without being IEEE 315: common practice.
_BENCH = """
LED diode LED; ZD diode zener diode; TR transistor transistor; IC ic integrated circuit
RV potentiometer potentiometer; VR potentiometer potentiometer; POT potentiometer potentiometer
VC capacitor variable capacitor; TC capacitor trimmer; RFC inductor choke; IFT transformer IF transformer
FS fuse fuse; FU fuse fuse; FH socket fuse holder; X connector connector; CN connector connector
CON connector connector; SK connector socket; PL connector plug; SW switch switch; RLY relay relay; RL relay relay
L lamp lamp; LP lamp lamp; NE lamp neon lamp; HS hardware heat sink; LK wire wire link
X crystal crystal; XTAL crystal crystal; BAT battery battery; ME meter meter
"""
# IEC 81346-2:2009 and the older IEC letters: from memory.
_IEC = """
R resistor resistor; R inductor inductor; R diode diode; C capacitor capacitor
K ic integrated circuit; K transistor signal transistor; K relay signal relay
Q transistor power transistor; Q switch power switch or breaker
T transformer transformer; T diode rectifier; F fuse fuse or breaker; S switch switch
X connector connector or terminal; X socket socket or fuse holder
B crystal crystal or sensor; G crystal oscillator crystal; G battery battery
P meter meter; P lamp indicator; P other loudspeaker; E lamp lamp; M other motor
W wire cable; U metalwork mechanical part
"""
_OLDER = "L inductor inductor; V diode semiconductor or valve"


def _rows(standard: str, table: str) -> list[tuple[str, Meaning]]:
    rows = (row.split(maxsplit=2) for row in table.replace("\n", ";").split(";") if row.strip())
    return [(letters, Meaning(standard, kind, words)) for letters, kind, words in rows]


def _by_letters() -> dict[str, tuple[Meaning, ...]]:
    found: dict[str, tuple[Meaning, ...]] = {}
    tables = (("IEEE 315", _IEEE), ("bench", _BENCH), ("IEC 81346-2", _IEC), ("older IEC", _OLDER))
    for standard, table in tables:
        for letters, meaning in _rows(standard, table):
            found[letters] = (*found.get(letters, ()), meaning)
    return found


CLASSES = _by_letters()
