"""The kinds of part that a workshop knows, the words people use for them, and packages spelt many ways."""

from __future__ import annotations

import re
from typing import NamedTuple

from buildbook.trade.plain import clean
from buildbook.trade.units import Unit


class Kind(NamedTuple):
    """A kind of part: class letter (IEEE 315), the quantity its value is in (R, C, L or None), how it is counted."""

    name: str
    letter: str
    value_kind: str | None = None
    unit: Unit = Unit.PC


class Package(NamedTuple):
    """A package or case style: the text as it was given, and a key that is the same for every spelling of it."""

    text: str
    key: str


_KINDS = (
    Kind("resistor", "R", "R"),
    Kind("capacitor", "C", "C"),
    Kind("inductor", "L", "L"),
    Kind("potentiometer", "R", "R"),
    Kind("diode", "D"),
    Kind("transistor", "Q"),
    Kind("valve", "V"),
    Kind("ic", "U"),
    Kind("transformer", "T"),
    Kind("fuse", "F"),
    Kind("connector", "J"),
    Kind("switch", "S"),
    Kind("relay", "K"),
    Kind("lamp", "DS"),
    Kind("socket", "X"),
    Kind("wire", "W", None, Unit.MM),
    Kind("hardware", "H"),
    Kind("metalwork", "MP"),
    Kind("consumable", "", None, Unit.MG),
    Kind("module", "A"),
    Kind("crystal", "Y"),
    Kind("battery", "BT"),
    Kind("meter", "M"),
    Kind("other", "E"),
)
KINDS = {kind.name: kind for kind in _KINDS}

# Words in the singular; plurals are worked out. A phrase stands whole, between commas.
_PHRASES = {
    "resistor": "res, resistance, rheostat, thermistor, varistor, ntc, ptc, ldr, resistor network, inrush limiter",
    "capacitor": "cap, condenser, electrolytic, electrolytic cap, trimmer capacitor, variable capacitor, trimcap",
    "inductor": "ind, coil, choke, ferrite, ferrite bead, bead, rfc",
    "potentiometer": "pot, trimmer, trimpot, preset, variable resistor, trimmer resistor, fader",
    "diode": "rectifier, bridge, zener, led, light emitting diode, bridge rectifier, "
    "silicon rectifier, varicap, varactor",
    "transistor": "bjt, fet, jfet, mosfet, igbt, thyristor, scr, triac, darlington",
    "valve": "tube, vacuum tube, thermionic valve, electron tube, valve rectifier, triode, pentode, magic eye",
    "ic": "integrated circuit, chip, microcircuit, op amp, opamp, operational amplifier, regulator, voltage regulator, "
    "timer, comparator, optocoupler, opto, microcontroller",
    "transformer": "xfmr, mains transformer, if transformer, ift, output transformer, toroid",
    "fuse": "fuse link, thermal fuse, polyfuse, resettable fuse",
    "connector": "conn, plug, jack, header, terminal, terminal block, terminal strip, tag strip, binding post, inlet, "
    "mains inlet, iec inlet, pin header, jack socket, phono socket, mains socket, banana socket, dc socket, "
    "fuse terminal, connector housing, edge connector",
    "switch": "sw, toggle, push button, pushbutton, rotary switch, button, rotary encoder, encoder",
    "relay": "rly, reed relay, contactor",
    "lamp": "bulb, indicator, neon, pilot lamp, pilot light, dial lamp, light bulb, light",
    "socket": "valve socket, valve base, valve holder, valveholder, tube socket, ic socket, holder, fuse holder, "
    "fuseholder, lamp holder, lampholder, transistor socket, relay socket, crystal socket, battery holder",
    "wire": "cable, hook up wire, hookup wire, flex, lead, mains lead, mains cable, coax, sleeving, litz, "
    "enamelled wire, ribbon cable, heat shrink, heatshrink, link wire",
    "hardware": "screw, nut, washer, bolt, spacer, standoff, stand off, pillar, grommet, knob, foot, fastener, rivet, "
    "solder tag, clip, cable tie, tie, strain relief, cable gland, gland, heat sink, heatsink, insulator, mica washer, "
    "test point",
    "metalwork": "metal work, case, chassis, panel, front panel, bracket, sheet, enclosure, screen, cover, lid, "
    "shield, box",
    "consumable": "solder, flux, paint, primer, lacquer, varnish, glue, adhesive, solvent, thermal paste, grease, "
    "tape, cleaner, etchant, sandpaper, abrasive paper",
    "module": "mod, sub assembly, board, pcb, power module, display module, power supply",
    "crystal": "xtal, quartz, quartz crystal, resonator, ceramic resonator",
    "battery": "batt, cell, accumulator, battery pack, coin cell",
    "meter": "panel meter, moving coil meter, tuning meter, voltmeter, ammeter, gauge",
    "other": "misc, miscellaneous, various, sundry, loudspeaker, speaker, microphone, headphone, motor, fan, aerial, "
    "antenna, filter",
}
_WORDS = {name: name for name in KINDS} | {
    " ".join(phrase.split()): name for name, phrases in _PHRASES.items() for phrase in phrases.split(",")
}
_IRREGULAR = {"feet": "foot", "chassis": "chassis", "batteries": "battery", "switches": "switch"}
_APART = re.compile(r"[\s\-_/]+")


