"""What a row of a foreign list says of its part, and whether it says that the part is not to be fitted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.reckon.match import Wanted
from buildbook.trade.kinds import KINDS, read_kind
from buildbook.trade.plain import clean
from buildbook.trade.refclasses import CLASSES
from buildbook.trade.refdes import kind_of
from buildbook.trade.values import Ambiguous, NotAValue, Value
from buildbook.trade.values import read as read_value

WORDS = ("part", "number", "maker", "maker number", "order code", "value", "package", "kind", "name", "unit")
ASKED_AT_MOST = 900

_NOT = (
    r"dnf|dnp|dni|dnm|no[ -]?fit|no[ -]?pop|omit(?:ted)?|unpopulated"
    r"|(?:do not|don't|not) (?:fit|fitted|populate|populated|place|placed|mount|mounted|install|installed)"
)
# Such a mark stands apart: alone, in brackets, behind a blank or a stroke.
_MARK = re.compile(rf"(?<![^\s(\[,;/])[(\[]?(?:{_NOT})[)\]]?(?![^\s)\],;/])", re.IGNORECASE)
_WHOLE = re.compile(_NOT, re.IGNORECASE)
_BEGINS = re.compile(r"(?:dnf|dnp|dni|dnm)\b", re.IGNORECASE)
_PARTED = re.compile(r"[.,;:()\[\]\n]+")
# What comes behind these words is what the part is for, not what it is.
_PURPOSE = re.compile(r"\b(?:for|with|to suit)\b", re.IGNORECASE)
_WORD = re.compile(r"(?<!\w)[^\W\d_]{2,}(?!\w)")
_STANDARDS = ("IEEE 315", "bench")


class Described(NamedTuple):
    """What the cells of a row say of a part, cleaned; `kind` is one of ours, or empty."""

    part: str = ""
    number: str = ""
    maker: str = ""
    maker_number: str = ""
    order_code: str = ""
    value: str = ""
    package: str = ""
    kind: str = ""
    name: str = ""
    unit: str = ""
    not_fitted: bool = False

    @property
    def pieces(self) -> tuple[str, ...]:
        """What names the part, and its package."""
        said = (self.part, self.number, self.maker_number, self.order_code, self.value, self.package, self.name)
        return tuple(dict.fromkeys(piece for piece in said if piece))

    @property
    def names_a_part(self) -> bool:
        """Whether it says anything but a package and a kind."""
        return bool(self.part or self.number or self.maker_number or self.order_code or self.value or self.name)

    @property
    def asked(self) -> str:
        """The description in one piece: how it is put to a person, and known again.

        A mere value says nothing without the kind of its part: 10k is a resistor here and a potentiometer there.
        """
        pieces = self.pieces
        if has_value(self.kind) and not (self.part or self.number or self.maker_number or self.order_code):
            pieces += (self.kind,)
        return " | ".join(pieces)[:ASKED_AT_MOST]


class Unclear(NamedTuple):
    """A cell that cannot be taken: under which of our words, and why."""

    word: str
    why: str


def describe(cells: Mapping[str, str], letters: str = "", *, keyed: bool = False) -> Described | Unclear:
    """What the cells of a row, by our words, say of its part; the class letters of its designators help with the kind.

    Where the part is `keyed`, its cell is the key of one of ours, and nothing has to be told from the rest.

    >>> describe({"value": "4k7 (DNF)", "package": "0207"}, "R")[5:8]
    ('4k7', '0207', 'resistor')
    """
    said = {}
    for word, text in cells.items():
        try:
            said[word] = clean(text) if text else ""
        except BadInput as error:
            return Unclear(word, error.why)
    value, off_value = without_mark(said.get("value", ""))
    name, off_name = without_mark(said.get("name", ""))
    part = said.get("part", "")
    kind = "" if keyed else kind_told(said.get("kind", ""), name, value or part, letters)
    if part and not keyed and not value and not name and isinstance(value_told(part, kind), Value):
        value = part  # a column "Part" in which 4k7 stands
    return Described(
        part=part,
        number=said.get("number", ""),
        maker=said.get("maker", ""),
        maker_number=said.get("maker number", ""),
        order_code=said.get("order code", ""),
        value=value,
        package=said.get("package", ""),
        kind=kind,
        name=name,
        unit=said.get("unit", ""),
        not_fitted=off_value or off_name,
    )


def without_mark(text: str) -> tuple[str, bool]:
    """A value or a name without a mark such as DNF in it, and whether there was one.

    >>> without_mark("10k DNF"), without_mark("DNP"), without_mark("DNP-25")
    (('10k', True), ('', True), ('DNP-25', False))
    """
    if not text or not _MARK.search(text):
        return text, False
    return " ".join(_MARK.sub(" ", text).split()).strip(" ,;/"), True


def says_not_fitted(note: str) -> bool:
    """Whether a note says that the part is not to be fitted, not merely when, or what else not.

    >>> says_not_fitted("DNF for now"), says_not_fitted("spare; do not fit"), says_not_fitted("do not fit before C3")
    (True, True, False)
    """
    return bool(_BEGINS.match(note)) or any(_WHOLE.fullmatch(piece.strip()) for piece in _PARTED.split(note))


# --- kind and value --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=8192)
def kind_told(kind: str, name: str, value: str, letters: str) -> str:
    """The kind of part: as stated, else as its class letters and its description say together.

    Class letters go before the description, but where they may mean several kinds (RV, X, L), the description decides.

    >>> kind_told("", "", "100k log pot", "RV"), kind_told("", "", "100n", "C"), kind_told("", "Screw M3x8", "", "")
    ('potentiometer', 'capacitor', 'hardware')
    """
    stated = read_kind(kind) if kind else None
    if stated:
        return stated
    may_be = kinds_of(letters)
    if len(may_be) == 1:
        return next(iter(may_be))
    told = kind_in(name) or kind_in(value)
    if not letters:
        return told or ""
    if told in may_be:
        return told or ""
    if {"potentiometer", "resistor"} <= may_be and letters != "R" and isinstance(read_value(value, "R"), Value):
        return "potentiometer"  # RV1 of 100k is no varistor
    return kind_of(f"{letters}1") or told or ""


@lru_cache
def kinds_of(letters: str) -> frozenset[str]:
    """The kinds of part that class letters may stand for."""
    meant = {meant.kind for meant in CLASSES.get(letters, ()) if meant.standard in _STANDARDS}
    return frozenset(meant | {known.name for known in KINDS.values() if known.letter == letters != ""})


@lru_cache(maxsize=8192)
def kind_in(text: str) -> str | None:
    """The kind that a description names: as a whole, or in the words that stand between its figures.

    >>> kind_in("Resistor 10k 1 %"), kind_in("M3 spacer 10 mm"), kind_in("Socket for IC"), kind_in("TL072")
    ('resistor', 'hardware', 'socket', None)
    """
    if not _WORD.search(text):
        return None
    text = _PURPOSE.split(text, 1)[0]
    if whole := read_kind(text):
        return whole
    run: list[str] = []
    for word in (*text.split(), "0"):
        if word.replace("-", "").isalpha():
            run.append(word)
            continue
        for end in range(len(run), 0, -1):
            if found := read_kind(" ".join(run[:end])):
                return found
        run = []
    return None


def has_value(kind: str) -> bool:
    """Whether parts of that kind have a value: a resistance, capacitance or inductance."""
    return kind in KINDS and KINDS[kind].value_kind is not None


def value_told(text: str, kind: str) -> Value | Ambiguous | NotAValue | None:
    """The value that a text is, for kinds of part that have one."""
    value_kind = KINDS[kind].value_kind if kind in KINDS else None
    return read_value(text, value_kind) if text and value_kind else None


def value_of(said: Described) -> Value | Ambiguous | NotAValue | None:
    """The value that a row states, in its own column or in the name of the part: "Resistor 10k 1 %"."""
    if said.value or not said.kind:
        return value_told(said.value, said.kind)
    found = value_told(said.name, said.kind)
    if isinstance(found, Value) and found.rest:
        return replace(found, rest=" ".join(word for word in found.rest.split() if read_kind(word) is None))
    return found


def unit_in(quantity: str) -> str:
    """The unit that is written with a quantity: "m" in "2.5 m"; empty when there is none."""
    return "" if quantity.isdecimal() else quantity.lstrip("0123456789.,' ")


def wanted(said: Described, asked: str) -> Wanted:
    """What a row says, as it is matched against the catalogue."""
    text = said.value or said.name or said.part or said.number
    alone = text if text and len(said.pieces) == 1 else ""
    return Wanted(
        row=0,
        key=said.part or said.number or alone,
        said=asked,
        kind=said.kind,
        text=text,
        value=value_of(said),
        package=said.package,
        maker_number=said.maker_number or said.number,
        order_code=said.order_code or said.number,
        name=said.name,
    )