def read_kind(text: str) -> str | None:
    """Give the kind of part that a word or a short description names, or None when nothing in it is known.

    The whole is tried first, then what stands before the first comma or bracket, then its last words: a valve socket is
    a socket, a film capacitor a capacitor.

    >>> read_kind("Capacitors"), read_kind("Resistor, metal film"), read_kind("valve socket"), read_kind("zebra")
    ('capacitor', 'resistor', 'socket', None)
    """
    if known := _WORDS.get(text):
        return known
    folded = _APART.sub(" ", clean(text[:400]).casefold()).strip()
    head = re.split(r"[,;:(\[]", folded, maxsplit=1)[0].split()
    if phrase := _kind_of_phrase(folded):
        return phrase
    # The last words say what it is, the first ones what it is like: the longest known ending wins.
    for start in range(max(0, len(head) - 3), len(head)):
        if phrase := _kind_of_phrase(" ".join(head[start:])):
            return phrase
    return None


def _kind_of_phrase(phrase: str) -> str | None:
    front, _, last = phrase.rpartition(" ")
    singulars = (last, _IRREGULAR.get(last, last), last.removesuffix("s"), last.removesuffix("es"))
    return next((found for one in singulars if (found := _WORDS.get(f"{front} {one}".strip()))), None)


# Two or more spellings of one case style: dual in line (plastic too), small outline (JEDEC MS-012), and valve bases.
_FAMILIES = {"dil": "dip", "dip": "dip", "pdip": "dip", "cdip": "dip", "so": "soic", "soic": "soic"}
_FAMILY = re.compile(r"([a-z]+)[\s\-_]*([0-9]{1,3})(?:[\s\-_]*(?:pin|pins|way))?")
_PINS_FIRST = re.compile(r"([0-9]{1,3})[\s\-_]*(?:pins?|way)?[\s\-_]*([a-z]+)")
_ALIASES = {"b9a": "noval", "e91": "noval", "io": "octal", "k8a": "octal", "b8a": "rimlock", "miniature7": "b7g"}
_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_IDLE_ZEROS = re.compile(r"(\.[0-9]*?)0+(?![0-9])")
_IDLE_MARKS = re.compile(r"(?<![0-9])[\s\-_.,;/()]+|[\s\-_.,;/()]+(?![0-9])|[\s_,;/()]+")


def read_package(text: str) -> Package:
    """Fold the spellings of a package to one key for comparing; the text stays as it is, cleaned.

    Blanks, hyphens and case do not count, except between digits; DIL and DIP are the same, and so are SO and SOIC,
    noval and B9A, octal and IO (common practice). Makers differ in detail: the drawing of the part decides.

    >>> [read_package(text).key for text in ("DIL8", "DIP-8", "8-pin DIL", "TO-92", "Radial, 5.0 mm", "0805")]
    ['dip8', 'dip8', 'dip8', 'to92', 'radial5mm', '0805']
    """
    plain = clean(text)
    folded = plain.casefold()
    family = _FAMILY.fullmatch(folded)
    pins_first = _PINS_FIRST.fullmatch(folded)
    if family and family[1] in _FAMILIES:
        return Package(plain, _FAMILIES[family[1]] + family[2].lstrip("0"))
    if pins_first and pins_first[2] in _FAMILIES:
        return Package(plain, _FAMILIES[pins_first[2]] + pins_first[1].lstrip("0"))
    folded = _IDLE_ZEROS.sub(r"\1", _DECIMAL_COMMA.sub(".", folded))
    key = _IDLE_MARKS.sub("", folded)
    return Package(plain, _ALIASES.get(key, key))
